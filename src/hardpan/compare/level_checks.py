"""Levels: shaped ground and finished ground against design, and the rise between the same points before and after."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hardpan.compare.happened import Happened
from hardpan.compare.held import Bounds, Verdict, bounds, verdict
from hardpan.ledger import Event
from hardpan.ledger.ground import Area
from hardpan.ledger.working import Levels, PreGradeShots, Shot
from hardpan.plan.levels import DesignSurface, LowField
from hardpan.street import Basis, Figure
from hardpan.street.figure import worked
from hardpan.street.model import LengthLimit

_SAME_SPOT = 0.05  # metres: a rod set down within it stands on the same point (common practice, no source)


@dataclass(frozen=True, slots=True)
class LevelCheck:
    """One point: a level against design, or the rise since before; ``kind`` says which."""

    kind: str
    entry: str
    before: str
    station_m: float
    side_offset_m: float
    place: str
    zone: str
    block: str
    value: Figure
    wanted: Figure | None
    off: Figure | None
    limit: Bounds | None
    verdict: Verdict
    remark: str = ""


def level_checks(happened: Happened) -> tuple[LevelCheck, ...]:
    """Every shot that can be held against something, in order of happening."""
    design = _Design(happened)
    before: list[tuple[Event, Shot]] = []
    found: list[LevelCheck] = []
    for event in happened.state.events:
        said = event.payload
        if isinstance(said, PreGradeShots) or (isinstance(said, Levels) and said.stage == "before spreading"):
            before += [(event, shot) for shot in said.shots]
            found += [design.pre_grade(event, shot) for shot in said.shots if design.comparable(shot)]
        elif isinstance(said, Levels) and said.stage == "after final rolling":
            found += [design.finished(event, shot) for shot in said.shots if design.comparable(shot)]
            found += _rises(design, event, before=before)
    return tuple(found)


def _rises(design: _Design, event: Event, *, before: list[tuple[Event, Shot]]) -> Iterator[LevelCheck]:
    """Rise at every point that was shot before spreading too; what the trim took off counts as risen."""
    said = event.payload
    if not isinstance(said, Levels):
        return
    for shot in said.shots:
        earlier = [(one, old) for one, old in before if _same_spot(old, shot) and one.at < event.at]
        if not earlier:
            continue
        first, old = earlier[-1]
        levels = _level(old, "level before"), _level(shot, "level after")
        trim = Figure("trimmed off", (said.trimmed_mm or 0.0) / 1000, "m", Basis.STATED, "entry")
        told = said.trimmed_mm is not None
        value = worked(
            "rise", levels[1].value - levels[0].value + trim.value, "m", *levels, *((trim,) if told else ()),
            formula="level after - level before + trimmed off", source="levels of the same point",
        )  # fmt: skip
        remark = "" if told else "what was trimmed off is not recorded: it is taken as none"
        yield design.check("rise", event, shot, value=value, wanted=design.rise(shot), before=first.id, remark=remark)


def _same_spot(one: Shot, other: Shot) -> bool:
    """Whether two shots stand on one point and are read in one way."""
    near = (
        abs(one.station_m - other.station_m) <= _SAME_SPOT
        and abs(one.side_offset_m - other.side_offset_m) <= _SAME_SPOT
    )
    return near and (one.level_m is None) == (other.level_m is None)


def _level(shot: Shot, name: str) -> Figure:
    """Level of a shot; what is read down from something lies below it."""
    if shot.level_m is not None:
        return Figure(name, shot.level_m, "m", Basis.MEASURED, "shot")
    return Figure(name, -(shot.down_mm or 0.0) / 1000, "m", Basis.MEASURED, "taped down")


class _Design:
    """Wanted levels anywhere, in the reference of the street's plan."""

    def __init__(self, happened: Happened) -> None:
        self.happened, plan = happened, happened.plan
        self.surface = DesignSurface(plan.street)
        self.field = LowField(plan.street, plan.zones, tuple(balance.low for balance in plan.balance))

    def comparable(self, shot: Shot) -> bool:
        """Whether the plan's levels are read as the shot was, and the point lies on the street."""
        street, reference = self.happened.plan.street, self.surface.reference
        on = street.stationing.first <= shot.station_m <= street.stationing.last
        return on and reference != "design" and (reference == "datum") == (shot.level_m is not None)

    def design(self, shot: Shot) -> Figure:
        """Design level at a shot."""
        value = float(self.surface.at([shot.station_m], shot.side_offset_m)[0])
        return Figure(
            "design level", value, "m", self.surface.basis, f"design line and crossfall, {self.surface.reference}"
        )

    def rise(self, shot: Shot) -> Figure | None:
        """Rise that the plan reckoned with in the zone of a shot."""
        zone = self._zone(shot)
        return next((each.rise for each in self.happened.plan.balance if each.zone == zone), None)

    def pre_grade(self, event: Event, shot: Shot) -> LevelCheck:
        """Shaped ground against the pre-grade level."""
        low, design = self.field.at(shot.station_m, shot.side_offset_m), self.design(shot)
        wanted = worked("pre-grade level", design.value - low.value, "m", design, low, formula="design level - low")
        value = _level(shot, "level of the shaped ground")
        return self.check(
            "pre-grade level", event, shot, value=value, wanted=wanted,
            written=self.happened.plan.street.file.limits.pre_grade_tolerance,
        )  # fmt: skip

    def finished(self, event: Event, shot: Shot) -> LevelCheck:
        """Finished ground against the design level."""
        value = _level(shot, "finished level")
        return self.check(
            "finished level", event, shot, value=value, wanted=self.design(shot),
            written=self.happened.plan.street.file.limits.level_tolerance,
        )  # fmt: skip

    def check(
        self,
        kind: str,
        event: Event,
        shot: Shot,
        *,
        value: Figure,
        wanted: Figure | None,
        written: LengthLimit | None = None,
        before: str = "",
        remark: str = "",
    ) -> LevelCheck:
        """One point held against what is wanted there."""
        off, limit = None, None
        if wanted is not None:
            off = worked(f"{kind} off", value.value - wanted.value, "m", value, wanted, formula="found - wanted")
        if written is not None:
            least = worked("least", -written.value.value, "m", written.value, formula="- tolerance")
            limit = bounds(written, low=least, high=written.value)
        return LevelCheck(
            kind, event.id, before, shot.station_m, shot.side_offset_m,
            f"{self.happened.plan.street.painted(shot.station_m)}, {_side(shot)}",
            self._zone(shot), event.block or self._block(shot), value, wanted, off, limit, verdict(off, limit), remark,
        )  # fmt: skip

    def _area(self, shot: Shot) -> Area:
        """Point of a shot, on the strip that holds its side offset."""
        strips = self.happened.plan.street.strips
        inside = min(strips, key=lambda strip: max(strip.left - shot.side_offset_m, shot.side_offset_m - strip.right))
        return Area(shot.station_m, shot.station_m, (inside.number,))

    def _zone(self, shot: Shot) -> str:
        """Zone that a shot stands in."""
        return next(iter(self.happened.zones(self._area(shot))), "")

    def _block(self, shot: Shot) -> str:
        """Block that a shot stands in; empty where none holds it."""
        reaches = self.happened.state.blocks.items()
        holding = [(end - start, name) for name, (start, end) in reaches if start <= shot.station_m <= end]
        return min(holding)[1] if holding else ""


def _side(shot: Shot) -> str:
    """Side offset in words: ``left 4.5 m``, ``centre``."""
    if shot.side_offset_m == 0:
        return "centre"
    return f"{'left' if shot.side_offset_m < 0 else 'right'} {abs(shot.side_offset_m):g} m"
