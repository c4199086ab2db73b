"""Who does what next: for every role the next tasks, with the time of day, what they wait for, and the latest that keeps the clocks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from hardpan.compare.acceptance import Acceptance
from hardpan.compare.cement_ahead import CementAhead
from hardpan.compare.ground_left import dry_passes, to_spread, whole
from hardpan.compare.happened import Happened
from hardpan.compare.loads_ahead import LoadAhead, shortage
from hardpan.compare.lots import AWAITS
from hardpan.compare.risk import WaitingStrip
from hardpan.compare.times_ahead import Expected, RunAhead
from hardpan.ledger.ground import Area
from hardpan.ledger.progress import BayState
from hardpan.plan.blocks import Block
from hardpan.street import Figure
from hardpan.street.places import say_strips
from hardpan.street.words import say_minutes

MACHINES = {
    "spread": "spreader",
    "dry": "mixer",
    "wet": "mixer",
    "padfoot": "padfoot",
    "grader": "grader",
    "smooth": "smooth drum",
}
_DONE: dict[str, tuple[str, Callable[[BayState], bool]]] = {
    "wet": ("wet pass", lambda bay: bay.wet_passes > 0),
    "padfoot": ("padfoot", lambda bay: bay.padfoot),
    "grader": ("trim, cut only", lambda bay: bay.trimmed),
    "smooth": ("final rolling", lambda bay: bay.rolled),
}
_STOPS = {"padfoot starts": "padfoot", "padfoot ends": "padfoot", "final rolling ends": "smooth"}


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do next.

    ``by`` is when it ends at the crew's pace, ``at_latest`` when it must so that the block's clocks hold (``owner`` fixed the limit; None
    where none is written or none runs). ``rate``, ``setting`` with ``water`` and ``low`` are what the operator sets.
    """

    role: str
    machine: str
    what: str
    block: int | None
    place: str
    strips: tuple[int, ...] = ()
    starts: Expected | None = None
    by: Expected | None = None
    at_latest: dt.datetime | None = None
    owner: str = ""
    waits_for: str = ""
    rate: Figure | None = None
    setting: str = ""
    water: Figure | None = None
    low: Figure | None = None
    entry: str = ""


def tasks_of_operator(
    happened: Happened, runs: tuple[RunAhead, ...], *, waiting: tuple[WaitingStrip, ...]
) -> tuple[Task, ...]:
    """Next task of every machine, in order of start."""
    blocks = {block.number: block for block in happened.plan.shift.blocks}
    latest = {one.block: _latest(happened, blocks[one.block], runs) for one in runs}
    next_runs: dict[str, RunAhead] = {}
    for run in runs:
        next_runs.setdefault(MACHINES[run.stage], run)
    tasks = [
        _operator_task(
            happened, blocks[run.block], run, slack=latest[run.block], before=_before(run, runs), waiting=waiting
        )
        for run in next_runs.values()
    ]
    return tuple(sorted(tasks, key=lambda task: (task.starts.at if task.starts else dt.datetime.max, task.machine)))


def _before(run: RunAhead, runs: tuple[RunAhead, ...]) -> RunAhead | None:
    """Work of the same block that a run waits for."""
    earlier = [one for one in runs if one.block == run.block and one.ends.at <= run.starts.at and one is not run]
    return earlier[-1] if earlier else None


