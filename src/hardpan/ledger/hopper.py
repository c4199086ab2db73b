"""What the hopper laid: fills, runs and run-outs walked in order, every stretch of ground with the mass that is known to lie on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from hardpan.ledger.ground import Area
from hardpan.ledger.placed import Event, of
from hardpan.ledger.supplying import DeliveryTicket, RateChange, RunOut, SpreaderFill, SpreadRun
from hardpan.street.figure import Notice

_CLOSE_KG = 50.0  # a hopper's scale reads no closer (common practice, no source): masses that differ less agree


@dataclass(frozen=True, slots=True)
class Run:
    """Cement laid on a stretch; parts of a run that the hopper ran out on are runs of their own."""

    entry: str
    block: str
    area: Area
    began: dt.datetime
    ended: dt.datetime
    rate_kg_m2: float | None
    kg: float | None
    left_kg: float | None
    by_hand: bool


@dataclass(frozen=True, slots=True)
class Laid:
    """Runs that one known mass lies on: weighed, or what the hopper gave between two moments when its content was known."""

    kg: float
    runs: tuple[Run, ...]
    weighed: bool


@dataclass(frozen=True, slots=True)
class Hopper:
    """All that was laid; ``open_runs`` since the content was last known, and that content as far as runs were weighed."""

    laid: tuple[Laid, ...]
    open_runs: tuple[Run, ...]
    content_kg: float
    filled_kg: float
    notices: tuple[Notice, ...]


def runs_of(events: Iterable[Event]) -> tuple[Run, ...]:
    """Finished runs by the hopper or by hand, cut where the rate was changed and where the hopper ran out on them."""
    events = tuple(events)
    spots = [(event.area, event.at) for event, _ in of(RunOut, events) if event.area is not None]
    changes = [(event.area, event.at, said) for event, said in of(RateChange, events) if event.area is not None]
    runs: list[Run] = []
    for event, said in of(SpreadRun, events):
        if event.area is None or event.ended is None or event.area.point:
            continue
        area, began, ended = event.area, event.began, event.ended
        run = Run(event.id, event.block, area, began, ended, said.rate_kg_m2, said.kg, said.left_kg, said.by == "hand")
        whole = said.kg is not None or len(area.strips) > 1
        runs.extend([run] if whole else [part for one in _rated(run, changes) for part in _cut(one, spots)])
    return tuple(sorted(runs, key=lambda run: (run.ended, run.began, run.entry, run.area.start_m)))


def _on(run: Run, area: Area, at: dt.datetime) -> bool:
    """Whether a spot lies inside a run on one strip, and was told of before the run ended."""
    return area.strips == run.area.strips and run.area.start_m < area.start_m < run.area.end_m and at <= run.ended


def _rated(run: Run, changes: list[tuple[Area, dt.datetime, RateChange]]) -> list[Run]:
    """Parts of a run of no one rate, each at the rate that the changes on it tell."""
    on_it = sorted((area.start_m, said) for area, at, said in changes if _on(run, area, at))
    if run.rate_kg_m2 is not None or not on_it:
        return [run]
    parts, start, rate = [], run.area.start_m, on_it[0][1].from_kg_m2
    for station, said in [*on_it, (run.area.end_m, None)]:
        left = None if said else run.left_kg
        parts.append(replace(run, area=Area(start, station, run.area.strips), rate_kg_m2=rate, left_kg=left))
        start, rate = station, said.rate_kg_m2 if said else None
    return parts


def _cut(run: Run, spots: list[tuple[Area, dt.datetime]]) -> list[Run]:
    """Parts of a run between the stations where the hopper ran out on it."""
    parts, start, began = [], run.area.start_m, run.began
    for station, at in sorted((area.start_m, at) for area, at in spots if _on(run, area, at)):
        area = Area(start, station, run.area.strips)
        parts.append(replace(run, area=area, began=min(began, at), ended=at, left_kg=None))
        start, began = station, at
    return [*parts, replace(run, area=Area(start, run.area.end_m, run.area.strips), began=began)]


def walk_hopper(events: tuple[Event, ...], runs: tuple[Run, ...]) -> Hopper:
    """Mass on every stretch, from fills, weighed runs, readings and run-outs in order of happening."""
    walk = _Walk()
    steps: list[tuple[dt.datetime, int, str, object]] = []
    # at one instant: what was laid, then that it ran out, then what came in
    steps += [(run.ended, 0, f"{run.entry} {run.area.start_m:015.3f}", run) for run in runs if not run.by_hand]
    steps += [(event.at, 1, event.id, event) for event, _ in of(RunOut, events)]
    steps += [(event.at, 2, event.id, said) for event, said in of(SpreaderFill, events) if event.ended is not None]
    for _, _, _, step in sorted(steps, key=lambda one: one[:3]):
        if isinstance(step, Run):
            walk.run(step)
        elif isinstance(step, SpreaderFill):
            walk.fill(step)
        else:
            walk.known(0.0, "the hopper ran out")
    return Hopper(tuple(walk.laid), tuple(walk.open), walk.content, walk.filled, tuple(walk.notices))


@dataclass
class _Walk:
    """The hopper's content, less the runs since it was last known that nobody weighed."""

    content: float = 0.0
    filled: float = 0.0
    open: list[Run] = field(default_factory=list)
    laid: list[Laid] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)

    def run(self, run: Run) -> None:
        """A run: weighed, or open until the content is known again."""
        if run.kg is None:
            self.open.append(run)
        else:
            self.content -= run.kg
            self.laid.append(Laid(run.kg, (run,), weighed=True))
        if run.left_kg is not None:
            self.known(run.left_kg, "what was read after a run")

    def fill(self, fill: SpreaderFill) -> None:
        """Cement in; where only the content afterwards was said, what came in is what is missing to it."""
        if fill.added_kg is not None:
            self.filled += fill.added_kg
            self.content += fill.added_kg
            if fill.hopper_kg is not None:
                self.known(fill.hopper_kg, "what was read after a fill")
            return
        after = fill.hopper_kg or 0.0
        if self.open:
            message = (
                f"the fill says {after:.0f} kg in the hopper and not what came in: what lay before it is not known"
            )
            self.notices.append(Notice("missing", message))
            self.open.clear()
        else:
            self.filled += max(after - self.content, 0.0)
        self.content = after

    def known(self, content: float, how: str) -> None:
        """The content is known: what is missing from it lies on the open runs."""
        gone = self.content - content
        if self.open and gone > 0:
            self.laid.append(Laid(gone, tuple(self.open), weighed=False))
        elif abs(gone) > _CLOSE_KG:
            message = f"{how} says {content:.0f} kg in the hopper, fills less runs say {self.content:.0f}"
            self.notices.append(Notice("conflict", message, value=f"{content:.0f} kg", limit=f"{self.content:.0f} kg"))
        self.open.clear()
        self.content = content


def delivered_kg(events: Iterable[Event]) -> float:
    """Sum of the tickets' net weights."""
    return sum((ticket.net_kg for _, ticket in of(DeliveryTicket, events)), 0.0)
