"""Entries: every kind goes out and comes back; every broken one says what was found, what is allowed and what to do."""

from __future__ import annotations

import json
import pickle
from typing import Any

import pytest

from hardpan.ledger import (
    KINDS,
    EntryProblem,
    LedgerError,
    entry_body,
    parse_entry,
    parse_received,
    plain_entry,
    plain_received,
    received_body,
)
from tests.ledger.making import OTHER, PAYLOADS, plain

DAY = (
    "slow drive, rate instruction, go/no-go, delivery ticket, pre-grade shots, spreader fill, spread run, rate change, run-out, tray check, mixing pass, "
    "depth check, water truck coupled, water truck empty, squeeze, moisture, rolling, walk-out, levels, curing, density, one-point, "
    "penetrometer, axle test, weather, stop, problem, closed, blade chatters, machine ruts, access, note, correction, withdrawal, signature"
)


def problems(found: dict[str, Any]) -> tuple[EntryProblem, ...]:
    with pytest.raises(LedgerError) as error:
        parse_entry(found)
    return error.value.problems


def told(found: dict[str, Any]) -> list[str]:
    return [str(problem) for problem in problems(found)]


def test_kinds_are_those_of_the_treatment_day() -> None:
    assert ", ".join(KINDS) == DAY
    assert list(PAYLOADS) == list(KINDS)


def test_every_kind_has_words_for_people() -> None:
    words = [kind.words for kind in KINDS.values()]
    assert all(words)
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_goes_out_and_comes_back(kind: str) -> None:
    entry = parse_entry(plain(kind))
    back = parse_entry(json.loads(entry_body(entry)))
    assert back == entry
    assert entry_body(back) == entry_body(entry)
    assert type(entry.payload) is KINDS[kind]
    assert json.loads(entry_body(entry))["payload"] == {**PAYLOADS[kind]}


@pytest.mark.parametrize("kind", KINDS)
def test_a_key_that_no_kind_has_is_told_of(kind: str) -> None:
    (problem,) = problems(plain(kind, PAYLOADS[kind] | {"net_kilos": 3}))
    assert problem.where == "payload.net_kilos"
    assert problem.found == "a key that Hardpan does not know"
    assert "note" in problem.allowed.split(", ")


def test_a_body_is_the_same_whatever_was_left_out_or_written_as_a_whole_number() -> None:
    short = plain("tray check", {"checked": "weighed", "tray_kg_m2": 24}, place={"start_m": 35})
    long = plain(
        "tray check",
        {"note": "", "tray_kg": None, "tray_kg_m2": 24.0, "checked": "weighed"},
        place={"end_m": None, "start_m": 35.0, "strips": [], "landmark": "", "block": ""},
        photo=None,
        corrects=None,
        name="",
    )
    assert entry_body(parse_entry(short)) == entry_body(parse_entry(long))


def test_a_body_keeps_times_as_they_were_written() -> None:
    entry = parse_entry(plain("note", happened_at="2026-06-09T14:05:00.250Z"))
    assert json.loads(entry_body(entry))["happened_at"] == "2026-06-09T14:05:00.250Z"
    assert b" " not in entry_body(parse_entry(plain("closed")))
    assert list(json.loads(entry_body(entry))) == sorted(json.loads(entry_body(entry)))


def test_stamps_go_out_and_come_back() -> None:
    stamps = {
        "received_at": "2026-06-09T12:00:22Z",
        "sent_at": "2026-06-09T06:00:21-06:00",
        "heard_at": "2026-06-09T05:58:00-06:00",
        "heard_said": "2026-06-09T11:58:01Z",
    }
    received = parse_received({"entry": plain("closed"), **stamps})
    assert parse_received(json.loads(received_body(received))) == received
    assert {key: plain_received(received)[key] for key in stamps} == stamps


def test_an_entry_nobody_sent_has_no_stamps() -> None:
    received = parse_received({"entry": plain("closed"), "received_at": None, "sent_at": None})
    assert plain_received(received) == {"entry": plain_entry(received.entry)}


