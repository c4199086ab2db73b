"""Every address of the site, asked by everybody, against the one table of roles."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from http.cookies import SimpleCookie
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from PIL import Image

from hardpan.ledger import KINDS, Entry, Moment
from hardpan.ledger.mending import Correction, Withdrawal
from hardpan.ledger.parts import Payload
from hardpan.site.entries import may
from hardpan.site.join import codes
from hardpan.site.photos import store as photos
from hardpan.site.roles import ENTRY_KINDS, RULES, Role, enters_as
from tests.site.conftest import Browser, Cast, new_id

WHO = ("stranger", "operator", "crew tester", "foreman", "tester", "reviewer", "owner", "outsider")
STREETS = ("own", "other", "foreign")


@dataclass(frozen=True)
class Address:
    """An address of the resolver: its name and the parts that it wants filled in."""

    name: str
    parts: frozenset[str]


def addresses(resolver: URLResolver, space: str = "") -> Iterator[Address]:
    """Every address that the site answers to."""
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLPattern):
            yield Address(f"{space}{pattern.name}", frozenset(pattern.pattern.converters))
        else:
            yield from addresses(pattern, f"{space}{pattern.namespace}:" if pattern.namespace else space)


ADDRESSES = sorted(set(addresses(get_resolver())), key=lambda address: address.name)


def test_every_address_is_in_the_table_and_no_other() -> None:
    assert {address.name for address in ADDRESSES} == set(RULES)
    assert len(ADDRESSES) > 20


def test_every_kind_of_entry_is_in_the_table_and_no_other() -> None:
    assert list(ENTRY_KINDS) == list(KINDS)


def role_of(who: str) -> Role:
    return Role.OWNER if who == "outsider" else Role(who.removeprefix("crew "))


def is_own(who: str, street: str) -> bool:
    """Whose streets these are, as the cast was put on them."""
    if who == "outsider":
        return street == "foreign"
    return street == "own" or (who == "owner" and street == "other")


@dataclass(frozen=True)
class Filling:
    """What stands in an address."""

    street: str
    parts: dict[str, Any]
    own: bool


def fillings(address: Address, who: str, there: Cast, objects: dict[str, Any]) -> Iterator[Filling]:
    """An address filled in with what is the caller's and what is not."""
    rest = {part: objects[part] for part in address.parts if part in objects}
    if "person" in address.parts:
        for person in (there.people["tester"], there.outsider):
            has_account = who not in ("operator", "crew tester")  # a crew knows of no accounts
            mine = has_account and (person.company == there.company) == (who != "outsider")
            yield Filling("", rest | {"person": person.pk}, mine)
    elif "slug" not in address.parts:
        yield Filling("", rest, own=True)
    else:
        for street in STREETS:
            # the foreign street has the same short name as one of ours: the company decides which of the two is meant
            slug = "other-crescent" if street == "other" else "teal-crescent"
            means = "foreign" if who == "outsider" and street == "own" else street
            if street == "foreign" and who != "outsider":
                continue
            yield Filling(means, rest | {"slug": slug}, is_own(who, means))


def expected(address: Address, method: str, who: str, *, own: bool) -> str:
    """What the table says: the word for an answer."""
    rule, role = RULES[address.name], role_of(who)
    allowed = rule.read if method == "GET" else rule.write
    if not allowed:
        return "no such method"
    if role is Role.STRANGER and role not in allowed:
        return "sign in"
    if not own:
        return "not yours"
    if role not in allowed or (rule.account and who in ("operator", "crew tester")):
        return "not allowed"
    return "let in"


def told(answer: HttpResponseBase) -> str:
    """The word for an answer."""
    if answer.status_code == 302 and answer.headers["Location"].startswith("/sign-in/?next="):
        return "sign in"
    words = {401: "sign in", 403: "not allowed", 404: "not yours", 405: "no such method"}
    return words.get(answer.status_code, "let in" if answer.status_code < 500 else "broke")


@pytest.fixture
def objects(cast: Cast) -> dict[str, Any]:
    """A code and a photo of the first street, and what else stands in addresses."""
    code = codes.open_code(cast.street, "operator", by=cast.people["foreman"])
    picture = io.BytesIO()
    Image.new("RGB", (8, 8)).save(picture, "PNG")
    kept = {photos.keep(street, picture.getvalue())[0].sha256 for street in (cast.street, cast.other, cast.foreign)}
    for street, owner in ((cast.other, cast.people["owner"]), (cast.foreign, cast.outsider)):
        codes.open_code(street, "operator", by=owner)
    return {
        "code": code.pk,
        "sha256": kept.pop(),
        "token": code.token,
        "uidb64": "MQ",
        "file": "record.jsonl",
    }


@pytest.mark.parametrize("who", WHO)
def test_everybody_reaches_exactly_what_the_table_says(cast: Cast, objects: dict[str, Any], who: str) -> None:
    cookies = cast.browser(who).cookies.output(header="").strip()
    wrong, asked = [], 0
    for address in ADDRESSES:
        for filling in fillings(address, who, cast, objects):
            codes_of = {"other": cast.other, "foreign": cast.foreign}.get(filling.street)
            parts = filling.parts
            if codes_of is not None and "code" in parts:
                parts = parts | {"code": codes_of.codes.get().pk}
            for method in ("GET", "POST"):
                answer = ask(cookies, method, reverse(address.name, kwargs=parts))
                want = expected(address, method, who, own=filling.own)
                asked += 1
                if told(answer) != want:
                    wrong.append(f"{method} {address.name} {filling.street}: {answer.status_code}, not {want}")
    assert wrong == []
    assert asked >= 2 * len(ADDRESSES)


