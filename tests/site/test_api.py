"""The API: entries by page, clocks, what is wrong in words, forged requests, rates."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import RequestFactory

import hardpan
from hardpan.exchange.json_plan import plan_json
from hardpan.exchange.record import verify_file
from hardpan.site.api.operations import api
from hardpan.site.entries.models import epoch, renew_epoch
from hardpan.site.keeping.backup import back_up
from hardpan.site.streets.models import StreetFile
from hardpan.site.throttle import address
from hardpan.street import example
from tests.site.conftest import Browser, Cast, new_id, note

ENTRIES = "/api/streets/teal-crescent/entries"
DENSITY = {
    "test": "1",
    "dry_density_kg_m3": 1500,
    "reference": {"curve": "treated", "maximum_kg_m3": 1550, "proctor": "treated 1"},
}


def post(browser: Browser, *entries: object, **told: Any) -> Any:
    return browser.post(ENTRIES, json.dumps({"entries": entries, **told}), content_type="application/json")


def test_a_phone_posts_and_another_reads_on_from_where_it_was(cast: Cast) -> None:
    operator, foreman = cast.browser("operator"), cast.browser("foreman")
    clock = {
        "sent_at": "2026-06-09T08:06:00-06:00",
        "heard_at": "2026-06-09T08:05:59-06:00",
        "heard_said": "2026-06-09T14:06:01Z",
    }
    answer = post(operator, note(1), note(2), **clock).json()
    assert [(one["id"], one["answer"], one["sequence"]) for one in answer["answers"]] == [
        (new_id(1), "stored", 1),
        (new_id(2), "stored", 2),
    ]
    first = foreman.get(ENTRIES).json()
    assert [one["entry"] for one in first["entries"]] == [note(1), note(2)]
    assert {name: first["entries"][0][name] for name in clock} == clock
    assert (first["last"], first["more"], first["epoch"]) == (2, False, str(epoch()))
    post(operator, note(3))
    more = foreman.get(ENTRIES, {"since": 2}).json()
    assert [(one["sequence"], one["entry"]) for one in more["entries"]] == [(3, note(3))]
    assert foreman.get(ENTRIES, {"since": 3}).json()["last"] == 3


def test_entries_come_by_pages(cast: Cast) -> None:
    operator = cast.browser("operator")
    post(operator, *[note(number) for number in range(500)])
    post(operator, note(500))
    page = operator.get(ENTRIES).json()
    assert (len(page["entries"]), page["last"], page["more"]) == (500, 500, True)
    rest = operator.get(ENTRIES, {"since": page["last"]}).json()
    assert (len(rest["entries"]), rest["last"], rest["more"]) == (1, 501, False)


def test_a_post_holds_at_most_five_hundred_entries(cast: Cast) -> None:
    answer = post(cast.browser("operator"), *[note(number) for number in range(501)])
    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (422, "body.posted.entries")
    assert "500" in answer.json()["problems"][0]["found"]


def test_a_refused_entry_says_what_to_do(cast: Cast) -> None:
    (answer,) = post(cast.browser("operator"), note(1, role="reviewer", kind="signature")).json()["answers"]
    assert (answer["id"], answer["answer"], answer["sequence"]) == (new_id(1), "refused", None)
    assert {"where", "found", "allowed", "do"} == set(answer["reason"][0])
    (answer,) = post(cast.browser("operator"), note(1, payload={"note": 7})).json()["answers"]
    assert answer["reason"][0]["where"] == "payload.note"


def test_what_was_refused_for_its_id_is_shown(cast: Cast) -> None:
    operator = cast.browser("operator")
    post(operator, note(1), note(1, payload={"note": "other"}))
    assert [
        one["entry"]["payload"] for one in operator.get("/api/streets/teal-crescent/refused").json()["refused"]
    ] == [{"note": "other"}]


def test_a_foreman_brings_entries_from_a_phone_that_cannot_send(cast: Cast) -> None:
    theirs = note(1, role="operator", device="phone-9")
    tests = note(2, role="tester", kind="density", payload=DENSITY)
    signed = note(3, role="reviewer", kind="signature", payload={"signed": "all", "decision": "accepted"})
    foreman = cast.browser("foreman")
    answers = post(foreman, theirs, tests, signed, note(4, role="foreman")).json()["answers"]
    assert [one["answer"] for one in answers] == ["stored", "stored", "refused", "stored"]
    told = foreman.get(ENTRIES).json()["entries"]
    assert [(one["entry"]["role"], one["brought_by"]) for one in told] == [
        ("operator", "foreman"), ("tester", "foreman"), ("foreman", ""),
    ]  # fmt: skip
    # the phone finds its signal again
    assert post(cast.browser("operator"), theirs).json()["answers"][0]["answer"] == "already have it"
    # a tester carries for nobody, and nobody gains a right that the entry's own role has not
    (refused,) = post(cast.browser("tester"), note(5, role="operator")).json()["answers"]
    assert (refused["answer"], refused["reason"][0]["where"]) == ("refused", "role")
    (refused,) = post(foreman, note(6, role="operator", kind="density", payload=DENSITY)).json()["answers"]
    assert (refused["answer"], refused["reason"][0]["where"]) == ("refused", "kind")


def test_a_phone_is_told_what_a_backup_covers(cast: Cast, tmp_path: Path) -> None:
    operator = cast.browser("operator")
    assert post(operator, note(1)).json()["covered_until"] is None
    made = back_up(tmp_path / "a.zip")
    told = post(operator, note(2)).json()
    assert told["covered_until"] == operator.get(ENTRIES).json()["covered_until"]
    assert dt.datetime.fromisoformat(told["covered_until"]) == made.made_at
    first, second = operator.get(ENTRIES).json()["entries"]
    assert first["received_at"] < told["covered_until"] < second["received_at"]
    renew_epoch()
    assert post(operator, note(3)).json()["covered_until"] is None


def test_the_state_is_what_the_ledger_adds_up_to(cast: Cast) -> None:
    operator = cast.browser("operator")
    post(operator, note(1), note(2, kind="stop", payload={"state": "stopped", "reason": "rain"}))
    told = operator.get("/api/streets/teal-crescent/state").json()
    assert told["last"] == 2
    assert [one["received"]["entry"]["kind"] for one in told["state"]["entries"]] == ["note", "stop"]
    assert {"clocks", "cement", "water", "bays", "notices"} <= set(told["state"])


def test_the_outlook_says_what_is_next_by_the_crews_own_time(cast: Cast) -> None:
    operator = cast.browser("operator")
    post(operator, note(1))
    told = operator.get("/api/streets/teal-crescent/outlook").json()["outlook"]
    spread = next(task for task in told["tasks"] if task["machine"] == "spreader")
    assert (spread["what"], spread["rate"]) == ("spread strip 1", {"value": 12.0, "unit": "kg/m2", "basis": "stated"})
    assert told["now"].endswith(note(1)["happened_at"][-6:])


def test_the_record_is_the_command_lines_and_holds_its_chain(cast: Cast, tmp_path: Path) -> None:
    post(cast.browser("operator"), note(1), note(2, kind="stop", payload={"state": "stopped", "reason": "rain"}))
    reviewer = cast.browser("reviewer")
    for name in ("record.pdf", "record.jsonl"):
        answer = reviewer.get(f"/api/streets/teal-crescent/record/{name}")
        assert answer.headers["Content-Disposition"] == f'attachment; filename="teal-crescent-{name}"'
        (tmp_path / name).write_bytes(answer.content)
        (found,) = verify_file(tmp_path / name)
        assert found.good
        assert found.words.startswith("2 entries, none changed")
    assert reviewer.get("/api/streets/teal-crescent/record/record.exe").status_code == 422


def test_the_plan_is_the_command_lines(cast: Cast) -> None:
    answer = cast.browser("reviewer").get("/api/streets/teal-crescent/plan")
    plan = hardpan.make_plan(hardpan.read_street(example("teal-crescent")))
    assert answer.content.decode() == plan_json(plan)
    assert answer.headers["Content-Type"] == "application/json; charset=utf-8"


def test_a_street_that_cannot_be_read_any_more_says_why(cast: Cast) -> None:
    StreetFile.objects.filter(street=cast.street, name="street.toml").update(content=b"[line]\nlength = 5\n")
    answer = cast.browser("reviewer").get("/api/streets/teal-crescent/plan")
    assert answer.status_code == 422
    assert "street.toml, name" in {problem["where"] for problem in answer.json()["problems"]}
    page = cast.browser("reviewer").get("/streets/teal-crescent/").content.decode()
    assert "There is no plan" in page
    assert "street.toml, line.width" in page


def test_a_new_epoch_is_told_at_once(cast: Cast) -> None:
    before = post(cast.browser("operator"), note(1)).json()["epoch"]
    renewed = str(renew_epoch())
    assert renewed != before
    assert post(cast.browser("operator"), note(1)).json()["epoch"] == renewed


NO_JSON: dict[str, bytes] = {
    "cut short": b'{"entries": [',
    "not UTF-8": b'{"entries": ["\xff"]}',
    "NaN": b'{"entries": [{"x": NaN}]}',
    "infinite": b'{"entries": [{"x": -Infinity}]}',
    "half a character": b'{"entries": [{"x": "\\ud800"}]}',
    "half a character as a key": b'{"entries": [{"\\ud800": 1}]}',
    "NUL": b'{"entries": [{"x": "a\\u0000b"}]}',
    "too deep": b'{"entries": [' + b"[" * 100_000 + b"]" * 100_000 + b"]}",
    "number without end": b'{"entries": [{"x": ' + b"9" * 5_000 + b"}]}",
}


@pytest.mark.parametrize("case", NO_JSON)
def test_a_body_that_is_no_json_is_refused_in_words(cast: Cast, case: str) -> None:
    answer = cast.browser("operator").post(ENTRIES, NO_JSON[case], content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["problems"][0]["where"] == "body"


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ({}, "body.posted.entries"),
        ({"entries": []}, "body.posted.entries"),
        ({"entries": ["a"]}, "body.posted.entries.0"),
        ({"entries": [{}], "more": 1}, "body.posted.more"),
        ({"entries": [{}], "sent_at": "yesterday"}, "body.posted.sent_at"),
        ([], "body.posted"),
    ],
)
def test_a_body_of_another_shape_is_refused_in_words(cast: Cast, body: object, where: str) -> None:
    answer = cast.browser("operator").post(ENTRIES, json.dumps(body), content_type="application/json")
    assert answer.status_code == 422
    assert where in {problem["where"] for problem in answer.json()["problems"]}


def test_a_clock_that_was_heard_comes_whole(cast: Cast) -> None:
    answer = post(cast.browser("operator"), note(1), heard_at="2026-06-09T08:05:59-06:00")
    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (422, "body.posted")


def test_a_post_without_this_sites_mark_is_refused(cast: Cast) -> None:
    phone = cast.browser("operator", enforce_csrf_checks=True)
    assert post(phone, note(1)).status_code == 403
    assert post(phone, note(1)).json()["problems"][0]["allowed"] == "forms of this site"
    phone.get("/streets/")
    mark = phone.cookies[settings.CSRF_COOKIE_NAME].value
    body = json.dumps({"entries": [note(1)]})
    elsewhere = {"x-csrftoken": mark, "origin": "https://elsewhere.example"}
    assert phone.post(ENTRIES, body, content_type="application/json", headers=elsewhere).status_code == 403
    here = {"x-csrftoken": mark, "origin": "https://testserver"}
    assert phone.post(ENTRIES, body, content_type="application/json", headers=here).status_code == 200


def test_nobody_is_told_more_than_the_fields_that_are_described(cast: Cast) -> None:
    assert set(cast.browser("operator").get("/api/me").json()) == {"role", "name", "streets", "epoch", "most_entries"}
    (street,) = cast.browser("operator").get("/api/streets").json()
    assert set(street) == {"slug", "name", "entries"}


def test_a_caller_who_asks_too_often_waits_and_others_do_not(cast: Cast, time_machine: Any) -> None:
    time_machine.move_to("2026-06-09T08:00:20Z", tick=False)
    operator, foreman = cast.browser("operator"), cast.browser("foreman")
    answers = [operator.get("/streets/teal-crescent/strip-map.svg") for _ in range(61)]
    assert [one.status_code for one in answers] == [200] * 60 + [429]
    assert answers[-1].headers["Retry-After"] == "40"
    assert foreman.get("/streets/teal-crescent/strip-map.svg").status_code == 200
    time_machine.move_to("2026-06-09T08:01:00Z", tick=False)
    assert operator.get("/streets/teal-crescent/strip-map.svg").status_code == 200


def test_a_post_that_is_too_large_is_refused_before_it_is_read(cast: Cast) -> None:
    answer = cast.browser("operator").generic("POST", ENTRIES, b" " * 2_000_001, content_type="application/json")
    assert answer.status_code == 413


@pytest.mark.usefixtures("cast")
def test_behind_a_proxy_its_own_word_counts_and_not_the_callers(monkeypatch: pytest.MonkeyPatch) -> None:
    request = RequestFactory().get(
        "/", headers={"x-forwarded-for": "203.0.113.9, 192.0.2.1"}, REMOTE_ADDR="192.0.2.200"
    )
    assert address(request) == "192.0.2.200"
    monkeypatch.setattr(settings, "HARDPAN_PROXY", True)
    assert address(request) == "192.0.2.1"


def test_the_description_names_every_operation() -> None:
    told = json.loads(json.dumps(api.get_openapi_schema()))
    operations = {f"{method} {path}" for path, methods in told["paths"].items() for method in methods}
    assert len(operations) == 15
    assert all("401" in method["responses"] for methods in told["paths"].values() for method in methods.values())