BROKEN: dict[str, tuple[dict[str, Any], str]] = {
    "slow drive": (
        {"word": "bounces"},
        "payload.word: found 'bounces'; allowed: 'nothing', 'shows', 'ruts' or 'sinks'. Write one of these words.",
    ),
    "rate instruction": (
        {"depth_mm": 300, "depth_state": None},
        "payload: found depth_mm alone; allowed: depth_mm with depth_state. Say which ground: original, loose or rolled.",
    ),
    "go/no-go": (
        {"decision": "Go!"},
        "payload.decision: found 'Go!'; allowed: 'go' or 'no-go'. Write one of these words.",
    ),
    "delivery ticket": (
        {"net_kg": 389400},
        "payload.net_kg: found 389400; allowed: a number from 100 to 60000. Did you mean 38940?",
    ),
    "pre-grade shots": (
        {"shots": []},
        (
            "payload: found checked, 0 shots; allowed: checked with shots, or not checked without. "
            "Write each shot, or say not checked: a tap alone is no measurement."
        ),
    ),
    "spreader fill": (
        {"added_kg": None},
        "payload: found neither; allowed: added_kg or hopper_kg. Say how much went in, or what the hopper holds now.",
    ),
    "spread run": (
        {"rate_kg_m2": 240},
        "payload.rate_kg_m2: found 240; allowed: a number from 0 to 120. Did you mean 24?",
    ),
    "rate change": (
        {"rate_kg_m2": "24,3"},
        (
            "payload.rate_kg_m2: found '24,3'; allowed: a number from 0 to 120. "
            "Write a number, without quotes and without its unit."
        ),
    ),
    "run-out": (
        {"painted": "yes"},
        "payload.painted: found 'yes'; allowed: true or false. Write true or false, without quotes.",
    ),
    "tray check": (
        {"tray_kg": None},
        (
            "payload: found weighed; allowed: tray_kg_m2, or tray_kg with tray_area_m2. "
            "Say what the tray caught: a tap alone is no measurement."
        ),
    ),
    "mixing pass": (
        {"mixed": "dry"},
        "payload: found water on a pass called dry; allowed: water on a wet pass. Call it wet, or leave it out.",
    ),
    "depth check": (
        {"state": "bank"},
        "payload.state: found 'bank'; allowed: 'original', 'loose' or 'rolled'. Write one of these words.",
    ),
    "water truck coupled": (
        {"setting": "FUL"},
        "payload.setting: found 'FUL'; allowed: 'full', 'half' or 'off'. Write one of these words.",
    ),
    "water truck empty": (
        {"left_l": True},
        "payload.left_l: found true; allowed: a number from 0 to 200000. Write a number, without quotes and without its unit.",
    ),
    "squeeze": (
        {"result": "hold"},
        "payload.result: found 'hold'; allowed: 'smears', 'holds' or 'crumbles'. Did you mean 'holds'?",
    ),
    "moisture": (
        {"water_content_percent": None},
        (
            "payload.water_content_percent: found nothing; allowed: a number from 0 to 150. "
            "Write a number, without quotes and without its unit."
        ),
    ),
    "rolling": (
        {"passes": 2.5},
        "payload.passes: found 2.5; allowed: a whole number from 1 to 99. Write a number, without quotes and without its unit.",
    ),
    "walk-out": (
        {"walked_out": None},
        "payload.walked_out: found nothing; allowed: true or false. Write true or false, without quotes.",
    ),
    "levels": (
        {"shots": [{"station_m": 1, "side_offset_m": 0}]},
        "payload.shots.1: found neither; allowed: down_mm or level_m. Write the one that was read.",
    ),
    "curing": (
        {"under_way": True, "started_at": "2026-06-09T08:10:00-06:00"},
        (
            "payload: found under_way and started_at; allowed: one of the two. "
            "Leave started_at out: happened_at is when it began."
        ),
    ),
    "density": (
        {"dry_density_kg_m3": None, "wet_density_kg_m3": 1900},
        (
            "payload: found no dry density; allowed: dry_density_kg_m3, or wet_density_kg_m3 with water_content_percent. "
            "Write what the slip says."
        ),
    ),
    "one-point": (
        {"proctor": ""},
        "payload.proctor: found nothing; allowed: text of 1 to 40 letters. Correct it.",
    ),
    "penetrometer": (
        {"strength_kpa": 40},
        "payload: found both; allowed: rows, or strength_kpa. Write the blows, or the pocket reading.",
    ),
    "axle test": (
        {"movements": [{"start_m": 9, "end_m": 3, "moved_mm": 3}]},
        "payload.movements.1: found 9 to 3; allowed: start_m below end_m. Write the lower station first.",
    ),
    "weather": (
        {"air_c": 170},
        "payload.air_c: found 170; allowed: a number from -50 to 60. Did you mean 17?",
    ),
    "stop": (
        {"state": "stop"},
        "payload.state: found 'stop'; allowed: 'stopped' or 'resumed'. Did you mean 'stopped'?",
    ),
    "problem": (
        {"what": "w" * 81},
        f"payload.what: found '{'w' * 60}...'; allowed: text, at most 80 letters. Shorten it.",
    ),
    "closed": (
        {"problem": "7"},
        "payload.problem: found '7'; allowed: UUID of version 7, made on the device, in lower case. Correct it.",
    ),
    "blade chatters": (
        {"note": 3},
        "payload.note: found 3; allowed: text, at most 2000 letters. Correct it.",
    ),
    "machine ruts": (
        {"word": "nothing"},
        "payload.word: found 'nothing'; allowed: 'shows', 'ruts' or 'sinks'. Write one of these words.",
    ),
    "access": (
        {"what": ["a"]},
        "payload.what: found a list of 1; allowed: text of 1 to 200 letters. Correct it.",
    ),
    "note": (
        {"note": ""},
        "payload.note: found nothing; allowed: text of 1 to 2000 letters. Correct it.",
    ),
    "correction": (
        {"payload": {"checked": "weighed", "tray_kg_m2": 243}},
        "payload.payload.tray_kg_m2: found 243; allowed: a number from 0 to 120. Did you mean 24.3?",
    ),
    "withdrawal": (
        {"reason": 0},
        "payload.reason: found 0; allowed: text, at most 80 letters. Correct it.",
    ),
    "signature": (
        {"decision": "yes"},
        "payload.decision: found 'yes'; allowed: 'accepted' or 'refused'. Write one of these words.",
    ),
}


