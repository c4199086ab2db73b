"""The study as one A4 a nature: reliability drawn and in figures, what each rule did, what a simulator cannot show."""

from __future__ import annotations

import datetime as dt
import json
from importlib.resources import as_file, files
from typing import Any, Literal

import typst

from hardpan.exchange.drawing.lettering import font_folder
from hardpan.exchange.sheets.pdf import NO_DATE, STANDARDS
from hardpan.plan import CAUTION
from hardpan.study.natures import NATURES
from hardpan.study.report import LIMITS_OF_A_SIMULATOR, Band, NatureFigures, saved_words, study_object, verdict
from hardpan.study.scoring import SURE, Group, Reliability
from hardpan.study.simulated import LIVES

What = Literal["worst place", "whole zone"]


def study_sheet(found: list[NatureFigures]) -> bytes:
    """PDF of a study; its figures are attached as ``study.json``. The same figures give the same bytes."""
    shown = {
        "natures": [_shown(one) for one in found],
        "limits": LIMITS_OF_A_SIMULATOR,
        "caution": CAUTION,
        "sure": f"{SURE:.0%}",
    }
    with as_file(files("hardpan.exchange.sheets").joinpath("templates")) as folder:
        pdf: bytes = typst.compile(
            str(folder / "study.typ"),
            root=str(folder),
            font_paths=[str(font_folder())],
            ignore_system_fonts=True,
            pdf_standards=[*STANDARDS],
            timestamp=int(dt.datetime.combine(NO_DATE, dt.time(), dt.UTC).timestamp()),
            sys_inputs={"shown": json.dumps(shown), "study": json.dumps(study_object(found), indent=1)},
        )
    return pdf


def _shown(one: NatureFigures) -> dict[str, Any]:
    """One page."""
    return {
        "told": NATURES[one.nature].told,
        "under": f"{one.streets} streets, each ground treated {LIVES} times; {one.worst.whole.zones} zones of proposed rates; {one.dug_out_zones} dug out and not scored",
        "odds": [
            _odds("worst place", "odds at the worst place", one.worst),
            _odds("whole zone", "odds that all of the zone passes at once", one.whole),
        ],
        "rules": [
            [rule, *(_figure(band) for band in (each.cement_kg_m2, each.cement_usd_m2, each.dug_out_usd_m2, each.failed_usd_m2, each.cost_usd_m2)),
             _figure(each.failed, 100), _figure(each.dug_out, 100)]
            for rule, each in one.rules.items()
        ],
        "saved": [f"{saved_words(rule, band)}." for rule, band in one.saved_usd_m2.items()],
    }  # fmt: skip


def _odds(what: What, title: str, odds: Reliability) -> dict[str, Any]:
    """Points, rows and the line under them."""
    named = [("all", odds.whole), *((str(number), each) for number, each in enumerate(odds.groups, 1))]
    return {
        "what": what,
        "title": title,
        "points": [
            {"stated": each.stated, "passed": each.passed, "low": each.passed + each.gap_low - each.gap, "high": each.passed + each.gap_high - each.gap}
            for each in odds.groups
        ],
        "rows": [_row(name, each) for name, each in named],
        "verdict": verdict(odds),
        "alt": f"{title}: " + "; ".join(f"stated {each.stated:.2f}, passed {each.passed:.2f}" for each in odds.groups),
    }  # fmt: skip


def _row(name: str, each: Group) -> list[str]:
    """One row of figures."""
    gap = f"{each.gap_low:+.3f} to {each.gap_high:+.3f}"
    mark = "inside" if each.inside else "OUT"
    return [name, f"{each.zones}", f"{each.stated:.3f}", f"{each.passed:.3f}", f"{each.gap:+.3f}", gap, mark]


def _figure(band: Band, scale: float = 1.0) -> list[str]:
    """Value, and its band under it."""
    value, low, high = (scale * one for one in band)
    return [f"{value:.2f}", f"{low:.2f} to {high:.2f}"]
