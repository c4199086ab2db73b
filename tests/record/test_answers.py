"""Ten questions, answered from the worked days; what is not recorded stays not recorded.

The figures are those of the worked two days as the example's folder tells them (clocks, densities, run-outs, trays, the failed
stretch); sums are made here by hand.
"""

from __future__ import annotations

import pytest

from hardpan.exchange.record.answers import QUESTIONS, ten_answers
from hardpan.exchange.record.words import NOT_RECORDED
from hardpan.ledger import read_ledger
from hardpan.street import example
from tests.ledger.making import Diary, place
from tests.record.recorded import answer, of_entries, recorded

KESTREL = "kestrel-road"


def test_who_set_the_rate_when_and_who_heard_it() -> None:
    told = answer(recorded(KESTREL), 1)
    assert told == [
        "24 kg/m\u00b2, 300 mm of original ground, everywhere else: said by engineer, heard by foreman, 8 June 14:30, on site.",
        "36 kg/m\u00b2, 300 mm of original ground, 0+100 to 0+145, all strips: said by engineer, heard by foreman, 8 June 14:30, on site.",
        "36 kg/m\u00b2, 300 mm of original ground, 0+300 to 0+330, strips 3 and 4: said by engineer, heard by foreman, 8 June 14:30, on site.",
        "\u201crate instruction 24 and 36 kg/m2, 300 mm\u201d: accepted by reviewer.",
    ]


def test_an_instruction_of_the_folder_alone_says_that_no_entry_tells_it() -> None:
    told = answer(recorded("teal-crescent"), 1)
    assert told[1] == (
        "28 kg/m\u00b2, 0+060 to 0+160, all strips: said by engineer, heard by foreman, grader operator, 3 June 16:40; no entry tells it."
    )
    (_, said) = ten_answers(recorded("teal-crescent"))[0].said
    assert (said.entries, said.folder) == ((), "instructions.csv")


def test_what_was_soft_and_the_rain_since() -> None:
    told = answer(recorded(KESTREL), 2)
    assert told[0] == "0+100 to 0+145, all strips: ruts, 38 mm, bounces under grader, 18 t, 8 June 13:00."
    assert told[1] == "0+300 to 0+330, strips 3 and 4: shows, 28 mm under grader, 18 t, 8 June 13:00."
    assert told[2] == "penetrometer P1: CBR 2.8, no. 14 (0+120), strip 2."
    assert told[3] == "rain: dry (9 June 16:30); not recorded on 9 other days of the record."


def test_days_on_which_nobody_told_of_rain_are_counted() -> None:
    diary = Diary()
    diary.say(0, "note", note="lids walked")
    assert answer(of_entries(diary.received), 2)[-1] == "not recorded: whether it rained since"
    diary.say(24 * 60, "weather", rain="rain", rain_mm=4)
    assert (
        answer(of_entries(diary.received), 2)[-1]
        == "rain: rain 4 mm (10 June 06:00); not recorded on 1 other day of the record."
    )


def test_the_rate_by_loads_and_trays_and_every_restart() -> None:
    told = answer(recorded(KESTREL), 3)
    # 17 430 / 720, 22 280 / 720, 17 420 / 720, 18 510 / 720, 17 980 / 720
    assert (
        told[0]
        == "B1: loads give 24.21 kg/m\u00b2 on average, instructed 24.00; trays 23.9, 24.6, 24.3 kg/m\u00b2, 3 inside, spot not recorded."
    )
    assert told[1] == "B2: loads give 30.94 kg/m\u00b2 on average, instructed 30.75; no tray: only an average is known."
    assert [line[:33] for line in told[2:5]] == [
        "B3: loads give 24.19 kg/m\u00b2 on ave",
        "B4: loads give 25.71 kg/m\u00b2 on ave",
        "B5: loads give 24.97 kg/m\u00b2 on ave",
    ]
    assert told[5] == "restart after run-out at 5 m before pole 1 (0+035), strip 4, no tray."
    assert told[6] == "restart after run-out at 26 m past no. 14 (0+146), strip 4, no tray."
    assert told[7] == "limit: 5 % either side of the rate, engineer, job limits 1."


