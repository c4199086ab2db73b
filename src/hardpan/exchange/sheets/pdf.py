"""From a template and what it shows to a PDF that stands alone: archivable, tagged, the raw plan inside."""

from __future__ import annotations

import datetime as dt
import json
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any, Literal

import typst

from hardpan.exchange.drawing.lettering import font_folder
from hardpan.exchange.json_plan import plan_json
from hardpan.plan import CAUTION, Plan

Paper = Literal["a4", "us-letter"]
STANDARDS: list[Literal["a-3a", "ua-1"]] = ["a-3a", "ua-1"]
NO_DATE = dt.date(
    2000, 1, 1
)  # PDF/A wants a document date; a street without one gets this, so that the same input gives the same bytes


def make_pdf(template: str, shown: dict[str, Any], plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of one sheet.

    Parameters
    ----------
    template
        Name of a file in ``templates`` without its ending.
    shown
        What the template shows, plain lists and dictionaries.
    plan
        The plan it was taken from; attached as ``plan.json``.
    paper
        ``a4`` or ``us-letter``.
    """
    with as_file(files("hardpan.exchange.sheets").joinpath("templates")) as folder:
        pdf: bytes = typst.compile(
            str(Path(folder) / f"{template}.typ"),
            root=str(folder),
            font_paths=[str(font_folder())],
            ignore_system_fonts=True,
            pdf_standards=[*STANDARDS],
            timestamp=_timestamp(plan),
            sys_inputs={
                "shown": json.dumps({"paper": paper, "caution": CAUTION, **shown}, ensure_ascii=False),
                "plan": plan_json(plan),
            },
        )
    return pdf


def _timestamp(plan: Plan) -> int:
    """Seconds since 1970 of the document's date: the street's day."""
    date = plan.street.file.shift.date or NO_DATE
    return int(dt.datetime.combine(date, dt.time(), dt.UTC).timestamp())
