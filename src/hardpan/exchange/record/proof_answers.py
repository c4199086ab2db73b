"""Answers about the finished ground: depth, density, clocks, water, the axle test, what came after a bad result."""

from __future__ import annotations

from collections.abc import Iterator

from hardpan.compare import Check
from hardpan.compare.held import NO_LIMIT
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.sentences import Said, bounds_words, held_words, not_recorded, value_words
from hardpan.exchange.record.words import NOT_RECORDED, amount, at_clock, when
from hardpan.ledger import Clock, Standing
from hardpan.ledger.mending import MENDINGS
from hardpan.ledger.placed import of
from hardpan.ledger.testing import AxleTest, DensityTest
from hardpan.ledger.working import DepthCheck, MixingPass
from hardpan.street.words import say_minutes

STOPS = {
    "padfoot starts": "the padfoot's start",
    "padfoot ends": "the padfoot's end",
    "final rolling ends": "the end of final rolling",
}


# --- how deep -------------------------------------------------------------------------------------------------------------


def depths(record: Gathered) -> list[Said]:
    """Every depth hole with the surface it was measured from."""
    told = [_hole(record, check) for check in record.acceptance.checks if check.kind == "depth check"]
    return told or [not_recorded("no depth hole")]


def _hole(record: Gathered, check: Check) -> Said:
    """One hole: what was read, what that is of original ground, the limit."""
    event = record.event(check.entry)
    said = event.payload if event else None
    read = f"{amount(said.depth_mm)} mm of {said.state} ground from the {said.measured_from}" if isinstance(said, DepthCheck) else ""  # fmt: skip
    original = f", {value_words(check.value)} of original ground" if check.value and read and "original ground from" not in read else ""  # fmt: skip
    wanted = f", {value_words(check.target)} wanted" if check.target else ""
    remark = f"; {check.remark}" if check.remark else ""
    return Said(
        f"{check.place}: {read}{original}{wanted}; {held_words(check.limit, check.verdict, 0)}{remark}.", (check.entry,)
    )


# --- density --------------------------------------------------------------------------------------------------------------


def densities(record: Gathered) -> list[Said]:
    """Every reference with its limit, then the densities held against it; what the other curve would make of them is not comparable."""
    groups: dict[str, list[tuple[Check, DensityTest]]] = {}
    for check in record.acceptance.checks:
        event = record.event(check.entry)
        if check.kind == "density" and event is not None and isinstance(event.payload, DensityTest):
            groups.setdefault(_reference(check, event.payload), []).append((check, event.payload))
    told: list[Said] = []
    for reference, tests in groups.items():
        told.append(Said(reference, tuple(check.entry for check, _ in tests)))
        told += [Said(_density(check, said), (check.entry,)) for check, said in tests]
    return told or [not_recorded("no density test")]


def _reference(check: Check, said: DensityTest) -> str:
    """What densities are held against: curve, maximum, delay, limit, and the other curve's maximum."""
    curve = said.reference
    delay = f"moulded {amount(curve.delay_min)} min after mixing" if curve.delay_min is not None else f"its delay between mixing and moulding {NOT_RECORDED}"  # fmt: skip
    optimum = f" at {amount(curve.optimum_percent)} %" if curve.optimum_percent is not None else ""
    other = ""
    if check.beside and check.beside[0].inputs:
        maximum = check.beside[0].inputs[-1]
        other = f"; the {maximum.name} {amount(maximum.value, 0)} kg/m\u00b3 is not comparable with it"
    raw = (
        ": raw soil, not comparable to treated ground"
        if curve.curve == "raw" and check.verdict == "not comparable"
        else ""
    )
    return (
        f"reference: {curve.curve} maximum {amount(curve.maximum_kg_m3, 0)} kg/m\u00b3{optimum} ({curve.proctor}), {delay}{raw}; "
        f"{bounds_words(check.limit)}{other}."
    )


