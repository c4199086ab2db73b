"""Lots: what is proposed for each, and whose signature counts."""

from __future__ import annotations

import pytest

from hardpan.compare.held import Bounds
from hardpan.street import Basis, Figure
from tests.compare.making import TREATED, limited, proposed, worked_block
from tests.ledger.making import Diary, place

REVIEWER = {"envelope": {"role": "reviewer"}}


# what is proposed, and who signs


def all_tested(diary: Diary) -> None:
    worked_block(diary)
    diary.say(102, "tray check", place(20, strips=(2,)), checked="weighed", tray_kg_m2=24.1)
    diary.say(
        115, "depth check", place(30, strips=(2,)), depth_mm=300, state="original", measured_from="original surface"
    )
    diary.say(900, "density", place(50, strips=(3,)), test="1", dry_density_kg_m3=1576, reference=TREATED)


def drive(diary: Diary, minute: float, moved: float, end: float = 80) -> str:
    movement = {"start_m": 0, "end_m": end, "strips": [1, 2, 3, 4], "moved_mm": moved}
    return diary.say(minute, "axle test", place(0, end), vehicle="loaded tandem", movements=[movement])


def test_a_lot_with_every_test_inside_is_proposed_for_acceptance() -> None:
    diary = Diary()
    all_tested(diary)
    drive(diary, 2000, 12)
    (found,) = proposed(diary).lots
    assert (found.proposal, found.reasons, found.missing, found.status) == ("accept", (), (), "awaits a reviewer")


def test_a_lot_that_was_driven_in_part_waits() -> None:
    diary = Diary()
    all_tested(diary)
    drive(diary, 2000, 12, end=60)
    (found,) = proposed(diary).lots
    assert (found.proposal, found.reasons) == ("wait", ("no axle test is recorded on 180.0 m2 of it",))


def test_a_lot_with_a_test_outside_is_not_proposed_until_the_test_is_made_again() -> None:
    diary = Diary()
    all_tested(diary)
    drive(diary, 2000, 14)
    (found,) = proposed(diary).lots
    assert found.proposal == "do not accept"
    drive(diary, 4000, 9)
    assert proposed(diary).lots[0].proposal == "accept"


def test_a_later_test_of_other_ground_mends_nothing() -> None:
    diary = Diary()
    all_tested(diary)
    drive(diary, 2000, 14)
    drive(diary, 4000, 9, end=60)
    assert [check.retested_by for check in proposed(diary).failed] == [""]
    assert proposed(diary).lots[0].proposal == "do not accept"


def test_a_clock_over_its_limit_speaks_against_a_lot() -> None:
    diary = Diary()
    where = place(0, 80, (1, 2, 3, 4), "B1")
    diary.say(100, "spread run", where, rate_kg_m2=24, kg=17_280, started=90)
    diary.say(110, "mixing pass", where, mixed="dry", number=1, started=100)
    diary.say(400, "rolling", where, rolled="final", started=390)
    (found,) = proposed(diary).lots
    assert "clock from first mix to final rolling ends over its limit" in found.reasons


@pytest.mark.parametrize(
    ("minute", "role", "decision", "status"),
    [
        (2100, "reviewer", "accepted", "accepted by reviewer at 2026-06-10T17:00:00-06:00"),
        (2100, "reviewer", "refused", "refused by reviewer at 2026-06-10T17:00:00-06:00"),
        (2100, "tester", "accepted", "awaits a reviewer"),  # a tester records and never accepts
        (2100, "foreman", "accepted", "awaits a reviewer"),
        (1990, "reviewer", "accepted", "awaits a reviewer"),  # before the bad result
        (140, "reviewer", "accepted", "awaits a reviewer"),  # before it was rolled
    ],
)
def test_only_a_reviewer_s_signature_after_the_last_bad_result_counts(
    minute: float, role: str, decision: str, status: str
) -> None:
    diary = Diary()
    all_tested(diary)
    drive(diary, 2000, 14)
    diary.say(minute, "signature", signed="B1", decision=decision, envelope={"role": role})
    assert proposed(diary).lots[0].status == status


def test_a_signature_for_another_block_is_none_for_this() -> None:
    diary = Diary()
    all_tested(diary)
    worked_block(diary, "B2", 160, 240)
    diary.say(2100, "signature", place(160, 240, block="B2"), signed="B2", decision="accepted", **REVIEWER)
    assert [one.status[:8] for one in proposed(diary).lots] == ["awaits a", "accepted"]
    assert proposed(diary).status == "1 of 2 lots await a reviewer"


def test_a_signature_that_names_entries_counts_for_their_lot() -> None:
    diary = Diary()
    all_tested(diary)
    density = diary.received[-1].entry.id
    worked_block(diary, "B2", 160, 240)
    diary.say(2100, "signature", signed="density 1", decision="accepted", entries=[density], **REVIEWER)
    assert [one.status[:8] for one in proposed(diary).lots] == ["accepted", "awaits a"]


def test_nothing_recorded_is_nothing_to_accept() -> None:
    found = proposed(Diary())
    assert (found.lots, found.checks, found.status) == ((), (), "nothing is treated yet")


def test_an_owner_whom_nobody_named_is_told() -> None:
    made = limited(rate_tolerance={"value": 0.05})
    diary = Diary()
    diary.say(102, "tray check", place(20, strips=(2,)), checked="weighed", tray_kg_m2=24.1)
    found = proposed(diary, made)
    assert found.checks[0].limit is not None
    assert found.checks[0].limit.by == "owner not said"
    assert [one.message for one in found.notices] == ["owner not said of the limit for: tray check"]


@pytest.mark.parametrize(("value", "inside"), [(2, True), (5, True), (1.9, False), (5.1, False)])
def test_a_value_on_a_bound_is_inside(value: float, inside: bool) -> None:
    def figure(size: float) -> Figure:
        return Figure("bound", size, "m", Basis.STATED)

    assert Bounds(figure(2), figure(5), "engineer", "job limits").holds(value) is inside
