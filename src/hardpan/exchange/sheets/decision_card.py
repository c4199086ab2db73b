"""The decision card: for every zone which rate, how deep, how low; the person's figure first, our sum beside it, what the choice does, boxes to tick."""

from __future__ import annotations

from typing import Any

import numpy as np

from hardpan.exchange.drawing.cost_odds import draw_cost_odds
from hardpan.exchange.drawing.lettering import width
from hardpan.exchange.drawing.low_line import draw_low_line, low_mm
from hardpan.exchange.drawing.odds_curve import days, draw_odds_curve
from hardpan.exchange.drawing.odds_depth import draw_odds_depth
from hardpan.exchange.drawing.odds_marks import band_words, named, tenths, zone_place
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.drawing.zone_tape import draw_zone_tape
from hardpan.exchange.figures_in_words import about, number
from hardpan.exchange.sheets import decision_depth, decision_low
from hardpan.exchange.sheets.pdf import Paper, alt_text, make_pdf
from hardpan.exchange.sheets.phrases import MM, NOT_SAID, date_parts, fitted, when_said
from hardpan.plan import Plan
from hardpan.plan.treatment import RATES, ZoneOdds
from hardpan.plan.zones import Zone
from hardpan.street import Figure, Notice
from hardpan.street.defaults import default
from hardpan.street.street import Instruction
from hardpan.street.words import say_odds

TALL: dict[Paper, tuple[float, float, float]] = {
    "a4": (265.0, 200.0, 300.0),
    "us-letter": (205.0, 150.0, 240.0),
}  # plots
WIDE, BESIDE = 190.0, 44.0  # mm: the page; what stands right of the head, and gaps
Page = dict[str, Any]
DECIDES = "the engineer decides"
DUG = "Ground that is dug out and replaced is taken to pass; the line above tells what treating it would cost, and its odds."


