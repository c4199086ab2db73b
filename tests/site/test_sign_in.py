"""Accounts: signing in and out, passwords, invitations, what happens to a session."""

from __future__ import annotations

import re
from typing import Any

import pytest
from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.apps import apps
from django.conf import settings
from django.contrib.auth.hashers import identify_hasher
from django.contrib.auth.password_validation import CommonPasswordValidator
from django.contrib.sessions.models import Session
from django.core.cache import caches

from hardpan.site.accounts.models import User
from hardpan.site.accounts.people import invitation
from tests.site.conftest import Browser, Cast

PASSWORD = "  four soft Wörter 火  "
OTHER = "another row of words"


@pytest.fixture
def reviewer(cast: Cast) -> User:
    """A reviewer who has chosen a password."""
    user = cast.people["reviewer"]
    user.set_password(PASSWORD)
    user.save()
    caches["sign-in"].clear()
    return user


def sign_in(browser: Browser, password: str, name: str = "reviewer", **told: Any) -> Any:
    return browser.post("/sign-in/", {"username": name, "password": password, **told})


def is_in(browser: Browser) -> bool:
    return bool(browser.get("/streets/").status_code == 200)


@pytest.mark.usefixtures("reviewer")
def test_a_password_opens_the_door_and_signing_out_shuts_it() -> None:
    browser = Browser()
    assert sign_in(browser, PASSWORD).headers["Location"] == "/streets/"
    assert is_in(browser)
    kept = browser.cookies[settings.SESSION_COOKIE_NAME].value
    answer = browser.post("/sign-out/")
    assert (answer.headers["Location"], answer.headers["Clear-Site-Data"]) == ("/sign-in/", '"cache"')
    browser.cookies[settings.SESSION_COOKIE_NAME] = kept
    assert not is_in(browser)
    assert not Session.objects.exists()


@pytest.mark.parametrize("wrong", [PASSWORD.strip(), PASSWORD.lower(), PASSWORD[:-1], ""])
@pytest.mark.usefixtures("reviewer")
def test_a_password_is_compared_exactly_as_it_was_typed(wrong: str) -> None:
    browser = Browser()
    assert sign_in(browser, wrong).status_code == 200
    assert not is_in(browser)


def test_passwords_are_kept_by_argon2(reviewer: User) -> None:
    assert identify_hasher(reviewer.password).algorithm == "argon2"


@pytest.mark.usefixtures("reviewer")
def test_signing_in_starts_a_new_session() -> None:
    browser = Browser()
    sign_in(browser, PASSWORD)
    first = browser.cookies[settings.SESSION_COOKIE_NAME].value
    sign_in(browser, PASSWORD)
    assert browser.cookies[settings.SESSION_COOKIE_NAME].value != first


