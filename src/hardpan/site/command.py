"""Commands that serve, keep and bring back the site; each loads Django only when it runs."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from hardpan.errors import HardpanError


def register(app: typer.Typer) -> None:
    """Add the site's commands to the command line."""
    for command in (serve, owner, backup, restore, doctor):
        app.command()(command)


@contextmanager
def _told() -> Iterator[None]:
    """Say what is wrong and end with exit 1, or 2 where options do not go together."""
    from hardpan.site.serving.start import UsageError  # noqa: PLC0415  # Django is slow to load

    try:
        yield
    except HardpanError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2 if isinstance(error, UsageError) else 1) from error


def serve(
    *,
    host: Annotated[
        str, typer.Option("--host", help="Address to listen at; 0.0.0.0 lets the whole network in.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="Port to listen at.")] = 8443,
    certificate: Annotated[
        Path | None,
        typer.Option(
            "--certificate", envvar="HARDPAN_CERTIFICATE", help="PEM file of a real certificate and its chain."
        ),
    ] = None,
    key: Annotated[Path | None, typer.Option("--key", envvar="HARDPAN_KEY", help="PEM file of its key.")] = None,
    no_tls: Annotated[
        bool, typer.Option("--no-tls", help="Plain HTTP: on localhost, or behind a reverse proxy with HARDPAN_PROXY=1.")
    ] = False,
) -> None:
    """Serve the site from the data folder: HARDPAN_DATA, or the folder that the system has for it."""
    with _told():
        from hardpan.site.serving.run import Serving  # noqa: PLC0415  # Django is slow to load
        from hardpan.site.serving.run import serve as run  # noqa: PLC0415

        run(Serving(host, port, certificate, key, tls=not no_tls), typer.echo)


def owner(
    company: Annotated[str, typer.Argument(help="Name of the company.", show_default=False)],
    sign_in_name: Annotated[str, typer.Argument(help="Name that the owner signs in with.", show_default=False)],
    name: Annotated[str, typer.Option("--name", help="Name that others see; not said: the sign-in name.")] = "",
) -> None:
    """Make a company and the owner of its account, or give its owner a new link to choose a password."""
    with _told():
        from hardpan.site.serving.owner import invite_owner  # noqa: PLC0415  # Django is slow to load

        link = invite_owner(company, sign_in_name, name=name or sign_in_name)
    typer.echo(link)
    typer.echo(
        f"for {sign_in_name} of {company}, to choose a password: once, within three days. Hand it to nobody else."
    )


def backup(
    file: Annotated[
        Path, typer.Argument(help="File to write, best on another disk.", dir_okay=False, show_default=False)
    ],
    with_key: Annotated[
        bool, typer.Option("--with-key", help="The site's secret key too: keep the file as you would keep the key.")
    ] = False,
    replace: Annotated[bool, typer.Option("--replace", help="Replace a file that is there.")] = False,
) -> None:
    """Write the whole store into one file while the server goes on, and read it back."""
    with _told():
        from hardpan.site.serving.start import load_site  # noqa: PLC0415  # Django is slow to load

        load_site()
        from hardpan.site.keeping.backup import back_up  # noqa: PLC0415

        manifest = back_up(file, with_key=with_key, replace=replace)
    photos = sum(name.startswith("photos/") for name in manifest.members)
    typer.echo(f"written and read back: {file}")
    typer.echo(
        f"  {manifest.rows['streets.street']} streets, {manifest.rows['entries.storedentry']} entries, {photos} photos"
    )
    if manifest.missing_photos:
        typer.echo(f"  not in it, because their files are gone: {len(manifest.missing_photos)} photos")
    if not with_key:
        typer.echo(
            "  The site's secret key is not in it: brought back elsewhere, codes for the crew have to be made anew."
        )


def restore(
    file: Annotated[Path, typer.Argument(help="File of a backup.", dir_okay=False, show_default=False)],
) -> None:
    """Bring a backup back, all or nothing; phones then send again what they still hold. Stop the server first."""
    with _told():
        from hardpan.site.serving.start import load_site  # noqa: PLC0415  # Django is slow to load

        load_site()
        from hardpan.site.keeping.restore import restore as bring_back  # noqa: PLC0415

        done = bring_back(file)
    made_at = f"{done.manifest.made_at:%Y-%m-%d %H:%M} UTC"
    typer.echo(
        f"brought back: {file}, as of {made_at}, {done.manifest.rows['entries.storedentry']} entries; epoch {done.epoch}"
    )
    if done.before is not None:
        typer.echo(f"  what was there before is kept: {done.before}")
    typer.echo("  Everybody signs in again; phones send again what they still hold; who joined later joins again.")


def doctor(
    as_json: Annotated[
        bool, typer.Option("--json", help="Write one JSON object to standard output and nothing else.")
    ] = False,
) -> None:
    """Look at data folder, database, disk, clock, certificate and backups; exit 1 where something is to be done."""
    from hardpan.site.keeping import health  # noqa: PLC0415  # Django is slow to load

    lines = health.examine()
    typer.echo(health.as_json(lines) if as_json else "\n".join(map(str, lines)))
    if not all(line.well for line in lines):
        raise typer.Exit(1)
