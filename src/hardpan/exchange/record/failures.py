"""Places that failed: what was found, what was different there by a stated rule, what was done about it, how it was found again."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.compare import NOTHING_TELLS, Check, Difference, what_was_different
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.proof_answers import entry_words
from hardpan.exchange.record.sentences import Said, bounds_words, held_words, squared, value_words
from hardpan.exchange.record.words import NOT_RECORDED, amount
from hardpan.ledger.supplying import SpreadRun
from hardpan.ledger.working import MixingPass, Rolling

RULE = (
    "By rule: what the record and the street folder tell of the place before the test, within 3 m first, then what is rarest where the "
    "same test passed, then the nearest; what half of the passed ground has too is left out. It says where to look, not why."
)
TOLD = 4  # differences on the first page; the table holds them all
_WORK = (SpreadRun, MixingPass, Rolling)


@dataclass(frozen=True, slots=True)
class Failure:
    """One failed place; ``differences`` in the rule's order, ``again`` how it was found the last time, None where it was not tested again."""

    check: Check
    found: Said
    differences: tuple[Difference, ...]
    repair: tuple[Said, ...]
    again: Check | None
    retest: Said

    @property
    def different(self) -> tuple[Said, ...]:
        """What was different, in words, each with how rare it is."""
        told = tuple(
            Said(f"{squared(one.words)}: {_away(one)}, {one.rarity}.", one.entries) for one in self.differences[:TOLD]
        )
        return told or (Said(f"{NOTHING_TELLS}."),)


def failures(record: Gathered) -> tuple[Failure, ...]:
    """Every figure outside its limit, in order of happening."""
    return tuple(_failure(record, check) for check in record.acceptance.failed)


def _failure(record: Gathered, check: Check) -> Failure:
    """One failed place."""
    value = value_words(check.value) if check.value is not None else "no figure recorded"
    found = Said(f"{check.kind} {value}, {bounds_words(check.limit, 0)}.", (check.entry,))
    again = _again(record, check)
    return Failure(
        check,
        found,
        what_was_different(record.plan, record.state, check),
        _repair(record, check),
        again,
        _retest(again),
    )


def _again(record: Gathered, check: Check) -> Check | None:
    """Last later test of the same place."""
    later = [one for one in record.acceptance.checks if one.entry == check.retested_by and one.area.touches(check.area)]
    return later[-1] if later else None


def _retest(again: Check | None) -> Said:
    """How a failed place was found again."""
    if again is None:
        return Said(f"re-test: {NOT_RECORDED}.")
    value = value_words(again.value) if again.value is not None else "no figure recorded"
    return Said(f"re-test: {value}, {held_words(again.limit, again.verdict, 0)}.", (again.entry,))


def _repair(record: Gathered, check: Check) -> tuple[Said, ...]:
    """Work done at the place after it failed; cement beside what the instructed rate would take."""
    work = [
        one.standing
        for one in record.acceptance.after_bad
        if one.bad == check.entry and (event := record.event(one.standing.id)) is not None
        and isinstance(event.payload, _WORK) and event.area is not None and event.area.touches(check.area)
    ]  # fmt: skip
    told = []
    for one in work:
        sum_words = _sum(record, one.id) if isinstance(one.payload, SpreadRun) else ""
        told.append(Said(f"{entry_words(record, one)}{sum_words}.", (one.id,)))
    return tuple(told) or (Said(f"repair: {NOT_RECORDED}."),)


def _sum(record: Gathered, name: str) -> str:
    """What the rate of a run takes on its ground, beside what was laid."""
    event = record.event(name)
    if event is None or event.area is None or not isinstance(event.payload, SpreadRun) or not event.payload.rate_kg_m2:
        return ""
    area = record.happened.square_metres(event.area)
    return f"; {amount(event.payload.rate_kg_m2)} kg/m\u00b2 over {amount(area, 1)} m\u00b2 is {amount(event.payload.rate_kg_m2 * area, 0)} kg"


def _away(one: Difference) -> str:
    """How far a difference lies from the failed place."""
    return "there" if one.away_m < 0.05 else f"{amount(one.away_m, 1)} m away"