def _operator_task(
    happened: Happened, block: Block, run: RunAhead, *, slack: tuple[dt.timedelta, str] | None, before: RunAhead | None,
    waiting: tuple[WaitingStrip, ...],
) -> Task:  # fmt: skip
    """Next task of one machine."""
    what, bays = _next_ground(happened, block, run.stage)
    first = bays[0] if bays else None
    strips = tuple(dict.fromkeys(bay.strip for bay in bays))
    by = _pass_ends(happened, block, run, bays) if run.stage == "dry" else run.ends
    held = [one for one in waiting if run.stage == "spread" and happened.happened(block) == one.block]
    waits = f"{MACHINES[before.stage]} on block {before.block}" if before else ""
    zone = next((i for i, zone in enumerate(happened.plan.zones) if first and zone.name == first.zone), None)
    balance = None if zone is None else happened.plan.balance[zone]
    setting, water = ("", None) if run.stage != "wet" or balance is None else (balance.water_setting, balance.water)
    if water is not None and water.value == 0:
        setting = "off"
    stretch = Area(first.start_m, block.end_m, strips[:1]) if first else whole(happened, block)
    left = to_spread(happened, block) if run.stage == "spread" else ()
    if left:
        stretch = Area(left[0].start_m, left[0].end_m, (left[0].strip,))
    return Task(
        "operator", MACHINES[run.stage], what, block.number, happened.words(stretch), strips, run.starts, by,
        at_latest=by.at + slack[0] if slack else None, owner=slack[1] if slack else "",
        waits_for="cement" if held else waits,
        rate=happened.plan.zones[zone].rate if zone is not None and run.stage == "spread" else None,
        setting=setting, water=water, low=balance.low if balance else None,
    )  # fmt: skip


def _pass_ends(happened: Happened, block: Block, run: RunAhead, bays: list[BayState]) -> Expected:
    """End of the next dry pass, by its part of all dry mixing that is left."""
    every = [bay for bay, _, _ in happened.bays_under(whole(happened, block))]
    passes = sum(_size(happened, bay) * max(dry_passes(happened, bay) - bay.dry_passes, 0) for bay in every)
    part = sum(_size(happened, bay) for bay in bays) / passes if passes else 1.0
    took = dt.timedelta(minutes=run.took_min)
    now = run.starts.at
    at, early, late = (
        now + max(part * (end - now + took) - took, dt.timedelta())
        for end in (run.ends.at, run.ends.early, run.ends.late)
    )
    return Expected(at, early, late, run.ends.basis)


def _size(happened: Happened, bay: BayState) -> float:
    """Ground of a bay [m2]."""
    return (bay.end_m - bay.start_m) * happened.widths[bay.strip]


def _next_ground(happened: Happened, block: Block, stage: str) -> tuple[str, list[BayState]]:
    """What is next in words, and the bays that still want it, strip by strip."""
    bays = [bay for bay, _, _ in happened.bays_under(whole(happened, block))]
    if stage == "spread":
        spots = {(one.strip, one.start_m) for one in to_spread(happened, block)}
        left = [bay for bay in bays if any(bay.strip == strip and bay.start_m <= at < bay.end_m for strip, at in spots)]
        return f"spread {say_strips((left[0].strip,), len(happened.widths))}" if left else "spread", left
    if stage == "dry":
        left = [bay for bay in bays if bay.dry_passes < dry_passes(happened, bay)]
        number = min((bay.dry_passes for bay in left), default=0) + 1
        return f"dry pass {number}", [bay for bay in left if bay.dry_passes == number - 1]
    what, done = _DONE[stage]
    return what, [bay for bay in bays if not done(bay)]


def _latest(happened: Happened, block: Block, runs: tuple[RunAhead, ...]) -> tuple[dt.timedelta, str] | None:
    """Time to spare on the tightest clock with a limit that runs on a block, and who owns it."""
    name = happened.happened(block)
    found = []
    for clock in happened.state.clocks:
        ends = next((run for run in runs if (run.block, run.stage) == (block.number, _STOPS[clock.stops_with])), None)
        if clock.block == name and clock.by is not None and clock.stopped_at is None and ends is not None:
            stop = ends.starts.at if clock.stops_with == "padfoot starts" else ends.ends.at
            found.append((clock.by - stop, clock.owner or "owner not said"))
    return min(found, default=None)


