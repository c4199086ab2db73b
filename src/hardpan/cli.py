"""The command line: a thin shell over the same calls as the site.

Exit 0 done, 1 the street has problems, 2 wrong usage.
"""

from __future__ import annotations

import json
import shutil
import sys
from dataclasses import asdict
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console

import hardpan
from hardpan.errors import HardpanError, StreetError
from hardpan.exchange import json_plan, tables, text, working
from hardpan.plan import Plan, bay_story, why
from hardpan.site import command as site
from hardpan.street import EXAMPLES
from hardpan.street.new import write_new
from hardpan.street.schema import street_schema
from hardpan.study.command import study

app = typer.Typer(
    name="hardpan",
    help="Plan a cement-treated street subgrade from a folder of what the crew sees and measures. Hardpan plans and records; the engineer decides.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

Folder = Annotated[
    Path, typer.Argument(help="Street folder: street.toml and the CSV tables beside it.", show_default=False)
]
AsJson = Annotated[bool, typer.Option("--json", help="Write one JSON object to standard output and nothing else.")]


def main() -> None:
    """Run the command line; a street's problems end with exit 1 and no traceback."""
    app()


def _version(asked: bool) -> None:
    """Print the version and stop."""
    if asked:
        typer.echo(f"hardpan {hardpan.__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Options that stand before a command."""


def _fail(error: StreetError, *, as_json: bool) -> typer.Exit:
    """Print a street's problems; gives the exit to raise."""
    if as_json:
        typer.echo(json_plan.problems_json(error.problems))
    else:
        for problem in error.problems:
            typer.echo(str(problem), err=True)
        count = len(error.problems)
        typer.echo(f"{count} problem{'' if count == 1 else 's'}; nothing was written", err=True)
    return typer.Exit(1)


@app.command()
def new(folder: Folder) -> None:
    """Write a commented starting folder: fill in a handful of lines and words."""
    try:
        paths = write_new(folder)
    except StreetError as error:
        raise _fail(error, as_json=False) from error
    for path in paths:
        typer.echo(str(path))
    typer.echo(f"Fill in the empty lines of street.toml, a row for each stretch, then: hardpan check {folder}")


@app.command()
def check(folder: Folder, as_json: AsJson = False) -> None:
    """Print every problem of a folder at once: file, row, column, found, allowed, what to do."""
    try:
        street = hardpan.read_street(folder)
    except StreetError as error:
        raise _fail(error, as_json=as_json) from error
    if as_json:
        typer.echo(json_plan.problems_json(()))
        return
    for notice in street.notices:
        typer.echo(f"! {notice}")
    typer.echo(f"{street.name}: no problems")


@app.command()
def plan(
    folder: Folder,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            file_okay=False,
            help="Folder for plan.txt, decisions.txt, plan.json, plan.xlsx and CSV tables; without it nothing is written.",
        ),
    ] = None,
    as_json: AsJson = False,
    seed: Annotated[int, typer.Option("--seed", help="Seed of the random draws.")] = 0,
    why_path: Annotated[
        str, typer.Option("--why", metavar="PATH", help="Print the working of one figure, as in balance[0].our_low.")
    ] = "",
) -> None:
    """Plan a street: tonnes, water, how low, run-outs, times, every figure with its working."""
    made = _plan(folder, seed, as_json=as_json)
    if why_path:
        _explain(made, why_path, as_json=as_json)
        return
    written = write_plan(made, out) if out else ()
    if as_json:
        typer.echo(json_plan.plan_json(made))
        return
    text.print_plan(made, Console(width=_width(), highlight=False))
    _list(written)


def _plan(folder: Path, seed: int, *, as_json: bool) -> Plan:
    """Plan of a folder; exit 1 with its problems."""
    try:
        return hardpan.make_plan(hardpan.read_street(folder), seed=seed)
    except StreetError as error:
        raise _fail(error, as_json=as_json) from error


