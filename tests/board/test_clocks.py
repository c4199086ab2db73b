"""Clocks as the board says and draws them, against the worked day's own limits: 4 h from first mix, 2 h from water (job limits 3 and 4)."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

from hardpan.compare import look_ahead
from hardpan.compare.happened import Happened
from hardpan.site.board.clock_bars import draw_clocks
from hardpan.site.board.clocks import ClockBar, Clocks, clocks_of
from tests.board.boards import ahead, happened
from tests.compare.days import KESTREL, TEAL, at, folded, minute, plan
from tests.ledger.making import Diary, place

SVG = "{http://www.w3.org/2000/svg}"
STOP = "#A30A1E"


def clocks(name: str, until: str) -> Clocks:
    return clocks_of(happened(name, until), ahead(name, until))


def test_every_clock_with_a_limit_has_a_bar_with_its_owner_and_source() -> None:
    found = clocks(KESTREL, "06-09 10:18")
    assert [(bar.name, bar.used, bar.limit) for bar in found.bars] == [
        ("block 1 \u00b7 water 09:20", "58 min", "11:20, 1 h 02 left \u00b7 engineer, job limits 4"),
        ("block 1 \u00b7 first mix 08:10", "2 h 08", "12:10, 1 h 52 left \u00b7 engineer, job limits 3"),
        ("block 2 \u00b7 first mix 10:15", "3 min", "14:15, 3 h 57 left \u00b7 engineer, job limits 3"),
    ]
    assert found.beside == (
        "block 1 \u00b7 cement on the ground 07:25, 2 h 53; no limit is written",
        "block 2 \u00b7 cement on the ground 09:35, 43 min; no limit is written",
    )


def test_without_a_limit_a_clock_shows_what_ran_and_raises_nothing() -> None:
    (bar,) = clocks(TEAL, "06-04 12:40").bars
    assert (bar.name, bar.used, bar.limit) == ("block 2 \u00b7 first mix 11:05", "1 h 35", "no limit is written")
    assert (bar.over, bar.by) == (False, None)
    svg = draw_clocks([bar], at("06-04 12:40")).svg
    assert STOP not in svg


def test_a_start_that_was_not_told_runs_at_least() -> None:
    told = clocks(TEAL, "06-04 12:40").beside
    assert told[0] == "block 2 \u00b7 cement on the ground 10:27, at least 2 h 13; no limit is written"


def mixed_at(count: float) -> tuple[ClockBar, ...]:
    """Bars so many minutes after six of a block whose first mix began at 100 and that nobody rolled."""
    diary = Diary()
    where = place(0, 80, (1, 2, 3, 4), "B1")
    diary.say(100, "spread run", where, rate_kg_m2=24, started=90)
    diary.say(115, "mixing pass", where, mixed="dry", number=1, started=100)
    state = folded(diary)
    return clocks_of(Happened(plan(KESTREL), state), look_ahead(plan(KESTREL), state, now=minute(count))).bars


def test_a_limit_that_is_passed_says_since_when_and_is_drawn_in_the_stop_colour() -> None:
    (bar,) = mixed_at(100 + 240 + 12)
    assert bar.over
    assert bar.limit == "11:40, passed 12 min ago \u00b7 engineer, job limits 3"
    root = ET.fromstring(draw_clocks([bar], minute(352)).svg)
    assert [one.get("fill") for one in root.iter(f"{SVG}rect") if one.get("fill") == STOP] == [STOP]


def test_a_limit_that_will_be_passed_at_this_pace_says_by_how_much() -> None:
    (bar,) = mixed_at(330)  # ten minutes before 11:40, and a wet pass, rolling and a trim still to do
    assert not bar.over
    assert bar.expected is not None
    assert bar.by is not None
    late = round((bar.expected - bar.by).total_seconds() / 60)
    assert late > 30
    said = re.search(r"10 min left, passed by (?:(\d+) h )?(\d+)(?: min)? at this pace", bar.limit)
    assert said is not None, bar.limit
    assert 60 * int(said[1] or 0) + int(said[2]) == late


def test_bars_lie_on_one_axis_of_time() -> None:
    found = clocks(KESTREL, "06-09 10:18")
    root = ET.fromstring(draw_clocks(found.bars, at("06-09 10:18")).svg)
    solid = [one for one in root.iter(f"{SVG}rect") if one.get("fill") == "#16120F"]
    used = [float(one.get("width", "0")) for one in solid]
    assert len(used) == 3
    minutes_a_unit = [58 / used[0], 128 / used[1]]
    assert abs(minutes_a_unit[0] / minutes_a_unit[1] - 1) < 0.001
    ends = {round(float(one.get("x", "0")) + float(one.get("width", "0")), 1) for one in solid[:2]}
    assert len(ends) == 1  # at now


def test_a_clock_that_nobody_stopped_long_ago_is_told_in_words() -> None:
    state = folded(Diary())
    assert state.clocks == ()
    (bar,) = mixed_at(100 + 20 * 60)
    drawn = draw_clocks([bar], minute(100 + 20 * 60))
    assert drawn.svg == ""
    assert drawn.before == (f"{bar.name}, 20 h 00; {bar.limit}",)


def test_a_block_that_is_rolled_has_no_clock() -> None:
    assert [bar.name for bar in clocks(TEAL, "06-04 12:10").bars] == ["block 2 \u00b7 first mix 11:05"]
    assert clocks(TEAL, "06-04 08:24") == Clocks((), ())