def decision_card(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the decision card, a page a decision.

    Parameters
    ----------
    plan
        The plan it is taken from.
    paper
        ``a4`` or ``us-letter``.
    """
    return make_pdf("decision_card", shown_decisions(plan, paper=paper), plan, paper=paper)


def shown_decisions(plan: Plan, *, paper: Paper = "a4") -> dict[str, Any]:
    """What the card shows."""
    pages = [page for index in range(len(plan.zones)) for page in zone_pages(plan, index, paper=paper)]
    for i, page in enumerate(pages):
        page["right"] = [f"decision {i + 1} of {len(pages)}", DECIDES]
    return {
        "title": f"{plan.street.name}: decision card",
        "about": "Which rate, how deep and how low for every zone: what was said, our sum beside it, what the choice does",
        "name": plan.street.name,
        "date": date_parts(plan),
        "pages": pages,
    }


def zone_pages(plan: Plan, index: int, *, paper: Paper = "a4") -> list[Page]:
    """The three decisions of one zone; only the first where it is dug out."""
    name, tape = plan.zones[index].name, _drawing(draw_zone_tape(plan, index))
    under = fitted(named([f"zone {name}" if name else ""], [zone_place(plan, index)]), _room(plan.street.name), 9.5)
    cards = [_rate(plan, index, paper)]
    if not plan.zones[index].instruction.dig_out:
        cards += [_depth(plan, index, paper), _low(plan, index)]
    return [{"under": under, "tape": tape, "working": None, **card} for card in cards]


def _room(street: str) -> float:
    """Room under the head beside a street's name, which takes 42 % of the page at most [mm]."""
    return WIDE - min(0.42 * WIDE, width(street, 25, 900) / MM) - BESIDE


def _drawing(drawn: Drawn) -> dict[str, str]:
    """A drawing with its words."""
    return {"svg": drawn.svg, "words": alt_text(drawn.words)}


def said_words(one: Instruction, given: Figure) -> str:
    """Basis of what was said, by whom and when, as ``stated: engineer, Wednesday 3 June 2026 16:40. It is the plan.``."""
    who = ", ".join(part for part in (one.said_by, when_said(one)) if part and part != NOT_SAID)
    return f"{given.basis.value}: {who or 'who said it was not said'}. It is the plan."


def _figure(head: str, value: str, unit: str, *, second: str, note: str, basis: str, colour: str = "ink") -> dict[str, str]:  # fmt: skip
    """A large figure with its foot."""
    return {
        "head": head, "value": value, "unit": unit, "second": fitted(second, 80, 10, weight=600),
        "note": fitted(note, 84, 9.5, weight=600, lines=2), "basis": basis, "colour": colour,
    }  # fmt: skip


def _box(head: str, value: str, note: str, *, basis: str, heavy: bool = False) -> dict[str, Any]:
    """A box of what a choice does; its foot as firm as what it says."""
    return {"head": head, "value": value, "note": note, "basis": basis, "heavy": heavy}


def _notices(notices: tuple[Notice, ...], *more: str) -> list[str]:
    """Notices in words, each on two lines at most."""
    return [fitted(text, WIDE - 12, 9, lines=2) for text in (*more, *map(str, notices)) if text]


# --- which rate ---------------------------------------------------------------------------------------------------------


def _rate(plan: Plan, index: int, paper: Paper) -> Page:
    """Which rate."""
    zone, odds = plan.zones[index], plan.treatment.odds.zones[index]
    high, low, _ = TALL[paper]
    drawings = [] if zone.instruction.dig_out else [draw_odds_curve(plan, index, tall=high, alone=False)]
    drawings.append(draw_cost_odds(plan, index, tall=low, alone=False))
    what = "digging out" if zone.instruction.dig_out else f"{zone.rate.value:.3g} kg/m\u00b2"
    return {
        "what": "which rate",
        "figures": [_said_rate(zone), _proposed(plan, index) if zone.instruction.proposed else _our_rate(plan, odds)],
        "drawings": [_drawing(drawn) for drawn in drawings],
        "does": {"head": f"what {what} does", "boxes": _rate_does(plan, index)},
        "lines": [DUG] if zone.instruction.dig_out else rate_lines(odds),
        "notices": _notices(odds.notices),
        "choices": rate_choices(plan, index),
    }


def _said_rate(zone: Zone) -> dict[str, str]:
    """The rate as instructed."""
    head, area = "the instruction says", f"{number(zone.area.value)} m\u00b2"
    if zone.instruction.proposed:
        return _figure(head, "not said", "", second=area, note="ask: nobody has agreed a rate here", basis="default")
    second = f"{number(zone.cement.value / 1000, 1)} t over {area}"
    note = said_words(zone.instruction, zone.rate)
    return _figure(head, f"{zone.rate.value:.3g}", "kg/m\u00b2", second=second, note=note, basis=zone.rate.basis.value, colour="clay")  # fmt: skip


def _proposed(plan: Plan, index: int) -> dict[str, str]:
    """Our proposal where nobody said a rate."""
    zone = plan.zones[index]
    value, unit = ("dig out", "") if zone.instruction.dig_out else (f"{zone.rate.value:.3g}", "kg/m\u00b2")
    second = f"cheapest that reaches {tenths(plan.treatment.odds.zones[index].least.value)}"
    return _figure("our proposal", value, unit, second=second, note=zone.instruction.note, basis=zone.rate.basis.value, colour="clay")  # fmt: skip


def _our_rate(plan: Plan, odds: ZoneOdds) -> dict[str, str]:
    """The lowest rate that reaches the least odds, by our sum."""
    limit = plan.street.file.limits.least_probability
    who = (
        f"{limit.owner or 'owner not said'}, {limit.source or 'source not said'}"
        if limit
        else "a default, for nobody wrote the least odds"
    )
    note = f"{tenths(odds.least.value)}: {who}"
    if odds.enough is None:
        most = default("odds.rate_most").value
        second = f"up to {most:g} kg/m\u00b2 reaches {tenths(odds.least.value)}"
        return _figure("our sum", "none", "", second=second, note=note, basis=odds.worst.basis.value)
    second = f"lowest that reaches {tenths(odds.least.value)}"
    head = f"our sum{', about' if odds.enough.basis.value == 'default' else ''}"
    return _figure(
        head, f"{odds.enough.value:g}", "kg/m\u00b2", second=second, note=note, basis=odds.enough.basis.value
    )


def worst_place(plan: Plan, odds: ZoneOdds) -> str:
    """``0+150 strip 4``."""
    return f"{plan.street.stationing.show(round(odds.worst_m))} strip {odds.worst_strip}"


def _rate_does(plan: Plan, index: int) -> list[dict[str, Any]]:
    """The worst place, all of it at once, how much may fail."""
    zone, odds = plan.zones[index], plan.treatment.odds.zones[index]
    basis = odds.worst.basis.value
    area = odds.failing.value * zone.area.value
    whole = f"whole street {say_odds(plan.treatment.odds.street.value)}"
    if zone.instruction.dig_out:
        return [
            _box("every place", "taken to pass", "dug out and replaced", basis=basis, heavy=True),
            _box("the rest with it", whole, "all of it at once", basis=basis),
        ]
    return [
        _box(f"worst place, {worst_place(plan, odds)}", say_odds(odds.worst.value), band_words(odds.low, odds.high), basis=basis, heavy=True),
        _box("all of the zone at once", say_odds(odds.whole.value), whole, basis=basis),
        _box("of its length", f"{number(100 * odds.failing.value)} in 100 m may fail", f"about {number(area)} m\u00b2", basis=basis),
    ]  # fmt: skip


def rate_lines(odds: ZoneOdds) -> list[str]:
    """What the doubt hangs on, the stress beside the odds, how they were found."""
    names = [weight.name for weight in odds.matters if weight.share > 0][:3]
    hangs = (
        f"The doubt hangs most on the {', then the '.join(names)}."
        if names
        else "Nothing that is unknown moves these odds."
    )
    stress = (
        f"Stress of the axle on the ground under the layer: {about(odds.stress)}{number(odds.stress.value)} kPa; "
        f"it bears {about(odds.safe_stress)}{number(odds.safe_stress.value)} kPa without a deep rut, a second line and a stricter one."
    )
    source = odds.worst.working.source if odds.worst.working else odds.worst.source
    return [hangs, stress, f"Odds by {source}."]


def rate_choices(plan: Plan, index: int) -> list[str]:
    """Choices to tick, the plan first; a lower rate only where it may be offered."""
    zone, odds = plan.zones[index], plan.treatment.odds.zones[index]
    rate, last = odds.rate.value, "other, kg/m\u00b2:"
    word = "agree" if zone.instruction.proposed else "keep"
    first = f"{word} {rate:.3g} kg/m\u00b2" if rate else f"{word}: leave untreated"
    if zone.instruction.dig_out:
        return ["agree: dig it out", "laboratory strengths first", last]
    choices = [first]
    if (
        odds.enough is not None
        and odds.enough.value != rate
        and (odds.enough.value > rate or plan.treatment.odds.may_propose_less(plan.zones[index]))
    ):
        choices.append(f"{odds.enough.value:g} kg/m\u00b2, our sum")
    later = [day for day in days(plan, odds)[1:] if day.worth not in ("", "nothing")]
    if later:
        chance = say_odds(float(np.interp(rate, RATES, later[-1].odds)))
        choices.append(f"test on day {later[-1].day:g}: {chance}")
    if odds.worst.value < odds.least.value:
        choices.append(f"dig out {worst_place(plan, odds)}")
    if not plan.treatment.odds.calculated:
        choices.append("laboratory strengths first")
    return [*choices, last]


# --- how deep -----------------------------------------------------------------------------------------------------------


def _depth(plan: Plan, index: int, paper: Paper) -> Page:
    """How deep."""
    zone = plan.zones[index]
    states = decision_depth.in_states(plan, index)
    left = _said_depth(zone)
    others = [decision_depth.state_words(name, figure) for name, figure in states.items() if name != zone.depth_state]
    first, second = ((value, name) for name, value in others)
    weakest = max((figure.basis for figure in states.values()), key=lambda basis: basis.rank)
    right = _figure("the same depth, by our sum", first[0].removesuffix(" mm").removeprefix("about "), f"mm {first[1]}", second=f"{second[0]} {second[1]}", note=f"weakest basis: {weakest.value}; a hole tells which state it stands in", basis=weakest.value)  # fmt: skip
    return {
        "what": "how deep",
        "figures": [left, right],
        "drawings": [_drawing(draw_odds_depth(plan, index, tall=TALL[paper][2], alone=False))],
        "does": {"head": f"what another depth of original ground does at {zone.rate.value:.3g} kg/m\u00b2", "boxes": [_depth_box(plan, index, one) for one in decision_depth.depths(plan, index)]},
        "lines": decision_depth.depth_lines(plan, index),
        "notices": _notices(tuple(notice for notice in (*zone.notices, *plan.balance[index].notices) if "reach" in notice.message or "depth" in notice.message)),
        "choices": decision_depth.choices(plan, index),
        "working": _depth_working(states),
    }  # fmt: skip


def _said_depth(zone: Zone) -> dict[str, str]:
    """The depth as instructed, with its state."""
    said, own, head = zone.instruction, number(1000 * zone.depth.value), "the instruction says"
    state = f"of {zone.depth_state} ground" if zone.depth_state == "original" else zone.depth_state
    if said.depth is None or said.proposed:
        note = "ask: a proposal stands in" if said.proposed else "ask: a default stands in"
        return _figure(head, "not said", "", second=f"planned with {own} mm {state}", note=note, basis="default")
    unsaid = "" if said.depth_state else " Its state was not said: ask."
    return _figure(head, own, "mm", second=state, note=f"{said_words(said, said.depth)}{unsaid}", basis=zone.depth.basis.value)  # fmt: skip


def _depth_working(states: dict[str, Figure]) -> dict[str, Any]:
    """The depth in its three states, opened."""
    worked = [one for one in states.values() if one.working]
    formula = "; ".join(f"{one.name} = {one.working.formula}" for one in worked if one.working)
    steps = [decision_low.Step(name, "", figure.value) for name, figure in states.items()]
    return {**_opened(formula, list(states.values()), steps), "sum": False}


def _depth_box(plan: Plan, index: int, one: decision_depth.Depth) -> dict[str, Any]:
    """What one depth does."""
    basis = plan.treatment.odds.zones[index].worst.basis.value
    said = "as planned" if one.instructed else "" if one.reached else "the mixer does not reach"
    head = f"{number(1000 * one.metres)} mm{', ' if said else ''}{said}"
    note = f"{number(100 * one.failing)} in 100 m may fail; cement {number(100 * one.cement, 1)} % of dry soil"
    return _box(head, say_odds(one.worst), note, basis=basis, heavy=one.instructed)


# --- how low ------------------------------------------------------------------------------------------------------------


def _low(plan: Plan, index: int) -> Page:
    """How low to shape."""
    zone, balance, street = plan.zones[index], plan.balance[index], plan.street
    stated, ours = zone.instruction.low, balance.our_low
    low = low_mm(balance.low.value)
    if stated is None:
        left = _figure(
            "the crew says",
            "not said",
            "",
            second="our sum makes the level",
            note="ask; until somebody says, our sum is the plan",
            basis="default",
        )
    else:
        value, unit = low_mm(stated.value).split(" ", 1)
        left = _figure(
            "the crew says", value, unit, second="", note=said_words(zone.instruction, stated), basis=stated.basis.value
        )
    value, unit = low_mm(ours.value).split(" ", 1)
    band = (
        f"{low_mm(ours.low, unit=False)} to {low_mm(ours.high, unit=False)}, 8 times in 10"
        if ours.spread
        else "no band is known"
    )
    head = f"our sum{', about' if ours.basis.value == 'default' else ''}"
    right = _figure(head, value, unit, second=band, note=decision_low.weakest_words(ours), basis=ours.basis.value)
    boxes = [
        _box(*end.words, basis=ours.basis.value, heavy=end.rise == balance.rise.value)
        for end in decision_low.ends(street, zone, balance)
    ]
    trim = street.file.level.trim
    lines = (
        [f"Before trimming; the trim allowance is {number(1000 * trim.value)} mm ({trim.basis.value})."]
        if trim.value
        else []
    )
    return {
        "what": "how low to shape",
        "figures": [left, right],
        "drawings": [_drawing(draw_low_line(zone, balance))],
        "does": {"head": f"what shaping {low} does", "boxes": boxes},
        "lines": lines,
        "notices": _notices(balance.notices, decision_low.density_notice(zone, balance)),
        "choices": decision_low.choices(zone, balance),
        "working": _working(plan, index),
    }  # fmt: skip


def _working(plan: Plan, index: int) -> dict[str, Any]:
    """Our sum opened: what went in with its basis, and the sum step by step."""
    balance = plan.balance[index]
    formula = balance.rise.working.formula if balance.rise.working else ""
    return _opened(f"rise = {formula}", [balance.our_low], decision_low.steps(plan.street, balance))


def _opened(formula: str, figures: list[Figure], steps: list[decision_low.Step]) -> dict[str, Any]:
    """A sum opened."""
    leaves = {(one.name, one.value): one for figure in figures for one in decision_low.given(figure)}
    inputs = [
        [one.basis.value, fitted(one.name, 46, 9), decision_low.input_value(one), fitted(_source(one), 44, 8.5)]
        for one in leaves.values()
    ]
    return {"formula": formula, "sum": True, "inputs": inputs, "steps": [{"name": one.name, "how": one.how, "value": one.shown, "rule": one.rule} for one in steps]}  # fmt: skip


def _source(figure: Figure) -> str:
    """Source of an input, its basis left out where it stands before it."""
    return figure.source.removeprefix("default, ").removeprefix(f"{figure.basis.value} ").removeprefix("in ")


# --- as text ------------------------------------------------------------------------------------------------------------


def decision_text(plan: Plan) -> str:
    """The cards as plain lines."""
    return "\n".join(
        line for index in range(len(plan.zones)) for page in zone_pages(plan, index) for line in _lines(page)
    )


def _lines(page: Page) -> list[str]:
    """One card as lines."""
    said, ours = page["figures"]
    lines = [f"{page['what']}: {page['under']}"]
    for one in (said, ours):
        value = " ".join(part for part in (one["value"], one["unit"]) if part)
        shown = ", ".join(part for part in (value, one["second"]) if part)
        lines.append(f"  {one['head']} {shown} ({one['note'].rstrip('.')})")
    lines.append(f"  {page['does']['head']}:")
    lines += [f"    {box['head']}: {box['value']}; {box['note']}" for box in page["does"]["boxes"]]
    lines += [f"  {line}" for line in page["lines"]]
    lines += [f"  ! {notice}" for notice in page["notices"]]
    if page["working"]:
        lines.append(f"  {page['working']['formula']}")
        lines += [f"    {one['name']:<16} {one['how']:<24} {one['value']:>14}" for one in page["working"]["steps"]]
        lines += [f"    {basis}: {name} {value}, {source}" for basis, name, value, source in page["working"]["inputs"]]
    choices = "; ".join(f"[ ] {choice}" for choice in page["choices"])
    return [*lines, f"  {choices}; {DECIDES}", ""]
