"""Logs: what was asked for and how it went; no path, no person, no token, no body."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator

import pytest

from hardpan.site.logs import Discreet
from hardpan.site.streets import known
from tests.site.conftest import Browser, Cast
from tests.site.test_join import show

WORDS = ("Somebody", "hunter2", "teal-crescent", "elsewhere.example", "192.0.2", "Jo Digger")


@pytest.fixture
def told() -> Iterator[io.StringIO]:
    """What the site's own handler writes, with every logger as it is set."""
    django = logging.getLogger("django")
    (handler,) = [one for one in django.handlers if isinstance(one.formatter, Discreet)]
    assert isinstance(handler, logging.StreamHandler)
    lines = io.StringIO()
    before = handler.setStream(lines)
    yield lines
    handler.setStream(before)


@pytest.mark.usefixtures("cast")
def test_a_wrong_password_and_a_lockout_name_nobody(told: io.StringIO) -> None:
    for _ in range(7):
        Browser(REMOTE_ADDR="192.0.2.4").post("/sign-in/", {"username": "Somebody", "password": "hunter2"})
    text = told.getvalue()
    assert "django.request: POST sign-in 429" in text
    assert [word for word in WORDS if word in text] == []


def test_a_join_code_stands_in_no_log(cast: Cast, told: io.StringIO) -> None:
    code = show(cast)
    cast.browser("foreman").post(f"/streets/teal-crescent/codes/{code.pk}/cancel/")
    Browser().post(f"/join/{code.token}/", {"name": "Jo Digger"})
    assert told.getvalue().rstrip().endswith("django.request: POST join 404")
    assert [word for word in (*WORDS, code.token) if word in told.getvalue()] == []


def test_an_error_tells_where_and_not_what(cast: Cast, told: io.StringIO, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> None:
        raise RuntimeError("Jo Digger said hunter2")

    monkeypatch.setattr(known, "strip_map", broken)
    cast.browser("owner", raise_request_exception=False).get("/streets/teal-crescent/?name=Somebody")
    text = told.getvalue()
    assert "ERROR django.request: GET street 500\nRuntimeError\n" in text
    assert 'streets/views.py", line' in text
    assert [word for word in WORDS if word in text.replace('"Jo Digger said hunter2"', "")] == []


def test_a_foreign_host_and_a_forged_form_are_told_by_their_kind(cast: Cast, told: io.StringIO) -> None:
    Browser(raise_request_exception=False).get("/sign-in/", headers={"host": "elsewhere.example"})
    cast.browser("owner", enforce_csrf_checks=True).post("/people/", {"name": "Jo Digger"})
    text = told.getvalue()
    assert "django.security.DisallowedHost" in text
    assert "django.security.csrf: POST people 403" in text
    assert [word for word in WORDS if word in text] == []


def test_good_requests_are_not_logged(cast: Cast, told: io.StringIO) -> None:
    cast.browser("owner").get("/streets/")
    assert told.getvalue() == ""


def test_what_a_library_would_fill_into_its_words_is_left_out(told: io.StringIO) -> None:
    logging.getLogger("django.dispatch").error("a receiver of %s broke", "Jo Digger")
    assert told.getvalue().rstrip().endswith("ERROR django.dispatch: a receiver of %s broke")
