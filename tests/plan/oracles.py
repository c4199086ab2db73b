"""What a plan must say, worked out a second time from the words of the trade and sharing no code with it.

The order of work: block by block up-station; in a block strips 1, 2, 3 in turn, each up-station; the hopper refilled where it runs out, to
the brim before the first block of a day or with the rest of the load; a load stays on its day.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from itertools import count, pairwise
from typing import Any

from hardpan.plan import Plan
from tests.plan.random_streets import Said, Written

EPS = 1e-6  # kilograms and litres


@dataclass(frozen=True)
class Stretch:
    """A stretch of one strip or cut under one instruction."""

    lane: int
    start: float
    end: float
    said: Said

    @property
    def length(self) -> float:
        return self.end - self.start


@dataclass
class Filling:
    """One fill: kilograms taken, from which load, and where the one before it ran out."""

    block: int | None
    kilograms: float
    load: int
    in_hopper: float
    lane: int = 0
    station: float = math.nan


@dataclass
class Walked:
    """What the walk of one spreader, or of the water trucks, found."""

    run_outs: list[tuple[int, int, float]] = field(default_factory=list)  # block, lane, station
    fills: list[Filling] = field(default_factory=list)
    bare: list[tuple[int, float, float, float]] = field(default_factory=list)  # lane, start, end, kilograms
    left: float = 0.0


class Facts:
    """A random street and its plan, in plain numbers."""

    def __init__(self, written: Written, plan: Plan) -> None:
        self.written, self.plan, self.file = written, plan, plan.street.file
        self.strip_width = written.width / written.strips
        self.blocks = [(block.number, block.day, block.start_m, block.end_m) for block in plan.shift.blocks]
        self.days = sorted({day for _, day, _, _ in self.blocks})
        self.litres = {balance.zone: balance.water.value for balance in plan.balance}
        self.lows = {balance.zone: balance.low.value for balance in plan.balance}

    def stretches(self, lane: int, strip: int, start: float, end: float) -> list[Stretch]:
        """Stretches of a lane that lies on a strip, neighbours under one instruction joined."""
        found: list[Stretch] = []
        for a, b in pairwise(self.written.edges(start, end)):
            said = self.written.in_force(strip, (a + b) / 2)
            if found and found[-1].said == said:
                found[-1] = Stretch(lane, found[-1].start, b, said)
            else:
                found.append(Stretch(lane, a, b, said))
        return found

    def strips(self, start: float, end: float) -> list[Stretch]:
        """Stretches of all strips of a block, in working order."""
        lanes = range(1, self.written.strips + 1)
        return [one for strip in lanes for one in self.stretches(strip, strip, start, end)]

    def cut_widths(self) -> list[tuple[float, float]]:
        """Place of the middle of every mixer cut from the left edge, and the width the bar wets."""
        mixer, width = self.file.mixer, self.written.width
        drum, least = mixer.drum.value, mixer.least_overlap.value
        if width <= drum + 1e-9:
            return [(width / 2, width if mixer.overlap_nozzles_shut else mixer.wetting.value)]
        number = math.ceil((width - least) / (drum - least) - 1e-9)
        lap = (number * drum - width) / (number - 1)
        nets = [drum if i == 0 else drum - lap for i in range(number)]
        return [
            (i * (drum - lap) + drum / 2, nets[i] if mixer.overlap_nozzles_shut else mixer.wetting.value)
            for i in range(number)
        ]

    def cuts(self, start: float, end: float) -> list[Stretch]:
        """Stretches of all mixer cuts of a block, in working order."""
        found = []
        for i, (middle, _) in enumerate(self.cut_widths()):
            strip = min(int(middle / self.strip_width + 1e-9), self.written.strips - 1) + 1
            found += self.stretches(i + 1, strip, start, end)
        return found

    def is_soft(self, said: Said) -> bool:
        """Whether a zone counts as soft ground."""
        return (said.soil or ("soft" if self.file.soil.wet or said.rate >= 20 else "firm")) == "soft"

    def aired(self, said: Said) -> bool:
        """Whether a zone's soil is aired first."""
        return (self.file.soil.soft if self.is_soft(said) else self.file.soil.firm).aired_from is not None

    @property
    def lays(self) -> float:
        """What the spreader lays over the rate."""
        cement = self.file.cement
        return 1 + (cement.spread_allowance or cement.order_allowance).value


