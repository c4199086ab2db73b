"""The shift: every run of every machine by the time of day, clocks against the limits that are written, and the latest safe start.

Deterministic: durations as planned, each machine waiting for the one before it. Spreading starts as late as keeps the mixer moving.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from hardpan.laws import work
from hardpan.plan.blocks import Block, BlockPlan, Cut, longest_block
from hardpan.plan.cement import Cement, Fill
from hardpan.plan.durations import BlockDurations, PlainRuns, driving_minutes, follow_on
from hardpan.plan.supply import Supply
from hardpan.plan.water_supply import WaterSupply
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.figure import worked
from hardpan.street.model import ClockLimit
from hardpan.street.words import say_minutes

CLOCK_STARTS = ("cement on the ground", "first mix", "water")


@dataclass(frozen=True, slots=True)
class Run:
    """One machine at one block; ``start`` and ``end`` in minutes after midnight of the day."""

    block: int
    day: int
    machine: str
    work: str
    start: Figure
    end: Figure


@dataclass(frozen=True, slots=True)
class Clock:
    """Elapsed minutes from the event that starts a clock to the one that stops it; ``limit`` None where none is written."""

    block: int
    starts_with: str
    stops_with: str
    start: Figure
    stop: Figure
    elapsed: Figure
    limit: Figure | None
    owner: str
    source: str


@dataclass(frozen=True, slots=True)
class LatestStart:
    """Latest first mix of a block that closes before the day's end or rain with every block after it; minutes after midnight."""

    block: int
    day: int
    planned: Figure
    latest: Figure
    before: str


@dataclass(frozen=True, slots=True)
class Shift:
    """The day or days: blocks' runs in order of start, clocks, latest starts, the bottleneck."""

    block_length: Figure
    cuts: tuple[Cut, ...]
    blocks: tuple[Block, ...]
    runs: tuple[Run, ...]
    clocks: tuple[Clock, ...]
    latest_starts: tuple[LatestStart, ...]
    longest_block: Figure | None
    bottleneck: str
    bottleneck_minutes: Figure
    notices: tuple[Notice, ...]


def time_shift(street: Street, zones: tuple[Zone, ...], plan: BlockPlan, supply: Supply) -> Shift:
    """Times of the whole job."""
    timetable = _Timetable(street, zones, plan, supply.cement, supply.water)
    timetable.all_days()
    clocks = tuple(clock for block in plan.blocks for clock in _clocks(street, block, timetable))
    latest = _latest_starts(street, plan, timetable)
    machine, minutes = _bottleneck(plan)
    return Shift(
        block_length=plan.block_length,
        cuts=plan.cuts,
        blocks=plan.blocks,
        runs=tuple(sorted(timetable.runs, key=lambda run: (run.day, run.start.value, run.block))),
        clocks=clocks,
        latest_starts=latest,
        longest_block=longest_block(street, zones),
        bottleneck=machine,
        bottleneck_minutes=minutes,
        notices=(*_length_notice(street, plan, clocks), *plan.notices, *_notices(street, clocks, latest, timetable)),
    )


