"""The board's page: what it says at several instants of the worked days, to whom, in which language."""

from __future__ import annotations

import re
from typing import Any

import pytest
import time_machine

from hardpan.ledger.moments import moment
from hardpan.site.board.page import PhoneLine, make_board
from hardpan.site.entries import store
from hardpan.site.entries.post import Post, take
from hardpan.site.entries.state import state_of
from hardpan.site.roles import Role
from hardpan.site.streets.models import Street, StreetFile
from tests.board.boards import board, page, stored
from tests.compare.days import KESTREL, TEAL, at, plan
from tests.site.conftest import Cast, note

THIN = "\u2009"


# what it says


def test_half_way_through_the_day_it_says_what_is_next_and_by_when() -> None:
    found = board(TEAL, "06-04 12:40")
    assert [(one.time, one.what) for one in found.next] == [
        ("13:10", "mixer: wet pass, FULL"),
        ("13:11", "padfoot"),
        ("13:15", "spreader: spread strip 1, 12\u00a0kg/m\u00b2"),
        ("13:44", "grader: trim, cut only"),
        ("14:01", "smooth drum: final rolling"),
    ]
    assert found.next[0].second == "block 2, strips 2 to 4 \u00b7 13:01 to 13:21"
    assert found.day == "block 2 of 3"


def test_cement_adds_up() -> None:
    found = board(TEAL, "06-04 12:40")
    kilograms = {row.name: float(row.figure.replace(THIN, "")) for row in found.cement if row.name != "next load"}
    assert kilograms["delivered, by tickets"] == 40_000  # ticket 40711
    laid = re.search(r"laid ([\d\u2009]+) kg", str(found.cement_bar))
    assert laid is not None
    assert float(laid[1].replace(THIN, "")) + kilograms["in the hopper"] == pytest.approx(40_000, abs=1)
    gap = kilograms["still to lay"] - kilograms["in the hopper"] - kilograms["in the truck"]
    assert kilograms["not at hand yet"] == pytest.approx(gap, abs=1)
    assert [row.name for row in found.cement if row.short] == ["to order"]


def test_a_load_that_is_late_has_no_time_and_is_told_to_who_waits() -> None:
    found = board(KESTREL, "06-09 10:18")
    assert (found.next[0].time, found.next[0].what) == ("?", f"T2 comes, 19{THIN}460 kg")
    assert found.next[0].late
    waits = dict(found.waits)
    assert waits["spreader"].startswith("14.0 m of strip 4 bare: 761 kg wanting, waits since first mix, 3 min")
    assert "18 min late" in waits["spreader"]


def test_what_is_at_risk_names_the_earliest_limit_of_its_block() -> None:
    first, second = board(KESTREL, "06-09 10:18").risks
    assert (first.block, first.by) == ("block 1", "roll by 11:20")  # water's 2 h come before first mix's 4 h
    assert (second.block, second.by) == ("block 2", "roll by 14:15")
    assert second.lines == (f"21{THIN}537 kg lies spread and not mixed",)
    assert [risk.by for risk in board(TEAL, "06-04 12:40").risks] == ["no limit is written"]


def test_weather_stands_against_its_limit_and_a_reading_that_is_missing_is_said() -> None:
    wind, air = board(KESTREL, "06-09 10:18").weather
    assert (wind.figure, air.figure) == ("not said today, limit 30 (engineer)", "not said today, limit 5 (engineer)")
    wind, air = board(TEAL, "06-04 12:40").weather
    assert (wind.figure, air.figure) == ("12 (12:00), no limit is written", "17 (12:00), no limit is written")


def test_places_not_checked_and_tests_owed_are_listed() -> None:
    found = board(KESTREL, "06-09 10:18")
    assert found.not_checked == (
        "tray at the restart: 5 m before pole 1 (0+035), strip 4 (nothing is recorded)",
        "tray at the restart: 26 m past no. 14 (0+146), strip 4 (nothing is recorded)",
    )
    assert "tray at the restart: 26 m past no. 14 (0+146), strip 4" in found.owed