def _explain(made: Plan, path: str, *, as_json: bool) -> None:
    """Print the working of one figure, or the story of a bay; exit 2 where the path leads to none."""
    story: tuple[str, ...] = ()
    try:
        if bay_story.is_bay(path):
            figure, story = bay_story.tell(made, path)
        else:
            figure = why.find(made, path)
    except HardpanError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from error
    if as_json:
        plain = working.working_object(figure) | ({"story": list(story)} if story else {})
        typer.echo(json.dumps(plain, ensure_ascii=False, indent=1))
        return
    typer.echo("\n".join(story) if story else working.working_text(figure))


def write_plan(made: Plan, folder: Path) -> tuple[Path, ...]:
    """Write a plan's files into a folder; gives their paths."""
    from hardpan.exchange.sheets.decision_card import decision_text  # noqa: PLC0415  # the typesetter is slow to load

    folder.mkdir(parents=True, exist_ok=True)
    as_json, as_text = folder / "plan.json", folder / "plan.txt"
    as_json.write_text(json_plan.plan_json(made) + "\n", encoding="utf-8")
    as_text.write_text(text.plan_text(made), encoding="utf-8")
    decisions = folder / "decisions.txt"
    decisions.write_text(decision_text(made) + "\n", encoding="utf-8")
    return (as_text, decisions, as_json, tables.write_xlsx(made, folder / "plan.xlsx"), *tables.write_csv(made, folder))


def _list(paths: tuple[Path, ...]) -> None:
    """Say what was written, folder by folder."""
    for folder in dict.fromkeys(path.parent for path in paths):
        names = ", ".join(path.name for path in paths if path.parent == folder)
        typer.echo(f"written to {folder}: {names}")


def _width() -> int:
    """Width of the terminal, a readable one where there is none."""
    return max(80, min(shutil.get_terminal_size((text.WIDTH, 40)).columns, 140)) if sys.stdout.isatty() else text.WIDTH


class SheetName(StrEnum):
    """Sheets by name."""

    SHEET_0600 = "0600"
    CUT = "cut"
    ORDER = "order"
    RATES = "rates"
    TIMES = "times"
    FORMS = "forms"
    MAP = "map"
    DECISIONS = "decisions"
    GROUND = "ground"
    GROUND_MAP = "ground-map"


class PaperName(StrEnum):
    """Papers by name."""

    A4 = "a4"
    LETTER = "letter"


class UnitName(StrEnum):
    """Units that stakes are written in."""

    M = "m"
    MM = "mm"
    FT = "ft"
    FT_IN = "ft-in"


class ModeName(StrEnum):
    """What a cut is written down from."""

    HUB = "hub"
    LIP = "lip"
    STRING = "string"
    ROD = "rod"
    LOW = "low"


app.command()(study)
site.register(app)


@app.command()
def export(
    folder: Folder,
    *,
    out: Annotated[Path, typer.Option("--out", file_okay=False, help="Folder for the sheets.", show_default=False)],
    sheet: Annotated[
        list[SheetName] | None,
        typer.Option("--sheet", help="Which sheet; give it again for another one; not said: all.", show_default=False),
    ] = None,
    paper: Annotated[PaperName, typer.Option("--paper", help="Paper of the sheets.")] = PaperName.A4,
    unit: Annotated[
        UnitName | None, typer.Option("--unit", help="Unit of the cut sheet; not said: metres above a datum, else mm.")
    ] = None,
    mode: Annotated[
        ModeName | None, typer.Option("--from", help="What a stake's cut is written from; not said: hub, else lip.")
    ] = None,
    instrument: Annotated[
        float | None, typer.Option("--instrument-height", help="Level of the line of sight, m, for rod readings.")
    ] = None,
    string: Annotated[float, typer.Option("--string-height", help="Height of the string over hub or lip, m.")] = 0.0,
) -> None:
    """Write sheets for the crew's pocket: the 06:00 sheet, cuts, order, rate and decision cards, times, blank forms, the ground, the strip map."""
    from hardpan.exchange.sheets.shelf import SHEETS, Wishes, write_sheets  # noqa: PLC0415  # the typesetter is slow to load

    made = _plan(folder, 0, as_json=False)
    names = tuple(dict.fromkeys(name.value for name in sheet)) if sheet else tuple(SHEETS)
    wishes = Wishes(
        paper="us-letter" if paper is PaperName.LETTER else "a4",
        unit=unit.value if unit else None,
        down_from=mode.value if mode else None,
        instrument_height=instrument,
        string_height=string,
    )
    try:
        _list(write_sheets(made, names, out, wishes))
    except HardpanError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from error


