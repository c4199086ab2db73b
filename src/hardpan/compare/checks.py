"""Every test that was made: its figure with its working, the limit with its owner, on which side it lies."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from hardpan.compare.depths import depth_check
from hardpan.compare.happened import Happened
from hardpan.compare.held import Bounds, Found, Verdict, bounds, verdict
from hardpan.ledger import Event
from hardpan.ledger.ground import Area
from hardpan.ledger.supplying import TrayCheck
from hardpan.ledger.testing import AxleTest, DensityTest, Moisture, Movement, OnePoint
from hardpan.ledger.working import DepthCheck
from hardpan.street import Basis, Figure
from hardpan.street.figure import worked
from hardpan.street.model import LengthLimit


@dataclass(frozen=True, slots=True)
class Check:
    """One figure of one test. ``value`` is None where only words were said, ``limit`` None where none is written.

    ``zone`` is empty where the record does not tell one, ``spotted`` false where it does not tell the spot. ``target`` is what was wanted
    there, ``beside`` are figures to show with it, ``after_bad`` is the entry of the bad result that it was made after, ``retested_by``
    the entry of the later test of the same spot.
    """

    entry: str
    kind: str
    area: Area
    place: str
    block: str
    zone: str
    role: str
    at: str
    value: Figure | None
    limit: Bounds | None
    verdict: Verdict
    spotted: bool
    remark: str = ""
    target: Figure | None = None
    beside: tuple[Figure, ...] = ()
    after_bad: str = ""
    corrected: bool = False
    late: bool = False
    retested_by: str = ""


def checks_of(happened: Happened) -> tuple[Check, ...]:
    """Every test in order of happening, with what was tested again later."""
    found = [check for event in happened.state.events for check in _checks(happened, event)]
    return tuple(replace(check, retested_by=_retest(check, found, happened)) for check in found)


def _checks(happened: Happened, event: Event) -> Iterator[Check]:
    """Figures of one test."""
    said = event.payload
    if isinstance(said, AxleTest):
        for moved in said.movements:
            area = Area(moved.start_m, moved.end_m, moved.strips or tuple(happened.widths))
            yield _check(happened, event, area, _axle(happened, said, moved))
        return
    read = _READ.get(type(said))
    if read is not None and event.area is not None:
        found = read(happened, event)
        if found is not None:
            yield _check(happened, event, event.area, found)


def _check(happened: Happened, event: Event, area: Area, found: Found) -> Check:
    """One figure with its place and what became of its entry."""
    zones, standing, place = happened.zones(area), event.standing, event.standing.place
    return Check(
        entry=event.id,
        kind=standing.kind,
        area=area,
        place=happened.words(area) if area != event.area else happened.where(event),
        block=event.block or _block(happened, area),
        zone=zones[0] if len(zones) == 1 else "",
        role=standing.entry.role,
        at=standing.happened_at.written,
        value=found.value,
        limit=found.limit,
        verdict=found.verdict,
        spotted=area != event.area or bool(place and (place.start_m is not None or place.landmark)),
        remark=found.remark,
        target=found.target,
        beside=found.beside,
        after_bad=happened.state.after_bad.get(event.id, ""),
        corrected=standing.status == "corrected",
        late=standing.late,
    )


def _block(happened: Happened, area: Area) -> str:
    """Block that holds a place whole, the shortest of several; empty where it lies in more than one."""
    holding = [
        (end - start, name)
        for name, (start, end) in happened.state.blocks.items()
        if start - 1e-6 <= area.start_m and area.end_m <= end + 1e-6
    ]
    return min(holding)[1] if holding else ""


def _retest(check: Check, found: list[Check], happened: Happened) -> str:
    """Entry of the last later test of a figure: said to be one, or an axle that covers the same stretch."""
    if check.kind not in ("axle test", "density"):
        return ""
    at = happened.events[check.entry].at
    later = [
        one
        for one in found
        if one.kind == check.kind and one.entry != check.entry and happened.events[one.entry].at > at
    ]
    again = [one for one in later if _tests_again(one, check, happened)]
    return again[-1].entry if again else ""


def _tests_again(one: Check, check: Check, happened: Happened) -> bool:
    """Whether a later test is one of the same spot."""
    said = happened.events[one.entry].payload
    named = getattr(said, "retest_of", None) == check.entry
    if not isinstance(said, AxleTest):
        return named
    covers = one.area.start_m <= check.area.start_m + 1e-6 and check.area.end_m <= one.area.end_m + 1e-6
    return covers and set(check.area.strips) <= set(one.area.strips)


def _tray(happened: Happened, event: Event) -> Found | None:
    """A tray against the rate it was set to, else against the instruction where it stood."""
    said = event.payload
    if not isinstance(said, TrayCheck) or said.caught_kg_m2 is None or event.area is None:
        return None
    value = Figure("caught by the tray", said.caught_kg_m2, "kg/m2", Basis.MEASURED, "tray weighed")
    if said.tray_kg is not None and said.tray_area_m2 is not None:
        caught = Figure("cement in the tray", said.tray_kg, "kg", Basis.MEASURED, "scale")
        size = Figure("area of the tray", said.tray_area_m2, "m2", Basis.STATED, "entry")
        value = worked(
            "caught by the tray", said.caught_kg_m2, "kg/m2", caught, size, formula="caught / area of the tray"
        )
    target, written = _rate(happened, event.area, said), happened.plan.street.file.limits.rate_tolerance
    if target is None:
        return Found(value, None, "no limit", "the rate there was not recorded")
    if written is None:
        return Found(value, None, "no limit", target=target)
    ends = [
        worked(name, target.value * (1 + sign * written.value.value), "kg/m2", target, written.value, formula=formula)
        for sign, name, formula in (
            (-1, "least rate", "rate x (1 - tolerance)"),
            (1, "most rate", "rate x (1 + tolerance)"),
        )
    ]
    limit = bounds(written, low=ends[0], high=ends[1])
    return Found(value, limit, verdict(value, limit), target=target)


def _rate(happened: Happened, area: Area, said: TrayCheck) -> Figure | None:
    """Rate that a tray is held against; None where the record names none, or several."""
    if said.rate_kg_m2 is not None:
        return Figure("rate set", said.rate_kg_m2, "kg/m2", Basis.STATED, "tray's entry")
    rates = {bay.instructed_kg_m2 for bay, _, _ in happened.bays_under(area)}
    rate = rates.pop() if len(rates) == 1 else None
    return None if rate is None else Figure("rate instructed", rate, "kg/m2", Basis.STATED, "rate instruction")


def _density(happened: Happened, event: Event) -> Found | None:
    """A density over the maximum it was held against; the treated one, unless the contract names the raw one."""
    said = event.payload
    if not isinstance(said, DensityTest):
        return None
    reference, limits = said.reference, happened.plan.street.file.limits
    source = f"{reference.curve} moisture-density test {reference.proctor}"
    dry = Figure("dry density", said.dry_kg_m3, "kg/m3", Basis.MEASURED, f"test {said.test}, {said.method}")
    maximum = Figure(f"{reference.curve} maximum", reference.maximum_kg_m3, "kg/m3", Basis.MEASURED, source)
    value = _percent(dry, maximum)
    written = limits.relative_compaction
    limit = None
    if written is not None:
        share = worked(
            f"least of the {written.reference} maximum",
            100 * written.value.value,
            "%",
            written.value,
            formula="100 x share",
        )
        limit = bounds(written, low=share)
    other = _other_reference(happened, event, dry)
    if reference.curve != (written.reference if written else "treated"):
        remark = f"held against the {reference.curve} curve; {_delay(said)}"
        return Found(value, limit, "not comparable", remark, beside=other)
    return Found(value, limit, verdict(value, limit), _delay(said), beside=other)


def _percent(dry: Figure, maximum: Figure) -> Figure:
    """Dry density over a maximum [%]."""
    return worked(
        f"percent of the {maximum.name}",
        100 * dry.value / maximum.value,
        "%",
        dry,
        maximum,
        formula="100 x dry density / maximum",
    )


def _other_reference(happened: Happened, event: Event, dry: Figure) -> tuple[Figure, ...]:
    """What the same density would read against the other curve, where the street knows it and the place has one soil."""
    said = event.payload
    zones = [zone for zone in happened.plan.zones if event.area and zone.name in happened.zones(event.area)]
    name = "treated_maximum" if isinstance(said, DensityTest) and said.reference.curve == "raw" else "raw_maximum"
    states = [getattr(happened.plan.street.file.soil, zone.soil) for zone in zones]
    maxima = {getattr(state, name).value: getattr(state, name) for state in states if getattr(state, name) is not None}
    if len(maxima) != 1:
        return ()
    maximum = replace(next(iter(maxima.values())), name=name.replace("_", " "))
    return (_percent(dry, maximum),)


def _delay(said: DensityTest) -> str:
    """Delay between mixing and moulding of the reference, in words."""
    delay = said.reference.delay_min
    return (
        "the reference's delay before moulding is not recorded"
        if delay is None
        else f"reference moulded {delay:.0f} min after mixing"
    )


def _axle(happened: Happened, test: AxleTest, moved: Movement) -> Found:
    """One stretch under the axle against what was agreed for the test, else against the street's limit."""
    written = happened.plan.street.file.limits.axle_test_movement
    limit = _axle_limit(test, written)
    value = None
    if moved.moved_mm is not None:
        value = Figure("movement under the axle", moved.moved_mm / 1000, "m", Basis.MEASURED, test.vehicle)
    seen = [word for word, was in (("cracked", moved.cracked), ("pumped", moved.pumped)) if was]
    side: Verdict = verdict(value, limit)
    if moved.within_limit is not None:
        side = "inside" if moved.within_limit else "outside"
        seen.insert(0, "no millimetres were recorded")
    return Found(value, limit, side, "; ".join(seen))


