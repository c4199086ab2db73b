"""The fold: the same entries in any order, once or many times, one by one or at once, give the same state."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardpan.ledger import Folding, Received, State, fold, parse_received, plain_received, read_ledger
from hardpan.street import example
from tests.ledger.making import PAYLOADS, Diary, kestrel, number, place, plain

WEIGHED = {"checked": "weighed", "tray_kg_m2": 24.0}


def stamped(entry: dict[str, Any], second: int = 0) -> Received:
    return parse_received({"entry": entry, "received_at": f"2026-06-09T12:00:{second:02d}Z"})


@st.composite
def ledgers(draw: st.DrawFn) -> list[Received]:
    """Ledgers of few ids, so that bodies clash, mendings mend each other and run in rings."""
    ids = [number(count) for count in range(1, 7)]
    entries = []
    for _ in range(draw(st.integers(0, 14))):
        kind = draw(st.sampled_from(["tray check", "spread run", "correction", "withdrawal", "run-out", "mixing pass"]))
        name = draw(st.sampled_from(ids))
        payload: dict[str, Any] = PAYLOADS[kind]
        rest: dict[str, Any] = {}
        if kind in ("correction", "withdrawal"):
            others = [one for one in ids if one != name]
            rest["corrects"] = draw(st.sampled_from(others))
        if kind == "correction":
            of = draw(st.sampled_from(["tray check", "spread run", "run-out"]))
            payload = {"kind": of, "payload": PAYLOADS[of]}
        start = draw(st.sampled_from([0, 35, 80, 390, 9_999]))
        where = place(start, start + draw(st.sampled_from([0, 40])), (draw(st.integers(1, 5)),), "B1")
        entry = plain(kind, payload, minute=draw(st.integers(0, 3)), id=name, place=where, **rest)
        entry["device"] = draw(st.sampled_from(["a", "b"]))
        entries.append(stamped(entry, draw(st.integers(0, 2))))
    return entries


@settings(deadline=None, max_examples=80)
@given(ledger=ledgers(), seed=st.integers(0, 2**32))
def test_the_order_of_arrival_changes_nothing(ledger: list[Received], seed: int) -> None:
    shuffled = list(ledger)
    random.Random(seed).shuffle(shuffled)
    assert fold(shuffled, kestrel()) == fold(ledger, kestrel())


@settings(deadline=None, max_examples=40)
@given(ledger=ledgers(), again=st.lists(st.integers(0, 13), max_size=8))
def test_entries_that_are_sent_again_change_nothing(ledger: list[Received], again: list[int]) -> None:
    twice = ledger + [ledger[i % len(ledger)] for i in again if ledger]
    assert fold(twice, kestrel()) == fold(ledger, kestrel())


@settings(deadline=None, max_examples=20)
@given(ledger=ledgers())
def test_one_by_one_is_the_same_as_at_once(ledger: list[Received]) -> None:
    folding = Folding(kestrel())
    for count, one in enumerate(ledger, start=1):
        folding.add(one)
        assert folding.state == fold(ledger[:count], kestrel())


@pytest.mark.parametrize("seed", range(3))
def test_the_worked_days_in_any_order_give_the_same_state(seed: int) -> None:
    received = list(read_ledger(example("kestrel-road")).received)
    state = fold(received, kestrel())
    random.Random(seed).shuffle(received)
    assert fold([*received, *received[::7]], kestrel()) == state


def test_an_empty_ledger_is_a_state() -> None:
    state = fold([], kestrel())
    assert (state.entries, state.clocks, state.notices) == ((), (), ())
    assert {(one.spread, one.rolled, one.zone) for one in state.bays if one.zone == "A"} == {(False, False, "A")}
    assert state.cement.street.tickets is None


def test_states_of_different_ledgers_differ() -> None:
    received = read_ledger(example("kestrel-road")).received
    assert fold(received[:-1], kestrel()) != fold(received, kestrel())


# bodies under one id


def test_of_two_bodies_the_first_received_counts_and_the_other_is_shown() -> None:
    early = stamped(plain("squeeze", {"result": "holds"}), 1)
    late = stamped(plain("squeeze", {"result": "smears"}), 2)
    for order in ([early, late], [late, early]):
        state = fold(order, kestrel())
        assert [one.received for one in state.entries] == [early]
        assert state.refused == (late,)
        assert "came again with other content" in state.notices[0].message


def test_what_was_received_counts_before_what_never_was() -> None:
    here = parse_received({"entry": plain("squeeze", {"result": "holds"})})
    stored = stamped(plain("squeeze", {"result": "smears"}))
    assert [one.received for one in fold([here, stored], kestrel()).entries] == [stored]


# mending


def mended(*mendings: tuple[str, dict[str, Any], int, int]) -> State:
    """A tray check of 24.0 with mendings: kind, payload, which entry by number it mends, minute it was entered."""
    entries = [plain("tray check", WEIGHED, id=number(1), minute=0)]
    for count, (kind, payload, target, minute) in enumerate(mendings, start=2):
        entries.append(plain(kind, payload, id=number(count), corrects=number(target), minute=minute))
    return fold([stamped(entry) for entry in entries], kestrel())


def to(rate: float) -> dict[str, Any]:
    return {"kind": "tray check", "payload": {"checked": "weighed", "tray_kg_m2": rate}}


def stands(state: State) -> tuple[str, float | None]:
    """Status of the tray check and what it caught."""
    entry = state.entry(number(1))
    return entry.status, entry.payload.caught_kg_m2  # type: ignore[attr-defined]  # typed by its kind


def test_a_correction_stands_in_place_of_the_entry() -> None:
    state = mended(("correction", to(25), 1, 5))
    assert stands(state) == ("corrected", 25)
    assert state.entry(number(1)).mended_by == number(2)
    assert state.entry(number(1)).entry.payload.caught_kg_m2 == 24  # type: ignore[attr-defined]  # typed by its kind
    assert state.notices == ()


def test_a_correction_keeps_time_and_place_unless_it_says_others() -> None:
    entries = [plain("tray check", WEIGHED, id=number(1), place=place(35, strips=(4,)))]
    keeps = plain("correction", to(25), id=number(2), corrects=number(1), minute=90)
    (one,) = [one for one in fold(map(stamped, [*entries, keeps]), kestrel()).events if one.id == number(1)]
    assert (one.at.hour, one.area) == (6, (35, 35, (4,)))
    moved = plain(
        "correction",
        to(25) | {"happened_at": "2026-06-09T07:10:00-06:00"},
        id=number(3),
        corrects=number(1),
        minute=91,
        place=place(53, strips=(3,)),
    )
    (one,) = [one for one in fold(map(stamped, [*entries, keeps, moved]), kestrel()).events if one.id == number(1)]
    assert (one.at.hour, one.at.minute, one.area) == (7, 10, (53, 53, (3,)))


def test_a_correction_of_a_correction_corrects_the_same_entry() -> None:
    state = mended(("correction", to(25), 1, 5), ("correction", to(26), 2, 6))
    assert stands(state) == ("corrected", 26)
    assert state.entry(number(2)).status == "replaced"
    assert not state.entry(number(1)).conflicting


def test_a_withdrawn_entry_does_not_count() -> None:
    state = mended(("withdrawal", {}, 1, 5))
    assert stands(state)[0] == "withdrawn"
    assert state.events == ()


def test_a_withdrawn_correction_counts_as_never_made() -> None:
    assert stands(mended(("correction", to(25), 1, 5), ("withdrawal", {}, 2, 6))) == ("in force", 24)


def test_a_withdrawn_withdrawal_counts_as_never_made() -> None:
    state = mended(("withdrawal", {}, 1, 5), ("withdrawal", {}, 2, 6))
    assert stands(state) == ("in force", 24)
    assert [state.entry(number(count)).status for count in (2, 3)] == ["withdrawn", "in force"]


def test_a_withdrawal_withdrawn_twice_over_counts_again() -> None:
    state = mended(("withdrawal", {}, 1, 5), ("withdrawal", {}, 2, 6), ("withdrawal", {}, 3, 7))
    assert stands(state)[0] == "withdrawn"


def test_of_two_corrections_the_later_stands_and_the_conflict_shows() -> None:
    for minutes, rate in (((5, 6), 26), ((6, 5), 25)):
        state = mended(("correction", to(25), 1, minutes[0]), ("correction", to(26), 1, minutes[1]))
        assert stands(state) == ("corrected", rate)
        assert state.entry(number(1)).conflicting
        assert any("two mendings of one entry disagree" in notice.message for notice in state.notices)


def test_two_corrections_at_one_moment_are_told_apart_by_their_ids() -> None:
    assert stands(mended(("correction", to(25), 1, 5), ("correction", to(26), 1, 5))) == ("corrected", 26)


def test_a_correction_after_a_withdrawal_brings_the_entry_back_and_the_conflict_shows() -> None:
    state = mended(("withdrawal", {}, 1, 5), ("correction", to(25), 1, 6))
    assert stands(state) == ("corrected", 25)
    assert state.entry(number(1)).conflicting


def test_a_correction_into_another_kind_does_not_count() -> None:
    state = mended(("correction", {"kind": "squeeze", "payload": {"result": "holds"}}, 1, 5))
    assert stands(state) == ("in force", 24)
    assert state.entry(number(2)).status == "not counted"
    assert any("does not fit" in notice.message for notice in state.notices)


def test_a_mending_waits_for_its_entry() -> None:
    state = mended(("withdrawal", {}, 9, 5))
    assert state.entry(number(2)).status == "waiting"
    assert any("mends an entry that is not here" in notice.message for notice in state.notices)


def test_mendings_in_a_ring_mend_nothing() -> None:
    state = mended(("withdrawal", {}, 3, 5), ("withdrawal", {}, 2, 6))
    assert [state.entry(number(count)).status for count in (1, 2, 3)] == ["in force", "waiting", "waiting"]


def test_a_long_row_of_withdrawals_ends() -> None:
    row: list[tuple[str, dict[str, Any], int, int]] = [("withdrawal", {}, count, count) for count in range(1, 3_000)]
    assert stands(mended(*row))[0] == "withdrawn"  # an odd number of them


# what is told of entries


def test_an_entry_made_before_it_happened_is_told_of() -> None:
    entry = plain("note", entered_at="2026-06-09T05:00:00-06:00")
    assert "said to happen after it was entered" in fold([stamped(entry)], kestrel()).notices[0].message


def test_entries_of_two_streets_are_told_of() -> None:
    entries = [plain("note", id=number(1)), plain("note", id=number(2), street="teal-crescent")]
    (notice,) = fold(map(stamped, entries), kestrel()).notices
    assert notice.message == "entries of more than one street: 1 of kestrel-road, 1 of teal-crescent"


def test_a_place_off_the_street_is_told_of() -> None:
    diary = Diary()
    diary.say(0, "run-out", place(4_000, strips=(1,)))
    diary.say(1, "run-out", place(40, strips=(9,)))
    diary.say(2, "run-out", {"landmark": "the old oak"})
    diary.say(3, "run-out", {"landmark": "3 m past pole 1", "strips": [1]})
    state = fold(diary.received, kestrel())
    assert [notice.value for notice in state.notices] == ["4000 m", "40 m", "the old oak"]
    assert [area for _, area in state.run_outs] == [(43, 43, (1,))]


def test_a_ticket_that_does_not_add_up_and_one_that_came_twice_are_told_of() -> None:
    diary = Diary()
    diary.say(0, "delivery ticket", ticket="T1", net_kg=20_000, gross_kg=35_000, tare_kg=14_000)
    diary.say(1, "delivery ticket", ticket="T1", net_kg=20_000)
    told = [notice.message for notice in fold(diary.received, kestrel()).notices]
    assert told == [
        "ticket T1: gross less tare is 21000 kg, its net says 20000",
        "ticket T1 was entered 2 times: withdraw all but one",
    ]


def test_a_state_keeps_the_stamps_of_its_entries() -> None:
    received = read_ledger(example("teal-crescent")).received
    state = fold(received, kestrel())
    assert sorted(plain_received(one.received)["received_at"] for one in state.entries) == sorted(
        plain_received(one)["received_at"] for one in received
    )