def _density(check: Check, said: DensityTest) -> str:
    """One density: test, place, per cent of its maximum, the side; what it would read against the other curve."""
    value = value_words(check.value) if check.value else NOT_RECORDED
    other = f" (against the {check.beside[0].inputs[-1].name} it would read {value_words(check.beside[0])})" if check.beside and check.beside[0].inputs else ""  # fmt: skip
    again = "; tested again" if check.retested_by else ""
    return f"test {said.test}, {check.place}: {amount(said.dry_kg_m3, 0)} kg/m\u00b3, {value}: {check.verdict}{other}{again}."


# --- clocks ---------------------------------------------------------------------------------------------------------------


def clocks(record: Gathered) -> list[Said]:
    """Limits with their owners, then every block's clocks with the event that started each, then strips that waited."""
    if not record.state.clocks:
        return [not_recorded("no clock was started")]
    blocks: dict[str, list[Clock]] = {}
    for clock in record.state.clocks:
        blocks.setdefault(clock.block, []).append(clock)
    limits = tuple(dict.fromkeys(clock_limit(clock) for clock in record.state.clocks))
    written = any(clock.limit_min is not None for clock in record.state.clocks)
    told = [Said(f"limits: {'; '.join(limits)}." if written else f"{NO_LIMIT} for any clock.", folder="street.toml")]
    told += [
        Said(
            f"{block or 'no block'}: {'; '.join(clock_words(clock) for clock in own)}.",
            tuple(clock.started_by for clock in own),
        )
        for block, own in blocks.items()
    ]
    return told + [
        Said(
            f"strip {one.strip} of {one.block} waited: its cement was whole at {one.spread_at:%H:%M}, "
            f"{say_minutes((one.spread_at - one.first_mix).total_seconds() / 60)} after the block's first mix."
        )
        for one in record.state.held
    ]


def clock_words(clock: Clock) -> str:
    """One clock: elapsed, from what to what, on which side of its limit."""
    elapsed, start = clock.elapsed_min(), f"from {clock.starts_with} {at_clock(clock.started_at)}"
    if elapsed is None or clock.stopped_at is None:
        return f"{start}, {STOPS[clock.stops_with]} {NOT_RECORDED}"
    end = f"to {STOPS[clock.stops_with]} {clock.stopped_at:%H:%M}"
    if clock.start_sure:
        return f"{say_minutes(elapsed)} {start} {end}{_side(clock, elapsed)}"
    return f"at least {say_minutes(elapsed)} {start} {end}, for only an end was entered{_side(clock, elapsed)}"


def _side(clock: Clock, elapsed: float) -> str:
    """Side of the limit; a clock whose start is not sure proves no inside."""
    if clock.limit_min is None:
        return ""
    if elapsed > clock.limit_min:
        return ", outside"
    return ", inside" if clock.start_sure else ", not proven inside"


def clock_limit(clock: Clock) -> str:
    """Limit of a clock with its owner: ``4 h 00 from first mix to final rolling ends, engineer, job limits 3``."""
    span = f"from {clock.starts_with} to {STOPS[clock.stops_with]}"
    if clock.limit_min is None:
        return f"{span} {NO_LIMIT}"
    owner = ", ".join(part for part in (clock.owner or "owner not said", clock.source) if part)
    return f"{say_minutes(clock.limit_min)} {span}, {owner}"


# --- water ----------------------------------------------------------------------------------------------------------------


def water(record: Gathered) -> list[Said]:
    """Wet passes by meter, by what was said of the ground, by what the trucks gave."""
    state = record.state.water
    wet = [(event, said) for event, said in of(MixingPass, record.state.events) if said.mixed == "wet"]
    if not wet:
        return [not_recorded("no wet pass")]
    metered = [event.id for event, said in wet if said.water_l is not None]
    guessed = [event for event, said in wet if said.water_l is None and said.setting != "off"]
    told = []
    if metered:
        rate = f", {amount(state.metered_l / state.watered_m2, 1)} L/m\u00b2 over {amount(state.watered_m2, 0)} m\u00b2 watered" if state.watered_m2 and not guessed else ""  # fmt: skip
        told.append(Said(f"metered: {amount(state.metered_l, 0)} L on {len(metered)} of {len(wet)} wet passes{rate}.", tuple(metered)))  # fmt: skip
    if guessed:
        told.append(Said(f"no meter reading for {len(guessed)} of {len(wet)} wet passes: their water is a setting, not a measurement.", tuple(event.id for event in guessed)))  # fmt: skip
    told += list(_trucks(record))
    return told