def _axle_limit(test: AxleTest, written: LengthLimit | None) -> Bounds | None:
    """Limit of an axle test: as agreed for it; the street's owner stands by it where both are one figure."""
    if test.limit_mm is None:
        return bounds(written, high=written.value) if written else None
    agreed = Figure("most movement agreed", test.limit_mm / 1000, "m", Basis.STATED, "axle test's entry")
    if written is not None and abs(written.value.value - agreed.value) < 1e-9:
        return bounds(written, high=agreed)
    return Bounds(None, agreed, "", "agreed for this test")


def _moisture(_: Happened, event: Event) -> Found | None:
    """Water content; no limit is ever written for it in the street's file."""
    said = event.payload
    if not isinstance(said, Moisture):
        return None
    value = Figure("water content", said.water_content_percent, "%", Basis.MEASURED, said.method)
    return Found(value, None, "no limit", said.when)


def _one_point(_: Happened, event: Event) -> Found | None:
    """A field Proctor beside the curve it was held against."""
    said = event.payload
    if not isinstance(said, OnePoint):
        return None
    value = Figure("dry density of the field Proctor", said.dry_density_kg_m3, "kg/m3", Basis.MEASURED, said.proctor)
    water = Figure("water content", said.water_content_percent, "%", Basis.MEASURED, said.proctor)
    return Found(value, None, "no limit", f"held against curve {said.proctor}", beside=(water,))


def _depth(happened: Happened, event: Event) -> Found | None:
    """A depth hole, in original ground."""
    said = event.payload
    return depth_check(happened, event, said) if isinstance(said, DepthCheck) else None


_READ: dict[type, Callable[[Happened, Event], Found | None]] = {
    TrayCheck: _tray,
    DepthCheck: _depth,
    DensityTest: _density,
    Moisture: _moisture,
    OnePoint: _one_point,
}