def test_edges_of_the_rate_as_they_were_laid() -> None:
    assert [line.split(",")[0] for line in answer(recorded(KESTREL), 4)] == [
        "not recorded: where the rate was changed from 24 to 36 kg/m\u00b2",
        "not recorded: where the rate was changed from 36 to 24 kg/m\u00b2",
        "not recorded: where the rate was changed from 24 to 36 kg/m\u00b2",
        "not recorded: where the rate was changed from 36 to 24 kg/m\u00b2",
    ]
    diary = Diary()
    diary.say(0, "rate change", place(102, strips=(2,), block="B2"), rate_kg_m2=36)
    diary.say(1, "rate change", place(70, strips=(3,), block="B2"), rate_kg_m2=36)
    edge = answer(of_entries(diary.received), 4)[0]
    assert (
        edge
        == "24 to 36 kg/m\u00b2, instructed at 20 m before no. 14 (0+100), all strips: changed at 0+102 on strip 2, 2.0 m past it; not recorded on strips 1, 3 and 4."
    )


def test_depth_with_the_surface_it_was_measured_from() -> None:
    assert answer(recorded(KESTREL), 5) == ["not recorded: no depth hole"]
    # 380 mm loose over the loose factor of 1.25 is 304 mm
    assert answer(recorded("teal-crescent"), 5)[0] == (
        "4 m past hydrant (0+072), strip 1: 380 mm of loose ground from the loose surface, 304 mm of original ground, 300 mm wanted; "
        "no limit is written."
    )


def test_densities_against_the_treated_reference_the_raw_one_not_comparable() -> None:
    told = answer(recorded(KESTREL), 6)
    assert told[0] == (
        "reference: treated maximum 1 600 kg/m\u00b3 at 20.5 % (treated 1), its delay between mixing and moulding not recorded; "
        "limit at least 97.0 %, engineer, job limits 8, treated reference; the raw maximum 1 660 kg/m\u00b3 is not comparable with it."
    )
    figures = [("1 576", "98.5", "94.9"), ("1 570", "98.1", "94.6"), ("1 560", "97.5", "94.0"), ("1 581", "98.8", "95.2"), ("1 562", "97.6", "94.1"), ("1 584", "99.0", "95.4")]  # fmt: skip
    assert len(told) == 7
    for line, (dry, treated, raw) in zip(told[1:], figures, strict=True):
        assert f"{dry} kg/m\u00b3, {treated} %: inside (against the raw maximum it would read {raw} %)." in line


def test_a_density_held_against_raw_soil_is_no_pass() -> None:
    diary = Diary()
    diary.say(0, "spread run", place(0, 80, (1, 2, 3, 4), "B1"), rate_kg_m2=24)
    raw = {"curve": "raw", "maximum_kg_m3": 1660, "proctor": "raw 1", "delay_min": 45}
    diary.say(60, "density", place(40, strips=(2,), block="B1"), test="1", dry_density_kg_m3=1640, reference=raw)
    reference, test = answer(of_entries(diary.received), 6)
    assert (
        "raw maximum 1 660 kg/m\u00b3 (raw 1), moulded 45 min after mixing: raw soil, not comparable to treated ground"
        in reference
    )
    assert "98.8 %: not comparable" in test


def test_clocks_from_each_start_with_limits_and_owners() -> None:
    told = answer(recorded(KESTREL), 7)
    assert told[0] == (
        "limits: from cement on the ground to the end of final rolling no limit is written; "
        "4 h 00 from first mix to the end of final rolling, engineer, job limits 3; "
        "2 h 00 from water to the end of final rolling, engineer, job limits 4."
    )
    assert told[1] == (
        "B1: 3 h 40 from cement on the ground 9 June 07:25 to the end of final rolling 11:05; "
        "2 h 55 from first mix 9 June 08:10 to the end of final rolling 11:05, inside; "
        "1 h 45 from water 9 June 09:20 to the end of final rolling 11:05, inside."
    )
    assert told[2].startswith("B2: 4 h 05 from cement on the ground 9 June 09:35")
    assert "3 h 25 from first mix 9 June 10:15" in told[2]
    assert "1 h 47 from water 9 June 11:53" in told[2]
    assert "3 h 02 from first mix" in told[4]
    assert "3 h 01 from first mix" in told[5]
    assert told[6].endswith("for only an end was entered, not proven inside.")
    assert told[7] == "strip 4 of B2 waited: its cement was whole at 10:46, 31 min after the block's first mix."


