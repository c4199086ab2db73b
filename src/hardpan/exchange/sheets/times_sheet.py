"""The times sheet: a day's runs over time and distance, and the timetable of machines and clocks below, one page a day."""

from __future__ import annotations

from typing import Any

from hardpan.exchange.drawing.time_distance import draw_time_distance
from hardpan.exchange.figures_in_words import clock, hours
from hardpan.exchange.sheets.pdf import Paper, make_pdf
from hardpan.exchange.sheets.phrases import NO_LIMIT, blocks_of, date_parts, day_words, days, fitted
from hardpan.exchange.sheets.sheet_0600 import WORKS
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.shift import Clock

BLOCKS_ACROSS = 6
TABLES_A_PAGE = 1  # below the drawing
TABLES_A_LATER_PAGE = 3
CLOCK_WIDTH = 42.0  # mm
HEAD_AND_FOOT = 260.0  # units of the drawing beside the hours themselves
TALLEST: dict[Paper, float] = {"a4": 740.0, "us-letter": 620.0}  # units of the drawing down for the hours of a day


def times_sheet(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the times sheet.

    Parameters
    ----------
    plan
        The plan it is taken from.
    paper
        ``a4`` or ``us-letter``.
    """
    return make_pdf("times_sheet", shown_times(plan, paper=paper), plan, paper=paper)


def shown_times(plan: Plan, *, paper: Paper = "a4") -> dict[str, Any]:
    """What the sheet shows."""
    return {
        "title": f"{plan.street.name}: times sheet",
        "about": "Every run of every machine over station and time, the timetable, and the clocks with their limits",
        "name": plan.street.name,
        "date": date_parts(plan),
        "pages": [page for day in days(plan) for page in _pages(plan, day, TALLEST[paper])],
    }


def _pages(plan: Plan, day: int, tallest: float) -> list[dict[str, Any]]:
    """Pages of one day: the drawing with its timetable, and further timetables of a day with many blocks."""
    blocks, shift = blocks_of(plan, day), plan.street.file.shift
    groups = [blocks[i : i + BLOCKS_ACROSS] for i in range(0, len(blocks), BLOCKS_ACROSS)]
    tables = [_table(plan, group) for group in groups]
    drawn = draw_time_distance(plan, day, tallest=tallest)
    below = (
        TABLES_A_PAGE if drawn.height <= tallest + HEAD_AND_FOOT else 0
    )  # a day longer than a day has its drawing alone
    first = {
        "drawing": drawn.svg, "drawing_words": drawn.words, "tables": tables[:below], "notes": _notes(plan, blocks) if below else [],
    }  # fmt: skip
    rest = tables[below:]
    later = [rest[i : i + TABLES_A_LATER_PAGE] for i in range(0, len(rest), TABLES_A_LATER_PAGE)]
    pages = [first, *({"drawing": "", "drawing_words": "", "tables": each, "notes": []} for each in later)]
    show = plan.street.stationing.show
    under = f"{day_words(plan, day)} \u00b7 shift {shift.start:%H:%M} to {shift.end:%H:%M}"
    stretch = f"{show(blocks[0].start_m)} to {show(blocks[-1].end_m)}"
    for i, page in enumerate(pages):
        page["under"] = under
        page["right"] = [stretch, f"{_counted(blocks)}{f', sheet {i + 1} of {len(pages)}' if later else ''}"]
    return pages


def _counted(blocks: list[Block]) -> str:
    """``blocks 1 to 3``."""
    if len(blocks) == 1:
        return f"block {blocks[0].number}"
    return f"blocks {blocks[0].number} to {blocks[-1].number}"


def _table(plan: Plan, blocks: list[Block]) -> dict[str, Any]:
    """Start and end of every machine and every clock, a column a block."""
    show = plan.street.stationing.show
    return {
        "heads": [[f"block {block.number}", f"{show(block.start_m)} to {show(block.end_m)}"] for block in blocks],
        "runs": [{"work": words, "times": cells} for words, cells in _runs(plan, blocks) if any(cells)],
        "clocks": _clocks(plan, blocks),
        "latest": _latest(plan, blocks),
    }


def _runs(plan: Plan, blocks: list[Block]) -> list[tuple[str, list[str]]]:
    """Every machine's work with its times in every block."""
    runs = {(run.block, run.machine, run.work): run for run in plan.shift.runs}
    rows = []
    for (machine, work), words in WORKS.items():
        found = [runs.get((block.number, machine, work)) for block in blocks]
        cells = [f"{clock(run.start.value)} \u2013 {clock(run.end.value)}" if run else "" for run in found]
        rows.append((words if machine != "mixer" else f"mixer, {words}", cells))
    return rows


def _clocks(plan: Plan, blocks: list[Block]) -> list[dict[str, Any]]:
    """Every clock: from what to what, how long in every block, by when its limit is reached, and whose limit it is."""
    kinds = list(dict.fromkeys((each.starts_with, each.stops_with) for each in plan.shift.clocks))
    rows = []
    for kind in kinds:
        mine = {each.block: each for each in plan.shift.clocks if (each.starts_with, each.stops_with) == kind}
        limit = mine[blocks[0].number]
        rows.append(
            {
                "clock": " to ".join(kind),
                "limit": _limit(limit),
                "cells": [_cell(mine[block.number]) for block in blocks],
            }
        )
    return rows


def _limit(each: Clock) -> str:
    """Limit of a clock with its owner and source."""
    if each.limit is None:
        return NO_LIMIT
    words = f"{hours(each.limit.value)}, {each.owner or 'owner not said'}, {each.source or 'source not said'}"
    return fitted(words, CLOCK_WIDTH, 8.5, lines=2)


def _cell(each: Clock) -> dict[str, Any]:
    """Elapsed time, when the limit is reached, whether the plan passes it."""
    if each.limit is None:
        return {"elapsed": hours(each.elapsed.value), "by": "", "over": False}
    by = f"by {clock(each.start.value + each.limit.value)}"
    return {"elapsed": hours(each.elapsed.value), "by": by, "over": each.elapsed.value > each.limit.value + 1e-6}


def _latest(plan: Plan, blocks: list[Block]) -> list[str]:
    """Latest first mix of every block; never where it takes more than the day."""
    starts = {each.block: each for each in plan.shift.latest_starts}
    latest = [starts[block.number].latest.value for block in blocks]
    return [clock(minute) if minute >= 0 else "never" for minute in latest]


def _notes(plan: Plan, blocks: list[Block]) -> list[str]:
    """What closes the day, what sets the pace, and what the lines mean."""
    shift = plan.shift
    before = next(each.before for each in shift.latest_starts if each.block == blocks[-1].number)
    return [
        f"Latest first mix: so late only that this block and every later one still close before {before}.",
        f"The {shift.bottleneck} sets the pace: {hours(shift.bottleneck_minutes.value)} of work over all blocks.",
        "As planned; the stamps of the day replace it. Rollers and grader run more often than is drawn.",
    ]
