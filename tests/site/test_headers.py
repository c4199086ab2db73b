"""Every answer carries the content policy and its companions: pages, files, errors, redirects, the API."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpRequest
from django.test import Client

from hardpan.site.headers import POLICY
from hardpan.site.streets import known
from tests.site.conftest import Browser, Cast

YEAR = 365 * 24 * 3600


def ask(cast: Cast, who: str, path: str, method: str = "GET", **told: Any) -> Any:
    return cast.browser(who, raise_request_exception=False).generic(method, path, **told)


def broken(_: HttpRequest) -> None:
    raise RuntimeError("somebody's words")


ANSWERS: dict[str, tuple[str, str, int]] = {
    "page": ("owner", "/streets/", 200),
    "door": ("stranger", "/sign-in/", 200),
    "redirect": ("owner", "/", 302),
    "to the door": ("stranger", "/streets/", 302),
    "no such page": ("owner", "/nowhere/", 404),
    "not theirs": ("operator", "/streets/other-crescent/", 404),
    "not allowed": ("operator", "/people/", 403),
    "drawing": ("owner", "/streets/teal-crescent/strip-map.svg", 200),
    "API": ("owner", "/api/me", 200),
    "API, stranger": ("stranger", "/api/me", 401),
    "API, not theirs": ("owner", "/api/streets/nowhere", 404),
    "API, nothing there": ("owner", "/api/nowhere", 404),
    "API, wrong query": ("owner", "/api/streets/teal-crescent/entries?since=-1", 422),
    "API, described": ("owner", "/api/openapi.json", 200),
    "folder": ("owner", "/api/streets/teal-crescent/folder", 200),
    "style": ("stranger", "/static/site.css", 200),
    "no such file": ("stranger", "/static/nothing.css", 404),
}


def check(answer: Any) -> None:
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "geolocation=()" in answer.headers["Permissions-Policy"]
    assert [name for name in answer.headers if name.startswith("Access-Control-")] == []


@pytest.mark.parametrize("which", ANSWERS)
def test_an_answer_carries_the_policy(cast: Cast, which: str) -> None:
    who, path, status = ANSWERS[which]
    answer = ask(cast, who, path)
    assert answer.status_code == status
    check(answer)
    assert (
        int(answer.headers.get("Strict-Transport-Security", "max-age=0").split(";")[0].removeprefix("max-age=")) >= YEAR
    )
    if not path.startswith("/static/"):
        assert answer.headers["Cache-Control"].startswith("no-store") or "max-age=0" in answer.headers["Cache-Control"]
    assert b"".join(answer) or status == 302  # read to its end, a file is closed


def test_errors_of_the_site_carry_it_too_and_tell_nothing(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(known, "strip_map", broken)
    answer = ask(cast, "owner", "/streets/teal-crescent/")
    assert answer.status_code == 500
    check(answer)
    assert "somebody's words" not in answer.content.decode()
    assert "Traceback" not in answer.content.decode()
    assert "Sending twice stores it once" in answer.content.decode()


def test_a_bad_host_a_bad_method_and_a_bad_form_carry_it(cast: Cast) -> None:
    host = Browser(raise_request_exception=False).get("/sign-in/", headers={"host": "elsewhere.example"})
    method = ask(cast, "owner", "/streets/", "PUT")
    forged = cast.browser("owner", enforce_csrf_checks=True).post("/people/", {"name": "x"})
    assert [one.status_code for one in (host, method, forged)] == [400, 405, 403]
    for one in (host, method, forged):
        check(one)


def test_plain_http_is_sent_to_tls() -> None:
    answer = Client().get("/sign-in/?next=/streets/", headers={"host": "testserver"})
    assert (answer.status_code, answer.headers["Location"]) == (301, "https://testserver/sign-in/?next=/streets/")


@pytest.mark.parametrize(
    "path", ["/.git/config", "/.env", "/secret-key", "/static/../secret-key", "/static/%2e%2e/secret-key"]
)
@pytest.mark.django_db
def test_nothing_beside_the_site_is_served(path: str) -> None:
    assert Browser(raise_request_exception=False).get(path).status_code == 404
