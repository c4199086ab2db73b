"""A crew joins by a code: no password, one street, until it is cancelled or the job is over."""

from __future__ import annotations

import datetime as dt
import io
import re
from typing import Any

import pytest
import segno
from django.conf import settings
from django.utils import timezone

from hardpan.site.join import codes
from hardpan.site.join.models import CrewMember, JoinCode
from hardpan.site.streets.models import StreetFile
from tests.site.conftest import Browser, Cast


def show(cast: Cast, role: str = "operator") -> JoinCode:
    answer = cast.browser("foreman").post("/streets/teal-crescent/codes/", {"role": role})
    assert answer.status_code == 302
    return JoinCode.objects.get(pk=answer.headers["Location"].rstrip("/").rsplit("/", 1)[1])


def enter(browser: Browser, code: JoinCode, name: str = "") -> Any:
    return browser.post(f"/join/{code.token}/", {"name": name, "device": "phone-7"})


def reaches(browser: Browser, slug: str = "teal-crescent") -> bool:
    return bool(browser.get(f"/streets/{slug}/").status_code == 200)


def test_a_phone_that_scans_is_in_after_it_says_so_and_not_before(cast: Cast) -> None:
    code, phone = show(cast), Browser()
    page = phone.get(f"/join/{code.token}/")
    assert page.status_code == 200
    assert "Join as operator" in page.content.decode()
    assert (code.members.count(), reaches(phone)) == (0, False)  # a preview of the link joins nobody
    assert enter(phone, code, "Sam").headers["Location"] == "/streets/teal-crescent/"
    assert (reaches(phone), reaches(phone, "other-crescent")) == (True, False)
    member = code.members.get()
    assert (member.role, member.name, member.device) == ("operator", "Sam", "phone-7")
    cookie = phone.cookies[settings.CREW_COOKIE_NAME]
    assert (cookie["secure"], cookie["httponly"], cookie["samesite"], cookie["path"]) == (True, True, "Lax", "/")


def test_the_role_is_the_codes_and_not_the_phones(cast: Cast) -> None:
    phone = Browser()
    phone.post(f"/join/{show(cast, 'tester').token}/", {"name": "", "role": "reviewer"})
    assert phone.get("/api/me").json()["role"] == "tester"


@pytest.mark.parametrize("role", ["foreman", "reviewer", "owner", "stranger"])
def test_no_code_gives_a_role_that_has_an_account(cast: Cast, role: str) -> None:
    before = JoinCode.objects.count()
    assert cast.browser("foreman").post("/streets/teal-crescent/codes/", {"role": role}).status_code == 200
    assert JoinCode.objects.count() == before


def test_cancelling_puts_everybody_of_that_code_out_and_nobody_else(cast: Cast) -> None:
    code, other = show(cast), show(cast)
    phones = [Browser(), Browser(), Browser()]
    for phone, by in zip(phones, (code, code, other), strict=True):
        enter(phone, by)
    cast.browser("foreman").post(f"/streets/teal-crescent/codes/{code.pk}/cancel/")
    assert [reaches(phone) for phone in phones] == [False, False, True]
    assert Browser().get(f"/join/{code.token}/").status_code == 404
    assert enter(Browser(), code).status_code == 404
    assert code.members.count() == 2


def test_a_foreman_cancels_no_code_of_another_street(cast: Cast) -> None:
    foreign = codes.open_code(cast.foreign, "operator", by=cast.outsider)
    cast.browser("foreman").post(f"/streets/teal-crescent/codes/{foreign.pk}/cancel/")
    foreign.refresh_from_db()
    assert foreign.is_open


@pytest.mark.parametrize(
    ("shift", "today", "over"),
    [
        ("", "2026-06-01", "2026-06-15"),  # no date said: 14 days from today
        ("date = 2026-06-09\nblocks_by_day = [3, 2]", "2026-06-01", "2026-06-24"),  # last day 10 June
        ("date = 2026-06-09", "2026-06-01", "2026-06-23"),
        ("date = 2026-06-09", "2026-07-01", "2026-07-15"),  # the job runs late
    ],
)
def test_a_code_ends_fourteen_days_after_the_job(cast: Cast, shift: str, today: str, over: str) -> None:
    file = StreetFile.objects.get(street=cast.street, name="street.toml")
    text = re.sub(r"(?ms)^\[shift\].*?(?=^\[|\Z)", "", bytes(file.content).decode())
    StreetFile.objects.filter(pk=file.pk).update(content=f"{text}\n[shift]\n{shift}\n".encode())
    ends = codes.job_over(cast.street, today=dt.date.fromisoformat(today))
    assert ends.date().isoformat() == over


