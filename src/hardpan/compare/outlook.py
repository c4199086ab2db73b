"""The outlook: from what happened by now to what is next and by when, where things run out, and what is at risk."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from hardpan.compare.acceptance import propose_acceptance
from hardpan.compare.cement_ahead import CementAhead, look_at_cement
from hardpan.compare.ground_left import to_spread
from hardpan.compare.happened import Happened
from hardpan.compare.loads_ahead import LoadAhead, cement_at, loads_ahead
from hardpan.compare.not_checked import NotChecked
from hardpan.compare.pace import Pace, paces
from hardpan.compare.risk import AtRisk, StopInForce, WaitingStrip, at_risk, stops_in_force, waiting_strips
from hardpan.compare.tasks import Task, tasks_of_foreman, tasks_of_operator, tasks_of_reviewer, tasks_of_tester
from hardpan.compare.times_ahead import RunAhead, look_at_times
from hardpan.compare.water_ahead import TruckAhead, look_at_water
from hardpan.errors import HardpanError
from hardpan.ledger import State
from hardpan.plan import Plan
from hardpan.street import Notice


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is ahead at ``now``; no time in it lies before."""

    now: dt.datetime
    cement: CementAhead
    water_truck: TruckAhead | None
    loads: tuple[LoadAhead, ...]
    pace: tuple[Pace, ...]
    runs: tuple[RunAhead, ...]
    tasks: tuple[Task, ...]
    at_risk: tuple[AtRisk, ...]
    stops: tuple[StopInForce, ...]
    waiting: tuple[WaitingStrip, ...]
    not_checked: tuple[NotChecked, ...]
    notices: tuple[Notice, ...]

    def of(self, role: str) -> tuple[Task, ...]:
        """Tasks of one role, in order."""
        return tuple(task for task in self.tasks if task.role == role)


def look_ahead(plan: Plan, state: State, *, now: dt.datetime) -> Outlook:
    """Outlook at an instant.

    Parameters
    ----------
    plan
        The street's plan.
    state
        What the entries add up to.
    now
        The instant, with its offset; times of day are given in it.

    Returns
    -------
    Outlook
        Run-outs, trucks, tasks by role, what is at risk, stops, waiting strips, unchecked places.

    Raises
    ------
    HardpanError
        Where ``now`` has no offset.

    Notes
    -----
    Pace: the plan's durations with a scatter of 25 %, replaced by the crew's own once a block is closed. The spreader is walked on by the
    ratio of placed to planned cement so far. A clock without a written limit has no time left: it runs, and raises nothing.

    Examples
    --------
    >>> import datetime, hardpan
    >>> from hardpan.ledger import fold, read_ledger
    >>> folder = hardpan.example("teal-crescent")
    >>> street = hardpan.read_street(folder)
    >>> state = fold(read_ledger(folder).received, street)
    >>> now = datetime.datetime.fromisoformat("2026-06-04T12:40:00-06:00")
    >>> ahead = look_ahead(hardpan.make_plan(street), state, now=now)
    >>> [(one.strip, one.place) for one in ahead.cement.run_outs]
    [(4, '11 m before no. 27 (0+193)')]
    """
    if now.tzinfo is None:
        raise HardpanError("now: given without an offset; allowed: an instant such as 2026-06-09T10:15:00-06:00")
    happened = Happened(plan, state)
    cement, loads, pace = look_at_cement(happened), loads_ahead(happened, now), paces(happened, now)
    acceptance = propose_acceptance(plan, state)
    waiting = waiting_strips(happened, now, factor=cement.factor)
    comes = cement_at(happened, now, cement, wanted_kg=_wanted_kg(happened, cement), loads=loads)
    runs = look_at_times(happened, now, pace=pace, cement_at=comes)
    tasks = (
        *tasks_of_operator(happened, runs, waiting=waiting),
        *tasks_of_foreman(happened, cement, loads, waiting=waiting),
        *tasks_of_tester(happened, acceptance, now),
        *tasks_of_reviewer(acceptance),
    )
    return Outlook(
        now=now, cement=cement, water_truck=look_at_water(happened), loads=loads, pace=tuple(pace.values()), runs=runs,
        tasks=tasks, at_risk=at_risk(happened, now, factor=cement.factor), stops=stops_in_force(happened),
        waiting=waiting, not_checked=acceptance.not_checked, notices=(*_notices(loads, waiting), *state.notices),
    )  # fmt: skip


def _wanted_kg(happened: Happened, cement: CementAhead) -> float:
    """Cement that the first block with ground left to spread wants."""
    for block in happened.plan.shift.blocks:
        left = to_spread(happened, block)
        if left:
            ground = sum((one.end_m - one.start_m) * happened.widths[one.strip] * one.rate_kg_m2 for one in left)
            return cement.factor.value * ground
    return 0.0


def _notices(loads: tuple[LoadAhead, ...], waiting: tuple[WaitingStrip, ...]) -> tuple[Notice, ...]:
    """A load that is late while a strip waits for it."""
    late = [load for load in loads[:1] if load.late_min > 0]
    return tuple(
        Notice(
            "shortage",
            f"{load.ticket or f'load {load.number}'} is {load.late_min:.0f} min late: when it comes nobody said, it is taken to come now",
            ", ".join(f"strip {one.strip} of {one.block} waits" for one in waiting),
        )
        for load in late
    )