def test_a_clock_over_its_limit_is_outside_and_one_without_an_end_is_not_recorded() -> None:
    diary = Diary()
    where = place(0, 80, (1, 2, 3, 4), "B1")
    diary.say(0, "mixing pass", where, mixed="dry", number=1, under_way=True)
    assert (
        "from first mix 9 June 06:00, the end of final rolling not recorded" in answer(of_entries(diary.received), 7)[1]
    )
    diary.say(241, "rolling", where, rolled="final")
    assert (
        "4 h 01 from first mix 9 June 06:00 to the end of final rolling 10:01, outside"
        in answer(of_entries(diary.received), 7)[1]
    )


def test_water_by_the_meter_or_guessed() -> None:
    told = answer(recorded(KESTREL), 8)
    assert told[0] == "metered: 45 900 L on 5 of 5 wet passes, 15.0 L/m\u00b2 over 3 060 m\u00b2 watered."
    assert told[1] == "water 1 gave 48 060 L, as read on it."
    assert (
        answer(recorded("teal-crescent"), 8)[0]
        == "no meter reading for 4 of 4 wet passes: their water is a setting, not a measurement."
    )


def test_the_axle_test_as_agreed_and_its_retest() -> None:
    told = answer(recorded(KESTREL), 9)
    assert (
        told[0]
        == "loaded tandem, axle load not recorded, tyre pressure not recorded, agreed limit 13 mm, 14 June 16:00."
    )
    assert (
        told[1] == "0+146 to 0+152, strip 4: 18 mm, limit at most 13 mm, engineer, job limits 9: outside; tested again."
    )
    assert told[3].startswith("re-test: loaded tandem")
    assert told[4] == "0+146 to 0+152, strip 4: 7 mm, limit at most 13 mm, engineer, job limits 9: inside."


def test_what_came_after_a_bad_result() -> None:
    told = answer(recorded(KESTREL), 10)
    assert len(told) == 6
    assert told[0] == "problem, 0+146 to 0+152, strip 4, B2: cement, where the hopper ran out; after axle test 2fcb42."
    assert "rate 24 kg/m\u00b2, 325 kg, hand" in told[1]
    assert all(line.endswith("; after axle test 2fcb42.") for line in told)
    corrected = answer(recorded("teal-crescent"), 10)
    assert (
        corrected[0]
        == "correction: tray check: weighed, caught 14.1 kg, tray area 0.5 m\u00b2, rate 28 kg/m\u00b2, the comma (mends d13036)."
    )
    assert corrected[2] == "entered more than 15 min after it happened: 1 of 55 entries."


def test_nothing_entered_is_not_recorded_ten_times_but_for_what_the_folder_knows() -> None:
    record = of_entries([])
    assert record.empty
    answers = ten_answers(record)
    assert len(answers) == len(QUESTIONS) == 10
    assert [one.number for one in answers] == list(range(1, 11))
    silent = [one.number for one in answers if one.said[-1].words.startswith(NOT_RECORDED)]
    assert silent == [2, 3, 4, 5, 6, 7, 8, 9, 10]
    assert all(not said.entries for one in answers for said in one.said)


@pytest.mark.parametrize("name", [KESTREL, "teal-crescent"])
def test_every_sentence_rests_on_entries_of_the_ledger_on_the_folder_or_on_a_gap(name: str) -> None:
    record = recorded(name)
    known = {one.entry.id for one in read_ledger(example(name)).received}
    unsupported = ("strip 4 of B2 waited", "34")  # sums over several entries: the held strip, all curing water
    for one in ten_answers(record):
        for said in one.said:
            assert set(said.entries) <= known
            assert said.entries or said.folder or said.gap or said.words.startswith(unsupported), said.words


def test_any_prefix_of_the_days_has_ten_answers() -> None:
    received = read_ledger(example(KESTREL)).received
    for length in range(0, len(received), 7):
        answers = ten_answers(of_entries(received[:length]))
        assert all(one.said for one in answers)