def walk_spreader(facts: Facts) -> Walked:
    """The spreader's days, kilogram by kilogram."""
    walked = Walked()
    loads = {load.number: [load.day, load.cement.value] for load in facts.plan.supply.cement.loads}
    hopper = facts.file.spreader.hopper.value
    for day in facts.days:
        said = [fill.cement for fill in facts.file.cement.fill if fill.day == day]
        work = [(block, one) for block, on, a, b in facts.blocks if on == day for one in facts.strips(a, b)]
        wanting = sum(one.length * one.said.rate for _, one in work) * facts.strip_width * facts.lays
        taken = 0

        def take(held: float, said: list[Any] = said, day: int = day) -> Filling | None:
            """Next fill of the day; None where there is no cement or no room."""
            nonlocal taken
            load = next((number for number, (on, left) in loads.items() if on == day and left > EPS), None)
            if load is None or (said and taken == len(said)):
                return None
            asked = said[taken] if said else "brim"
            amount = hopper - held if isinstance(asked, str) else asked.value
            amount = min(amount, loads[load][1])
            if amount <= 0:
                return None
            taken += 1
            loads[load][1] -= amount
            return Filling(None, amount, load, held + amount)

        held = walked.left
        if wanting > held + EPS and (fill := take(held)):
            walked.fills.append(fill)
            held = fill.in_hopper
        empty = held <= 0
        for block, one in work:
            at, per_metre = one.start, one.said.rate * facts.strip_width * facts.lays
            while per_metre > 0 and not empty and held < (one.end - at) * per_metre + EPS / 10:
                if wanting - held <= EPS:
                    break  # the last kilogram of the day
                at, wanting = at + held / per_metre, wanting - held
                walked.run_outs.append((block, one.lane, at))
                held = 0.0
                if fill := take(0.0):
                    fill.block, fill.lane, fill.station = block, one.lane, at
                    walked.fills.append(fill)
                    held = fill.in_hopper
                else:
                    empty = True
            if empty and per_metre > 0 and one.end - at > 1e-9:
                walked.bare.append((one.lane, at, one.end, (one.end - at) * per_metre))
            elif per_metre > 0:
                used = (one.end - at) * per_metre
                held, wanting = max(held - used, 0.0), wanting - used
        walked.left = held
    return walked


def walk_trucks(facts: Facts) -> Walked:
    """The water trucks' days, litre by litre: each runs dry where it is, or tops up between blocks."""
    walked, volume = Walked(), facts.file.water_truck.volume.value
    widths = [wetted for _, wetted in facts.cut_widths()]
    work = [(block, day, one) for block, day, a, b in facts.blocks for one in facts.cuts(a, b)]
    stage, held, wanting = None, 0.0, 0.0
    for block, day, one in work:
        now = block if facts.file.water_truck.tops_up_between_blocks else -day
        if now != stage:
            stage, held = now, volume
            wanting = sum(
                other.length * facts.litres[other.said.zone] * widths[other.lane - 1]
                for number, on, other in work
                if now in (number, -on)
            )
        at, per_metre = one.start, facts.litres[one.said.zone] * widths[one.lane - 1]
        while per_metre > 0 and held < (one.end - at) * per_metre + EPS and wanting - held > EPS:
            at, wanting = at + held / per_metre, wanting - held
            walked.run_outs.append((block, one.lane, at))
            held = volume
        held, wanting = held - (one.end - at) * per_metre, wanting - (one.end - at) * per_metre
    return walked


# a small simulation of a day: machines are processes, one event after the other


@dataclass
class Gate:
    """Something that happens once; processes may wait for it."""

    at: float | None = None
    waiting: list[Process] = field(default_factory=list)


Process = Generator["float | Gate", None, None]


class Day:
    """Event list of one day."""

    def __init__(self, start: float) -> None:
        self.now = start
        self.events: list[tuple[float, int, Process]] = []
        self.order = count()

    def begin(self, process: Process) -> None:
        heapq.heappush(self.events, (self.now, next(self.order), process))

    def fire(self, gate: Gate) -> None:
        gate.at = self.now
        for process in gate.waiting:
            self.begin(process)

    def run(self) -> None:
        while self.events:
            self.now, _, process = heapq.heappop(self.events)
            wish = next(process, None)
            if isinstance(wish, Gate):
                if wish.at is None:
                    wish.waiting.append(process)
                else:
                    self.begin(process)
            elif wish is not None:
                heapq.heappush(self.events, (max(wish, self.now), next(self.order), process))


