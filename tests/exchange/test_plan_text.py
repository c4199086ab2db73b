"""The printed plan: the figures a foreman asks for, every notice, and numbers that read as numbers."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hardpan
from hardpan.exchange.figures_in_words import about, clock, hours, millimetres, number, say
from hardpan.exchange.text import plan_text
from hardpan.plan import CAUTION, Plan
from hardpan.street import EXAMPLES, Basis, Figure
from tests.plan.random_streets import Written, written_streets

KEY = {
    "teal-crescent": [
        "2 160 m2", "40 320 kg", "about 41 126 kg", "1 126 kg short of the order", "238 m of strip at 28 and 556 m of strip at 12 kg/m2",
        "5 m before no. 19 (0+131)", "12 m past no. 15 (0+124)", "5 m before no. 27 (0+199)", "strip 4, 92 m2",
        "153 m of cut, 15.3 min", "782", "0+007), cut 4", "0+107), cut 2", "0+100), cut 4", "0+188), cut 3", "about 47.1 (32 to 62)",
        "about 23.5", "495 405 495", "473 383 473", "cement 6.33 % of dry soil", "no limit is written",
    ],
    "kestrel-road": [
        "3 600 m2", "92 880 kg", "94 738 kg", "45 900 L", "9.8", "9.2", "0+038", "0+107", "0+151", "0+189", "0+268", "0+371",
        "102.900 102.990 102.900 0.350 0.260 0.350", "trim 36 m3, 68 t, 5 loads", "8.8 % air", "6.6 % air", "2 h 55", "1 h 45",
        "4 h 00, engineer, job limits 3", "53.3", "8 June 14:30, on site, said: engineer; heard: foreman", "A none none",
    ],
}  # fmt: skip


def flat(plan: Plan) -> str:
    """Plan as text with single blanks."""
    return " ".join(plan_text(plan).replace("\u2009", " ").split())


@pytest.mark.parametrize("name", EXAMPLES)
def test_key_figures(name: str) -> None:
    text = flat(hardpan.make_plan(hardpan.read_street(hardpan.example(name))))
    assert [figure for figure in KEY[name] if figure not in text] == []


def check(plan: Plan) -> None:
    """Caution, notices and clean numbers."""
    text = flat(plan)
    assert " ".join(CAUTION.split()) in text
    for notice in plan.notices:
        assert " ".join(notice.message.split()) in text
    for block in plan.shift.blocks:
        assert f"block {block.number}, day {block.day}" in text
        assert re.search(rf"(?<!, day )\bblock {block.number}\b(?!, day)", text)
    assert not re.search(r"(?<![\d.+])-0(\.0+)?(?![\d.:])", text)
    assert "about about" not in text
    assert "nan" not in re.findall(r"[a-z]+", text)
    assert not re.search(r"\b\d{1,2}:(?:[6-9]\d)\b|-\d+:\d\d|\bh 60\b|\b60 min\b", text)
    assert not re.search(r"\d\.\d{4,}", text)


@pytest.mark.parametrize("name", EXAMPLES)
def test_both_streets(name: str) -> None:
    check(hardpan.make_plan(hardpan.read_street(hardpan.example(name))))


@settings(max_examples=25, deadline=None)
@given(written_streets())
def test_any_street(written: Written) -> None:
    check(hardpan.make_plan(written.read()))


@given(st.floats(-1e9, 1e9), st.integers(0, 3))
def test_number_reads_back(value: float, decimals: int) -> None:
    text = number(value, decimals)
    assert float(text.replace("\u2009", "")) == pytest.approx(round(value, decimals), abs=10.0**-decimals * 1e-6)
    whole = text.lstrip("-").split(".")[0]
    assert re.fullmatch(r"\d{1,3}(\u2009\d{3})*", whole)
    assert not re.fullmatch(r"-[0.\u2009]+", text)
    assert len(text.split(".")[1] if "." in text else "") == decimals


def test_numbers_at_the_edges() -> None:
    assert [number(-0.0), number(-0.4), number(-0.6), number(999.6), number(0.05, 1), number(-0.04, 1)] == [
        "0", "0", "-1", "1\u2009000", "0.1", "0.0",
    ]  # fmt: skip


@given(st.floats(0, 3000))
def test_clock_is_the_nearest_minute(minutes: float) -> None:
    hour, minute = clock(minutes).split(":")
    assert 0 <= int(minute) < 60
    assert len(minute) == 2
    assert abs(60 * int(hour) + int(minute) - minutes) <= 0.5


def test_clock_and_hours_round_over() -> None:
    assert clock(12 * 60 + 59.7) == "13:00"
    assert clock(25 * 60) == "25:00"
    assert [hours(59.6), hours(59.4), hours(175.0), hours(0.0)] == ["1 h 00", "59 min", "2 h 55", "0 min"]


def test_about_stands_before_defaults_only() -> None:
    stated, usual = (Figure("length", 1234.5, "m", basis) for basis in (Basis.STATED, Basis.DEFAULT))
    assert (about(stated), about(usual)) == ("", "about ")
    assert say(usual, 0) == "about 1\u2009234 m"
    assert say(stated, 1) == "1\u2009234.5 m"
    assert say(Figure("start", 425.0, "min of day", Basis.DEFAULT)) == "07:05"
    assert say(Figure("share", 0.25, "1", Basis.STATED)) == "0.250"
    assert millimetres(Figure("low", -0.0002, "m", Basis.STATED)) == "0"