def test_a_broken_payload_of_every_kind_is_tried() -> None:
    assert list(BROKEN) == list(KINDS)


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_payload_says_what_was_found_what_is_allowed_and_what_to_do(kind: str) -> None:
    change, message = BROKEN[kind]
    assert told(plain(kind, PAYLOADS[kind] | change)) == [message]


MISSING = [
    (kind, key)
    for kind, model in KINDS.items()
    for key, field in model.model_fields.items()
    if field.is_required() and key != "payload"
]


@pytest.mark.parametrize(("kind", "key"), MISSING)
def test_a_required_key_that_is_not_there_is_told_of(kind: str, key: str) -> None:
    found = problems(plain(kind, {name: value for name, value in PAYLOADS[kind].items() if name != key}))
    assert (found[0].where, found[0].found, found[0].do) == (
        f"payload.{key}",
        "nothing",
        "This is required: fill it in.",
    )


def test_no_measurement_is_ever_filled_in() -> None:
    """Defaults of payloads are nothing at all, except for words that say how something was done."""
    filled = {
        (kind, key): field.default
        for kind, model in KINDS.items()
        for key, field in model.model_fields.items()
        if not field.is_required() and field.default not in (None, "", (), False)
    }
    assert filled == {
        ("spread run", "by"): "spreader",
        ("density", "method"): "not said",
        ("density", "water_by"): "not said",
    }


ENVELOPE = [
    ({"id": "7"}, "id: found '7'; allowed: UUID of version 7, made on the device, in lower case. Correct it."),
    (
        {"id": "019ead39-0000-4000-8000-000000000001"},
        "id: found '019ead39-0000-4000-8000-000000000001'; allowed: UUID of version 7, made on the device, in lower case. Correct it.",
    ),
    ({"street": "Kestrel Road"}, "street: found 'Kestrel Road'; allowed: short name of the street, as kestrel-road. Correct it."),
    (
        {"happened_at": "2026-06-09T08:10:00"},
        ("happened_at: found '2026-06-09T08:10:00'; allowed: a time with its offset, like 2026-06-09T08:10:00-06:00. "
        "Write date, T, time of day and the offset of the device's clock."),
    ),
    (
        {"entered_at": "2026-02-30T08:10:00Z"},
        ("entered_at: found '2026-02-30T08:10:00Z'; allowed: a time with its offset, like 2026-06-09T08:10:00-06:00. "
        "There is no such day or time: correct it."),
    ),
    ({"role": "boss"}, "role: found 'boss'; allowed: 'operator', 'foreman', 'tester' or 'reviewer'. Write one of these words."),
    ({"device": "my phone"}, "device: found 'my phone'; allowed: a name made on the device: letters, digits, - and _. Correct it."),
    ({"photo": "x"}, "photo: found 'x'; allowed: SHA-256 of the photo, 64 hex digits. Correct it."),
    ({"place": {"end_m": 3}}, "place: found nothing to 3; allowed: start_m, not above end_m. Write the lower station first, or leave end_m out."),
    ({"place": {"strips": [0]}}, "place.strips.1: found 0; allowed: whole numbers from 1 to 30. Check the number and its unit."),
    (
        {"place": {"strip": 4}},
        "place.strip: found a key that Hardpan does not know; allowed: start_m, end_m, strips, block, landmark. Did you mean 'strips'?",
    ),
    (
        {"corrects": OTHER},
        "the whole: found corrects with note; allowed: corrects with a correction or a withdrawal. Name the entry that is mended there.",
    ),
    ({"name": "a\0b"}, "the whole: found a letter of code 0; allowed: text. Remove it: no keyboard writes it."),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), ENVELOPE)