Times = dict[tuple[int, str, str], tuple[float, float]]


@dataclass
class Durations:
    """Minutes of one block, from areas, lengths and speeds."""

    spread: list[tuple[float, Filling | None]]  # minutes of driving and turning, then the refill they end in
    dry: float
    wet: float
    padfoot: float
    grader: float
    smooth: float
    air: float


def block_durations(
    facts: Facts, number: int, ends: tuple[float, float], walked: Walked, *, trucks: Walked
) -> Durations:
    """Durations of one block."""
    start, end = ends
    mixer, rolling, length = facts.file.mixer, facts.file.rolling, end - start
    cuts, area = facts.cuts(start, end), (end - start) * facts.written.width
    soft = [one for one in cuts if facts.is_soft(one.said)]
    passes = len(facts.cut_widths()) * (length / mixer.dry_speed.value + mixer.turn.value)
    slower = 1 / mixer.first_speed_soft.value - 1 / mixer.dry_speed.value
    dry = mixer.dry_passes * passes + slower * sum(one.length for one in soft)
    more = max(mixer.dry_passes_soft - mixer.dry_passes, 0)
    dry += more * sum(one.length / mixer.dry_speed.value + mixer.turn.value for one in soft)
    changes = sum(1 for block, _, _ in trucks.run_outs if block == number)
    wet = len(facts.cut_widths()) * (length / mixer.wet_speed.value + mixer.turn.value)
    aired = [one for one in cuts if facts.aired(one.said)]
    return Durations(
        spread=list(_spreading(facts, number, ends, walked)),
        dry=dry,
        wet=wet + changes * facts.file.water_truck.coupling.value,
        padfoot=60 * area / rolling.padfoot_rate.value,
        grader=60 * area / rolling.grader_rate.value,
        smooth=60 * area / rolling.smooth_rate.value,
        air=sum(one.length / mixer.dry_speed.value + mixer.turn.value for one in aired),
    )


def _spreading(
    facts: Facts, number: int, ends: tuple[float, float], walked: Walked
) -> Iterator[tuple[float, Filling | None]]:
    """Minutes of driving up to each refill of a block, and from the last to the end."""
    spreader = facts.file.spreader
    refills = [fill for fill in walked.fills if fill.block == number]
    minutes = 0.0
    for strip in range(1, facts.written.strips + 1):
        for one in facts.stretches(strip, strip, *ends):
            at = one.start
            rate = one.said.rate
            speed = (
                min(spreader.top_speed.value, spreader.discharge.value / (rate * facts.strip_width))
                if rate
                else math.inf
            )
            while refills and refills[0].lane == strip and at - 1e-9 <= refills[0].station <= one.end + 1e-9:
                minutes += (refills[0].station - at) / speed
                at = refills[0].station
                yield minutes, refills.pop(0)
                minutes = 0.0
            minutes += (one.end - at) / speed
        minutes += spreader.strip_time.value
    yield minutes, None


def simulate(facts: Facts, walked: Walked, trucks: Walked) -> Times:
    """Start and end of every run."""
    times: Times = {}
    for day in facts.days:
        machines = Machines(facts, day, walked, trucks=trucks, times=times)
        for machine in (machines.spreader, machines.mixer, machines.padfoot, machines.grader, machines.smooth):
            machines.day.begin(machine())
        machines.day.run()
    return times


