"""The site of the demo: two streets of our own, everybody's account, codes for a crew; gone when it stops."""

from __future__ import annotations

import io
import os
import secrets
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from hardpan.site.roles import BY_CODE, OFFICE, Role
from hardpan.site.serving import addresses, lock
from hardpan.site.serving.run import Say, Serving, certificate_of, prepare, run

if TYPE_CHECKING:
    from hardpan.site.accounts.models import User
    from hardpan.site.streets.models import Street

COMPANY = "Norvale Streets (invented)"
HTTP_PORT, TLS_PORT = 8000, 8443


def serve_demo(folder: Path, *, host: str = "127.0.0.1", port: int | None = None, say: Say = typer.echo) -> None:
    """Serve the streets of a demo's folder from a store of its own, until Ctrl-C.

    On this machine without TLS; at another host with a certificate made here, so that phones can join.

    Raises
    ------
    ServingError
        When nobody can listen there.
    """
    tls = not addresses.is_local(host)
    wishes = Serving(host, port or (TLS_PORT if tls else HTTP_PORT), tls=tls)
    addresses.check_free(wishes.host, wishes.port)
    with tempfile.TemporaryDirectory(prefix="hardpan-demo-") as kept:
        os.environ["HARDPAN_DATA"] = kept
        for name in ("DATABASE_URL", "HARDPAN_PROXY"):
            os.environ.pop(name, None)  # never the store of a real street
        with lock.held(Path(kept), said=wishes.address):
            names = addresses.names_of(wishes.host)
            prepare(wishes, names)
            phones = next((name for name in names if not addresses.is_local(name)), "") if tls else ""
            address = f"https://{addresses.in_url(phones)}:{wishes.port}" if phones else wishes.address
            _tell(folder, address, say)
            run(wishes, certificate_of(wishes, Path(kept), names))


def _tell(folder: Path, address: str, say: Say) -> None:
    """Fill the store, and say once what it takes to come in."""
    people, passwords = _people()
    streets = [
        _street(path, people) for path in sorted(folder.iterdir(), reverse=True) if (path / "street.toml").is_file()
    ]
    for street in streets:
        say(f"{street.name}: {street.last_sequence} entries")
    say(f"\nSign in at {address} until Ctrl-C; all of it is gone then:")
    for role, password in passwords.items():
        say(f"  {role:<9} {password}")
    say(f"A crew joins {streets[0].name} by a code, without a password:")
    for role in sorted(BY_CODE):
        say(_code(streets[0], role, people[Role.FOREMAN], address))
    if address.startswith("http:"):
        say("The codes lead to this machine only; with --host 0.0.0.0 phones of the same network come in.")


def _people() -> tuple[dict[Role, User], dict[Role, str]]:
    """A person for every role of the office, with a password of their own; sign-in names are the roles."""
    from hardpan.site.accounts.models import User  # noqa: PLC0415  # once the settings are there
    from hardpan.site.accounts.people import found_company  # noqa: PLC0415

    owner = found_company(COMPANY, sign_in_name=Role.OWNER.value, name="Owner")
    others = sorted(OFFICE - {Role.OWNER})
    people = {
        role: User.objects.invite(owner.company, role.value, name=role.title(), role=role.value) for role in others
    }
    people[Role.OWNER] = owner
    passwords = {role: secrets.token_urlsafe(9) for role in people}
    for role, user in people.items():
        user.set_password(passwords[role])
        user.save()
    return people, passwords


def _street(path: Path, people: dict[Role, User]) -> Street:
    """A street of the demo's folder, brought in as the API does it."""
    from hardpan.site.entries.folders import bring_in  # noqa: PLC0415  # once the settings are there
    from hardpan.site.streets.folders import folder_of_files  # noqa: PLC0415

    files = folder_of_files((one.name, one.read_bytes()) for one in sorted(path.iterdir()) if one.is_file())
    street, _answers = bring_in(people[Role.OWNER], files, slug=path.name)
    street.people.set(people.values())
    street.refresh_from_db()
    return street


def _code(street: Street, role: Role, by: User, address: str) -> str:
    """Code of a street for a role, drawn for the terminal."""
    import segno  # noqa: PLC0415  # only here
    from django.urls import reverse  # noqa: PLC0415  # once the settings are there

    from hardpan.site.join.codes import open_code  # noqa: PLC0415

    link = address + reverse("join", args=[open_code(street, role.value, by=by).token])
    drawn = io.StringIO()
    segno.make(link, error="m").terminal(drawn, compact=True)
    return f"  {role}: {link}\n{drawn.getvalue()}"