def test_before_the_day_begins_the_gaps_are_said() -> None:
    found = board(TEAL, "06-04 05:00")
    assert (str(found.clocks), found.clocks_before, found.entries) == ("", (), "0 entries")
    assert found.stale == "Nothing has been entered yet."
    assert found.map_words.startswith("Due to run out") or found.map_words == "Nothing is spread."


# the page


def test_everybody_of_the_street_reads_it_and_nobody_else(cast: Cast) -> None:
    for who in ("owner", "foreman", "tester", "reviewer", "operator", "crew tester"):
        answer = cast.browser(who).get("/board/teal-crescent/")
        assert answer.status_code == 200, who
        assert "Teal Crescent" in answer.content.decode()
    assert cast.browser("outsider").get("/board/other-crescent/").status_code == 404
    assert cast.browser("operator").get("/board/other-crescent/").status_code == 404
    assert cast.browser("stranger").get("/board/teal-crescent/").headers["location"].startswith("/sign-in/")
    assert cast.browser("foreman").post("/board/teal-crescent/").status_code == 405


def test_without_script_it_comes_again_every_half_minute_unless_it_is_held(cast: Cast) -> None:
    street = stored(cast, TEAL, "06-04 12:40")
    told = page(cast, street, "06-04 12:40")
    assert '<noscript><meta http-equiv="refresh" content="30"></noscript>' in told
    assert re.findall(r"<script(?![^>]*\bsrc=)|\sstyle=|<style|\son\w+=", told) == []
    (held,) = re.findall(r"href=\"(\?at=[^\"]+)\"", told)
    still = page(cast, street, "06-04 12:40", asked=held)
    assert 'http-equiv="refresh"' not in still
    assert "<script" not in still


def test_ids_are_its_own_though_three_drawings_stand_on_it(cast: Cast) -> None:
    told = page(cast, stored(cast, TEAL, "06-04 12:40"), "06-04 12:40")
    ids = re.findall(r"\sid=\"([^\"]+)\"", told)
    assert told.count("<svg") == 3
    assert len(ids) == len(set(ids))
    for named in re.findall(r"aria-labelledby=\"([^\"]+)\"", told):
        assert set(named.split()) <= set(ids)


def test_a_board_of_before_is_still_and_says_so(cast: Cast) -> None:
    told = page(cast, stored(cast, TEAL, "06-04 12:40"), "06-04 12:40", asked="?at=2026-06-04T09:00")
    assert "The board as it was on 2026-06-04 at 09:00." in told
    assert 'http-equiv="refresh"' not in told
    assert "0+000 to 0+080, strips 1 to 2: spread." in told
    assert "dry 2" not in told


def test_an_instant_that_cannot_be_read_is_refused(cast: Cast) -> None:
    answer = cast.browser("foreman").get("/board/teal-crescent/?at=noon")
    assert answer.status_code == 400
    assert "2026-06-04T12:40" in answer.content.decode()


def test_days_later_it_leads_to_the_last_entry(cast: Cast) -> None:
    told = page(cast, stored(cast, TEAL, "06-04 12:40"), "06-06 12:40")
    assert "Nothing has been entered for 2 d 00 h." in told
    assert 'href="?at=2026-06-04T12:40"' in told


def entry(kind: str, clock: str, payload: dict[str, Any], *, number: int = 1, **rest: Any) -> dict[str, Any]:
    """An entry of the operator's phone on Teal Crescent."""
    times = {"happened_at": f"2026-06-04T{clock}:00-06:00", "entered_at": f"2026-06-04T{clock}:20-06:00"}
    return note(number, kind=kind, payload=payload, device="phone-9", **times, **rest)


def send(street: Street, said: dict[str, Any], *, received: str, sent: str = "") -> str:
    """A phone posts an entry; gives what it was answered."""
    sent_at = moment(f"2026-06-04T{sent}:00-06:00") if sent else None
    with time_machine.travel(at(f"06-04 {received}"), tick=False):
        (answer,) = take(street, Post((said,), sent_at=sent_at), role=Role.OPERATOR, name="")
    return answer.answer


