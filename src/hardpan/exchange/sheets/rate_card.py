"""The rate instruction card: who fixed which rate and depth for which place, what it replaced, and our own sum beside it, one page a group of zones.

Zones that were said alike (rate, depth, how low, water, by whom, when, where) share a page. Every instruction appears: those in force, and on the
page of what replaced them those that are not.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from hardpan.exchange.figures_in_words import about, number
from hardpan.exchange.sheets.pdf import Paper, make_pdf
from hardpan.exchange.sheets.phrases import (
    NOT_SAID,
    date_parts,
    depth_words,
    fitted,
    low_words,
    planned_depth,
    setting_words,
    stretches,
    strips_words,
    when_said,
)
from hardpan.plan import Plan
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.instructions import Piece
from hardpan.plan.zones import Zone
from hardpan.street import Figure
from hardpan.street.street import Instruction

# lines of places and of older instructions that the first page of a group and further pages hold
PLACES_FIRST, PLACES_LATER, OLDER_FIRST, OLDER_LATER = 5, 36, 3, 16
LEAST = 1e-6  # metres: shorter overlaps are none
WIDE = 186.0  # mm
LITRES = "L/m\u00b2"
STATES = {"original": "of original ground", "loose": "of loose ground", "rolled": "of rolled ground"}


def rate_card(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the rate instruction card.

    Parameters
    ----------
    plan
        The plan it is taken from.
    paper
        ``a4`` or ``us-letter``.
    """
    return make_pdf("rate_card", shown_rates(plan, shorter=paper != "a4"), plan, paper=paper)


def shown_rates(plan: Plan, *, shorter: bool = False) -> dict[str, Any]:
    """What the card shows; ``shorter`` on paper less high than A4."""
    groups = zone_groups(plan)
    return {
        "title": f"{plan.street.name}: rate instruction card",
        "about": "Rates and depths as instructed, who said and heard them, and what they replaced",
        "name": plan.street.name,
        "date": date_parts(plan),
        "pages": [page for i, group in enumerate(groups) for page in _pages(plan, group, i, len(groups), less=1 if shorter else 0)],
    }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Group:
    """Zones that were said alike, with their balances."""

    zones: tuple[tuple[Zone, ZoneBalance], ...]

    @property
    def first(self) -> tuple[Zone, ZoneBalance]:
        """The zone that speaks for them."""
        return self.zones[0]

    @property
    def names(self) -> str:
        """Their names: ``A and B``."""
        names = list(dict.fromkeys(zone.name for zone, _ in self.zones))
        return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def zone_groups(plan: Plan) -> list[Group]:
    """Groups of zones, the heaviest rate first."""
    found: dict[object, list[tuple[Zone, ZoneBalance]]] = {}
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        found.setdefault(_said(zone.instruction), []).append((zone, balance))
    groups = [Group(tuple(zones)) for zones in found.values()]
    return sorted(groups, key=lambda group: -group.first[0].rate.value)


def _said(one: Instruction) -> tuple[object, ...]:
    """Everything that was said but the place."""
    figures = (one.rate, one.depth, one.low, one.water if isinstance(one.water, Figure) else None)
    values = tuple(figure.value if figure else None for figure in figures)
    return (*values, str(one.water) if isinstance(one.water, str) else "", one.depth_state, one.soil, one.said_by, one.heard_by, one.said_at, one.where, one.note)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Replaced:
    """An older instruction and the stretch of it that a later one took over."""

    older: Instruction
    later: Instruction
    start: float
    end: float
    strips: tuple[int, ...]


def replaced_by(plan: Plan, group: Group) -> list[Replaced]:
    """Older instructions, stretch by stretch, whose ground is the group's now.

    An instruction for ``elsewhere`` gives way to every other by itself: it counts as replaced only by a later one for elsewhere, or where nothing is left of it.
    """
    instructions = plan.street.instructions
    in_force = {piece.instruction for piece in plan.treatment.pieces}
    mine = {instructions.index(zone.instruction) for zone, _ in group.zones}
    found: list[Replaced] = []
    for index, older in enumerate(instructions):
        for now in sorted(mine - {index}):
            later = instructions[now]
            if older.elsewhere and not later.elsewhere and index in in_force:
                continue
            taken = [_overlap(piece, older) for piece in plan.treatment.pieces if piece.instruction == now]
            for (start, end), strips in stretches(piece for piece in taken if piece.length_m > LEAST).items():
                found.append(Replaced(older, later, start, end, strips))
    return found


