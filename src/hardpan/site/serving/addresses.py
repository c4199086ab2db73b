"""Names and addresses by which a machine is reached."""

from __future__ import annotations

import errno
import ipaddress
import socket

from hardpan.site import home
from hardpan.site.serving.start import ServingError

ANYWHERE = ("0.0.0.0", "::")  # every address of the machine
NOWHERE = "192.0.2.1"  # RFC 5737: an address of nobody; naming it sends nothing and tells which way out the machine has


def is_local(host: str) -> bool:
    """Whether only this machine reaches a host."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def of_machine() -> list[str]:
    """Host name and addresses by which others reach this machine."""
    name = socket.gethostname().lower()
    found = {str(told[4][0]) for told in _looked_up(name)} | {_way_out()}
    addresses = [address for address in sorted(found) if address and not is_local(address) and "%" not in address]
    return [name, *(["" if "." in name else f"{name}.local"]), *addresses]


def names_of(host: str) -> list[str]:
    """Names that a server at a host answers to, those of the environment first."""
    told = [home.host_name(name).strip("[]") for name in home.hosts()]
    found = of_machine() if host in ANYWHERE else [host]
    return [name for name in dict.fromkeys([*told, *found]) if name]


def in_url(name: str) -> str:
    """A name as it stands in an address: IPv6 in brackets."""
    return f"[{name}]" if ":" in name else name


def check_free(host: str, port: int) -> None:
    """Raise ``ServingError`` where nobody could listen there."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((host, port))
        except OSError as error:
            raise _taken(host, port, error) from error


def _taken(host: str, port: int, error: OSError) -> ServingError:
    """Why nobody can listen there, and what to do."""
    place = f"{in_url(host)}:{port}"
    if error.errno == errno.EADDRINUSE:
        return ServingError(
            f"port {port}: {place} is taken by another program; allowed: a free one. Give another --port."
        )
    if error.errno == errno.EACCES:
        return ServingError(
            f"port {port}: {place} is not for this user; allowed: 1024 and above. Give another --port, or stand behind a reverse proxy."
        )
    return ServingError(
        f"host {host}: {error.strerror or error}; allowed: an address of this machine. Give another --host."
    )


def _looked_up(name: str) -> list[tuple[int, int, int, str, tuple[str, int] | tuple[str, int, int, int]]]:
    """What the machine's own tables say about a name."""
    try:
        return socket.getaddrinfo(name, None, proto=socket.IPPROTO_TCP)  # type: ignore[return-value]  # its stub allows for systems without IPv6
    except OSError:
        return []


def _way_out() -> str:
    """Address from which the machine would reach others, "" where it has no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect((NOWHERE, 9))
        except OSError:
            return ""
        return str(asked.getsockname()[0])
