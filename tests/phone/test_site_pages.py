"""What the phone's pages do on the site: roles, rates agreed at the curb, what a tester owes, the slow drive in the plan."""

from __future__ import annotations

import json
from typing import Any

import pytest

from hardpan.ledger import Received, fold, parse_entry
from hardpan.site.entries import folders, store
from hardpan.site.phone import driving
from hardpan.site.streets.known import known_of, plan
from tests.site.conftest import Browser, Cast, _collected, _no_rates_left_over, cast, example_folder, new_id

__all__ = ["_collected", "_no_rates_left_over", "cast"]

PAGES = ("", "far/", "drive/", "rates/", "tests/", "unsent/")
HERE = "/phone/teal-crescent/"


def kept(cast: Cast) -> list[dict[str, Any]]:
    return [json.loads(bytes(row.body)) for row in store.rows_since(cast.street, 0, most=100)]


def told(browser: Browser, path: str) -> dict[str, Any]:
    """What a page's script is told."""
    text = browser.get(HERE + path).content.decode()
    found: dict[str, Any] = json.loads(text.split('<script id="day" type="application/json">')[1].split("</script>")[0])
    return found


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("who", ["operator", "crew tester", "foreman", "reviewer", "owner"])
def test_everybody_of_the_street_sees_its_pages(cast: Cast, who: str, path: str) -> None:
    answer = cast.browser(who).get(HERE + path)
    assert answer.status_code == 200
    assert "Teal Crescent" in answer.content.decode()
    assert answer.headers["Hardpan-Worker"]


def test_a_stranger_is_asked_to_sign_in_and_an_outsider_sees_their_own(cast: Cast) -> None:
    assert cast.browser("stranger").get(HERE).status_code in (302, 401)
    assert cast.browser("operator").get("/phone/other-crescent/").status_code == 404


def test_a_testers_phone_is_offered_tests_and_no_machine(cast: Cast) -> None:
    may = told(cast.browser("crew tester"), "")["day"]["may"]
    assert {"tray check", "density", "stop"} <= set(may)
    assert not {"spread run", "mixing pass", "signature"} & set(may)


def test_a_form_that_is_sent_twice_enters_once(cast: Cast) -> None:
    browser = cast.browser("operator")
    form = {"key": "go", "tap": new_id(7)}
    assert [browser.post(HERE, form).status_code for _ in range(2)] == [302, 302]
    assert [(one["kind"], one["id"]) for one in kept(cast)] == [("go/no-go", new_id(7))]


def test_a_number_that_is_none_is_told_of(cast: Cast) -> None:
    answer = cast.browser("operator").post(HERE, {"key": "ticket", "tap": new_id(8), "number-0": "40000 t"})
    assert answer.status_code == 422
    assert "number-0" in answer.content.decode()
    assert kept(cast) == []


RATE = {
    "zone": "soft", "start_m": "60.0", "end_m": "160.0", "strips": "right", "rate_kg_m2": "31,5", "depth_mm": "300", "depth_state": "original",
    "said_by": "engineer", "heard_by": "foreman",
}  # fmt: skip


def test_a_rate_is_agreed_at_the_curb(cast: Cast) -> None:
    browser = cast.browser("foreman")
    assert "soft: 28 kg/m\u00b2" in browser.get(f"{HERE}rates/").content.decode()
    assert browser.post(f"{HERE}rates/", RATE | {"tap": new_id(9)}).status_code == 302
    (entry,) = kept(cast)
    assert entry["place"] == {"start_m": 60, "end_m": 160, "strips": [3, 4]}
    assert entry["payload"] == {
        "zone": "soft", "rate_kg_m2": 31.5, "depth_mm": 300, "depth_state": "original", "said_by": "engineer", "heard_by": "foreman",
    }  # fmt: skip
    assert "soft: 31.5 kg/m\u00b2" in browser.get(f"{HERE}rates/").content.decode()
    parts = told(browser, "")["day"]["blocks"][1]["parts"]
    assert [(part["strip"], part["rate_kg_m2"]) for part in parts] == [(1, 28), (2, 28), (3, 31.5), (4, 31.5)]


