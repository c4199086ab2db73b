"""Answers about the ground and the cement: who set the rate, what was soft, where the rate landed, where its edges are."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from hardpan.compare.features import features
from hardpan.compare.progress import EDGE_REACH_M
from hardpan.exchange.drawing.ground_rows import done_tests
from hardpan.exchange.drawing.street_rows import Span
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.sentences import SIDES, Said, not_recorded, squared
from hardpan.exchange.record.words import NOT_RECORDED, amount, at_clock, when
from hardpan.ledger.ground import Area, Rule
from hardpan.ledger.mending import Signature
from hardpan.ledger.placed import of
from hardpan.ledger.reckoning import Cement
from hardpan.ledger.supplying import RateChange, RateInstruction, TrayCheck
from hardpan.ledger.testing import Moisture, Penetrometer, Weather
from hardpan.ledger.working import MachineRuts, Problem
from hardpan.street.places import say_strips
from hardpan.street.street import Instruction

_RATES = re.compile(r"\brates?\b", re.IGNORECASE)


# --- who set the rate ---------------------------------------------------------------------------------------------------


def rate_set(record: Gathered) -> list[Said]:
    """Every rate instruction, the entry's words before the folder's, and signatures on rates."""
    entered = {_key(rule) for rule in record.state.instructions if rule.entry}
    told = [_rule(record, rule) for rule in record.state.instructions if rule.entry or _key(rule) not in entered]
    signed = [
        Said(f"\u201c{said.signed}\u201d: {said.decision} by {event.standing.entry.role}.", (event.id,))
        for event, said in of(Signature, record.state.events)
        if _RATES.search(said.signed)
    ]
    return [*told, *signed] or [not_recorded("no rate instruction")]


def _key(rule: Rule) -> tuple[object, ...]:
    """What makes two instructions the same."""
    return rule.zone, rule.rate_kg_m2, rule.elsewhere, None if rule.elsewhere else rule.area, rule.said_at


def _rule(record: Gathered, rule: Rule) -> Said:
    """One instruction: what, where, who said it, who heard it, when."""
    where = "everywhere else" if rule.elsewhere else record.happened.words(rule.area)
    what = f"{amount(rule.rate_kg_m2)} kg/m\u00b2"
    event = record.event(rule.entry) if rule.entry else None
    if event is not None and isinstance(event.payload, RateInstruction):
        said = event.payload
        depth = f", {amount(said.depth_mm)} mm of {said.depth_state} ground" if said.depth_mm is not None else f", depth {NOT_RECORDED}"  # fmt: skip
        at = f"{when(event.standing.happened_at)}{f', {said.where}' if said.where else ''}"
        return Said(f"{what}{depth}, {where}: said by {said.said_by}, heard by {said.heard_by}, {at}.", (event.id,))
    return Said(f"{what}, {where}: {_in_folder(record, rule)}", folder="instructions.csv")


def _in_folder(record: Gathered, rule: Rule) -> str:
    """Who said an instruction that only the street folder holds."""
    found = next((one for one in record.plan.street.instructions if _same(one, rule)), None)
    if found is not None and found.proposed:
        return "nobody said it; it is Hardpan's own sum."
    said = found.said_by if found and found.said_by else NOT_RECORDED
    heard = found.heard_by if found and found.heard_by else NOT_RECORDED
    at = at_clock(found.said_at) if found and found.said_at else f"when {NOT_RECORDED}"
    return f"said by {said}, heard by {heard}, {at}; no entry tells it."


def _same(one: Instruction, rule: Rule) -> bool:
    """Whether a folder's instruction is that rule."""
    return (one.zone, one.rate.value, one.elsewhere) == (rule.zone, rule.rate_kg_m2, rule.elsewhere)


# --- what was soft --------------------------------------------------------------------------------------------------------


def soft_ground(record: Gathered) -> list[Said]:
    """The slow drive's words, penetrometer tests, what people met; then the rain."""
    found = [*_driven(record), *_tested(record), *_met(record)]
    return [*(found or [not_recorded("what found the ground soft")]), *_rain(record)]