def tasks_of_foreman(
    happened: Happened, cement: CementAhead, loads: tuple[LoadAhead, ...], *, waiting: tuple[WaitingStrip, ...]
) -> tuple[Task, ...]:
    """The next load, who waits for it, and what to order."""
    tasks = [_wait_task(happened, one, loads) for one in waiting]
    for load in loads[:1]:
        name = load.ticket or f"load {load.number}"
        late = f", {say_minutes(load.late_min)} late" if load.late_min > 0 else ""
        due = Expected(load.due, load.due, load.due, "the plan's time")
        what = f"{name}: {load.cement.value:.0f} kg due {load.due:%H:%M}{late}"
        tasks.append(Task("foreman", "", what, None, "", by=None if late else due))
    more = shortage(cement, loads)
    if more.value > 1.0:
        tasks.append(Task("foreman", "", f"order {more.value:.0f} kg more", None, "", rate=None))
    return tuple(tasks)


def _wait_task(happened: Happened, one: WaitingStrip, loads: tuple[LoadAhead, ...]) -> Task:
    """A strip that waits for cement."""
    load = f" ({loads[0].ticket or f'load {loads[0].number}'})" if loads else ""
    what = f"strip {one.strip} of {one.block} waits for cement{load}: {one.cement.value:.0f} kg, {one.end_m - one.start_m:.1f} m"
    place = happened.words(Area(one.start_m, one.end_m, (one.strip,)))
    return Task("foreman", "", what, None, place, (one.strip,), waits_for="cement")


def tasks_of_tester(happened: Happened, acceptance: Acceptance, now: dt.datetime) -> tuple[Task, ...]:
    """Trays at restarts that are not mixed yet, depth holes of mixed blocks, densities and the axle test of rolled ones."""
    tasks = []
    for one in acceptance.not_checked:
        event = happened.events[one.entry]
        if (
            not one.said
            and event.area is not None
            and not any(bay.dry_passes for bay, _, _ in happened.bays_under(event.area))
        ):
            tasks.append(Task("tester", "", "tray at the restart", None, one.place, event.area.strips, entry=one.entry))
    for lot in acceptance.lots:
        kinds = {check.kind for check in lot.checks}
        bays = [bay for bay in happened.state.bays if (bay.block, bay.zone) == (lot.block, lot.zone)]
        stages = (
            ("depth check", any(bay.dry_passes for bay in bays)),
            ("density", bool(bays) and all(bay.rolled for bay in bays)),
        )
        tasks += [Task("tester", "", kind, None, lot.name) for kind, due in stages if due and kind not in kinds]
        if stages[1][1] and "axle test" not in kinds:
            tasks.append(_axle_task(happened, lot.name, lot.block, now))
    return tuple(tasks)


def _axle_task(happened: Happened, name: str, block: str, now: dt.datetime) -> Task:
    """The axle test of a rolled lot, on the day that was chosen for it."""
    rolled = [clock.stopped_at for clock in happened.state.clocks if clock.block == block and clock.stopped_at]
    day = happened.plan.street.file.axle_test.day
    at = max((max(rolled) if rolled else now) + dt.timedelta(days=day.value), now)
    return Task(
        "tester",
        "",
        "axle test",
        None,
        name,
        by=Expected(at, at, at, f"{day.value:g} days after rolling, {day.basis.value}"),
    )


def tasks_of_reviewer(acceptance: Acceptance) -> tuple[Task, ...]:
    """What awaits a signature: bad results first, then what was entered after them, then every lot that is rolled."""
    tasks = [
        Task("reviewer", "", f"{check.kind} outside its limit", None, check.place, check.area.strips, entry=check.entry)
        for check in acceptance.failed
        if not check.retested_by
    ]
    tasks += [
        Task("reviewer", "", f"{one.standing.kind} entered after a bad result", None, "", entry=one.standing.id)
        for one in acceptance.after_bad
        if one.standing.kind in ("correction", "withdrawal")
    ]
    waiting = [
        lot for lot in acceptance.lots if lot.status == AWAITS and "final rolling is not recorded" not in lot.reasons
    ]
    return (
        *tasks,
        *(Task("reviewer", "", f"lot awaits a signature, proposed: {lot.proposal}", None, lot.name) for lot in waiting),
    )