class _Timetable:
    """Runs block by block, day by day."""

    def __init__(
        self, street: Street, zones: tuple[Zone, ...], plan: BlockPlan, cement: Cement, water: WaterSupply
    ) -> None:
        self.street, self.zones, self.plan, self.cement, self.water = street, zones, plan, cement, water
        self.shift_start = street.file.shift.start.hour * 60 + street.file.shift.start.minute
        self.runs: list[Run] = []
        self.events: dict[int, dict[str, Figure]] = {}

    def all_days(self) -> None:
        """Every day in turn."""
        for day in sorted({block.day for block in self.plan.blocks}):
            self._day([block for block in self.plan.blocks if block.day == day])

    def _day(self, blocks: list[Block]) -> None:
        """One day: airing first, then the blocks in order."""
        mixer_free = self._air(blocks)
        spreader_free = float(self.shift_start)
        free = (float(self.shift_start),) * 3
        for i, block in enumerate(blocks):
            fills = self._fills_for(block, first=i == 0)
            spread_minutes = self._spread_minutes(block, fills, first=i == 0)
            ready = max(spreader_free, self._cement_at_hand(fills, block, first=i == 0)) + spread_minutes
            first_mix = max(mixer_free, ready)
            timed = replace(block, durations=_with_truck_changes(block, self.water, self.street))
            runs = follow_on(timed.durations, first_mix, free=free)
            self._note(timed, fills, (first_mix - spread_minutes, first_mix), runs)
            mixer_free = runs.wet_end + self.street.file.mixer.move.value
            spreader_free = first_mix
            free = (runs.padfoot[1], runs.grader[1], runs.smooth[1])

    def _air(self, blocks: list[Block]) -> float:
        """Airing of the day's soft ground where the soil says it is aired; gives the minute the mixer is free."""
        mixer, minute = self.street.file.mixer, float(self.shift_start)
        for block in blocks:
            aired = [
                s for s in block.mix if getattr(self.street.file.soil, self.zones[s.zone].soil).aired_from is not None
            ]
            if not aired:
                continue
            minutes = sum(
                float(work.mixing_time(s.length_m, mixer.dry_speed.value / 60, cuts=1, turn=mixer.turn.value * 60)) / 60
                for s in aired
            )
            self._add(block, ("mixer", "air, hood up"), (minute, minute + minutes), (mixer.dry_speed, mixer.turn))
            minute += minutes
        return minute

    def _fills_for(self, block: Block, *, first: bool) -> list[Fill]:
        """Fills taken in during or right before a block's spreading: the day's first, and one at each run-out in the block."""
        day = [fill for fill in self.cement.fills if fill.day == block.day]
        at = {out.fill: out.block for out in self.cement.run_outs if out.day == block.day}
        return [
            fill
            for i, fill in enumerate(day)
            if (i == 0 and first) or (i > 0 and at.get(day[i - 1].number) == block.number)
        ]

    def _fill_minutes(self, fill: Fill) -> float:
        """Coupling and transfer of one fill."""
        spreader = self.street.file.spreader
        seconds = work.transfer_time(
            fill.cement.value, spreader.transfer_rate.value / 60, coupling=spreader.coupling.value * 60
        )
        return float(seconds) / 60

    def _spread_minutes(self, block: Block, fills: list[Fill], *, first: bool) -> float:
        """Spreading of a block with the refills inside it; the day's first fill is made before it."""
        inside = fills[1:] if first else fills
        return block.durations.spread.value + sum(self._fill_minutes(fill) for fill in inside)

    def _cement_at_hand(self, fills: list[Fill], block: Block, *, first: bool) -> float:
        """Earliest minute that spreading may start so that no refill waits for its load."""
        loads = {load.number: load for load in self.cement.loads}
        earliest = float(self.shift_start)
        for i, fill in enumerate(fills):
            arrives = loads[fill.load].time_min
            if first and i == 0:
                earliest = max(earliest, arrives) + self._fill_minutes(fill)
            else:
                made = fills[1:] if first else fills
                earliest = max(earliest, arrives - self._minutes_to(block, made, fill))
        return earliest

    def _minutes_to(self, block: Block, fills: list[Fill], fill: Fill) -> float:
        """Minutes from the start of a block's spreading to the run-out before a fill: driving, strips done with, refills made."""
        out = next(out for out in self.cement.run_outs if out.fill == fill.number - 1)
        minutes = self.street.file.spreader.strip_time.value * (out.strip - 1)
        for segment in block.spread:
            if (segment.lane, segment.start_m) < (out.strip, out.station.value):
                end = min(segment.end_m, out.station.value) if segment.lane == out.strip else segment.end_m
                minutes += driving_minutes(self.street, end - segment.start_m, self.zones[segment.zone].rate.value)
        return minutes + sum(self._fill_minutes(each) for each in fills if each.number < fill.number)

    def _note(self, block: Block, fills: list[Fill], spreading: tuple[float, float], runs: PlainRuns) -> None:
        """Write down one block's runs, each following the one before it in the block and its machine's own last run."""
        durations, spreader = block.durations, self.street.file.spreader
        dry_runs = (*durations.dry, *((durations.extra,) if durations.extra else ()))
        filling = (*(fill.cement for fill in fills), spreader.transfer_rate, spreader.coupling) if fills else ()
        spread = self._add(block, ("spreader", "spread"), spreading, (durations.spread, *filling))
        dry = self._add(block, ("mixer", "dry mix"), (spreading[1], runs.dry_end), dry_runs)
        wet = self._add(block, ("mixer", "wet mix"), (runs.dry_end, runs.wet_end), (durations.wet,))
        padfoot = self._add(
            block, ("padfoot", "roll"), runs.padfoot, (durations.padfoot, durations.wet, durations.padfoot_after_wet)
        )
        self._add(block, ("grader", "trim, cut only"), runs.grader, (durations.grader,))
        smooth = self._add(
            block, ("smooth drum", "final rolling"), runs.smooth, (durations.smooth, durations.smooth_before)
        )
        self.events[block.number] = {
            "cement on the ground": spread.start,
            "first mix": dry.start,
            "water": wet.start,
            "padfoot starts": padfoot.start,
            "padfoot ends": padfoot.end,
            "final rolling ends": smooth.end,
        }

    def _add(
        self, block: Block, machine_and_work: tuple[str, str], times: tuple[float, float], inputs: tuple[Figure, ...]
    ) -> Run:
        """One run, written down."""
        machine, what = machine_and_work
        today = [run for run in self.runs if run.day == block.day]
        in_block = [run for run in today if run.block == block.number][-1:]
        of_machine = [run for run in today if run.machine == machine and run not in in_block][-1:]
        waits = tuple(
            replace(run.end, name=f"block {run.block}: {run.machine} ends {run.work}")
            for run in (*in_block, *of_machine)
        )
        begins = worked(
            f"{machine} starts to {what}", times[0], "min of day", *waits, *inputs,
            formula="when the run before it in the block allows (less the overlap they work in) and the machine is free",
        )  # fmt: skip
        ends = worked(
            f"{machine} ends",
            times[1],
            "min of day",
            begins,
            *inputs,
            formula="start + duration, never before the run it follows ends",
        )
        run = Run(block.number, block.day, machine, what, begins, ends)
        self.runs.append(run)
        return run