def _overlap(piece: Piece, older: Instruction) -> Piece:
    """The part of a piece that an older instruction spoke of; of no length where there is none."""
    if piece.strip not in older.strips:
        return Piece(piece.strip, 0.0, 0.0, piece.instruction)
    return Piece(piece.strip, max(piece.start_m, older.start), min(piece.end_m, older.end), piece.instruction)


def _pages(plan: Plan, group: Group, index: int, count: int, *, less: int) -> list[dict[str, Any]]:
    """Pages of one group: the card, and what it does not hold of places and older instructions."""
    places, older = _places(plan, group), [_older(plan, one) for one in replaced_by(plan, group)]
    place_pages = _dealt(places, PLACES_FIRST - 2 * less, PLACES_LATER - 4 * less)
    older_pages = _dealt(older, OLDER_FIRST - less, OLDER_LATER - 2 * less)
    pages = [_card(plan, group, place_pages[0], older_pages[0])]
    pages += [{"places": rows, "older": []} for rows in place_pages[1:]]
    pages += [{"places": [], "older": rows} for rows in older_pages[1:]]
    noun = "zones" if len(group.zones) > 1 else "zone"
    for i, page in enumerate(pages):
        continued = f", sheet {i + 1} of {len(pages)}" if len(pages) > 1 else ""
        page["under"] = f"{fitted(f'{noun} {group.names}', 70, 9.5)} \u00b7 card {index + 1} of {count}{continued}"
        page["right"] = ["the instruction is the plan", "our sum stands beside it"]
    return pages


def _dealt(rows: list[Any], first: int, later: int) -> list[list[Any]]:
    """Rows of the first page and of further ones; the first is there even without rows."""
    edges = [0, min(first, len(rows)), *range(first + later, len(rows) + later, later)]
    return [rows[a:b] for a, b in pairwise(edges)]


def _places(plan: Plan, group: Group) -> list[list[str]]:
    """Every stretch of a group: stations, landmarks, strips."""
    show, words = plan.street.stationing.show, plan.street.stationing.words
    rows = []
    for zone, _ in group.zones:
        for (start, end), strips in stretches(zone.pieces).items():
            seen = f"{words(start)} to {words(end)}" if plan.street.stationing.landmarks else ""
            name = fitted(zone.name, 28, 10, weight=600)
            rows.append([name, f"{show(start)} to {show(end)}", fitted(seen, 66, 10), strips_words(plan, strips)])
    return rows


def _card(plan: Plan, group: Group, places: list[list[str]], older: list[dict[str, str]]) -> dict[str, Any]:
    """The card itself."""
    zone, balance = group.first
    said = zone.instruction
    area = sum(one.area.value for one, _ in group.zones)
    cement = sum(one.cement.value for one, _ in group.zones)
    replaced = [one.row for one in dict.fromkeys(each.older for each in replaced_by(plan, group))]
    return {
        "rate": f"{zone.rate.value:.3g}",
        "rate_basis": zone.rate.basis.value,
        "area": f"{number(area)} m\u00b2, {number(cement)} kg planned",
        "depth": _depth(zone),
        "low": _low(zone, balance),
        "water": _water(zone, balance),
        "ours": _ours(group),
        "places": places,
        "said": _who(said),
        "note": fitted(said.note, WIDE - 30, 10, lines=2),
        "revision": _revision(replaced),
        "older": older,
        "now": f"{zone.rate.value:.3g} kg/m\u00b2",
    }


def _who(said: Instruction) -> list[list[str]]:
    """Who said, who heard, when, where."""
    rows = [("said by", said.said_by), ("heard by", said.heard_by), ("when", when_said(said)), ("where", said.where)]
    return [[head, fitted(words or NOT_SAID, 72, 13, weight=600, lines=2)] for head, words in rows]


