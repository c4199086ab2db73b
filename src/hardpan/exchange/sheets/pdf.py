"""From a template and what it shows to a PDF that stands alone: archivable, tagged, the raw plan inside."""

from __future__ import annotations

import datetime as dt
import json
import re
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any, Literal

import typst

from hardpan.exchange.drawing.lettering import font_folder
from hardpan.exchange.json_plan import plan_json
from hardpan.plan import CAUTION, Plan

Paper = Literal["a4", "us-letter"]
STANDARDS: list[Literal["a-3a", "ua-1"]] = ["a-3a", "ua-1"]
LONGEST_ALT = 8_000  # letters; PDF/A allows 32,767 bytes in one string
STAND_IN = "\u25a1"
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
    written = json.dumps({"paper": paper, "caution": CAUTION, **shown}, ensure_ascii=False)
    with as_file(files("hardpan.exchange.sheets").joinpath("templates")) as folder:
        while True:
            try:
                return _compile(Path(folder), template, written, plan)
            except typst.TypstError as error:
                lacking = _lacking(str(error), written)
                if not lacking:
                    raise
                written = _stand_in(written, lacking)


def alt_text(words: str) -> str:
    """Words of a drawing for whoever cannot see it, cut after a sentence where a PDF cannot hold more; the attached plan holds the rest."""
    if len(words) <= LONGEST_ALT:
        return words
    return f"{words[: words.rfind('. ', 0, LONGEST_ALT)]}. The attached plan holds the rest."


def _compile(folder: Path, template: str, written: str, plan: Plan) -> bytes:
    """One run of the typesetter."""
    pdf: bytes = typst.compile(
        str(folder / f"{template}.typ"),
        root=str(folder),
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
        pdf_standards=[*STANDARDS],
        timestamp=_timestamp(plan),
        sys_inputs={"shown": written, "plan": plan_json(plan)},
    )
    return pdf


def _lacking(message: str, written: str) -> set[str]:
    """Letters of what is shown that the typesetter says it has no glyph for; archivable files must not hold them."""
    named = re.findall(r'the text [`"]+(.+?)[`"]+ could not be displayed', message)
    return {letter for text in named for letter in text if letter in written and letter != STAND_IN}


def _stand_in(written: str, lacking: set[str]) -> str:
    """What is shown, with a square for each letter that no face holds; the attached plan keeps them as they were entered."""
    return written.translate({ord(letter): STAND_IN for letter in lacking})


def _timestamp(plan: Plan) -> int:
    """Seconds since 1970 of the document's date: the street's day."""
    date = plan.street.file.shift.date or NO_DATE
    return int(dt.datetime.combine(date, dt.time(), dt.UTC).timestamp())