def _with_truck_changes(block: Block, water: WaterSupply, street: Street) -> BlockDurations:
    """Durations of a block with the coupling of every truck that changes inside its wet pass."""
    changes = next(each.truck_changes for each in water.blocks if each.block == block.number)
    if not changes:
        return block.durations
    coupling = street.file.water_truck.coupling
    number = Figure("truck changes", changes, "1", water.truck_loads.basis, "places where trucks empty in this block")
    plain = block.durations.wet
    wet = worked(
        "wet pass",
        plain.value + changes * coupling.value,
        "min",
        plain,
        number,
        coupling,
        formula="wet pass + truck changes x coupling",
    )
    return replace(block.durations, wet=wet)


def _clocks(street: Street, block: Block, timetable: _Timetable) -> list[Clock]:
    """Clocks of one block: every written one against its limit, and the elapsed time from each event that has none."""
    limits = street.file.limits.clock
    wanted: list[tuple[str, str, ClockLimit | None]] = [(limit.start, limit.stop, limit) for limit in limits]
    wanted += [
        (start, "final rolling ends", None)
        for start in CLOCK_STARTS
        if (start, "final rolling ends") not in {(a, b) for a, b, _ in wanted}
    ]
    clocks = []
    for starts_with, stops_with, limit in wanted:
        start, stop = timetable.events[block.number][starts_with], timetable.events[block.number][stops_with]
        elapsed = worked(
            "elapsed", stop.value - start.value, "min", start, stop, formula=f"{stops_with} - {starts_with}"
        )
        within = limit.within if limit else None
        clocks.append(
            Clock(
                block.number,
                starts_with,
                stops_with,
                start,
                stop,
                elapsed,
                within,
                limit.owner if limit else "",
                limit.source if limit else "",
            )
        )
    return clocks


def _latest_starts(street: Street, plan: BlockPlan, timetable: _Timetable) -> tuple[LatestStart, ...]:
    """Latest first mix of every block, so late only that it and every later block of its day still close."""
    starts: list[LatestStart] = []
    for block in reversed(plan.blocks):
        own = _latest(street, block, timetable)
        later = starts[-1] if starts and starts[-1].day == block.day else None
        if later is not None:
            gap = worked(
                "time to the next first mix",
                later.planned.value - own.planned.value,
                "min",
                own.planned,
                later.planned,
                formula="difference of the two",
            )
            bound = worked(
                "latest first mix",
                later.latest.value - gap.value,
                "min of day",
                later.latest,
                gap,
                formula="latest first mix of the next block - time to it",
            )
            if bound.value < own.latest.value:
                own = replace(own, latest=bound)
        starts.append(own)
    return tuple(reversed(starts))