def _trucks(record: Gathered) -> Iterator[Said]:
    """What the trucks gave, and whether anybody read them."""
    state = record.state.water
    for truck in state.trucks:
        entries = tuple(
            event.id for event in record.state.events if getattr(event.payload, "truck", None) == truck.name
        )
        how = "its volume was taken, nobody read it" if truck.rests_on_volume else "as read on it"
        yield Said(f"{truck.name or 'water truck'} gave {amount(truck.drawn_l, 0)} L, {how}.", entries)
    if state.curing_l:
        yield Said(
            f"{amount(state.curing_l, 0)} L of curing water are none of it, though a truck may have carried some."
        )


# --- the axle test ----------------------------------------------------------------------------------------------------------


def axle_tests(record: Gathered) -> list[Said]:
    """Every axle test: what was driven, what was agreed, what moved; a re-test names what it tests again."""
    told: list[Said] = []
    for event, said in of(AxleTest, record.state.events):
        told.append(Said(f"{_vehicle(said)}, {when(event.standing.happened_at)}.", (event.id,)))
        places: dict[str, list[str]] = {}
        for check in sorted(
            (one for one in record.acceptance.checks if one.entry == event.id), key=lambda one: one.verdict != "outside"
        ):
            places.setdefault(_movement(check), []).append(check.place)
        told += [Said(f"{'; '.join(where)}: {words}.", (event.id,)) for words, where in places.items()]
    return told or [not_recorded("no axle test")]


def _vehicle(said: AxleTest) -> str:
    """What was driven and what was agreed for it; what nobody said is told too."""
    load = f"axle {amount(said.axle_kg, 0)} kg" if said.axle_kg is not None else f"axle load {NOT_RECORDED}"
    tyres = f"tyres {amount(said.tyre_kpa, 0)} kPa" if said.tyre_kpa is not None else f"tyre pressure {NOT_RECORDED}"
    agreed = f"agreed limit {amount(said.limit_mm)} mm" if said.limit_mm is not None else f"agreed limit {NOT_RECORDED}"
    return f"{'re-test: ' if said.retest_of else ''}{said.vehicle}, {load}, {tyres}, {agreed}"


def _movement(check: Check) -> str:
    """What a stretch did under the axle, against its limit."""
    moved = value_words(check.value, 0) if check.value is not None else "no millimetres recorded"
    again = "; tested again" if check.retested_by else ""
    return f"{moved}, {held_words(check.limit, check.verdict, 0)}{again}"


# --- after a bad result -----------------------------------------------------------------------------------------------------


def after_bad(record: Gathered) -> list[Said]:
    """What was made after a bad result at its place, every mending, what was entered late."""
    told = [
        Said(
            f"{entry_words(record, one.standing)}; after {record.standing[one.bad].kind} {record.telling.id(one.bad)}.",
            (one.standing.id, one.bad),
        )
        for one in record.acceptance.after_bad
    ]
    known = {one.standing.id for one in record.acceptance.after_bad}
    told += [Said(f"{entry_words(record, one)}.", (one.id,)) for one in mendings(record) if one.id not in known]
    late = tuple(one.id for one in record.state.entries if one.late)
    if late:
        told.append(
            Said(
                f"entered more than 15 min after it happened: {len(late)} of {len(record.state.entries)} entries.", late
            )
        )
    if not told and record.empty:
        return [not_recorded("no entry")]
    return told or [Said("nothing: no result was outside its limit, nothing was corrected, withdrawn or entered late.")]


def mendings(record: Gathered) -> list[Standing]:
    """Corrections and withdrawals."""
    return [one for one in record.state.entries if one.kind in MENDINGS]


def entry_words(record: Gathered, one: Standing) -> str:
    """Entry in a line: kind, place, what it says, what became of it."""
    place, said, stands = record.place(one), record.telling.said(one.payload), record.telling.stands(one)
    return ": ".join(part for part in (f"{one.kind}{f', {place}' if place else ''}", said) if part) + (f" ({stands})" if stands else "")  # fmt: skip
