"""Places in words and back again."""

from __future__ import annotations

import string

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hardpan.street.places import (
    Landmark,
    PlaceError,
    Stationing,
    equal_strips,
    plain_name,
    read_strips,
    say_strips,
    touched_strips,
)

POLES = (
    Landmark("pole 1", 18, "left"),
    Landmark("pole 10", 58, "left"),
    Landmark("no. 3", 98, "right"),
    Landmark("pole 4", 140, "left"),
    Landmark("hydrant", -7.5, "right"),
)
STREET = Stationing("0+000 m", 0, 240, POLES)
FEET = Stationing("0+00 ft", 0, 240, POLES)
STRIPS = equal_strips(9, 4)


@pytest.mark.parametrize(
    ("text", "station"),
    [
        ("0+140", 140),
        ("0 + 140", 140),
        ("0+140 m", 140),
        ("0+140.25", 140.25),
        ("0+140,25", 140.25),
        ("140", 140),
        ("140 m", 140),
        ("100 ft", 30.48),
        ("start", 0),
        ("The End", 240),
        ("5 m past start", 5),
        ("12,5 m before end", 227.5),
        ("pole 1", 18),
        ("pole 10", 58),
        ("POLE  10", 58),
        ("the 4th pole", 140),
        ("3 m past the 4th pole", 143),
        ("3m after pole 4", 143),
        ("3 M BEFORE NO. 3", 95),
        ("10 ft past no. 3", 101.048),
        ("10' past no. 3", 101.048),
        ("8 m past hydrant", 0.5),
    ],
)
def test_an_operator_says_a_place_in_many_ways(text: str, station: float) -> None:
    assert STREET.read(text) == pytest.approx(station, abs=1e-9)


@pytest.mark.parametrize(("style", "text"), [("0+00 m", "1+40.5"), ("0+00 m", "1+40,5"), ("0+000 m", "0+140.5")])
def test_metre_stations_read_by_the_declared_style(style: str, text: str) -> None:
    street = Stationing(style, 0, 240)
    assert street.read(text) == 140.5
    assert street.show(140.5) == text.replace(",", ".")


def test_foot_stations_are_metres_inside_and_feet_on_paper() -> None:
    assert FEET.read("1+40.5") == pytest.approx(140.5 * 0.3048)
    assert FEET.read("140.5") == pytest.approx(140.5 * 0.3048)
    assert FEET.show(140.5 * 0.3048) == "1+40.5"


def test_a_metric_street_says_why_it_does_not_read_a_hundred_metre_station() -> None:
    with pytest.raises(PlaceError) as caught:
        STREET.read("1+40.5")
    assert caught.value.allowed == "3 digits after the plus, in m"
    assert caught.value.do == (
        "This street counts its stations as '0+000 m'; another count ('0+000 m', '0+00 m', '0+00 ft') "
        "is declared by line.station_style in street.toml."
    )


@pytest.mark.parametrize("text", ["-0+008", "\u22120+008", "-8"])
def test_a_landmark_before_the_start_has_a_negative_station(text: str) -> None:
    assert STREET.read(text, inside=False) == -8
    assert STREET.show(-8) == "-0+008"


@pytest.mark.parametrize(
    ("text", "do"),
    [
        ("0+241", "0+241 lies off the street: correct it, or the length of the street."),
        ("1 m before start", "-0+001 lies off the street: correct it, or the length of the street."),
        ("3 past pole 4", "Say the unit too: 3 m past pole 4."),
        ("3 kg past pole 4", "The unit 'kg' does not fit: a unit like 'm' is wanted."),
        ("pole 5", "Did you mean 'pole 4'?"),
        ("church", "Known landmarks: pole 1, pole 10, no. 3, pole 4, hydrant."),
        ("0+14x", "Write digits, a plus, digits."),
        ("1,234", "The comma could be a decimal sign or group thousands: write 1.234 or 1234."),
        ("9" * 500 + "+000", "Write digits, a plus, digits."),
    ],
)
def test_a_place_that_cannot_be_found_says_what_to_do(text: str, do: str) -> None:
    with pytest.raises(PlaceError) as caught:
        STREET.read(text)
    assert caught.value.do == do


def test_a_long_list_of_landmarks_is_cut() -> None:
    street = Stationing("0+000 m", 0, 240, tuple(Landmark(f"pole {i}", i, "left") for i in range(11)))
    with pytest.raises(PlaceError, match=r"pole 0, pole 1, .*, pole 7 and 3 more"):
        street.read("church")


