"""Phones that post, resend, correct and contradict in any order, against a model of the store."""

from __future__ import annotations

import itertools
from typing import Any, ClassVar

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from hardpan.ledger import entry_body, fold, parse_entry
from hardpan.site.accounts.models import Company
from hardpan.site.entries import store
from hardpan.site.entries.post import Post, take
from hardpan.site.entries.state import state_of
from hardpan.site.roles import Role
from hardpan.site.streets.known import known
from hardpan.site.streets.models import Street, StreetFile
from tests.site.conftest import example_folder, new_id, note

NUMBERS = st.integers(1, 6)
WORDS = st.sampled_from(["a", "b"])


class Model:
    """What a store must do: the first body under an id stands, in the order of arrival; others are kept apart."""

    def __init__(self) -> None:
        self.ledger: dict[str, bytes] = {}
        self.refused: set[tuple[str, bytes]] = set()

    def post(self, entry: dict[str, Any]) -> str:
        body = entry_body(parse_entry(entry))
        if self.ledger.setdefault(entry["id"], body) is body:
            return "stored"
        if self.ledger[entry["id"]] == body:
            return "already have it"
        self.refused.add((entry["id"], body))
        return "refused"


class Phones(RuleBasedStateMachine):
    """Phones and a street of their own."""

    company: ClassVar[Company]
    count: ClassVar[Any] = itertools.count()

    def __init__(self) -> None:
        super().__init__()
        self.street = Street.objects.create(company=self.company, slug=f"s-{next(self.count)}", name="Teal Crescent")
        StreetFile.objects.bulk_create(
            StreetFile(street=self.street, name=name, content=content) for name, content in example_folder().items()
        )
        self.model = Model()
        self.sent: list[list[dict[str, Any]]] = []

    def send(self, entries: list[dict[str, Any]]) -> None:
        """Post, and compare the answers with the model's."""
        answers = take(self.street, Post(entries), role=Role.OPERATOR, name="")
        assert [one.answer for one in answers] == [self.model.post(entry) for entry in entries]
        for one in answers:
            place = list(self.model.ledger).index(one.id) + 1
            assert one.sequence == (None if one.answer == "refused" else place)

    @rule(entries=st.lists(st.tuples(NUMBERS, WORDS), min_size=1, max_size=4))
    def post(self, entries: list[tuple[int, str]]) -> None:
        """New entries; the same id with another word is a contradiction."""
        made = [note(number, street=self.street.slug, payload={"note": word}) for number, word in entries]
        self.sent.append(made)
        self.send(made)

    @rule(number=NUMBERS, mended=NUMBERS, word=st.sampled_from(["a", "b", ""]))
    def mend(self, number: int, mended: int, word: str) -> None:
        """A correction, or a withdrawal, of an entry that may not have come yet."""
        payload = {"kind": "note", "payload": {"note": word}} if word else {}
        kind = "correction" if word else "withdrawal"
        told = {"street": self.street.slug, "kind": kind, "payload": payload, "corrects": new_id(mended)}
        self.sent.append([note(10 + number, **told)])
        self.send(self.sent[-1])

    @rule(which=st.integers(0, 50))
    def resend(self, which: int) -> None:
        """A phone that did not hear the answer sends again."""
        if self.sent:
            self.send(self.sent[which % len(self.sent)])

    @invariant()
    def the_store_is_the_model(self) -> None:
        """Ledger, what was refused, and the pages by which a phone reads on."""
        pages, since = [], 0
        while page := store.rows_since(self.street, since, most=3):
            pages += page
            since = page[-1].sequence
        assert {str(row.entry_id): bytes(row.body) for row in pages} == self.model.ledger
        assert [row.sequence for row in pages] == list(range(1, len(pages) + 1))
        kept = [(str(row.entry_id), bytes(row.body)) for row in store.refused_rows(self.street)]
        assert sorted(kept) == sorted(self.model.refused)

    def teardown(self) -> None:
        """The state, folded as entries came, is that of the whole."""
        rows = store.rows_since(self.street, 0, most=100)
        whole = fold([store.received(row) for row in rows], known(self.street))
        assert state_of(self.street) == (len(rows), whole)


@pytest.mark.django_db
def test_the_store_does_what_its_model_does() -> None:
    Phones.company = Company.objects.create(name="Norvale Streets")
    run_state_machine_as_test(
        Phones,
        settings=settings(
            max_examples=30, stateful_step_count=15, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
