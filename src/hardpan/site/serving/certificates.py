"""The certificate that a server shows: a real one that it was given, else one made here."""

from __future__ import annotations

import datetime as dt
import ssl
from dataclasses import dataclass
from pathlib import Path

import trustme
from cryptography import x509

from hardpan.site.serving import files
from hardpan.site.serving.start import ServingError

FOLDER = "certificate"
LIVES = dt.timedelta(days=800)  # phones take none that is made for more than 825 days
RENEWED = dt.timedelta(days=30)  # before its end
DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Certificate:
    """Files of a certificate and its key; ``authority`` is what a phone has to trust where it was made here."""

    chain: Path
    key: Path
    authority: Path | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """Whom a certificate is for, and until when."""

    names: frozenset[str]
    ends: dt.datetime

    def covers(self, name: str) -> bool:
        """Whether it is for a name."""
        _, dot, rest = name.partition(".")
        return name in self.names or (bool(dot) and f"*.{rest}" in self.names)


def facts(chain: Path) -> Facts:
    """Facts of the first certificate of a file; raises ``ValueError`` where there is none."""
    read = x509.load_pem_x509_certificate(chain.read_bytes())
    try:
        told = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return Facts(frozenset(), read.not_valid_after_utc)
    names = [*told.get_values_for_type(x509.DNSName), *map(str, told.get_values_for_type(x509.IPAddress))]
    return Facts(frozenset(names), read.not_valid_after_utc)


def given(chain: Path, key: Path) -> Certificate:
    """A real certificate; raises ``ServingError`` where it and its key do not go together."""
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(chain, key, password="")
        facts(chain)
    except (OSError, ValueError) as error:  # SSLError is an OSError
        raise ServingError(
            f"certificate {chain}, key {key}: {error}; allowed: a PEM file of the certificate with its chain, and its key without a password. "
            "Name both files that belong together."
        ) from error
    return Certificate(chain, key)


def own(folder: Path, names: list[str], *, now: dt.datetime | None = None) -> Certificate:
    """Certificate of the data folder, made anew where it nears its end or a name is missing."""
    home = folder / FOLDER
    made = Certificate(home / "chain.pem", home / "key.pem", home / "authority.pem")
    now = now or dt.datetime.now(dt.UTC)
    if not _serves(made, names, now):
        _make(made, names, now)
    return made


def _serves(made: Certificate, names: list[str], now: dt.datetime) -> bool:
    """Whether the certificate that is there will do."""
    if not all(path is not None and path.exists() for path in (made.chain, made.key, made.authority)):
        return False
    try:
        known = facts(made.chain)
    except ValueError:
        return False
    return all(map(known.covers, names)) and known.ends > now + RENEWED


def _make(made: Certificate, names: list[str], now: dt.datetime) -> None:
    """Make a certificate and its authority; the authority's key is never written down, so that it can vouch for nothing else."""
    authority = trustme.CA(organization_name="Hardpan on this machine")
    leaf = authority.issue_cert(*names, common_name=names[0], not_before=now - DAY, not_after=now + LIVES)
    home = made.chain.parent
    home.mkdir(mode=0o700, exist_ok=True)
    files.write(made.key, leaf.private_key_pem.bytes())
    files.write(made.chain, b"".join(part.bytes() for part in leaf.cert_chain_pems))
    files.write(home / "authority.pem", authority.cert_pem.bytes())