def _revision(rows: list[int]) -> str:
    """Which rows of the folder's table it replaces."""
    if not rows:
        return "replaces nothing: the first instruction for this place"
    return f"replaces {'rows' if len(rows) > 1 else 'row'} {', '.join(map(str, sorted(rows)))} of instructions.csv, here or in part"


def _depth(zone: Zone) -> dict[str, str]:
    """Depth as said, or that it was not said and what the plan works with meanwhile."""
    if zone.instruction.depth is None:
        return {"value": "not said: ask", "unit": "", "note": f"planned with {planned_depth(zone)}", "basis": "default"}
    value = number(zone.instruction.depth.value * 1000)
    if zone.instruction.depth_state is None:
        return {"value": value, "unit": "mm", "note": "state not said: ask; planned as of original", "basis": "default"}
    return {"value": value, "unit": "mm", "note": STATES[zone.instruction.depth_state], "basis": zone.depth.basis.value}  # fmt: skip


def _low(zone: Zone, balance: ZoneBalance) -> dict[str, str]:
    """How low as said, or that it was not said and that our sum makes the level."""
    if zone.instruction.low is None:
        return {"value": "not said: ask", "unit": "", "note": f"planned with {about(balance.low)}{low_words(balance.low.value)}, our sum", "basis": balance.low.basis.value}  # fmt: skip
    words = low_words(balance.low.value).split(" ", 1)
    return {"value": words[0], "unit": words[1], "note": "as said", "basis": balance.low.basis.value}


def _water(zone: Zone, balance: ZoneBalance) -> dict[str, str]:
    """Water setting and its litres."""
    litres = f"{about(balance.water)}{number(balance.water.value, 1)} L/m\u00b2"
    if zone.instruction.water is None:
        return {"value": "not said: ask", "unit": "", "note": f"planned: {setting_words(balance.water_setting)}, {litres}", "basis": balance.water.basis.value}  # fmt: skip
    if balance.water_setting == "stated":
        return {"value": number(balance.water.value, 1), "unit": "L/m\u00b2", "note": "as said", "basis": balance.water.basis.value}  # fmt: skip
    said = zone.instruction.water
    heard = "" if said == balance.water_setting else f"said: {said}; "
    return {"value": setting_words(balance.water_setting), "unit": "", "note": heard + litres, "basis": balance.water.basis.value}  # fmt: skip


def _ours(group: Group) -> list[str]:
    """Our own sums, a line each; zones with the same sums together."""
    found: dict[str, list[str]] = {}
    for zone, balance in group.zones:
        found.setdefault(_sums(balance), []).append(zone.name)
    if len(found) == 1:
        return list(found)
    return [f"{fitted(', '.join(names), 40, 10)}: {what}" for what, names in found.items()]


def _sums(balance: ZoneBalance) -> str:
    """Rise, shape and water by our own sums."""
    low, water = balance.our_low, balance.water_to_target
    shape = f"{_band(low, 1000, 'mm')} {'low' if low.value >= 0 else '(less than none: high)'}"
    none = "; none to add" if water.value < 0 else ""
    return f"rise {_band(balance.rise, 1000, 'mm')}, so {shape}; water to the treated optimum {_band(water, 1, LITRES)}{none}"


def _band(figure: Figure, scale: float, unit: str) -> str:
    """Figure with its band."""
    said = f"{about(figure)}{number(figure.value * scale, 1)} {unit}"
    if not figure.spread:
        return said
    return f"{said} ({number(figure.low * scale)} to {number(figure.high * scale)})"


def _older(plan: Plan, one: Replaced) -> dict[str, str]:
    """One older instruction beside the one that replaced it."""
    older = one.older
    place = f"{plan.street.stationing.show(one.start)} to {plan.street.stationing.show(one.end)}"
    return {
        "place": place,
        "strips": strips_words(plan, one.strips),
        "said": fitted(f"row {older.row}, {fitted(older.zone, 24, 9) or 'zone not said'}, {when_said(older)}", 62, 9),
        "by": fitted(f"{older.said_by or NOT_SAID}; heard {older.heard_by or NOT_SAID}", 62, 9),
        "before": f"{older.rate.value:.3g} kg/m\u00b2",
        "now": f"{one.later.rate.value:.3g} kg/m\u00b2",
        "depth_before": depth_words(older),
        "depth_now": depth_words(one.later),
    }