def _driven(record: Gathered) -> Iterator[Said]:
    """Stretches on which the ground did something under the slow drive."""
    for one in record.plan.street.readings:
        if one.word == "nothing" and not one.bounces:
            continue
        rut = f", {amount(1000 * one.rut.value, 0)} mm" if one.rut else ""
        at = f"{at_clock(one.driven_at)}" if one.driven_at else f"when {NOT_RECORDED}"
        place = record.plan.street.place(one.start, one.end, one.strips)
        bounces = ", bounces" if one.bounces else ""
        yield Said(f"{place}: {one.word}{rut}{bounces} under {one.vehicle or 'the slow drive'}, {at}.", folder="readings.csv")  # fmt: skip


def _tested(record: Gathered) -> Iterator[Said]:
    """Penetrometer tests of the folder and of the ledger."""
    street = record.plan.street
    for test in done_tests(record.plan, Span(street.stationing.first, street.stationing.last)):
        laboratory = test.name.startswith("lab ")
        what, file = ("", "lab.csv") if laboratory else ("penetrometer ", "penetrometer.csv")
        yield Said(f"{what}{test.said}, {street.painted(test.station)}, strip {test.strip}.", folder=file)
    for event, said in of(Penetrometer, record.state.events):
        yield Said(f"penetrometer {record.telling.said(said)}, {record.happened.where(event)}.", (event.id,))


def _met(record: Gathered) -> Iterator[Said]:
    """Soft places that people named, machines that rutted, water contents before treatment."""
    for event in record.state.events:
        said = event.payload
        soft = isinstance(said, Problem) and said.about == "soft place"
        wet = isinstance(said, Moisture) and said.when == "before treatment"
        if soft or wet or isinstance(said, MachineRuts):
            words = f"{event.standing.kind}: {record.telling.said(said)}, {record.happened.where(event)}."
            yield Said(words, (event.id,))


def _rain(record: Gathered) -> list[Said]:
    """Rain as the weather entries tell it, over all days of the record."""
    told = [
        (event, said)
        for event, said in of(Weather, record.state.events)
        if said.rain is not None or said.rain_mm is not None
    ]
    if not told:
        return [not_recorded("whether it rained since")]
    words = "; ".join(
        f"{said.rain or ''}{f' {amount(said.rain_mm)} mm' if said.rain_mm is not None else ''} ({when(event.standing.happened_at)})".strip()
        for event, said in told
    )
    silent = len({one.at.date() for one in record.state.entries} - {event.at.date() for event, _ in told})
    rest = f"; {NOT_RECORDED} on {silent} other day{'' if silent == 1 else 's'} of the record" if silent else ""
    return [Said(f"rain: {words}{rest}.", tuple(event.id for event, _ in told))]


# --- where the rate landed --------------------------------------------------------------------------------------------------


def rate_landed(record: Gathered) -> list[Said]:
    """Every block by its loads and its trays, then every restart after the hopper ran out."""
    blocks = [_block(record, one) for one in record.state.cement.blocks]
    restarts = [
        Said(f"{squared(one.words)}.", one.entries)
        for one in features(record.happened)
        if one.kind.startswith("restart after")
    ]
    if not blocks:
        return [not_recorded("no cement was spread")]
    written = record.plan.street.file.limits.rate_tolerance
    limit = (
        f"limit: {amount(100 * written.value.value)} % either side of the rate, {written.owner or 'owner not said'}, {written.source}."
        if written
        else "no limit is written for the rate."
    )
    return [*blocks, *restarts, Said(limit, folder="street.toml")]