class Machines:
    """The machines of one day, each a process that takes block after block."""

    def __init__(self, facts: Facts, today: int, walked: Walked, *, trucks: Walked, times: Times) -> None:
        self.file, self.times = facts.file, times
        mine = [(number, start, end) for number, on, start, end in facts.blocks if on == today]
        self.blocks = [number for number, *_ in mine]
        self.needs = {number: block_durations(facts, number, (a, b), walked, trucks=trucks) for number, a, b in mine}
        self.arrives = {load.number: load.time_min for load in facts.plan.supply.cement.loads}
        loads = {load.number for load in facts.plan.supply.cement.loads if load.day == today}
        self.before = next((fill for fill in walked.fills if fill.block is None and fill.load in loads), None)
        opens = float(self.file.shift.start.hour * 60 + self.file.shift.start.minute)
        self.day = Day(opens)
        self.mixer_free = opens + sum(need.air for need in self.needs.values())
        self.gates: dict[tuple[int, str], Gate] = {}

    def gate(self, block: int, name: str) -> Gate:
        """Event of a block."""
        return self.gates.setdefault((block, name), Gate())

    def when(self, block: int, name: str) -> float:
        """Minute of an event that has happened."""
        at = self.gate(block, name).at
        if at is None:
            raise AssertionError(f"{name} of block {block} has not happened")
        return at

    def run(self, block: int, what: tuple[str, str], until: float) -> Process:
        """One run, written down when it ends."""
        begun = self.day.now
        yield until
        self.times[block, *what] = begun, self.day.now

    def transfer(self, fill: Filling) -> float:
        """Minutes of coupling and of cement going over."""
        return fill.kilograms / self.file.spreader.transfer_rate.value + self.file.spreader.coupling.value

    def latest(self, block: int) -> float:
        """Minute to begin spreading: as late as keeps the mixer moving, never so early that a refill waits for its load."""
        loads, gone = -math.inf, 0.0
        for minutes, fill in self.needs[block].spread:
            gone += minutes
            if fill:
                loads = max(loads, self.arrives[fill.load] - gone)
                gone += self.transfer(fill)
        return max(loads, self.mixer_free - gone)

    def spreader(self) -> Process:
        if self.before:
            yield self.arrives[self.before.load]
            yield self.day.now + self.transfer(self.before)
        for i, block in enumerate(self.blocks):
            if i:
                yield self.gate(self.blocks[i - 1], "first mix")
            yield self.latest(block)
            begun = self.day.now
            for minutes, fill in self.needs[block].spread:
                yield self.day.now + minutes
                if fill:
                    if self.day.now < self.arrives[fill.load] - 1e-6:
                        raise AssertionError("a refill before its load is there")
                    yield self.day.now + self.transfer(fill)
            self.times[block, "spreader", "spread"] = begun, self.day.now
            self.day.fire(self.gate(block, "spread"))

    def mixer(self) -> Process:
        for block in self.blocks:
            if self.needs[block].air:
                yield from self.run(block, ("mixer", "air, hood up"), self.day.now + self.needs[block].air)
        for block in self.blocks:
            need = self.needs[block]
            yield self.gate(block, "spread")
            self.mixer_free = self.day.now + need.dry + need.wet + self.file.mixer.move.value
            self.day.fire(self.gate(block, "first mix"))
            yield from self.run(block, ("mixer", "dry mix"), self.day.now + need.dry)
            self.day.fire(self.gate(block, "water"))
            yield from self.run(block, ("mixer", "wet mix"), self.day.now + need.wet)
            self.day.fire(self.gate(block, "wet done"))
            yield self.day.now + self.file.mixer.move.value

    def padfoot(self) -> Process:
        for block in self.blocks:
            yield self.gate(block, "water")
            yield self.when(block, "water") + self.file.rolling.padfoot_after_wet.value
            begun = self.day.now
            yield begun + self.needs[block].padfoot
            yield self.gate(block, "wet done")
            self.times[block, "padfoot", "roll"] = begun, self.day.now
            self.day.fire(self.gate(block, "rolled"))

    def grader(self) -> Process:
        for block in self.blocks:
            yield self.gate(block, "rolled")
            self.day.fire(self.gate(block, "trimming"))
            yield from self.run(block, ("grader", "trim, cut only"), self.day.now + self.needs[block].grader)
            self.day.fire(self.gate(block, "trimmed"))

    def smooth(self) -> Process:
        for block in self.blocks:
            yield self.gate(block, "trimming")
            head_start = max(self.needs[block].grader - self.file.rolling.smooth_before.value, 0.0)
            yield self.when(block, "trimming") + head_start
            begun = self.day.now
            yield begun + self.needs[block].smooth
            yield self.gate(block, "trimmed")
            self.times[block, "smooth drum", "final rolling"] = begun, self.day.now