@app.command()
def demo(
    out: Annotated[
        Path, typer.Option("--out", file_okay=False, help="Folder for the two streets, their plans and their sheets.")
    ] = Path("hardpan-demo"),
    no_serve: Annotated[
        bool,
        typer.Option(
            "--no-serve", help="Print and write the files, then stop; so it does anyway where no terminal is."
        ),
    ] = False,
    host: Annotated[
        str, typer.Option("--host", help="Address to serve at; 0.0.0.0 lets phones of the network in.")
    ] = "127.0.0.1",
) -> None:
    """Plan two streets of our own: print Teal Crescent, write both with their sheets, their records and their folders, and serve them."""
    from hardpan.exchange.record import write_record  # noqa: PLC0415  # the typesetter is slow to load
    from hardpan.exchange.sheets.shelf import SHEETS, Wishes, write_sheets  # noqa: PLC0415

    written: list[Path] = []
    for name in EXAMPLES:
        folder = out / name
        if not folder.exists():  # a street that somebody changed since the last demo stays as it is
            shutil.copytree(hardpan.example(name), folder)
        made = _plan(folder, 0, as_json=False)
        if name == EXAMPLES[0]:
            text.print_plan(made, Console(width=_width(), highlight=False))
            typer.echo("")
        written += write_plan(made, folder / "plan")
        written += write_sheets(made, tuple(SHEETS), folder / "sheets", Wishes())
        written += write_record(folder, folder / "record")
    _list(tuple(written))
    first = out / EXAMPLES[0]
    typer.echo(f"the street itself, to change and plan again: {first}; then: hardpan plan {first}")
    if sys.stdout.isatty() and not no_serve:
        from hardpan.site.demo import serve_demo  # noqa: PLC0415  # Django is slow to load

        try:
            serve_demo(out, host=host)
        except HardpanError as error:
            typer.echo(str(error), err=True)
            raise typer.Exit(1) from error


@app.command()
def record(
    folder: Folder,
    out: Annotated[
        Path | None,
        typer.Option("--out", file_okay=False, help="Folder for the record; not said: record, in the street's folder."),
    ] = None,
    paper: Annotated[PaperName, typer.Option("--paper", help="Paper of the record.")] = PaperName.A4,
) -> None:
    """Write the hand-over record of a street from its ledger: PDF with everything inside, workbook, lines whose every change shows."""
    from hardpan.exchange.record import write_record  # noqa: PLC0415  # the typesetter is slow to load

    try:
        _list(write_record(folder, out or folder / "record", paper="us-letter" if paper is PaperName.LETTER else "a4"))
    except StreetError as error:
        raise _fail(error, as_json=False) from error


@app.command()
def verify(
    file: Annotated[Path, typer.Argument(help="record.pdf or record.jsonl.", dir_okay=False, show_default=False)],
    as_json: AsJson = False,
) -> None:
    """Check that nothing in a record was changed since it was written; names the first entry that was."""
    from hardpan.exchange.record import verify_file  # noqa: PLC0415  # the typesetter is slow to load

    found = verify_file(file)
    whole = all(one.good for one in found)
    if as_json:
        plain = {"schema": "hardpan.verify/1", "whole": whole, "findings": [asdict(one) for one in found]}
        typer.echo(json.dumps(plain, ensure_ascii=False, indent=1))
    for one in found if not as_json else ():
        typer.echo(f"{file}: {one.words}", err=not one.good)
    if not whole:
        raise typer.Exit(1)


@app.command()
def schema() -> None:
    """Print the JSON schema of street.toml and of every table."""
    shown: dict[str, Any] = street_schema()
    typer.echo(json.dumps(shown, ensure_ascii=False, indent=1))


if __name__ == "__main__":
    main()