def _block(record: Gathered, one: Cement) -> Said:
    """One block: mean by the hopper, mean instructed, trays."""
    runs = [run.entry for run in record.state.runs if run.block == one.place]
    trays = [
        (event, said)
        for event, said in of(TrayCheck, record.state.events)
        if event.block == one.place and said.caught_kg_m2 is not None
    ]
    mean = f"loads give {amount(one.fills.kg_m2, 2)} kg/m\u00b2 on average" if one.fills.kg_m2 is not None else f"what the loads give is {NOT_RECORDED}"  # fmt: skip
    wanted = f", instructed {amount(one.instructed_kg / one.area_m2, 2)}" if one.instructed_kg and one.area_m2 else ""
    caught = ", ".join(amount(said.caught_kg_m2 or 0.0, 1) for _, said in trays)
    spots = sum(event.area is None or not event.area.point for event, _ in trays)
    spot = f", spot {NOT_RECORDED}{f' of {spots}' if spots < len(trays) else ''}" if spots else ""
    sides = [check.verdict for check in record.acceptance.checks if check.entry in {event.id for event, _ in trays}]
    verdicts = ", ".join(f"{sides.count(side)} {SIDES[side]}" for side in dict.fromkeys(sides))
    tray = f"trays {caught} kg/m\u00b2, {verdicts}{spot}" if trays else "no tray: only an average is known"
    return Said(
        f"{one.place or 'no block'}: {mean}{wanted}; {tray}.",
        tuple(dict.fromkeys([*runs, *(event.id for event, _ in trays)])),
    )


# --- where the edges are ----------------------------------------------------------------------------------------------------


def rate_edges(record: Gathered) -> list[Said]:
    """Every edge between two instructed rates, with where the spreader's rate was changed."""
    edges = painted_edges(record)
    if not edges:
        return [Said("one rate is instructed: there is no edge.", folder="instructions.csv")]
    return [_edge(record, station, strips, rates) for (station, rates), strips in edges.items()]


def painted_edges(record: Gathered) -> dict[tuple[float, tuple[float, float]], tuple[int, ...]]:
    """Strips of every edge by its station and the rates on both sides."""
    found: dict[tuple[float, tuple[float, float]], list[int]] = {}
    for before, after in pairwise(record.state.bays):
        rates = before.instructed_kg_m2, after.instructed_kg_m2
        if before.strip == after.strip and rates[0] is not None and rates[1] is not None and rates[0] != rates[1]:
            found.setdefault((after.start_m, (rates[0], rates[1])), []).append(after.strip)
    return {key: tuple(found[key]) for key in sorted(found)}


def changes_near(record: Gathered, station: float, strips: tuple[int, ...]) -> list[tuple[float, tuple[int, ...], str]]:
    """Rate changes entered near an edge: station, strips, entry."""
    return [
        (event.area.start_m, event.area.strips, event.id)
        for event, _ in of(RateChange, record.state.events)
        if event.area is not None
        and set(event.area.strips) & set(strips)
        and abs(event.area.start_m - station) <= EDGE_REACH_M
    ]


def _edge(record: Gathered, station: float, strips: tuple[int, ...], rates: tuple[float, float]) -> Said:
    """One edge."""
    place = record.happened.words(Area(station, station, strips))
    edge = f"{amount(rates[0])} to {amount(rates[1])} kg/m\u00b2, instructed at {place}"
    near = changes_near(record, station, strips)
    if not near:
        return Said(f"{NOT_RECORDED}: where the rate was changed from {edge}.")
    street = record.plan.street
    told = "; ".join(
        f"{street.stationing.show(at)} on {say_strips(on, len(street.strips))}, {_off(at - station)}"
        for at, on, _ in near
    )
    silent = tuple(strip for strip in strips if not any(strip in on for _, on, _ in near))
    rest = f"; {NOT_RECORDED} on {say_strips(silent, len(street.strips))}" if silent else ""
    return Said(f"{edge}: changed at {told}{rest}.", tuple(name for _, _, name in near))


def _off(metres: float) -> str:
    """How far from the edge."""
    if abs(metres) < 0.05:
        return "on the edge"
    return f"{amount(abs(metres), 1)} m {'past' if metres > 0 else 'before'} it"
