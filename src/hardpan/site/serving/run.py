"""``hardpan serve``: the store brought up to date, the files collected, then the server until it is told to stop."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from hardpan.site.serving import addresses, certificates, lock
from hardpan.site.serving.certificates import Certificate
from hardpan.site.serving.start import UsageError, data_folder, load_site

PORT = 8443
THREADS = 4  # each with a connection to the store; a writer waits for the other anyway
BACKLOG = 1024
STOP_WITHIN = 30  # s that requests in flight have after SIGTERM

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Serving:
    """Where to listen, and how the line is kept private."""

    host: str = "127.0.0.1"
    port: int = PORT
    chain: Path | None = None
    key: Path | None = None
    tls: bool = True

    @property
    def behind_proxy(self) -> bool:
        """Whether a reverse proxy brings the requests, by TLS of its own."""
        return os.environ.get("HARDPAN_PROXY") == "1"

    @property
    def address(self) -> str:
        """Address to type on this machine."""
        here = (*addresses.ANYWHERE, "127.0.0.1")
        host = "localhost" if self.host in here else addresses.in_url(self.host)
        return f"{'https' if self.tls else 'http'}://{host}:{self.port}"


def serve(wishes: Serving, say: Say) -> None:
    """Serve until SIGTERM or Ctrl-C; raises ``ServingError`` where that cannot be."""
    _check(wishes)
    folder = data_folder()
    with lock.held(folder, said=wishes.address):
        addresses.check_free(wishes.host, wishes.port)
        names = addresses.names_of(wishes.host)
        prepare(wishes, names)
        certificate = certificate_of(wishes, folder, names)
        tell(wishes, certificate, names, say)
        run(wishes, certificate)


def _check(wishes: Serving) -> None:
    """Refuse what would leave the line open, or half a certificate."""
    if (wishes.chain is None) != (wishes.key is None):
        raise UsageError(
            "certificate: one of --certificate and --key is missing; allowed: both or none. Give the other one too."
        )
    if wishes.tls:
        return
    if wishes.chain is not None:
        raise UsageError("--no-tls: given together with a certificate; allowed: one of them. Leave one out.")
    if not (addresses.is_local(wishes.host) or wishes.behind_proxy):
        raise UsageError(
            f"--no-tls: given for {wishes.host}; allowed: localhost, or behind a reverse proxy (HARDPAN_PROXY=1). "
            "Leave it out: a certificate is made where none is given."
        )


def prepare(wishes: Serving, names: list[str]) -> None:
    """Load the site under the names it will answer to, bring the store up to date, collect the files."""
    shown = [addresses.in_url(name) for name in names]
    os.environ["HARDPAN_HOSTS"] = ",".join(
        [os.environ.get("HARDPAN_HOSTS", ""), *(f"{name}:{wishes.port}" for name in shown)]
    )
    load_site(local=not wishes.tls and not wishes.behind_proxy)

    from django.core.management import call_command  # noqa: PLC0415  # once the settings are there

    from hardpan.site.serving import static  # noqa: PLC0415

    call_command("migrate", interactive=False, verbosity=0)
    static.collect()


def certificate_of(wishes: Serving, folder: Path, names: list[str]) -> Certificate | None:
    """Certificate to show, None without TLS."""
    if not wishes.tls:
        return None
    if wishes.chain is not None and wishes.key is not None:
        return certificates.given(wishes.chain, wishes.key)
    return certificates.own(folder, names)


def tell(wishes: Serving, certificate: Certificate | None, names: list[str], say: Say) -> None:
    """Say where the site is, what its certificate will not do, and how the first account is made."""
    from hardpan.site.accounts.models import Company  # noqa: PLC0415  # once the settings are there

    say(f"Hardpan at {wishes.address} (Ctrl-C stops it)")
    if wishes.host in addresses.ANYWHERE and wishes.tls:
        others = [name for name in names if not addresses.is_local(name)]
        say(f"  for others: {', '.join(f'https://{addresses.in_url(name)}:{wishes.port}' for name in others)}")
    elif addresses.is_local(wishes.host) and not wishes.behind_proxy:
        say("  for this machine only; --host 0.0.0.0 lets phones and tablets of the same network in")
    if certificate is not None and certificate.authority is not None:
        say(
            "  The certificate was made here and nobody vouches for it: browsers warn, and phones refuse to keep the page"
        )
        say(
            "  for work without signal until they trust it. Give a real one by --certificate and --key, or bring this file"
        )
        say(f"  to each phone and trust it there: {certificate.authority}")
    if not Company.objects.exists():
        say('  No company has an account yet. In another window: hardpan owner "COMPANY" SIGN-IN-NAME')
        say("  It prints a link on which the owner chooses a password.")


def run(wishes: Serving, certificate: Certificate | None) -> None:
    """Run the server; requests in flight are answered before it stops."""
    from django.db import connections  # noqa: PLC0415  # once the settings are there
    from granian import Granian  # noqa: PLC0415  # slow to load
    from granian.constants import Interfaces  # noqa: PLC0415
    from granian.log import LogLevels  # noqa: PLC0415

    connections.close_all()  # the worker may be a fork, and a connection has one owner
    server = Granian(
        "hardpan.site.wsgi:application",
        address=wishes.host,
        port=wishes.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        backlog=BACKLOG,
        websockets=False,
        log_access=False,
        log_level=LogLevels.warning,
        workers_kill_timeout=STOP_WITHIN,
        respawn_failed_workers=True,
        ssl_cert=certificate.chain if certificate else None,
        ssl_key=certificate.key if certificate else None,
    )
    server.serve()