def ask(cookies: str, method: str, path: str) -> HttpResponseBase:
    """One request of its own: what it does is undone."""
    browser = Browser(raise_request_exception=False)
    browser.cookies = SimpleCookie(cookies)
    before = transaction.savepoint()
    answer: HttpResponseBase = browser.generic(method, path)
    transaction.savepoint_rollback(before)
    return answer


def test_words_for_answers_tell_them_apart() -> None:
    assert told(HttpResponseRedirect("/sign-in/?next=/streets/")) == "sign in"
    assert told(HttpResponseRedirect("/streets/")) == "let in"
    assert [told(HttpResponse(status=status)) for status in (200, 401, 403, 404, 405, 422, 500)] == [
        "let in", "sign in", "not allowed", "not yours", "no such method", "let in", "broke",
    ]  # fmt: skip


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS", "CONNECT"])
def test_other_methods_are_nobodys(cast: Cast, method: str) -> None:
    for path in ("/streets/", "/streets/teal-crescent/", "/api/streets", "/api/streets/teal-crescent/entries"):
        answer = cast.browser("owner").generic(method, path)
        assert answer.status_code == 405, path
        assert answer.headers["Allow"] in ("GET", "GET, POST")


# the table itself, against what the trade asks for


def test_only_a_reviewer_signs_and_nobody_else_accepts() -> None:
    assert ENTRY_KINDS["signature"] == {Role.REVIEWER}


def test_a_tester_records_every_test() -> None:
    assert all(
        Role.TESTER in ENTRY_KINDS[kind]
        for kind in ("density", "one-point", "penetrometer", "axle test", "moisture", "squeeze", "depth check")
    )


def test_anyone_may_stop_the_work_or_say_that_something_is_wrong() -> None:
    for kind in ("stop", "problem", "note"):
        assert ENTRY_KINDS[kind] == set(Role) - {Role.STRANGER}


def test_the_foreman_shows_and_cancels_codes_and_the_owner_manages_people() -> None:
    for name in ("join-codes", "join-code-cancel"):
        assert RULES[name].write == {Role.FOREMAN, Role.OWNER}
    assert {RULES[name].write for name in ("people", "person", "person-invite")} == {frozenset({Role.OWNER})}


def test_strangers_reach_only_the_doors() -> None:
    open_to_all = {name for name, rule in RULES.items() if Role.STRANGER in rule.read | rule.write}
    assert open_to_all == {"home", "sign-in", "invitation", "join", "worker", "manifest"}


# entries


def entry(kind: str, role: str, **told: Any) -> Entry:
    """An entry of a kind, whatever its payload."""
    now = Moment("2026-06-09T08:05:00Z", None)  # type: ignore[arg-type]  # nobody reads the instant here
    plain: dict[str, Any] = {
        "id": new_id(1),
        "street": "teal-crescent",
        "kind": kind,
        "role": role,
        "name": "",
        "payload": Payload(),
    }
    return Entry.model_construct(happened_at=now, entered_at=now, device="a", **(plain | {"corrects": None} | told))


@pytest.mark.parametrize("role", sorted(set(Role) - {Role.STRANGER}))
def test_an_entry_is_taken_from_exactly_the_roles_of_the_table(role: Role) -> None:
    taken = {
        kind for kind in KINDS if not may.wrongs(entry(kind, enters_as(role)), role, name="", slug="teal-crescent")
    }
    mendings = {"correction", "withdrawal"}  # they carry ``corrects``; see below
    assert taken - mendings == {kind for kind, roles in ENTRY_KINDS.items() if role in roles} - mendings


@pytest.mark.parametrize(
    ("told", "where"),
    [
        ({"street": "kestrel-road"}, ["street"]),
        ({"role": "foreman"}, ["role"]),
        ({"kind": "signature"}, ["kind"]),
        ({"kind": "density"}, ["kind"]),
        ({"kind": "signature", "role": "reviewer", "name": "Somebody Else"}, ["role", "kind", "name"]),
        ({}, []),
    ],
)
def test_an_operator_enters_for_the_crew_and_nothing_else(told: dict[str, str], where: list[str]) -> None:
    made = entry("note", "operator").model_copy(update=told)
    found = may.wrongs(made, Role.OPERATOR, name="", slug="teal-crescent")
    assert [wrong.where for wrong in found] == where
    assert all(wrong.found and wrong.do for wrong in found)


@pytest.mark.parametrize(
    ("role", "mended", "allowed"),
    [
        (Role.TESTER, "density", True),
        (Role.TESTER, "signature", False),
        (Role.OPERATOR, "density", False),
        (Role.OPERATOR, "spread run", True),
        (Role.REVIEWER, "signature", True),
        (Role.REVIEWER, "spread run", False),
    ],
)
def test_a_mending_needs_the_right_to_what_it_mends(role: Role, mended: str, allowed: bool) -> None:
    made = entry("withdrawal", role.value, corrects=new_id(2), payload=Withdrawal())
    found = may.wrongs(made, role, name="", slug="teal-crescent", mended=frozenset({"withdrawal", mended}))
    assert (found == []) is allowed


def test_a_correction_needs_the_right_to_what_it_puts_in_place() -> None:
    payload = Correction.model_construct(kind="density", payload=Payload())
    made = entry("correction", "operator", corrects=new_id(2), payload=payload)
    (wrong,) = may.wrongs(made, Role.OPERATOR, name="", slug="teal-crescent", mended=frozenset({"note"}))
    assert wrong.where == "kind"
