"""Results of tests against the limits that are written, and what was entered after one that is outside."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Literal

from hardpan.ledger.entry import Entry
from hardpan.ledger.ground import Area, Ground, Reach, Rule
from hardpan.ledger.mending import Correction
from hardpan.ledger.parts import Payload
from hardpan.ledger.placed import Event
from hardpan.ledger.standing import Standing
from hardpan.ledger.supplying import TrayCheck
from hardpan.ledger.testing import AxleTest, DensityTest, Movement
from hardpan.street import Street

TESTS = {AxleTest, DensityTest, TrayCheck}
Laid = dict[tuple[int, int], Rule]
_ROUNDING = 1e-9
_NEVER = dt.datetime.max.replace(tzinfo=dt.UTC)

Verdict = Literal["inside", "outside", "no limit", "not comparable"]


@dataclass(frozen=True, slots=True)
class Result:
    """One figure of a test against its limit; ``value`` and ``limit`` in ``unit``, the limit None where none is written."""

    entry: str
    kind: str
    area: Area
    entered_at: dt.datetime
    value: float | None
    limit: float | None
    unit: str
    verdict: Verdict
    owner: str = ""


def results_of(
    standing: Iterable[Standing], street: Street, ground: Ground, *, laid: Laid, blocks: dict[str, Reach]
) -> tuple[Result, ...]:
    """Results as they stand, in order of happening."""
    return tuple(
        result
        for one in standing
        if type(one.payload) in TESTS and one.counts
        for result in _judged(
            one.entry, one.payload, ground.area(one.place, blocks), street=street, ground=ground, laid=laid
        )
    )


def _judged(
    entry: Entry, said: Payload, area: Area | None, *, street: Street, ground: Ground, laid: Laid
) -> Iterator[Result]:
    """Results in one payload."""
    if isinstance(said, AxleTest):
        for moved in said.movements:
            yield _axle(entry, said, moved, street)
    elif area is not None and isinstance(said, DensityTest):
        yield _density(entry, said, area, street)
    elif area is not None and isinstance(said, TrayCheck) and said.caught_kg_m2 is not None:
        yield _tray(entry, said, area, street=street, ground=ground, laid=laid)


def _axle(entry: Entry, test: AxleTest, moved: Movement, street: Street) -> Result:
    """One stretch under the axle, against the limit agreed for the test, else the street's."""
    area = Area(moved.start_m, moved.end_m, moved.strips or tuple(strip.number for strip in street.strips))
    written = street.file.limits.axle_test_movement
    limit = test.limit_mm if test.limit_mm is not None else 1000 * written.value.value if written else None
    verdict: Verdict = "no limit"
    if moved.within_limit is not None:
        verdict = "inside" if moved.within_limit else "outside"
    elif limit is not None and moved.moved_mm is not None:
        verdict = "inside" if moved.moved_mm <= limit else "outside"
    owner = written.owner if written and test.limit_mm is None else ""
    return Result(entry.id, "axle test", area, entry.entered_at.at, moved.moved_mm, limit, "mm", verdict, owner)


def _density(entry: Entry, test: DensityTest, area: Area, street: Street) -> Result:
    """A density: only the treated curve is comparable to treated ground, unless the contract names the raw one."""
    written = street.file.limits.relative_compaction
    limit = written.value.value if written else None
    verdict: Verdict = "no limit"
    if test.reference.curve != (written.reference if written else "treated"):
        verdict = "not comparable"
    elif limit is not None:
        verdict = "inside" if test.relative_compaction >= limit else "outside"
    return Result(
        entry.id,
        "density",
        area,
        entry.entered_at.at,
        100 * test.relative_compaction,
        None if limit is None else 100 * limit,
        "%",
        verdict,
        written.owner if written else "",
    )


def _tray(entry: Entry, tray: TrayCheck, area: Area, *, street: Street, ground: Ground, laid: Laid) -> Result:
    """A tray against the rate the spreader was set to, else the instruction there."""
    rate = tray.rate_kg_m2
    if rate is None and area.point:
        rule = laid.get((ground.rows(area)[0], ground.columns(area)[0]))
        rate = rule.rate_kg_m2 if rule else None
    written = street.file.limits.rate_tolerance
    caught = tray.caught_kg_m2 or 0.0
    verdict: Verdict = "no limit"
    if rate and written:
        verdict = "inside" if abs(caught / rate - 1) <= written.value.value + _ROUNDING else "outside"
    owner = written.owner if written else ""
    return Result(entry.id, "tray check", area, entry.entered_at.at, caught, rate, "kg/m2", verdict, owner)


def after_bad(
    standing: tuple[Standing, ...],
    street: Street,
    ground: Ground,
    *,
    laid: Laid,
    events: tuple[Event, ...],
    blocks: dict[str, Reach],
) -> dict[str, str]:
    """Entries made after a result outside its limit at the same place, by id, with the entry of the first such result.

    The result counts as it was first written: a correction that makes it good is itself such an entry.
    """
    entries = [one.entry for one in standing]
    tests = [entry for entry in entries if type(_first_written(entry)) in TESTS]
    if not tests:
        return {}
    areas = {event.standing.entry.id: event.area for event in events}
    # what does not count lies where it was written
    areas.update((entry.id, ground.area(entry.place, blocks)) for entry in entries if entry.id not in areas)
    bad = _Bad()
    for entry in tests:
        area = areas[entry.id] or areas.get(entry.corrects or "")
        for result in _judged(entry, _first_written(entry), area, street=street, ground=ground, laid=laid):
            if result.verdict == "outside":
                bad.add(result)
    first = min((result.entered_at for result in bad.results), default=_NEVER)
    later = [entry for entry in entries if entry.entered_at.at > first]
    found = ((entry.id, bad.before(entry, areas[entry.id])) for entry in later)
    return {name: result for name, result in found if result}


def _first_written(entry: Entry) -> Payload:
    """Payload as it was written; that of a correction as what it puts in place."""
    said = entry.payload
    return said.payload if type(said) is Correction else said


@dataclass
class _Bad:
    """Results outside their limits, by where they start."""

    results: list[Result] = field(default_factory=list)
    starts: list[float] = field(default_factory=list)
    longest: float = 0.0

    def add(self, result: Result) -> None:
        """Take one more."""
        at = bisect_right(self.starts, result.area.start_m)
        self.starts.insert(at, result.area.start_m)
        self.results.insert(at, result)
        self.longest = max(self.longest, result.area.end_m - result.area.start_m)

    def before(self, entry: Entry, area: Area | None) -> str:
        """Entry of the first result that an entry was made after, at its place or because it mends it; empty where there is none."""
        near: list[Result] = []
        if area is not None:
            low, high = bisect_left(self.starts, area.start_m - self.longest), bisect_right(self.starts, area.end_m)
            near = self.results[low:high]
        if not near and not entry.corrects:
            return ""
        if entry.corrects:
            near = [*near, *(result for result in self.results if result.entry == entry.corrects)]
        earlier = [
            (result.entered_at, result.entry)
            for result in near
            if result.entered_at < entry.entered_at.at
            and result.entry != entry.id
            and (result.entry == entry.corrects or (area is not None and area.touches(result.area)))
        ]
        return min(earlier)[1] if earlier else ""
