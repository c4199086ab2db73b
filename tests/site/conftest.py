"""The fixed cast: two companies, two streets of the first, and everybody who may come to a site."""

from __future__ import annotations

import io
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.conf import settings
from django.core.cache import cache
from django.core.management import call_command
from django.test import Client

from hardpan.site.accounts.models import Company, User
from hardpan.site.accounts.people import found_company
from hardpan.site.entries import folders
from hardpan.site.join import codes
from hardpan.site.join.models import CrewMember, JoinCode
from hardpan.site.streets.models import Street
from hardpan.street import example

OFFICE = ("foreman", "tester", "reviewer", "owner")


@pytest.fixture(scope="session", autouse=True)
def _collected() -> None:
    """Static files where the site looks for them."""
    call_command("collectstatic", interactive=False, stdout=io.StringIO())


@pytest.fixture(autouse=True)
def _no_rates_left_over() -> Iterator[None]:
    """Nobody has asked for anything yet."""
    cache.clear()
    yield
    cache.clear()


def example_folder(name: str = "teal-crescent", *, ledger: bool = False) -> dict[str, bytes]:
    """Files of an example street."""
    return {
        path.name: path.read_bytes()
        for path in sorted(example(name).iterdir())
        if ledger or path.name != "ledger.jsonl"
    }


class Browser(Client):
    """A browser that comes by TLS."""

    def request(self, **told: Any) -> Any:
        """Ask."""
        return super().request(**told | {"wsgi.url_scheme": "https", "SERVER_PORT": "443"})


@dataclass(frozen=True, slots=True)
class Cast:
    """Everybody. The outsider owns another company's account; the operator and ``crew_tester`` joined by a code."""

    company: Company
    street: Street
    other: Street
    foreign: Street
    people: dict[str, User]
    operator: tuple[CrewMember, str]
    crew_tester: tuple[CrewMember, str]
    outsider: User

    def browser(self, who: str, **told: Any) -> Browser:
        """Browser of somebody of the cast; of a stranger where nobody has that name."""
        browser = Browser(**told)
        if who in ("operator", "crew tester"):
            browser.cookies[settings.CREW_COOKIE_NAME] = (self.operator if who == "operator" else self.crew_tester)[1]
        elif who == "outsider":
            browser.force_login(self.outsider, "django.contrib.auth.backends.ModelBackend")
        elif who != "stranger":
            browser.force_login(self.people[who], "django.contrib.auth.backends.ModelBackend")
        return browser


@pytest.fixture
def cast(db: None) -> Cast:
    """The cast on its streets: Teal Crescent is theirs, Kestrel Road another crew's, a third another company's."""
    del db  # asked for so that there is one
    owner = found_company("Norvale Streets", sign_in_name="owner", name="Owner")
    company = owner.company
    people = {"owner": owner}
    for role in ("foreman", "tester", "reviewer"):
        people[role] = User.objects.invite(company, role, name=role.title(), role=role)
    street, _ = folders.bring_in(owner, example_folder())
    other, _ = folders.bring_in(owner, example_folder(), slug="other-crescent")
    street.people.set([people["foreman"], people["tester"], people["reviewer"]])
    outsider = found_company("Elsewhere Ltd", sign_in_name="outsider", name="Outsider")
    foreign, _ = folders.bring_in(outsider, example_folder())
    joined = {role: join(codes.open_code(street, role, by=people["foreman"])) for role in ("operator", "tester")}
    return Cast(company, street, other, foreign, people, joined["operator"], joined["tester"], outsider)


def join(code: JoinCode) -> tuple[CrewMember, str]:
    """A phone that came by a code."""
    return codes.come_in(code, name="", device="phone-1")


def new_id(number: int = 0) -> str:
    """Id as a device makes it: version 7, of a fixed time and a number."""
    return str(uuid.UUID(int=(0x019AC0000000 << 80) | (7 << 76) | (2 << 62) | number))


def note(number: int = 0, **told: Any) -> dict[str, Any]:
    """A note as a phone sends it."""
    plain = {
        "id": new_id(number),
        "street": "teal-crescent",
        "kind": "note",
        "happened_at": "2026-06-09T08:05:00-06:00",
        "entered_at": "2026-06-09T08:05:20-06:00",
        "role": "operator",
        "device": "phone-1",
        "payload": {"note": f"note {number}"},
    }
    return plain | told
