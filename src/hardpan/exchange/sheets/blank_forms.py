"""Blank forms for the day the phone drowns: the phone's words in the order of the treatment day, with the boxes of this street.

What the plan knows is printed (places, strips, rates, limits); what is measured or seen is an empty box, never filled in beforehand.
"""

from __future__ import annotations

from typing import Any

from hardpan.exchange.sheets.day_forms import day_forms
from hardpan.exchange.sheets.forms import ROW, Form, deal
from hardpan.exchange.sheets.pdf import Paper, make_pdf
from hardpan.exchange.sheets.phrases import (
    blocks_of,
    date_parts,
    day_words,
    days,
    fitted,
)
from hardpan.exchange.sheets.sheet_0600 import STOP
from hardpan.plan import Plan

STOP_ROOM = 11.0  # mm for the stop rules on a day's first page
ROOM: dict[Paper, float] = {"a4": 257.0, "us-letter": 239.0}  # mm of a page for forms
WIDTH = 190.0  # mm across
PRINTED = 8.5  # points of what is printed in a row


def blank_forms(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the blank forms.

    Parameters
    ----------
    plan
        The plan they are taken from.
    paper
        ``a4`` or ``us-letter``.
    """
    return make_pdf("blank_forms", shown_forms(plan, paper=paper), plan, paper=paper)


def shown_forms(plan: Plan, *, paper: Paper = "a4") -> dict[str, Any]:
    """What the forms show."""
    return {
        "title": f"{plan.street.name}: blank forms",
        "about": "Forms to write on when the phone is out: the day's words in the day's order, boxes by block and strip",
        "name": plan.street.name,
        "date": date_parts(plan),
        "row": ROW,
        "pages": [page for day in days(plan) for page in _pages(plan, day, ROOM[paper])],
    }


def _pages(plan: Plan, day: int, room: float) -> list[dict[str, Any]]:
    """Pages of one day."""
    dealt = deal(day_forms(plan, day), room, first=room - STOP_ROOM)
    show, blocks = plan.street.stationing.show, blocks_of(plan, day)
    right = [
        f"{show(blocks[0].start_m)} to {show(blocks[-1].end_m)}",
        "times 24 h; strip 1 is left, looking up-station",
    ]
    return [
        {
            "under": f"{day_words(plan, day)} \u00b7 form sheet {i + 1} of {len(dealt)}",
            "right": right,
            "stop": STOP if i == 0 else "",
            "forms": [_shown(form) for form in forms],
        }
        for i, forms in enumerate(dealt)
    ]


def _shown(form: Form) -> dict[str, Any]:
    """A form as the template takes it; printed words cut to their room."""
    total = sum(column.width for column in form.columns)
    widths = [column.width / total * WIDTH for column in form.columns]
    columns = [
        {"head": column.head, "width": width, "printed": column.printed, "ticks": list(column.ticks)}
        for column, width in zip(form.columns, widths, strict=True)
    ]
    printed = [width for column, width in zip(form.columns, widths, strict=True) if column.printed]
    rows = [
        [
            [fitted(strong, width - 2, PRINTED, weight=700), fitted(plain, width - 2, PRINTED, lines=1)]
            for (strong, plain), width in zip(row, printed, strict=True)
        ]
        for row in form.rows
    ]
    return {
        "title": form.title,
        "note": [fitted(line, WIDTH, PRINTED) for line in form.note],
        "columns": columns,
        "rows": rows,
    }