def test_a_broken_envelope_is_told_of(change: dict[str, Any], message: str) -> None:
    assert told(plain("note", **change)) == [message]


def test_all_problems_come_at_once() -> None:
    found = problems(plain("squeeze", {"result": "wet", "x": 1}, id="1", role="", place={"start_m": "a"}))
    assert [one.where for one in found] == ["id", "place.start_m", "role", "payload.result", "payload.x"]


def test_an_unknown_kind_names_the_kinds_and_judges_no_payload() -> None:
    (problem,) = problems(plain("squeeze", {"anything": 1}, kind="ultrasonic test"))
    assert (problem.where, problem.found, problem.allowed) == ("kind", "'ultrasonic test'", DAY)


@pytest.mark.parametrize("found", [None, 3, "x", [], [{}]])
def test_what_is_no_object_is_no_entry(found: Any) -> None:
    (problem,) = problems(found)
    assert problem.allowed.startswith("an object with the keys id, street, kind")


def test_a_mending_does_not_mend_itself() -> None:
    (problem,) = problems(plain("withdrawal", id=OTHER))
    assert problem.found == "its own id in corrects"


@pytest.mark.parametrize("kind", ["correction", "withdrawal"])
def test_a_mending_names_what_it_mends(kind: str) -> None:
    (problem,) = problems(plain(kind, corrects=None))
    assert problem.found == f"{kind} without corrects"


@pytest.mark.parametrize("kind", ["correction", "withdrawal", "signature"])
def test_what_is_only_withdrawn_is_not_corrected(kind: str) -> None:
    found = problems(plain("correction", {"kind": kind, "payload": {}}))
    assert found[0].where == "payload.kind"
    assert found[0].do == "Withdraw a mending or a signature, and enter it anew."


def test_a_problem_inside_a_received_entry_says_where() -> None:
    with pytest.raises(LedgerError) as error:
        parse_received({"entry": plain("tray check", {"checked": "weighed", "tray_kg_m2": -1}), "heard_at": None})
    assert [one.where for one in error.value.problems] == ["entry.payload.tray_kg_m2"]


def test_what_was_heard_comes_with_when() -> None:
    with pytest.raises(LedgerError, match="both or neither"):
        parse_received({"entry": plain("closed"), "heard_said": "2026-06-09T12:00:22Z"})


def test_an_error_travels_between_processes() -> None:
    with pytest.raises(LedgerError) as error:
        parse_entry(plain("note", id="1"))
    back = pickle.loads(pickle.dumps(error.value))
    assert (str(back), back.problems) == (str(error.value), error.value.problems)


def test_an_entry_made_more_than_a_quarter_of_an_hour_later_is_late() -> None:
    def late(entered: str) -> bool:
        return parse_entry(plain("note", happened_at="2026-06-09T08:00:00-06:00", entered_at=entered)).late

    assert not late("2026-06-09T08:15:00-06:00")
    assert late("2026-06-09T08:15:01-06:00")
    assert not late("2026-06-09T14:10:00Z")


def test_a_tray_gives_its_rate() -> None:
    def caught(**payload: Any) -> float | None:
        return parse_entry(plain("tray check", {"checked": "weighed", **payload})).payload.caught_kg_m2  # type: ignore[attr-defined, no-any-return]  # typed by its kind

    assert caught(tray_kg=12.0, tray_area_m2=0.5) == 24.0  # half a square metre, the usual sum
    assert caught(tray_kg_m2=23.9) == 23.9


def test_dry_density_follows_from_wet_density_and_water() -> None:
    """dry = wet / (1 + w), ASTM D6938 section on calculation (from memory)."""
    slip = {k: v for k, v in PAYLOADS["density"].items() if k != "dry_density_kg_m3"}
    entry = parse_entry(plain("density", slip | {"wet_density_kg_m3": 1899.08, "water_content_percent": 20.5}))
    assert entry.payload.dry_kg_m3 == pytest.approx(1576, abs=0.005)  # type: ignore[attr-defined]  # typed by its kind
