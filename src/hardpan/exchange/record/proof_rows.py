"""Rows about what was proved: lots, every test, what was different where one failed, levels."""

from __future__ import annotations

from collections.abc import Iterator

from hardpan.compare import Bounds, Check, Lot, three_agree
from hardpan.compare.held import NO_LIMIT
from hardpan.compare.lots import AWAITS
from hardpan.exchange.record.failures import Failure
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.sentences import SIDES, squared, value_words
from hardpan.exchange.record.words import NOT_RECORDED, amount, when
from hardpan.exchange.tables import Cell
from hardpan.ledger.working import Levels, PreGradeShots
from hardpan.street import Figure

Rows = Iterator[tuple[Cell, ...]]


def lots(record: Gathered) -> Rows:
    """Lots: what is proposed, why, what a reviewer decided."""
    for lot in record.acceptance.lots:
        yield lot.name, round(lot.area_m2, 1), lot.proposal, "; ".join(lot.reasons), decided(record, lot)


def decided(record: Gathered, lot: Lot) -> str:
    """Reviewer's decision with its time; that it is awaited where there is none."""
    one = record.standing.get(lot.signature.entry) if lot.signature else None
    if lot.signature is None or one is None:
        return AWAITS
    return f"{lot.signature.decision} by {lot.signature.role}, {when(one.happened_at)}"


def tests(record: Gathered) -> Rows:
    """Tests, those outside and those made after a bad result first, each with its limit and the limit's owner."""
    for check in sorted(record.acceptance.checks, key=lambda one: not (one.verdict == "outside" or one.after_bad)):
        found = value_words(check.value) if check.value is not None else NOT_RECORDED
        yield (
            check.kind, check.place, found, ends_words(check.limit), check.limit.by if check.limit else "", SIDES[check.verdict],
            _remark(record, check), record.telling.id(check.entry),
        )  # fmt: skip


def ends_words(limit: Bounds | None) -> str:
    """``at most 13 mm``; that none is written where there is none."""
    if limit is None:
        return NO_LIMIT
    ends = [value_words(end) for end in (limit.low, limit.high) if end is not None]
    return " to ".join(ends) if len(ends) == 2 else f"{'at least' if limit.low is not None else 'at most'} {ends[0]}"


def _remark(record: Gathered, check: Check) -> str:
    """What else was said of a test, and what became of it."""
    beside = [f"{squared(one.name)} {value_words(one)}: not comparable" for one in check.beside if one.unit == "%"]
    again = f"tested again: {record.telling.id(check.retested_by)}" if check.retested_by else ""
    after = f"after {record.telling.id(check.after_bad)}" if check.after_bad else ""
    marks = ["corrected" if check.corrected else "", "entered late" if check.late else "", after, again]
    return "; ".join(part for part in (check.remark, *beside, *marks) if part)


def different(record: Gathered, failed: tuple[Failure, ...]) -> Rows:
    """Every difference of every failed place, in the rule's order."""
    for failure in failed:
        for one in failure.differences:
            entries = ", ".join(record.telling.id(name) for name in one.entries)
            yield (
                f"{failure.check.kind}, {failure.check.place}",
                squared(one.words),
                round(one.away_m, 1),
                one.rarity,
                entries,
            )


def levels(record: Gathered) -> Rows:
    """Levels against design, and rises of points shot before and after."""
    for one in record.acceptance.levels:
        wanted = round(one.wanted.value, 3) if one.wanted is not None else ""
        off = round(1000 * one.off.value, 0) if one.off is not None else ""
        tolerance = f"{ends_words(one.limit)}, {one.limit.by}" if one.limit else NO_LIMIT
        remark = f"; {one.remark}" if one.remark else ""
        yield (
            f"{one.kind}{remark}", one.place, round(one.value.value, 3), wanted, off, tolerance, SIDES[one.verdict], record.telling.id(one.entry),
        )  # fmt: skip


def shots(record: Gathered) -> Rows:
    """Every shot as it was entered."""
    show = record.plan.street.stationing.show
    for event in record.state.events:
        said = event.payload
        if isinstance(said, Levels | PreGradeShots):
            stage = said.stage if isinstance(said, Levels) else "before spreading, check shots"
            for shot in said.shots:
                level = shot.level_m if shot.level_m is not None else ""
                down = amount(shot.down_mm) if shot.down_mm is not None else ""
                yield stage, show(shot.station_m), shot.side_offset_m, level, down, record.telling.id(event.id)


def agreement(record: Gathered) -> Rows:
    """Rise of every zone by each of the three, where it was measured."""
    for one in three_agree(record.plan, record.state):
        apart = "; ".join(
            f"{each.one} and {each.other}: {amount(abs(1000 * each.apart.value), 0)} mm" for each in one.misfits
        )
        yield one.zone, _rise(one.planned), _rise(one.by_levels), _rise(one.by_density), _rise(one.by_water), apart


def _rise(figure: Figure | None) -> Cell:
    """Millimetres of rise; not recorded where it was not measured."""
    return NOT_RECORDED if figure is None else round(1000 * figure.value, 1)
