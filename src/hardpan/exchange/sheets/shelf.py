"""Every sheet by the name that the command line and the site ask for it with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from hardpan.exchange.drawing.ground_map import draw_ground_map
from hardpan.exchange.drawing.strip_map import draw_strip_map
from hardpan.exchange.sheets.blank_forms import blank_forms
from hardpan.exchange.sheets.cut_sheet import cut_sheet
from hardpan.exchange.sheets.decision_card import decision_card
from hardpan.exchange.sheets.ground_sheet import ground_sheet
from hardpan.exchange.sheets.order_sheet import order_sheet
from hardpan.exchange.sheets.pdf import Paper
from hardpan.exchange.sheets.rate_card import rate_card
from hardpan.exchange.sheets.sheet_0600 import sheet_0600
from hardpan.exchange.sheets.times_sheet import times_sheet
from hardpan.exchange.stake_units import Mode, Unit
from hardpan.plan import Plan


@dataclass(frozen=True, slots=True)
class Wishes:
    """What may be asked of a sheet; only the cut sheet heeds the stake's wishes. Heights in metres."""

    paper: Paper = "a4"
    unit: Unit | None = None
    down_from: Mode | None = None
    instrument_height: float | None = None
    string_height: float = 0.0


def _cut(plan: Plan, wishes: Wishes) -> bytes:
    """The cut sheet, with the stake's wishes."""
    return cut_sheet(
        plan, unit=wishes.unit, from_=wishes.down_from, instrument_height=wishes.instrument_height,
        string_height=wishes.string_height, paper=wishes.paper,
    )  # fmt: skip


def _map(plan: Plan, _: Wishes) -> bytes:
    """The strip map of the whole street, alone."""
    return draw_strip_map(plan).svg.encode("utf-8")


def _ground_map(plan: Plan, _: Wishes) -> bytes:
    """The same map with the ground in place of the rates."""
    return draw_ground_map(plan).svg.encode("utf-8")


SHEETS: dict[str, tuple[str, Callable[[Plan, Wishes], bytes]]] = {
    "0600": ("sheet-0600.pdf", lambda plan, wishes: sheet_0600(plan, paper=wishes.paper)),
    "cut": ("cut-sheet.pdf", _cut),
    "order": ("order-sheet.pdf", lambda plan, wishes: order_sheet(plan, paper=wishes.paper)),
    "rates": ("rate-cards.pdf", lambda plan, wishes: rate_card(plan, paper=wishes.paper)),
    "decisions": ("decisions.pdf", lambda plan, wishes: decision_card(plan, paper=wishes.paper)),
    "times": ("times.pdf", lambda plan, wishes: times_sheet(plan, paper=wishes.paper)),
    "forms": ("blank-forms.pdf", lambda plan, wishes: blank_forms(plan, paper=wishes.paper)),
    "ground": ("ground-sheet.pdf", lambda plan, wishes: ground_sheet(plan, paper=wishes.paper)),
    "map": ("strip-map.svg", _map),
    "ground-map": ("ground-map.svg", _ground_map),
}


def write_sheets(plan: Plan, names: tuple[str, ...], folder: Path, wishes: Wishes) -> tuple[Path, ...]:
    """Write sheets into a folder, all made before the first is written; gives their paths."""
    made = [(folder / SHEETS[name][0], SHEETS[name][1](plan, wishes)) for name in names]
    folder.mkdir(parents=True, exist_ok=True)
    for path, content in made:
        path.write_bytes(content)
    return tuple(path for path, _ in made)