def test_an_old_code_is_shut_and_its_crew_is_out(cast: Cast, time_machine: Any) -> None:
    code, phone = show(cast), Browser()
    enter(phone, code)
    time_machine.move_to(code.expires_at - dt.timedelta(minutes=1))
    assert reaches(phone)
    time_machine.move_to(code.expires_at + dt.timedelta(minutes=1))
    assert not reaches(phone)
    assert Browser().get(f"/join/{code.token}/").status_code == 404


def test_leaving_ends_the_phones_token(cast: Cast) -> None:
    code, phone = show(cast), Browser()
    enter(phone, code)
    token = phone.cookies[settings.CREW_COOKIE_NAME].value
    phone.post("/sign-out/")
    phone.cookies[settings.CREW_COOKIE_NAME] = token
    assert not reaches(phone)


def test_joining_another_street_leaves_the_first(cast: Cast) -> None:
    phone = Browser()
    enter(phone, show(cast))
    first = phone.cookies[settings.CREW_COOKIE_NAME].value
    enter(phone, codes.open_code(cast.other, "operator", by=cast.people["owner"]))
    assert (reaches(phone), reaches(phone, "other-crescent")) == (False, True)
    phone.cookies[settings.CREW_COOKIE_NAME] = first
    assert not reaches(phone)


def test_tokens_are_long_and_only_their_hashes_are_stored(cast: Cast) -> None:
    made = [show(cast) for _ in range(3)]
    phone = Browser()
    enter(phone, made[0])
    tokens = [code.token for code in made] + [phone.cookies[settings.CREW_COOKIE_NAME].value]
    assert len(set(tokens)) == 4
    assert all(re.fullmatch(r"[A-Za-z0-9_-]{43}", token) for token in tokens)  # 43 x 6 bits hold 256
    rows = str(list(JoinCode.objects.values())) + str(list(CrewMember.objects.values()))
    assert [token for token in tokens if token in rows] == []


@pytest.mark.parametrize("token", ["", "x", "A" * 43, "../admin", "%00"])
@pytest.mark.usefixtures("cast")
def test_a_guessed_token_opens_nothing(token: str) -> None:
    assert Browser().get(f"/join/{token}/").status_code == 404
    phone = Browser()
    phone.cookies[settings.CREW_COOKIE_NAME] = token
    assert not reaches(phone)


def test_guessing_is_slowed_down(cast: Cast) -> None:
    guesser = Browser(REMOTE_ADDR="192.0.2.9")
    answers = [guesser.get(f"/join/{number}/").status_code for number in range(61)]
    assert answers == [404] * 60 + [429]
    assert Browser(REMOTE_ADDR="192.0.2.10").get(f"/join/{show(cast).token}/").status_code == 200


def test_an_account_comes_before_a_crews_code(cast: Cast) -> None:
    tablet = cast.browser("foreman")
    tablet.cookies[settings.CREW_COOKIE_NAME] = cast.operator[1]
    assert tablet.get("/api/me").json()["role"] == "foreman"


def test_the_page_shows_the_code_that_the_library_draws_for_its_address(cast: Cast) -> None:
    code = show(cast)
    page = cast.browser("foreman").get(f"/streets/teal-crescent/codes/{code.pk}/").content.decode()
    made = io.BytesIO()
    link = f"https://testserver/join/{code.token}/"
    segno.make(link, error="m").save(made, kind="svg", scale=8, border=4, omitsize=True, xmldecl=False, svgns=False)
    (path,) = re.findall(r' d="([^"]+)"', re.sub(r'fill="#fff" d="[^"]+"', "", made.getvalue().decode()))[-1:]
    assert path in page
    assert code.token not in page  # nobody reads it over a shoulder, and no cache of text holds it


def test_a_code_that_is_over_is_not_shown(cast: Cast) -> None:
    code = show(cast)
    JoinCode.objects.filter(pk=code.pk).update(cancelled_at=timezone.now())
    answer = cast.browser("foreman").get(f"/streets/teal-crescent/codes/{code.pk}/")
    assert answer.headers["Location"] == "/streets/teal-crescent/codes/"
