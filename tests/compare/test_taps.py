"""The day in taps: what is offered, when, and that following it makes the day that was planned."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

import pytest

from hardpan.compare import taps
from hardpan.compare.ground_left import share_left
from hardpan.compare.happened import Happened
from hardpan.compare.taps_offer import place_words, show
from hardpan.compare.taps_reading import read
from hardpan.errors import HardpanError
from hardpan.ledger import Received, State, fold, parse_entry
from tests.compare.taps_days import EXAMPLES, Entry, answers, date_of, day_of, example_entries, follow, numbers, plan_of

TEAL, KESTREL = EXAMPLES


@cache
def followed(name: str) -> tuple[tuple[str, taps.Offer, list[Entry]], ...]:
    return tuple(follow(name))


def made(name: str) -> list[Entry]:
    return [entry for _, _, entries in followed(name) for entry in entries]


def folded(name: str, entries: list[Entry]) -> State:
    return fold([Received(entry=parse_entry(entry)) for entry in entries], plan_of(name).street)


def at(name: str, until: str) -> tuple[taps.Day, list[Entry], str]:
    """Day of a street's own ledger at a time of day."""
    now = f"{date_of(name)}T{until}:00-06:00"
    entries = [one for one in example_entries(name) if one["happened_at"] <= now]
    return day_of(name, entries, now), entries, now


def offered(name: str, until: str, **more: Any) -> list[taps.Offer]:
    day, entries, now = at(name, until)
    return list(taps.offers(day, entries, now=now, **more))


