"""The street's tape with the stretches of one zone framed."""

from __future__ import annotations

from collections.abc import Iterable

from hardpan.exchange.drawing.ink import CLAY
from hardpan.exchange.drawing.odds_marks import LabelledSheet
from hardpan.exchange.drawing.street_frame import TAPE, Drawn, StreetRow
from hardpan.exchange.drawing.street_rows import Span
from hardpan.exchange.sheets.phrases import stretches
from hardpan.plan import Plan

EDGE, NARROWEST = 6.0, 7.0  # room for the frame; the narrowest one that is seen


def joined(found: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches in order of station, those that meet or overlap as one."""
    whole: list[tuple[float, float]] = []
    for start, end in sorted(found):
        if whole and start <= whole[-1][1] + 1e-6:
            whole[-1] = (whole[-1][0], max(end, whole[-1][1]))
        else:
            whole.append((start, end))
    return whole


def draw_zone_tape(plan: Plan, index: int) -> Drawn:
    """Tape of the whole street, a zone's stretches in frames.

    Parameters
    ----------
    plan
        The plan.
    index
        Of the zone.
    """
    street, found = plan.street, stretches(plan.zones[index].pieces)
    words = "; ".join(street.place(*stretch, strips) for stretch, strips in found.items())
    sheet = LabelledSheet(f"Tape of {street.name}", f"Tape of {street.name}, framed: {words}.")
    span = Span(street.stationing.first, street.stationing.last)
    row = StreetRow(plan=plan, sheet=sheet, span=span, top=0.0)
    row.tape(EDGE)
    for start, end in joined(found):
        left, right = row.x(start), row.x(end)
        spare = max(NARROWEST - (right - left), 0.0) / 2
        for y in (EDGE - 3, EDGE + TAPE + 3):  # no uprights: they would cross the stations
            sheet.line(left - spare, y, right + spare, y, weight=6.0, colour=CLAY)
    height = TAPE + 2 * EDGE
    return Drawn(
        sheet.text(height), sheet.width, height, tuple(sheet.labels), f"Tape of {street.name}, framed: {words}."
    )
