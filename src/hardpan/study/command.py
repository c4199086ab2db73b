"""The command ``hardpan study``: simulate, plan, see what happens, and tell how honest the odds were."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from hardpan.study.natures import NATURES
from hardpan.study.report import NatureFigures, figures, print_figures, study_object
from hardpan.study.runner import Outcome, StudyError, Task, run_study, tasks_of
from hardpan.study.sheet import study_sheet

_FEWEST = 20  # streets: bands over fewer tell nothing
_WIDTH = 120


def study(
    *,
    streets: Annotated[int, typer.Option("--streets", min=_FEWEST, help="Streets of each nature.")] = 200,
    nature: Annotated[
        list[str] | None, typer.Option("--nature", help=f"One of: {', '.join(NATURES)}; not said: all of them.")
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", file_okay=False, help="Folder for study.jsonl, study.json and study.pdf.")
    ] = Path("hardpan-study"),
    workers: Annotated[int, typer.Option("--workers", min=1, help="Processes.")] = 2,
    scheduler: Annotated[
        str, typer.Option("--scheduler", help="Address of a Dask scheduler, as tcp://host:8786.")
    ] = "",
    as_json: Annotated[
        bool, typer.Option("--json", help="Write one JSON object to standard output and nothing else.")
    ] = False,
) -> None:
    """Simulate streets and tell how honest the odds are, and what the plan is worth beside simpler rules.

    A stopped study goes on from the streets that study.jsonl holds.
    """
    chosen = tuple(dict.fromkeys(nature or NATURES))
    unknown = [name for name in chosen if name not in NATURES]
    if unknown:
        typer.echo(f"no nature is called {', '.join(unknown)}; there are: {', '.join(NATURES)}", err=True)
        raise typer.Exit(2)
    try:
        found = _run(tasks_of(chosen, streets), out / "study.jsonl", workers=workers, scheduler=scheduler)
    except StudyError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from error
    told = figures(found)
    paths = write_study(told, out)
    if as_json:
        typer.echo(json.dumps(study_object(told), indent=1))
        return
    print_figures(told, Console(width=_WIDTH, highlight=False))
    typer.echo(f"written to {out}: study.jsonl, {', '.join(path.name for path in paths)}")


def write_study(told: list[NatureFigures], folder: Path) -> tuple[Path, ...]:
    """Write the figures of a study into a folder; gives the paths."""
    as_json, as_pdf = folder / "study.json", folder / "study.pdf"
    as_json.write_text(json.dumps(study_object(told), indent=1) + "\n", encoding="utf-8")
    as_pdf.write_bytes(study_sheet(told))
    return as_json, as_pdf


def _run(tasks: list[Task], kept: Path, *, workers: int, scheduler: str) -> list[Outcome]:
    """Outcomes, with a bar on standard error where somebody watches."""
    columns = (TextColumn("streets"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), disable=not sys.stderr.isatty()) as bar:
        shown = bar.add_task("streets", total=len(tasks))
        return run_study(
            tasks, kept, workers=workers, scheduler=scheduler,
            progress=lambda done: bar.update(shown, completed=done),
        )  # fmt: skip