def test_stop_is_a_banner_until_work_goes_on(cast: Cast) -> None:
    street = stored(cast, TEAL, "06-04 12:40")
    where = {"block": "B2", "start_m": 110, "end_m": None, "strips": [2], "landmark": ""}
    stop = entry("stop", "12:41", {"state": "stopped", "reason": "<b>a child</b> on the street"}, place=where)
    assert send(street, stop, received="12:41") == "stored"
    told = page(cast, street, "06-04 12:45")
    banner = re.search(r"<p class=\"banner\" role=\"alert\">(.*?)</p>", told)
    assert banner is not None
    assert "since 12:41, operator" in banner[1]
    assert "&lt;b&gt;a child&lt;/b&gt; on the street" in banner[1]
    assert "2 m before no. 15 (0+110), strip 2" in banner[1]
    send(street, entry("stop", "12:44", {"state": "resumed"}, number=2), received="12:44")
    told = page(cast, street, "06-04 12:45")
    assert 'class="banner"' not in told
    assert "none called" in told


def test_who_may_call_stop_has_the_key(cast: Cast) -> None:
    for who in ("foreman", "operator", "reviewer"):
        assert 'class="stop" href="/phone/teal-crescent/"' in page(cast, cast.street, "06-04 12:40", who=who), who


# phones


def phones(street: Street, instant: str) -> dict[str, PhoneLine]:
    """Lines of the phones by device."""
    with time_machine.travel(at(instant), tick=False):
        made = make_board(plan(TEAL), state_of(street)[1], now=at(instant), refused=store.refused_rows(street))
    return {line.words.split(" \u00b7 ")[0]: line for line in made.phones}


def test_phones_are_told_with_what_the_store_knows_and_what_it_cannot(cast: Cast) -> None:
    street = stored(cast, TEAL, "06-04 12:40")
    found = phones(street, "06-04 12:40")
    assert found["t2c6-op"].words == "t2c6-op \u00b7 operator \u00b7 45 entries \u00b7 last heard 12:35"
    assert not any(line.wrong for line in found.values())
    assert "What a phone still holds is not known here" in page(cast, street, "06-04 12:40")


def test_a_phone_with_a_wrong_clock_stands_out(cast: Cast) -> None:
    street = stored(cast, TEAL, "06-04 12:40")
    send(street, entry("note", "12:47", {"note": "early"}), received="12:40", sent="12:47")
    line = phones(street, "06-04 12:41")["phone-9"]
    assert line.wrong
    assert "its clock is ahead by at least 7 min" in line.words


def test_an_entry_that_was_refused_stands_beside_its_phone(cast: Cast) -> None:
    street = stored(cast, TEAL, "06-04 12:40")
    send(street, entry("note", "12:38", {"note": "one"}), received="12:39")
    assert send(street, entry("note", "12:38", {"note": "other"}), received="12:39") == "refused"
    line = phones(street, "06-04 12:40")["phone-9"]
    assert line.wrong
    assert "1 entry \u00b7 last heard 12:39 \u00b7 1 refused" in line.words


def test_a_phone_that_is_silent_while_others_are_heard_may_hold_entries(cast: Cast) -> None:
    street = stored(cast, TEAL, "06-04 11:02")
    assert "may hold entries" not in phones(street, "06-04 11:02")["t4b7-te"].words  # heard 11:02
    found = phones(stored(cast, TEAL, "06-04 11:50"), "06-04 11:50")
    assert "may hold entries" in found["t9e1-fo"].words  # heard 08:25, the operator 11:46
    assert not found["t9e1-fo"].wrong


def test_a_street_that_cannot_be_planned_says_why(cast: Cast) -> None:
    StreetFile.objects.filter(street=cast.street, name="instructions.csv").update(content=b"zone,from\n")
    told = cast.browser("foreman").get("/board/teal-crescent/").content.decode()
    assert "There is no plan: the folder needs a hand." in told
    assert "instructions.csv" in told
