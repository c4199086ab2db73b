"""What is next and by when, who waits and why, what is at risk: the outlook as lines of the board."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from hardpan.compare import Outlook
from hardpan.compare.ground_left import to_spread
from hardpan.compare.happened import Happened
from hardpan.compare.loads_ahead import LoadAhead
from hardpan.compare.not_checked import NotChecked
from hardpan.compare.risk import AtRisk, WaitingStrip
from hardpan.compare.tasks import Task
from hardpan.compare.times_ahead import Expected
from hardpan.site.board import words


@dataclass(frozen=True, slots=True)
class Next:
    """One thing to come: the time it ends by, what it is, where and in which band; ``late`` where a limit or a promise is missed."""

    time: str
    what: str
    second: str
    late: bool = False


@dataclass(frozen=True, slots=True)
class Risk:
    """A block on which cement is at work: what lies there, and by when it must be in."""

    block: str
    lines: tuple[str, ...]
    by: str


def next_things(happened: Happened, ahead: Outlook) -> tuple[Next, ...]:
    """Next task of every machine and the next load, in order of time."""
    found = [
        (task.by.at, _of_machine(happened, task, task.by, ahead.now))
        for task in ahead.of("operator")
        if task.by is not None
    ]
    found += [(max(load.due, ahead.now), _of_load(load, ahead.now)) for load in ahead.loads[:1]]
    return tuple(one for _at, one in sorted(found, key=lambda pair: pair[0]))


def _of_machine(happened: Happened, task: Task, by: Expected, now: dt.datetime) -> Next:
    """Next task of one machine, with the latest that keeps the clocks."""
    machine, work = words.said(task.machine), _work(task)
    what = work if work == machine else f"{machine}: {work}"
    second = [_where(happened, task), _band(by, now)]
    if task.at_latest is not None:
        told = {"time": words.clock(task.at_latest, now), "owner": words.said(task.owner)}
        second.append(_("at latest %(time)s (%(owner)s)") % told)
    late = task.at_latest is not None and by.at > task.at_latest
    return Next(words.clock(by.at, now), what, " \u00b7 ".join(filter(None, second)), late)


def _work(task: Task) -> str:
    """What a machine does, with what it is set to."""
    if task.machine == "spreader" and task.strips:
        work = _("spread strip %(strip)s") % {"strip": task.strips[0]}
    elif task.what.startswith("dry pass "):
        work = _("dry pass %(number)s") % {"number": task.what.removeprefix("dry pass ")}
    else:
        work = words.said(task.what)
    if task.rate is not None:
        return f"{work}, {words.rate(task.rate.value)}\u00a0kg/m\u00b2"
    return f"{work}, {words.said(task.setting).upper()}" if task.setting else work


def _where(happened: Happened, task: Task) -> str:
    """Ground of a task: the stretch that still wants cement, else the block with its strips."""
    street = happened.plan.street
    block = next((one for one in happened.plan.shift.blocks if one.number == task.block), None)
    left = to_spread(happened, block) if block is not None and task.machine == "spreader" else ()
    if left:
        return words.stretch(left[0].start_m, left[0].end_m, street)
    strips = words.strips(task.strips, street) if task.strips else ""
    return ", ".join(filter(None, [_("block %(block)s") % {"block": task.block}, strips]))


def _band(by: Expected, now: dt.datetime) -> str:
    """Between when and when 8 days in 10 end it."""
    told = {"early": words.clock(by.early, now), "late": words.clock(by.late, now)}
    return _("%(early)s to %(late)s") % told if by.early != by.late else ""


def _of_load(load: LoadAhead, now: dt.datetime) -> Next:
    """The next load; one that is late has no time that anybody said."""
    name = load.ticket or _("load %(number)s") % {"number": load.number}
    what = _("%(load)s comes, %(mass)s kg") % {"load": name, "mass": words.kilograms(load.cement)}
    if load.late_min > 0:
        told = {"time": words.clock(load.due, now), "late": words.minutes(load.late_min)}
        return Next("?", what, _("was due %(time)s, %(late)s late; when it comes nobody said") % told, late=True)
    return Next(words.clock(load.due, now), what, _("proposed, not ordered") if load.proposed else _("as ordered"))


def who_waits(ahead: Outlook) -> tuple[tuple[str, str], ...]:
    """Who waits, and for what: strips that want cement, then machines that another holds up."""
    found = [(_("spreader"), _waiting(one, ahead)) for one in ahead.waiting]
    for task in ahead.of("operator"):
        if task.waits_for and task.waits_for != "cement" and task.starts is not None and task.starts.at > ahead.now:
            told = {"machine": _machine_before(task), "time": words.clock(task.starts.at, ahead.now)}
            found.append((words.said(task.machine), _("until %(time)s, for the %(machine)s") % told))
    return tuple(dict.fromkeys(found))


def _machine_before(task: Task) -> str:
    """Machine that a task waits for, with its block."""
    machine, _on, block = task.waits_for.partition(" on block ")
    return f"{words.said(machine)}, {_('block %(block)s') % {'block': block}}" if block else words.said(machine)


def _waiting(one: WaitingStrip, ahead: Outlook) -> str:
    """A strip that wants cement."""
    told = {
        "strip": one.strip,
        "length": words.number(one.end_m - one.start_m, 1),
        "mass": words.kilograms(one.cement),
        "time": words.minutes(one.waited_min),
    }
    bare = _("%(length)s m of strip %(strip)s bare: %(mass)s kg wanting, waits since first mix, %(time)s") % told
    load = next(iter(ahead.loads), None)
    return f"{bare}; {_of_load(load, ahead.now).second}" if load is not None and load.late_min > 0 else bare


def at_risk(ahead: Outlook, happened: Happened) -> tuple[Risk, ...]:
    """What lies open if the mixer stops now, block by block."""
    return tuple(_risk(one, ahead, happened) for one in ahead.at_risk)


def _risk(one: AtRisk, ahead: Outlook, happened: Happened) -> Risk:
    """One block."""
    block = happened.planned(one.block)
    lines = []
    if one.spread_not_mixed_m2 > 0:
        lines.append(_("%(mass)s kg lies spread and not mixed") % {"mass": words.kilograms(one.spread_not_mixed)})
    if one.mixed_not_rolled_m2 > 0:
        lines.append(_("%(mass)s kg is mixed and not rolled") % {"mass": words.kilograms(one.mixed_not_rolled)})
    limits = sorted(clock.by for clock in one.clocks if clock.by is not None)
    by = _("roll by %(time)s") % {"time": words.clock(limits[0], ahead.now)} if limits else _("no limit is written")
    return Risk(_("block %(block)s") % {"block": block.number} if block else one.block, tuple(lines), by)


def not_checked(happened: Happened, ahead: Outlook) -> tuple[str, ...]:
    """Places that were not checked."""
    return tuple(_not_checked(happened, one) for one in ahead.not_checked)


def _not_checked(happened: Happened, one: NotChecked) -> str:
    """One place, and whether somebody said so or the ledger is silent."""
    event = happened.events[one.entry]
    where = words.place(event.area, happened.plan.street)
    return f"{words.said(one.kind)}: {where}" + ("" if one.said else f" ({_('nothing is recorded')})")


def owed_tests(happened: Happened, ahead: Outlook) -> tuple[str, ...]:
    """What the tester is owed to do, kind by kind, and where."""
    places: dict[str, list[str]] = defaultdict(list)
    for task in ahead.of("tester"):
        event = happened.events.get(task.entry)
        where = words.place(event.area, happened.plan.street) if event is not None else task.place
        kind = words.said(task.what)
        if task.by is not None:
            kind = _("%(test)s from %(date)s") % {
                "test": kind,
                "date": f"{task.by.at.astimezone(ahead.now.tzinfo):%Y-%m-%d}",
            }
        places[kind].append(where)
    return tuple(f"{kind}: {'; '.join(where)}" for kind, where in places.items())


def stops_in_words(ahead: Outlook, happened: Happened, kind: str) -> Iterator[str]:
    """Stops in force, or problems that are open, as one line each."""
    for one in ahead.stops:
        if one.kind == kind:
            event = happened.events[one.entry]
            told = {"time": words.clock(one.since, ahead.now), "role": words.said(one.role)}
            said = ", ".join(words.said(part) for part in one.words.split(", ") if part)
            where = words.place(event.area, happened.plan.street) if event.area is not None else ""
            yield " \u00b7 ".join(filter(None, [_("since %(time)s, %(role)s") % told, said, where]))