def test_a_rate_that_cannot_be_is_refused_in_words(cast: Cast) -> None:
    browser = cast.browser("foreman")
    for wrong in ({"rate_kg_m2": "many"}, {"rate_kg_m2": "315"}, {"end_m": "10.0"}):
        answer = browser.post(f"{HERE}rates/", RATE | wrong | {"tap": new_id(10)})
        assert answer.status_code == 422
        assert 'class="wrongs"' in answer.content.decode()
    assert kept(cast) == []


def test_what_a_tester_owes_of_the_worked_day(cast: Cast) -> None:
    folders.replace(cast.street, example_folder(ledger=True))
    owed = told(cast.browser("crew tester"), "tests/")["owed"]
    assert [(one["words"], one["second"]) for one in owed] == [
        ("depth hole", "B1, rest"),
        ("density", "B1, rest"),
        ("axle test", "B1, rest"),
        ("density", "B1, soft"),
        ("axle test", "B1, soft"),
        ("levels", "6 shots on finished ground"),
    ]
    for one in owed:
        (entry,) = one["entries"]
        for field in one["pad"]["fields"]:
            inside = entry["payload"]
            for step in field["path"][:-1]:
                inside = inside[step]
            inside[field["path"][-1]] = 1500.0 if field["unit"] == "kg/m\u00b3" else 12.0
        envelope = {"id": new_id(1), "street": "teal-crescent", "role": "tester", "device": "d"}
        times = dict.fromkeys(("happened_at", "entered_at"), "2026-06-04T13:00:00-06:00")
        parse_entry(entry | envelope | times)


def test_an_operator_owes_no_density(cast: Cast) -> None:
    folders.replace(cast.street, example_folder(ledger=True))
    assert "density" not in {one["words"] for one in told(cast.browser("operator"), "tests/")["owed"]}


def drive(number: int, start: float, end: float, strips: list[int], word: str, **more: Any) -> Received:
    entry = {
        "id": new_id(number), "street": "teal-crescent", "kind": "slow drive", "happened_at": f"2026-06-04T05:{number:02d}:00-06:00",
        "entered_at": f"2026-06-04T05:{number:02d}:10-06:00", "role": "operator", "device": "d",
        "place": {"start_m": start, "end_m": end, "strips": strips}, "payload": {"word": word, **more},
    }  # fmt: skip
    return Received(entry=parse_entry(entry))


def test_a_later_drive_takes_the_place_of_what_was_known() -> None:
    folder = example_folder()
    street = known_of(folder)
    state = fold([drive(1, 0, 100, [1, 2], "sinks"), drive(2, 50, 60, [2], "shows", bounces=True)], street)
    laid = driving.laid_over(driving.known_before(street), driving.entered(state))
    on_two = sorted((one.start_m, one.end_m, one.word, one.bounces) for one in laid if 2 in one.strips)
    assert on_two == [
        (0, 50, "sinks", False),
        (50, 60, "shows", True),
        (60, 100, "sinks", False),
        (100, 130, "ruts", True),
        (130, 150, "shows", False),
        (150, 240, "nothing", False),
    ]
    again = known_of({**folder, "readings.csv": driving.table(laid)})
    assert sorted((one.start, one.end, one.word, one.bounces) for one in again.readings if 2 in one.strips) == on_two


def test_the_plan_stands_on_the_drive(cast: Cast) -> None:
    folder = example_folder()
    state = fold([drive(1, 0, 240, [1, 2, 3, 4], "sinks")], known_of(folder))
    driven = driving.plan_with(folder, state)
    assert driven is not None
    assert {one.word for one in driven.street.readings} == {"sinks"}
    assert driven.treatment != plan(cast.street).treatment
    assert driving.plan_with(folder, fold([], known_of(folder))) is None