@pytest.mark.parametrize("next_page", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"])
@pytest.mark.usefixtures("reviewer")
def test_signing_in_leads_nowhere_else(next_page: str) -> None:
    assert sign_in(Browser(), PASSWORD, next=next_page).headers["Location"] == "/streets/"


@pytest.mark.usefixtures("cast", "reviewer")
def test_five_wrong_passwords_close_the_door_to_that_name_from_there_only() -> None:
    guesser, owner = Browser(REMOTE_ADDR="192.0.2.1"), Browser(REMOTE_ADDR="192.0.2.2")
    answers = [sign_in(guesser, "wrong").status_code for _ in range(6)]
    assert answers == [200, 200, 200, 200, 429, 429]
    refused = sign_in(guesser, PASSWORD)
    assert (refused.status_code, is_in(guesser)) == (429, False)
    assert "15 minutes" in refused.content.decode()
    sign_in(owner, PASSWORD)
    assert is_in(owner)  # whoever guesses cannot lock the reviewer out


@pytest.mark.usefixtures("reviewer")
def test_the_door_opens_again_after_a_quarter_of_an_hour(time_machine: Any) -> None:
    time_machine.move_to("2026-06-09T08:00:00Z")
    browser = Browser()
    for _ in range(5):
        sign_in(browser, "wrong")
    time_machine.move_to("2026-06-09T08:14:00Z")
    assert sign_in(browser, PASSWORD).status_code == 429
    time_machine.move_to("2026-06-09T08:15:30Z")
    sign_in(browser, PASSWORD)
    assert is_in(browser)


@pytest.mark.usefixtures("cast", "reviewer")
def test_no_address_and_no_browser_is_written_down() -> None:
    browser = Browser(REMOTE_ADDR="192.0.2.77", HTTP_USER_AGENT="Somebody's phone 9")
    sign_in(browser, "wrong")
    sign_in(browser, PASSWORD)
    browser.get("/streets/")
    assert [model.objects.count() for model in (AccessAttempt, AccessFailureLog, AccessLog)] == [0, 0, 0]
    rows = [str(row) for model in apps.get_models() for row in model._default_manager.values_list()]
    assert len(rows) > 10
    assert [row for row in rows if "192.0.2.77" in row or "Somebody's phone" in row] == []


@pytest.mark.usefixtures("reviewer")
def test_a_session_ends_after_a_shift(time_machine: Any) -> None:
    time_machine.move_to("2026-06-09T06:00:00Z")
    browser = Browser()
    sign_in(browser, PASSWORD)
    time_machine.move_to("2026-06-09T17:59:00Z")
    assert is_in(browser)
    time_machine.move_to("2026-06-09T18:01:00Z")
    assert not is_in(browser)


def test_a_closed_account_is_out_at_once(reviewer: User) -> None:
    browser = Browser()
    sign_in(browser, PASSWORD)
    User.objects.filter(pk=reviewer.pk).update(is_active=False)
    assert not is_in(browser)
    sign_in(browser, PASSWORD)
    assert not is_in(browser)


def change(browser: Browser, old: str, new: str, again: str | None = None) -> int:
    told = {"old_password": old, "new_password1": new, "new_password2": new if again is None else again}
    return int(browser.post("/password/", told).status_code)


@pytest.mark.usefixtures("reviewer")
def test_a_password_is_changed_with_the_current_one_and_other_sessions_end() -> None:
    here, elsewhere = Browser(), Browser()
    sign_in(here, PASSWORD)
    sign_in(elsewhere, PASSWORD)
    assert change(here, "wrong", OTHER) == 200
    assert is_in(elsewhere)
    assert change(here, PASSWORD, OTHER) == 302
    assert (is_in(here), is_in(elsewhere)) == (True, False)
    assert sign_in(elsewhere, PASSWORD).status_code == 200
    assert sign_in(elsewhere, OTHER).status_code == 302


@pytest.mark.parametrize(
    ("new", "taken"),
    [
        ("eight888", False),  # shorter than nine
        ("password1", False),  # common
        ("reviewer1", False),  # the sign-in name
        ("123456789", False),  # common
        ("nine of 9", True),
        ("384719265027", True),  # digits only: no rule on what a password is made of
        ("äöüäöüäöü", True),
        ("a" * 500 + " long", True),
    ],
)
@pytest.mark.usefixtures("reviewer")
def test_which_passwords_are_taken(new: str, taken: bool) -> None:
    browser = Browser()
    sign_in(browser, PASSWORD)
    assert change(browser, PASSWORD, new) == (302 if taken else 200)


def test_more_than_three_thousand_common_passwords_of_the_least_length_are_known() -> None:
    known = [word for word in CommonPasswordValidator().passwords if len(word) >= settings.PASSWORD_LENGTH]
    assert len(known) > 3000


def test_password_fields_are_masked_and_managers_may_fill_them(cast: Cast) -> None:
    page = cast.browser("stranger").get("/sign-in/").content.decode()
    (field,) = re.findall(r"<input[^>]*name=\"password\"[^>]*>", page)
    assert 'type="password"' in field
    assert 'autocomplete="current-password"' in field
    new = cast.browser("reviewer").get("/password/").content.decode()
    assert new.count('type="password"') == 3
    assert new.count('autocomplete="new-password"') == 2


# invitations


def choose(browser: Browser, link: str, password: str) -> int:
    page = browser.get(link, follow=True)
    path = page.redirect_chain[-1][0] if page.redirect_chain else link
    told = {"new_password1": password, "new_password2": password}
    return int(browser.post(path, told).status_code)


def test_an_invitation_is_taken_up_once(cast: Cast) -> None:
    user = cast.people["tester"]
    link = invitation(user)
    assert not user.has_usable_password()
    assert choose(Browser(), link, "short") == 200
    assert choose(Browser(), link, OTHER) == 302
    browser = Browser()
    assert sign_in(browser, OTHER, "tester").status_code == 302
    again = Browser().get(link, follow=True)
    assert "This invitation is over" in again.content.decode()
    assert choose(Browser(), link, "a third row of words") == 200
    assert sign_in(Browser(), OTHER, "tester").status_code == 302


def test_an_invitation_lasts_three_days(cast: Cast, time_machine: Any) -> None:
    time_machine.move_to("2026-06-09T08:00:00Z")
    link = invitation(cast.people["tester"])
    time_machine.move_to("2026-06-12T07:59:00Z")
    assert "Choose a password" in Browser().get(link, follow=True).content.decode()
    time_machine.move_to("2026-06-12T08:01:00Z")
    assert "This invitation is over" in Browser().get(link, follow=True).content.decode()


def test_an_invitation_stands_in_no_address_after_its_first_page(cast: Cast) -> None:
    link = invitation(cast.people["tester"])
    page = Browser().get(link, follow=True)
    assert page.redirect_chain[-1][0].endswith("/set-password/")
    assert link.rstrip("/").rsplit("/", 1)[1] not in page.redirect_chain[-1][0]


# people


def test_the_owner_adds_a_person_and_hands_on_a_link_that_works(cast: Cast) -> None:
    answer = cast.browser("owner").post("/people/", {"name": "New", "sign_in_name": "new", "role": "reviewer"})
    (link,) = re.findall(r"https://testserver(/invitation/\S+/)<", answer.content.decode())
    assert choose(Browser(), link, OTHER) == 302
    browser = Browser()
    sign_in(browser, OTHER, "new")
    assert User.objects.get(sign_in_name="new").company == cast.company
    page = browser.get("/streets/").content.decode()
    assert "no street yet" in page  # until the owner puts them on one


@pytest.mark.parametrize("role", ["operator", "stranger", "admin", ""])
def test_nobody_is_added_in_a_role_that_has_no_account(cast: Cast, role: str) -> None:
    cast.browser("owner").post("/people/", {"name": "New", "sign_in_name": "new", "role": role})
    assert not User.objects.filter(sign_in_name="new").exists()


def test_the_owner_puts_people_on_streets_of_the_company_only(cast: Cast) -> None:
    reviewer, owner = cast.people["reviewer"], cast.browser("owner")
    told = {"name": "R", "role": "reviewer", "is_active": "on"}
    answer = owner.post(f"/people/{reviewer.pk}/", told | {"streets": [cast.foreign.pk]})
    assert answer.status_code == 200
    assert list(reviewer.streets.all()) == [cast.street]
    assert owner.post(f"/people/{reviewer.pk}/", told | {"streets": [cast.other.pk]}).status_code == 302
    assert list(reviewer.streets.all()) == [cast.other]
    assert cast.browser("reviewer").get("/streets/teal-crescent/").status_code == 404


@pytest.mark.parametrize("told", [{"role": "reviewer", "is_active": "on"}, {"role": "owner"}])
def test_a_company_keeps_an_owner(cast: Cast, told: dict[str, str]) -> None:
    owner = cast.people["owner"]
    answer = cast.browser("owner").post(f"/people/{owner.pk}/", {"name": "O", **told})
    assert answer.status_code == 200
    assert "Somebody must stay owner" in answer.content.decode()
    owner.refresh_from_db()
    assert (owner.role, owner.is_active) == ("owner", True)


@pytest.mark.django_db
def test_a_new_site_has_no_accounts() -> None:
    assert not User.objects.exists()
