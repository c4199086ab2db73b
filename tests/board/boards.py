"""Streets in the store as they stood at an instant of their day, and boards of it."""

from __future__ import annotations

from functools import cache

import time_machine
from django.utils import translation

from hardpan.compare import Outlook, look_ahead
from hardpan.compare.happened import Happened
from hardpan.site.board.page import Board, make_board
from hardpan.site.entries import folders, store
from hardpan.site.streets.models import Street
from tests.compare.days import at, ledger, plan, state
from tests.site.conftest import Cast, example_folder


@cache
def board(name: str, until: str, language: str = "en") -> Board:
    """Board of an example street at an instant, in a language."""
    with translation.override(language):
        return make_board(plan(name), state(name, until), now=at(until))


@cache
def happened(name: str, until: str) -> Happened:
    return Happened(plan(name), state(name, until))


@cache
def ahead(name: str, until: str) -> Outlook:
    return look_ahead(plan(name), state(name, until), now=at(until))


def stored(cast: Cast, name: str, until: str) -> Street:
    """An example street with its ledger up to an instant."""
    found = Street.objects.filter(company=cast.company, slug=name).first()
    street = found or folders.bring_in(cast.people["owner"], example_folder(name))[0]
    street.people.set([cast.people["foreman"], cast.people["tester"], cast.people["reviewer"]])
    store.add(street, [one for one in ledger(name) if one.entry.happened_at.at <= at(until)])
    return street


def page(cast: Cast, street: Street, at_: str, *, who: str = "foreman", language: str = "en", asked: str = "") -> str:
    """The page at an instant of the day, as somebody sees it."""
    with time_machine.travel(at(at_), tick=False):
        browser = cast.browser(who)
        answer = browser.get(f"/board/{street.slug}/{asked}", headers={"accept-language": language})
    assert answer.status_code == 200, answer.content.decode()
    return str(answer.content.decode())
