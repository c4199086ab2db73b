"""What is still to do on the plan's blocks: ground left by kind of work, in the plan's order of work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from hardpan.compare.happened import Happened
from hardpan.ledger.ground import Area
from hardpan.ledger.progress import BayState
from hardpan.ledger.reckoning import merged
from hardpan.plan.blocks import Block

STAGES = ("spread", "dry", "wet", "padfoot", "grader", "smooth")
DONE = 0.005  # share: less is the wheel of the tape
SLIVER_M = 0.05  # metres: a shorter remainder is the wheel of the tape


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of one strip still to spread, at the rate that is in force there."""

    block: int
    strip: int
    start_m: float
    end_m: float
    rate_kg_m2: float


def to_spread(happened: Happened, block: Block) -> tuple[Stretch, ...]:
    """Ground of a block that no cement lies on, strip by strip up-station, cut where the rate changes."""
    laid: dict[int, list[tuple[float, float]]] = {}
    for run in happened.state.runs:
        for strip in run.area.strips:
            laid.setdefault(strip, []).append((run.area.start_m, run.area.end_m))
    for one in unfinished(happened):
        laid.setdefault(one.strip, []).append((one.start_m, one.end_m))
    found = [
        Stretch(block.number, bay.strip, start, end, bay.instructed_kg_m2)
        for bay, low, high in happened.bays_under(whole(happened, block))
        if bay.instructed_kg_m2
        for start, end in _gaps(low, high, laid.get(bay.strip, ()))
    ]
    return _joined(found)


def _joined(stretches: list[Stretch]) -> tuple[Stretch, ...]:
    """Stretches in order, those that go on at one rate made one."""
    found: list[Stretch] = []
    for one in stretches:
        last = found[-1] if found else None
        if last and (last.strip, last.end_m, last.rate_kg_m2) == (one.strip, one.start_m, one.rate_kg_m2):
            found[-1] = replace(last, end_m=one.end_m)
        else:
            found.append(one)
    return tuple(found)


def unfinished(happened: Happened) -> tuple[Stretch, ...]:
    """Ground that a run lies on which nobody has entered yet: from its block's start, or the last run, to where the hopper ran out on it."""
    found = []
    for _, area in happened.state.run_outs:
        block = next((one for one in happened.plan.shift.blocks if one.start_m < area.start_m <= one.end_m), None)
        if block is None or len(area.strips) != 1:
            continue
        before = Area(block.start_m, area.start_m, area.strips)
        runs = [run.area for run in happened.state.runs if run.area.touches(before)]
        start = max([block.start_m, *(run.end_m for run in runs if run.start_m < area.start_m)])
        if area.start_m - start > SLIVER_M:
            for bay, low, high in happened.bays_under(Area(start, area.start_m, area.strips)):
                found.append(Stretch(block.number, bay.strip, low, high, bay.instructed_kg_m2 or 0.0))
    return tuple(found)


def _gaps(low: float, high: float, covered: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Parts of a stretch that nothing covers."""
    found, at = [], low
    for start, end in merged((s, e) for s, e in covered if e > low and s < high):
        if start - at > SLIVER_M:
            found.append((at, start))
        at = max(at, end)
    if high - at > SLIVER_M:
        found.append((at, high))
    return found


def share_left(happened: Happened, block: Block) -> dict[str, float]:
    """Share of every kind of work that a block still needs, 0 to 1."""
    bays = [
        (bay, (high - low) * happened.widths[bay.strip])
        for bay, low, high in happened.bays_under(whole(happened, block))
    ]
    size = sum(part for _, part in bays)
    lay = sum((one.end_m - one.start_m) * happened.widths[one.strip] for one in to_spread(happened, block))
    passes = [(part, bay.dry_passes, dry_passes(happened, bay)) for bay, part in bays]
    wanted = sum(part * needed for part, _, needed in passes)
    mixed = sum(part * min(done, needed) for part, done, needed in passes)
    done = {
        "wet": sum(part for bay, part in bays if bay.wet_passes),
        "padfoot": sum(part for bay, part in bays if bay.padfoot),
        "grader": sum(part for bay, part in bays if bay.trimmed),
        "smooth": sum(part for bay, part in bays if bay.rolled),
    }
    return {"spread": lay / size, "dry": 1 - mixed / wanted} | {stage: 1 - part / size for stage, part in done.items()}


def dry_passes(happened: Happened, bay: BayState) -> int:
    """Dry passes that the plan wants on a bay: more in soft ground."""
    mixer = happened.plan.street.file.mixer
    soft = {zone.name for zone in happened.plan.zones if zone.soil == "soft"}
    return mixer.dry_passes_soft if bay.zone in soft else mixer.dry_passes


def whole(happened: Happened, block: Block) -> Area:
    """All ground of a block."""
    return Area(block.start_m, block.end_m, tuple(happened.widths))
