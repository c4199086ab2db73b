"""What the marks of the map of what happened mean."""

from __future__ import annotations

from hardpan.exchange.drawing import happened_marks, marks
from hardpan.exchange.drawing.ground_legend import Entry, edge_entry, legend_alone
from hardpan.exchange.drawing.ink import CLAY, TINT, Sheet, hatch_spacing
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_frame import Drawn


def happened_legend() -> Drawn:
    """Legend of the map of what happened, as a drawing of its own."""
    return legend_alone(_entries(), "Legend of the map of what happened")


def _entries() -> list[Entry]:
    """Every mark with its name."""
    return [
        Entry(_hatch, "rate as set", "more kg, closer lines; white: none"),
        edge_entry(),
        Entry(lambda sheet, box: happened_marks.rate_changed(sheet, _middle(box), box.top, box.bottom), "rate changed", "where the operator tapped it"),
        Entry(lambda sheet, box: happened_marks.ran_out(sheet, box.left + 11, _height(box), restart_told=False), "ran out", "broken box: no tray is recorded"),
        Entry(lambda sheet, box: happened_marks.tray_box(sheet, _middle(box), _height(box), weighed=True), "tray", "kg/m\u00b2 that it caught"),
        Entry(lambda sheet, box: happened_marks.density(sheet, _middle(box), _height(box)), "density", "% of its reference"),
        Entry(lambda sheet, box: happened_marks.failed(sheet, Box(box.left + 3, box.top, box.right - 3, box.bottom)), "outside its limit", "under the axle, or in a test"),
        Entry(lambda sheet, box: happened_marks.water_off(sheet, Box(box.left, box.top + 2, box.right, box.bottom - 2)), "water OFF", "wet pass with the bar shut"),
        Entry(lambda sheet, box: happened_marks.truck_empty(sheet, _middle(box), _height(box)), "truck empty", "where it ran dry"),
        Entry(lambda sheet, box: happened_marks.not_checked(sheet, _middle(box), _height(box)), "not checked", "somebody said so"),
        Entry(lambda sheet, box: marks.manhole(sheet, _middle(box), _height(box)), "manhole, valve", "letter in rings"),
    ]  # fmt: skip


def _hatch(sheet: Sheet, box: Box) -> None:
    """A rate of 24."""
    sheet.fill(box, TINT)
    sheet.hatch(box, CLAY, hatch_spacing(24))


def _middle(box: Box) -> float:
    """Middle across."""
    return (box.left + box.right) / 2


def _height(box: Box) -> float:
    """Middle down."""
    return (box.top + box.bottom) / 2