def _latest(street: Street, block: Block, timetable: _Timetable) -> LatestStart:
    """Latest first mix of a block."""
    shift, rain = street.file.shift, street.file.weather.rain_from
    end, before = shift.end, "the end of the shift"
    if rain is not None and block.day == 1 and rain < end:
        end, before = rain, "rain"
    planned, closes = (timetable.events[block.number][name] for name in ("first mix", "final rolling ends"))
    needs = worked(
        "first mix to final rolling", closes.value - planned.value, "min", planned, closes,
        formula="final rolling ends - first mix",
    )  # fmt: skip
    close = Figure(f"before {before}", end.hour * 60 + end.minute, "min of day", Basis.STATED, "street.toml")
    latest = worked(
        "latest first mix",
        close.value - needs.value,
        "min of day",
        close,
        needs,
        formula="end - time from first mix to final rolling",
    )
    return LatestStart(block.number, block.day, planned, latest, before)


def _bottleneck(plan: BlockPlan) -> tuple[str, Figure]:
    """Machine that needs most time for the blocks together, and its minutes."""
    busy = {
        "spreader": [block.durations.spread for block in plan.blocks],
        "mixer": [
            figure
            for block in plan.blocks
            for figure in (
                *block.durations.dry,
                block.durations.wet,
                *((block.durations.extra,) if block.durations.extra else ()),
            )
        ],
        "padfoot": [block.durations.padfoot for block in plan.blocks],
        "grader": [block.durations.grader for block in plan.blocks],
        "smooth drum": [block.durations.smooth for block in plan.blocks],
    }
    machine = max(busy, key=lambda name: sum(figure.value for figure in busy[name]))
    minutes = worked(
        "bottleneck",
        sum(figure.value for figure in busy[machine]),
        "min",
        *busy[machine],
        formula="sum of its runs over all blocks",
    )
    return machine, minutes


def over_limit(clocks: tuple[Clock, ...]) -> tuple[Clock, ...]:
    """Clocks that pass their limit by more than rounding."""
    return tuple(each for each in clocks if each.limit is not None and each.elapsed.value > each.limit.value + 1e-6)


def _length_notice(street: Street, plan: BlockPlan, clocks: tuple[Clock, ...]) -> tuple[Notice, ...]:
    """How long the blocks are where the written clocks decide it."""
    if street.file.shift.block_length is not None or not street.file.limits.clock:
        return ()
    length = f"blocks of {plan.block_length.value:.0f} m"
    if over_limit(clocks):
        return (
            Notice("limit", f"{length}: no length closes every block inside the written clocks; add machines, or ask"),
        )
    return (Notice("limit", f"{length}: the longest that closes inside the written clocks"),)


def _notices(
    street: Street, clocks: tuple[Clock, ...], latest: tuple[LatestStart, ...], timetable: _Timetable
) -> tuple[Notice, ...]:
    """Clocks that pass a limit, blocks planned after their latest start; without written limits, that there are none."""
    notices = []
    for clock in over_limit(clocks):
        if clock.limit is not None:
            owner = clock.owner or "owner not said"
            message = f"{clock.elapsed.value:.0f} min from {clock.starts_with} to {clock.stops_with}: over the limit of {clock.limit.value:.0f} ({owner}, {clock.source or 'source not said'})"
            notices.append(
                Notice(
                    "limit",
                    message,
                    f"block {clock.block}",
                    f"{clock.elapsed.value:.0f} min",
                    f"{clock.limit.value:.0f} min",
                )
            )
    for start in latest:
        if start.planned.value > start.latest.value:
            late = say_minutes(start.planned.value - start.latest.value)
            notices.append(
                Notice("limit", f"planned {late} too late to close before {start.before}", f"block {start.block}")
            )
    if not street.file.limits.clock:
        notices.append(Notice("missing", "no time limit is written: elapsed times are shown, no alarm is raised"))
    if timetable.cement.fills and not street.file.limits.clock:
        notices.append(
            Notice("judgement", "in wet ground the cement is at work from the moment it lies: write the real times")
        )
    return tuple(notices)
