"""Acceptance: what was tested against which limit, lot by lot, and what is proposed; a reviewer signs, the tool never accepts."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from hardpan.compare.checks import Check, checks_of
from hardpan.compare.cure import Night, cure_nights
from hardpan.compare.happened import Happened
from hardpan.compare.held import Verdict
from hardpan.compare.level_checks import LevelCheck, level_checks
from hardpan.compare.lots import AWAITS, Lot, Summary, make_lots, summaries
from hardpan.compare.not_checked import NotChecked, not_checked
from hardpan.ledger import Standing, State
from hardpan.plan import Plan
from hardpan.street import Figure, Notice


@dataclass(frozen=True, slots=True)
class AfterBad:
    """An entry, correction or withdrawal that was made after a bad result at its place; ``bad`` is that result's entry."""

    standing: Standing
    bad: str


@dataclass(frozen=True, slots=True)
class Driven:
    """A stretch of one strip under the axle as it was found last; ``verdict`` "not driven" where no axle went."""

    strip: int
    start_m: float
    end_m: float
    moved: Figure | None
    verdict: Verdict | str
    entry: str
    earlier: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Acceptance:
    """What is proposed. ``after_bad`` and ``failed`` come first; ``street`` sums all tests of a kind; raw entries stay in the ledger."""

    after_bad: tuple[AfterBad, ...]
    failed: tuple[Check, ...]
    lots: tuple[Lot, ...]
    street: tuple[Summary, ...]
    checks: tuple[Check, ...]
    levels: tuple[LevelCheck, ...]
    axle_map: tuple[Driven, ...]
    not_checked: tuple[NotChecked, ...]
    nights: tuple[Night, ...]
    notices: tuple[Notice, ...]

    @property
    def status(self) -> str:
        """Status of the whole: one where all lots have the same, else how many still await a reviewer."""
        found = {lot.status for lot in self.lots if lot.area_m2 > 0}
        if not found:
            return "nothing is treated yet"
        if len(found) == 1:
            return found.pop()
        waiting = sum(lot.status == AWAITS for lot in self.lots if lot.area_m2 > 0)
        return (
            f"{waiting} of {sum(lot.area_m2 > 0 for lot in self.lots)} lots await a reviewer"
            if waiting
            else "every lot is signed"
        )


def propose_acceptance(plan: Plan, state: State) -> Acceptance:
    """Acceptance of what a ledger tells, as the tool proposes it.

    Parameters
    ----------
    plan
        The street's plan: zones, depths, levels, limits.
    state
        What the entries add up to.

    Returns
    -------
    Acceptance
        Lots with every test, the limits with their owners, what is missing, what a reviewer signed.

    Notes
    -----
    A test stands against a limit only where the street writes one. A density held against the raw curve is not comparable to treated
    ground. Fewer than 8 tests are listed; from 8 on the percent within limits stands beside them. A signature counts for a lot when a
    reviewer made it after the lot's final rolling and after the last bad result on it.

    Examples
    --------
    >>> import hardpan
    >>> from hardpan.ledger import fold, read_ledger
    >>> folder = hardpan.example("kestrel-road")
    >>> street = hardpan.read_street(folder)
    >>> found = propose_acceptance(hardpan.make_plan(street), fold(read_ledger(folder).received, street))
    >>> [(check.place, check.verdict) for check in found.failed]
    [('0+146 to 0+152, strip 4', 'outside')]
    """
    happened = Happened(plan, state)
    checks, levels = checks_of(happened), level_checks(happened)
    return Acceptance(
        after_bad=tuple(AfterBad(one, state.after_bad[one.id]) for one in state.entries if one.id in state.after_bad),
        failed=tuple(check for check in checks if check.verdict == "outside"),
        lots=make_lots(happened, checks, levels),
        street=summaries(checks),
        checks=checks,
        levels=levels,
        axle_map=_axle_map(happened, checks),
        not_checked=not_checked(happened),
        nights=cure_nights(happened),
        notices=_notices(plan, checks),
    )


def _axle_map(happened: Happened, checks: tuple[Check, ...]) -> tuple[Driven, ...]:
    """Every strip cut where axle tests begin and end, each stretch as it was found last."""
    street = happened.plan.street
    tests = [check for check in checks if check.kind == "axle test"]
    found = []
    for strip in happened.widths:
        own = [check for check in tests if strip in check.area.strips]
        ends = {
            end for check in own for end in check.area[:2] if street.stationing.first < end < street.stationing.last
        }
        edges = [street.stationing.first, *sorted(ends), street.stationing.last]
        for start, end in pairwise(edges):
            over = [check for check in own if check.area.start_m <= start and end <= check.area.end_m]
            found.append(_driven(strip, (start, end), over))
    return tuple(found)


def _driven(strip: int, stretch: tuple[float, float], over: list[Check]) -> Driven:
    """One stretch under the tests that went over it, in order of happening."""
    if not over:
        return Driven(strip, *stretch, None, "not driven", "", ())
    last = over[-1]
    return Driven(strip, *stretch, last.value, last.verdict, last.entry, tuple(check.entry for check in over[:-1]))


def _notices(plan: Plan, checks: tuple[Check, ...]) -> tuple[Notice, ...]:
    """Limits that tests are held against and nobody owns, and tests without a limit."""
    ownerless = {check.kind for check in checks if check.limit is not None and not check.limit.owner}
    unlimited = {check.kind for check in checks if check.limit is None and check.verdict == "no limit"}
    return (
        *(Notice("limit", f"owner not said of the limit for: {kind}") for kind in sorted(ownerless)),
        *(Notice("missing", f"no limit is written for: {kind}", plan.street.name) for kind in sorted(unlimited)),
    )