# --- following the first choices --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_first_choices_make_the_planned_day(name: str) -> None:
    plan, state = plan_of(name), folded(name, made(name))
    assert not state.notices
    today = [block for block in plan.shift.blocks if block.day == 1]
    last = today[-1].end_m
    for bay in (one for one in state.bays if one.end_m <= last):
        zone = next(zone for zone in plan.zones if zone.name == bay.zone)
        mixer = plan.street.file.mixer
        assert bay.dry_passes == (mixer.dry_passes_soft if zone.soil == "soft" else mixer.dry_passes)
        assert (bay.wet_passes, bay.walked_out, bay.trimmed, bay.rolled, bay.closed) == (1, True, True, True, True)
    left = [share_left(Happened(plan, state), block) for block in today]
    bare = sum(one.area.value for one in plan.supply.cement.bare)
    assert all(value == 0 for one in left for stage, value in one.items() if stage != "spread")
    assert sum(one["spread"] * block.area.value for one, block in zip(left, today, strict=True)) == pytest.approx(
        bare, abs=2.25
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_first_choices_fill_and_run_out_where_the_plan_does(name: str) -> None:
    cement, state = plan_of(name).supply.cement, folded(name, made(name))
    planned = [(one.strip, one.station.value) for one in cement.run_outs if one.day == 1]
    happened = [(area.strips[0], area.start_m) for _, area in state.run_outs]
    assert [strip for strip, _ in happened] == [strip for strip, _ in planned]
    assert [station for _, station in happened] == pytest.approx([station for _, station in planned], abs=1.0)
    fills = [
        one["payload"]["added_kg"]
        for one in made(name)
        if one["kind"] == "spreader fill" and "started_at" in one["payload"]
    ]
    assert fills == pytest.approx([fill.cement.value for fill in cement.fills if fill.day == 1])


def test_first_choices_empty_the_water_trucks_where_the_plan_does() -> None:
    planned = [(one.cut, one.station.value) for one in plan_of(TEAL).supply.water.empties]
    empties = [one["place"] for one in made(TEAL) if one["kind"] == "water truck empty"]
    assert [one["strips"][0] for one in empties] == [cut for cut, _ in planned]
    assert [one["start_m"] for one in empties] == pytest.approx([station for _, station in planned], abs=1.0)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_payload_offered_is_one_of_the_ledger(name: str) -> None:
    ids, count, entries = numbers(), 0, list[Entry]()
    for now, _, new in followed(name):
        day = day_of(name, [], now)
        for offer in taps.offers(day, entries, now=now):
            ready = taps.filled(offer, answers(offer))
            if offer["pad"] is not None and offer["pad"]["kind"] == "where" and offer["pad"]["station_m"] is None:
                ready = taps.filled(offer, {"station_m": offer["pad"]["start_m"]})
            for one in taps.entered(day, entries, ready, now=now, role="operator", device="phone-2", new_id=ids):
                parse_entry(one | {"street": name})
                count += 1
        entries += new
    assert count > 800


def test_an_offer_has_all_its_parts() -> None:
    for offer in offered(TEAL, "10:30"):
        assert offer.keys() == taps.Offer.__annotations__.keys(), offer["key"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_there_is_one_first_choice_and_it_stands_first(name: str) -> None:
    for now, offer, _ in followed(name):
        assert offer["first"], now
    day, entries, now = at(name, "10:30")
    found = taps.offers(day, entries, now=now)
    assert [one["first"] for one in found] == [True] + [False] * (len(found) - 1)
    assert len({one["key"] for one in found}) == len(found)


def test_the_light_reading_says_what_the_fold_says() -> None:
    for name in EXAMPLES:
        entries: list[Entry] = []
        for now, _, new in followed(name):
            entries += new
            reading, state = read(day_of(name, [], now), entries, now=now), folded(name, entries)
            assert reading.filled_kg == pytest.approx(state.cement.delivered_kg - state.cement.in_truck_kg)
            assert (reading.stopped, len(reading.problems)) == (None, 0)
        closed = {(bay.strip, bay.start_m) for bay in state.bays if bay.closed}
        assert closed == {
            (strip, bay.start_m)
            for bay in state.bays
            for strip in [bay.strip]
            if any(low <= bay.start_m and bay.end_m <= high for low, high in reading.spans("closed", strip))
        }


# --- what is offered, and what is not ---------------------------------------------------------------------------------------


def test_before_the_call_nothing_else_can_happen() -> None:
    day = day_of(TEAL, [], "2026-06-04T05:50:00-06:00")
    assert [one["key"] for one in taps.offers(day, [], now="2026-06-04T05:50:00-06:00")] == [
        "go",
        "no_go",
        "ticket",
        "problem",
        "stop",
    ]


def test_yesterdays_go_is_none() -> None:
    day, entries, _ = at(KESTREL, "18:00")
    assert taps.offers(day, entries, now="2026-06-10T05:50:00-06:00")[0]["key"] == "go"


def test_a_rate_change_is_offered_only_where_a_painted_edge_lies_on_the_strip() -> None:
    for name in EXAMPLES:
        for now, offer, _ in followed(name):
            del now
            if offer["key"].startswith("rate change"):
                zones = plan_of(name).zones
                edges = {
                    edge
                    for zone in zones
                    for piece in zone.pieces
                    if piece.strip == offer["strip"]
                    for edge in (piece.start_m, piece.end_m)
                }
                assert offer["entries"][0]["place"]["start_m"] in edges  # type: ignore[index]
    without = [
        one["strip"] for _, one, _ in followed(TEAL) if one["key"].startswith("rate change") and one["block"] != 1
    ]
    assert without == []


def test_a_measurement_is_never_filled_in() -> None:
    for name in EXAMPLES:
        day, entries, now = at(name, "11:30")
        for offer in taps.offers(day, entries, now=now):
            for ready in offer["entries"]:
                measured = {
                    "tray_kg_m2",
                    "depth_mm",
                    "net_kg",
                    "water_l",
                    "down_mm",
                    "level_m",
                    "result",
                    "word",
                    "about",
                }
                assert not measured & ready["payload"].keys(), offer["key"]


def test_while_the_work_is_stopped_only_going_on_is_offered() -> None:
    day, entries, now = at(TEAL, "10:30")
    stopped = {
        **entries[-1],
        "id": "019e9fff-0000-7000-8000-000000000001",
        "kind": "stop",
        "payload": {"state": "stopped"},
    }
    stopped |= {"happened_at": now, "entered_at": now}
    stopped.pop("place", None)
    assert [one["key"] for one in taps.offers(day, [*entries, stopped], now=now)] == ["goes on", "undo", "problem"]


def test_undo_names_what_it_undoes_and_takes_back_the_whole_tap() -> None:
    day, entries, now = at(TEAL, "09:02")
    undo = next(one for one in taps.offers(day, entries, now=now, device="t2c6-op") if one["key"] == "undo")
    assert undo["second"] == "09:02, rate changed, strip 3"
    assert [one["kind"] for one in undo["entries"]] == ["withdrawal"]
    wet = next(entries for _, offer, entries in followed(TEAL) if offer["key"] == "wet 1 1")
    before = made(TEAL)
    until = before.index(wet[-1]) + 1
    undo = next(one for one in taps.offers(day, before[:until], now=wet[0]["entered_at"]) if one["key"] == "undo")
    assert [one["corrects"] for one in undo["entries"]] == [one["id"] for one in wet]


def test_a_phone_undoes_only_what_it_entered() -> None:
    assert not [one for one in offered(TEAL, "10:30", device="another") if one["key"] == "undo"]


def test_a_role_is_offered_what_it_may_enter() -> None:
    day, entries, now = at(TEAL, "10:30")
    may = day["may"] = ["tray check", "problem", "stop"]
    assert {ready["kind"] for one in taps.offers(day, entries, now=now) for ready in one["entries"]} <= set(may)


def test_cement_that_is_out_ends_the_strip_where_it_ran_out() -> None:
    last = [offer for _, offer, _ in followed(TEAL) if offer["key"].startswith("spread 3")][-1]
    assert (last["words"], last["second"], last["end_m"]) == ("strip 4 spread", "to 0+199", 199.0)


def test_a_tray_is_due_at_the_restart_until_its_spot_is_mixed() -> None:
    trays = [one for one in offered(TEAL, "10:25") if one["key"] == "tray"]
    assert trays[0]["second"] == "at the restart, 0+130"
    assert trays[0]["entries"][0]["place"] == {"block": "B2", "strips": [1], "start_m": 130}


@pytest.mark.parametrize(
    ("value", "likely", "meant"),
    [
        (240, 24, 24.0),
        (2.4, 24, 24.0),
        (2400, 24, 24.0),
        (130, 24, 13.0),
        (200, 24, 20.0),
        (24, 240, 240.0),
        (3, 24, 30.0),
    ],
)
def test_a_strange_number_is_asked_about(value: float, likely: float, meant: float) -> None:
    asked = taps.doubt(value, likely)
    assert asked is not None
    assert asked["meant"] == meant


@pytest.mark.parametrize("value", [24, 12, 60, 110, 5.5])
def test_a_likely_number_is_not(value: float) -> None:
    assert taps.doubt(value, 24) is None


def test_a_second_tap_within_five_seconds_replaces_the_first() -> None:
    day, entries, now = at(TEAL, "12:20")
    squeeze = next(one for one in taps.offers(day, entries, now=now) if one["key"] == "squeeze")
    ids = numbers()

    def tap(choice: int, seconds: int, before: list[Entry]) -> list[Entry]:
        told = f"{date_of(TEAL)}T12:30:{seconds:02d}-06:00"
        ready = taps.filled(squeeze, {"choice": choice})
        return taps.entered(day, before, ready, now=told, role="operator", device="d", new_id=ids)

    first = tap(0, 10, entries)
    (second,) = tap(1, 15, [*entries, *first])
    assert (second["kind"], second["corrects"]) == ("correction", first[0]["id"])
    assert second["payload"]["payload"] == {"result": "holds"}
    assert tap(1, 16, [*entries, *first])[0]["kind"] == "squeeze"


# --- words -------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*EXAMPLES, "chance 0", "chance 3"])
def test_stations_and_places_read_as_everywhere(name: str) -> None:
    stationing, day = plan_of(name).street.stationing, day_of(name, [], f"{date_of(name)}T06:00:00-06:00")
    for tenth in range(int(stationing.first * 10), int(stationing.last * 10), 37):
        station = tenth / 10
        assert show(day, station) == stationing.show(station)
        if station not in (stationing.first, stationing.last):
            nearest = [abs(mark.station - station) for mark in stationing.landmarks]
            if nearest and sorted(nearest)[:2] != [min(nearest)] * 2 and min(nearest) > 0:
                assert place_words(day, station) == stationing.place(station)


def test_a_day_without_an_offset_is_refused() -> None:
    with pytest.raises(HardpanError, match="without an offset"):
        taps.day_of(plan_of(TEAL), folded(TEAL, []), now=dt.datetime(2026, 6, 4, 6))  # that is the point


# --- the far look ------------------------------------------------------------------------------------------------------------


def test_the_far_look_of_the_worked_day() -> None:
    day, entries, now = at(TEAL, "12:40")
    seen = taps.look(day, entries, now=now)
    assert (seen["strip"], seen["what"], seen["setting"], seen["level"]) == (2, "next: wet mix", "FULL", 2)
    assert (seen["start"], seen["end"]) == ("8 m before no. 11 (0+080)", "0+160")
    assert (seen["low_mm"], seen["low_basis"], seen["our_low_mm"], seen["our_low_basis"]) == (
        "45",
        "stated",
        "47",
        "default",
    )
    assert seen["by_words"] == "plan time. No limit is written for this street."
    assert [(one["block"], one["event"], one["left_min"], one["alarm"]) for one in seen["clocks"]] == [
        (2, "cement on the ground", None, -1.0)
    ]


def test_a_written_limit_counts_down_as_the_ledgers_clock_does() -> None:
    day, entries, now = at(KESTREL, "10:30")
    seen, state = taps.look(day, entries, now=now), folded(KESTREL, entries)
    for one in (clock for clock in seen["clocks"] if clock["event"] == "first mix"):
        same = next(
            clock for clock in state.clocks if clock.block == f"B{one['block']}" and clock.starts_with == "first mix"
        )
        assert one["left_min"] == pytest.approx(same.left_min(dt.datetime.fromisoformat(now)))
        assert one["owner"] == "engineer"
    assert "engineer" in seen["by_words"]


@pytest.mark.parametrize(("minutes", "alarm"), [(220, -1.0), (225, 15.0), (239, 15.0), (240, 0.0), (300, 0.0)])
def test_alarms_are_due_fifteen_minutes_before_and_at_the_end(minutes: int, alarm: float) -> None:
    entries = [one for one in example_entries(KESTREL) if one["happened_at"] < "2026-06-09T08:50"]
    start = min(
        one["payload"].get("started_at", one["happened_at"])
        for one in entries
        if one["kind"] == "mixing pass" and one["payload"]["mixed"] != "aerate"
    )
    now = (dt.datetime.fromisoformat(start) + dt.timedelta(minutes=minutes)).isoformat()
    clocks = taps.look(day_of(KESTREL, entries, now), entries, now=now)["clocks"]
    assert [one["alarm"] for one in clocks if one["event"] == "first mix"] == [alarm]