@pytest.mark.parametrize(
    ("station", "place"),
    [
        (143, "3 m past pole 4 (0+143)"),
        (139.96, "pole 4 (0+140)"),
        (138.5, "1.5 m before pole 4 (0+138.5)"),
        (0, "start (0+000)"),
        (240, "end (0+240)"),
        (38, "20 m past pole 1 (0+038)"),
    ],
)
def test_a_place_is_said_by_its_nearest_landmark(station: float, place: str) -> None:
    assert STREET.place(station) == place


def test_without_landmarks_a_place_is_its_station() -> None:
    bare = Stationing("0+000 m", 1000, 240)
    assert bare.place(1143) == "1+143"
    assert bare.place(1000) == "start (1+000)"


names = st.one_of(
    st.sampled_from(
        ["pole 1", "pole 10", "no. 3", "the 4th pole", "12th street", "#14", "past the bend", "3 m wall", "A+B"]
    ),
    st.text(string.ascii_letters + string.digits + " .+#-'äöü", min_size=1, max_size=12),
)


@settings(max_examples=300, deadline=None)
@given(
    style=st.sampled_from(["0+000 m", "0+00 m", "0+00 ft"]),
    first=st.sampled_from([0.0, 40.0, 1_000.0]),
    length=st.floats(5, 20_000),
    share=st.floats(0, 1),
    marks=st.lists(st.tuples(names, st.floats(-0.3, 1.3)), max_size=6, unique_by=lambda mark: plain_name(mark[0])),
)
def test_what_a_foreman_is_told_leads_back_to_the_place(
    style: str, first: float, length: float, share: float, marks: list[tuple[str, float]]
) -> None:
    bare = Stationing(style, first, length)
    assume(all(plain_name(name).strip() and not bare.reads_alone(name) for name, _ in marks))
    landmarks = tuple(Landmark(" ".join(name.split()), first + part * length, "left") for name, part in marks)
    street = Stationing(style, first, length, landmarks)
    station = first + share * length
    half_a_printed_step = (0.01524 if style.endswith("ft") else 0.05) + 1e-6  # of a tenth of a foot or metre
    assert street.read(street.words(station)) == pytest.approx(station, abs=half_a_printed_step)
    assert street.read(street.show(station)) == pytest.approx(station, abs=half_a_printed_step)
    assert street.show(station) in street.place(station)


@pytest.mark.parametrize(
    "name", ["14", "12.5", "0+060", "start", "End", "elsewhere", "3 m past pole 4", "12 m", "the end"]
)
def test_a_name_that_is_a_place_by_itself_is_no_landmark(name: str) -> None:
    assert STREET.reads_alone(name)


@pytest.mark.parametrize("name", ["pole 4", "no. 14", "#14", "12th street", "3 m wall", "4th pole", "past the bend"])
def test_other_names_are_landmarks(name: str) -> None:
    assert not STREET.reads_alone(name)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("all", (1, 2, 3, 4)),
        ("", (1, 2, 3, 4)),
        ("Left", (1, 2)),
        ("right", (3, 4)),
        ("3", (3,)),
        ("3-4", (3, 4)),
        ("1 to 3", (1, 2, 3)),
        ("1, 4", (1, 4)),
        ("1 and 2", (1, 2)),
        ("strips 3 & 4", (3, 4)),
        ("1;3", (1, 3)),
    ],
)
def test_strips_are_read_as_they_are_said(text: str, numbers: tuple[int, ...]) -> None:
    assert read_strips(text, STRIPS) == numbers


@pytest.mark.parametrize("text", ["5", "0", "4-2", "1-999", "outer", "1,,2", "9999999999"])
def test_strips_that_are_not_there_are_refused(text: str) -> None:
    with pytest.raises(PlaceError) as caught:
        read_strips(text, STRIPS)
    assert caught.value.allowed == "all, left, right, or strip numbers from 1 to 4"


def test_a_middle_strip_is_neither_half_but_a_structure_on_a_side_touches_it() -> None:
    three = equal_strips(9, 3)
    assert (read_strips("left", three), read_strips("right", three)) == ((1,), (3,))
    assert (touched_strips("left", three), touched_strips("right", three)) == ((1, 2), (2, 3))
    assert touched_strips("full", three) == touched_strips("centre", three) == (1, 2, 3)


@given(count=st.integers(1, 30), chosen=st.data())
def test_strips_said_lead_back_to_the_strips(count: int, chosen: st.DataObject) -> None:
    numbers = tuple(sorted(chosen.draw(st.sets(st.integers(1, count), min_size=1))))
    said = say_strips(numbers, count)
    assert read_strips(said.removesuffix(" strips"), equal_strips(9, count)) == numbers


def test_equal_strips_fill_the_width() -> None:
    assert [strip.width for strip in STRIPS] == [2.25] * 4
    assert [strip.middle for strip in STRIPS] == [-3.375, -1.125, 1.125, 3.375]
