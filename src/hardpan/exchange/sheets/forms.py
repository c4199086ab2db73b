"""A form as rows of printed words and empty boxes, and how forms are dealt onto pages without a row lost or cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

ROW, TITLE, NOTE_LINE = 11.6, 13.4, 4.2  # mm: a row of boxes, a form's title with its heads, a line of its note


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a form: its head, how wide, whether the plan prints in it; ``ticks`` are small boxes to cross."""

    head: str
    width: float
    printed: bool = False
    ticks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Form:
    """One form: title in the phone's words, a note line by line, its columns, and a row of printed words a line (bold first, then plain)."""

    title: str
    note: tuple[str, ...]
    columns: tuple[Column, ...]
    rows: tuple[tuple[tuple[str, str], ...], ...]


def form(
    title: str, note: str | tuple[str, ...], columns: tuple[Column, ...], *, rows: Sequence[tuple[tuple[str, str], ...]]
) -> Form:
    """Form with a note of no line, one, or several."""
    lines = (note,) if isinstance(note, str) else note
    return Form(title, tuple(line for line in lines if line), columns, tuple(rows))


def deal(forms: Sequence[Form], room: float, *, first: float) -> list[list[Form]]:
    """Forms on pages in their order, the first page with less room; a form that does not fit goes on with its head on the next page, never one row alone."""
    pages: list[list[Form]] = [[]]
    left = first
    for each in forms:
        head, rows = form_head(each), list(each.rows)
        while rows:
            fit = int((left - head) // ROW)
            fit -= 1 if len(rows) - fit == 1 else 0
            if fit < min(2, len(rows)):
                pages.append([])
                left = room
                continue
            part, rows = rows[:fit], rows[fit:]
            title = each.title if len(rows) + len(part) == len(each.rows) else f"{each.title}, continued"
            pages[-1].append(replace(each, title=title, rows=tuple(part)))
            left -= head + ROW * len(part)
    return pages


def form_head(each: Form) -> float:
    """Height of a form's title, note and heads [mm]."""
    return TITLE + NOTE_LINE * len(each.note)
