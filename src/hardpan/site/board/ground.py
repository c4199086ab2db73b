"""What lies on the ground now: every spread piece with the last thing that was done on it, and where a machine is said to be at work."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

from hardpan.compare.ground_left import SLIVER_M
from hardpan.compare.happened import Happened
from hardpan.exchange.drawing.street_rows import Span, rectangles
from hardpan.ledger import Event
from hardpan.ledger.ground import Area
from hardpan.ledger.progress import BayState
from hardpan.ledger.reckoning import merged
from hardpan.ledger.supplying import SpreadRun
from hardpan.ledger.working import MixingPass, Rolling

Kind = Literal["spread", "dry", "wet", "feet", "trimmed", "rolled", "closed"]
MOST_UPRIGHTS = 3  # of a dry pass, as it is drawn


class Stage(NamedTuple):
    """The last thing done on a piece of ground; ``number`` of the dry pass, ``off`` where the water was shut."""

    kind: Kind
    number: int = 0
    off: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """A rectangle of strips at one stage; ``now`` where a machine is said to be at work on it."""

    stage: Stage
    start_m: float
    end_m: float
    first_strip: int
    last_strip: int
    now: bool = False

    @property
    def strips(self) -> tuple[int, ...]:
        """Its strips."""
        return tuple(range(self.first_strip, self.last_strip + 1))


def pieces(happened: Happened) -> tuple[Piece, ...]:
    """Spread ground as it lies, strips side by side at one stage together; nothing where no cement lies."""
    alike: dict[Stage, list[tuple[int, Span]]] = defaultdict(list)
    for strip in happened.widths:
        for stage, start, end in _joined(_on_strip(happened, strip)):
            alike[stage].append((strip, Span(start, end)))
    found = [Piece(stage, *box) for stage, parts in alike.items() for box in rectangles(parts)]
    return tuple(sorted(found, key=lambda piece: (piece.start_m, piece.first_strip, piece.end_m)))


def at_work(happened: Happened) -> tuple[Piece, ...]:
    """Where a machine is said to be at work and nobody has said that it is done there."""
    found = []
    for event in happened.state.events:
        stage = _begun(event)
        if stage is None or event.ended is not None or event.area is None or event.area.point:
            continue
        done = {strip for other in happened.state.events if _ends(other, event, stage) for strip in _strips(other)}
        left = [(strip, Span(event.area.start_m, event.area.end_m)) for strip in event.area.strips if strip not in done]
        found += [Piece(stage, *box, now=True) for box in rectangles(left)]
    return tuple(dict.fromkeys(found))


def _on_strip(happened: Happened, strip: int) -> Iterator[tuple[Stage, float, float]]:
    """Spread pieces of one strip, cut where a bay or a run ends, up-station."""
    bays = [bay for bay in happened.state.bays if bay.strip == strip]
    laid = merged(run.area[:2] for run in happened.state.runs if strip in run.area.strips)
    starts = [bay.start_m for bay in bays]
    for low, high in laid:
        edges = {low, high} | {start for start in starts if low < start < high}
        for start, end in pairwise(sorted(edges)):
            if end - start > SLIVER_M:
                yield stage_of(bays[max(bisect_right(starts, (start + end) / 2) - 1, 0)]), start, end


def stage_of(bay: BayState) -> Stage:
    """Last thing done on a bay that is spread."""
    if bay.closed:
        return Stage("closed")
    if bay.rolled:
        return Stage("rolled")
    if bay.trimmed:
        return Stage("trimmed")
    if bay.padfoot or bay.walked_out:
        return Stage("feet")
    if bay.wet_passes:
        return Stage("wet", off=bay.water == "off")
    return Stage("dry", bay.dry_passes) if bay.dry_passes else Stage("spread")


def _joined(parts: Iterator[tuple[Stage, float, float]]) -> list[tuple[Stage, float, float]]:
    """Neighbours at one stage as one."""
    found: list[tuple[Stage, float, float]] = []
    for stage, start, end in parts:
        if found and found[-1][0] == stage and start - found[-1][2] <= SLIVER_M:
            found[-1] = stage, found[-1][1], end
        else:
            found.append((stage, start, end))
    return found


def _begun(event: Event) -> Stage | None:
    """Stage that an event's work leads to; None for what is not drawn."""
    said = event.payload
    if isinstance(said, SpreadRun):
        return Stage("spread")
    if isinstance(said, MixingPass):
        return {"dry": Stage("dry", said.number), "wet": Stage("wet", off=said.setting == "off")}.get(said.mixed)
    kinds: dict[str, Kind] = {"padfoot": "feet", "trim": "trimmed", "smooth": "rolled", "final": "rolled"}
    return Stage(kinds[said.rolled]) if isinstance(said, Rolling) else None


def _ends(other: Event, begun: Event, stage: Stage) -> bool:
    """Whether an event says that work which was under way is done, on its own strips."""
    own = _begun(other)
    same = own is not None and (own.kind, own.number) == (stage.kind, stage.number) and other.block == begun.block
    return same and other.ended is not None and other.ended >= begun.began


def _strips(event: Event) -> tuple[int, ...]:
    """Strips of an event."""
    area: Area | None = event.area
    return area.strips if area else ()
