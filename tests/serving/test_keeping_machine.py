"""Phones that post, resend and correct, lines that drop before and after the commit, backups and restores: against a model."""

from __future__ import annotations

import itertools
import tempfile
from pathlib import Path
from typing import Any, ClassVar
from unittest.mock import patch

import pytest
from django.conf import settings as site
from django.core.cache import cache
from django.db import OperationalError, connection, transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from hardpan.ledger import entry_body, parse_entry
from hardpan.site.accounts.people import found_company
from hardpan.site.entries import folders, store
from hardpan.site.entries.models import epoch
from hardpan.site.join import codes
from hardpan.site.keeping.backup import back_up
from hardpan.site.keeping.restore import _empty, restore
from hardpan.site.streets.models import Street
from hardpan.street import example
from tests.serving.machine import SLUG, note
from tests.site.conftest import Browser, new_id

NUMBERS = st.integers(1, 8)
WORDS = st.sampled_from(["a", "b"])
FOLDER = {path.name: path.read_bytes() for path in example(SLUG).iterdir() if path.name != "ledger.jsonl"}


class Model:
    """What the store holds, what its backups hold, and every life it had."""

    def __init__(self, life: str) -> None:
        self.ledger: dict[str, bytes] = {}
        self.refused: set[tuple[str, bytes]] = set()
        self.backups: list[tuple[dict[str, bytes], set[tuple[str, bytes]]]] = []
        self.lives = [life]

    def post(self, entry: dict[str, Any]) -> str:
        body = entry_body(parse_entry(entry))
        if entry["id"] not in self.ledger:
            self.ledger[entry["id"]] = body
            return "stored"
        if self.ledger[entry["id"]] == body:
            return "already have it"
        self.refused.add((entry["id"], body))
        return "refused"

    def back_up(self) -> None:
        self.backups.append((dict(self.ledger), set(self.refused)))

    def restore(self, which: int, life: str) -> None:
        assert life not in self.lives
        self.ledger, self.refused = dict(self.backups[which][0]), set(self.backups[which][1])
        self.lives.append(life)


class Keeping(RuleBasedStateMachine):
    """One street, one phone that remembers all it made, and backups in a folder."""

    count: ClassVar[Any] = itertools.count()

    @initialize()
    def begin(self) -> None:
        """An empty store with one street and one member of its crew."""
        with transaction.atomic():
            _empty()
        owner = found_company("Norvale Streets", sign_in_name="owner", name="Owner")
        street, _ = folders.bring_in(owner, FOLDER)
        _, token = codes.come_in(codes.open_code(street, "operator", by=owner), name="", device="phone-1")
        self.phone = Browser(raise_request_exception=False)
        self.phone.cookies[site.CREW_COOKIE_NAME] = token
        self.folder = tempfile.TemporaryDirectory()
        self.model = Model(str(epoch()))
        self.made: list[dict[str, Any]] = []

    def send(self, entries: list[dict[str, Any]]) -> Any:
        """Answer to a post."""
        cache.clear()  # nobody here asks too often
        return self.phone.post(f"/api/streets/{SLUG}/entries", {"entries": entries}, content_type="application/json")

    def heard(self, entries: list[dict[str, Any]]) -> None:
        """Post, hear the answer, and compare it with the model's."""
        self.made += entries
        told = self.send(entries).json()
        assert [one["answer"] for one in told["answers"]] == [self.model.post(entry) for entry in entries]
        assert told["epoch"] == self.model.lives[-1]

    @rule(entries=st.lists(st.tuples(NUMBERS, WORDS), min_size=1, max_size=4))
    def post(self, entries: list[tuple[int, str]]) -> None:
        """New entries; the same id with another word is a contradiction."""
        self.heard([note(word) | {"id": new_id(number)} for number, word in entries])

    @rule(number=NUMBERS, mended=NUMBERS)
    def withdraw(self, number: int, mended: int) -> None:
        """A withdrawal of an entry that may not have come yet."""
        told = {"kind": "withdrawal", "payload": {}, "corrects": new_id(mended), "id": new_id(100 + number)}
        self.heard([note() | told])

    @rule(number=NUMBERS, word=WORDS)
    def cut_before_the_commit(self, number: int, word: str) -> None:
        """The server dies before it commits: the phone hears no success, and the store knows nothing."""
        entry = note(word) | {"id": new_id(number)}
        self.made.append(entry)
        with patch.object(connection, "_commit", side_effect=OperationalError("gone")):
            assert self.send([entry]).status_code == 500

    @rule(number=NUMBERS, word=WORDS)
    def cut_after_the_commit(self, number: int, word: str) -> None:
        """The answer is lost: the store knows what the phone does not know it knows."""
        entry = note(word) | {"id": new_id(number)}
        self.made.append(entry)
        assert self.send([entry]).status_code == 200
        self.model.post(entry)

    @rule()
    def back_up(self) -> None:
        """A backup, under a number of its own."""
        back_up(Path(self.folder.name) / f"{len(self.model.backups)}.zip")
        self.model.back_up()

    @precondition(lambda self: self.model.backups)
    @rule(which=st.integers(0, 9), resend=st.booleans())
    def restore(self, which: int, resend: bool) -> None:
        """One of the backups; the phone learns of the new life, and sends again all it ever made."""
        which %= len(self.model.backups)
        done = restore(Path(self.folder.name) / f"{which}.zip")
        self.model.restore(which, done.epoch)
        self.the_store_is_the_model()  # what was not in the backup is gone
        if resend and self.made:
            made, self.made = self.made, []
            self.heard(made)

    @invariant()
    def the_store_is_the_model(self) -> None:
        """Ledger, in order and once each, and what was refused."""
        street = Street.objects.get()
        ledger = store.rows_since(street, 0, most=1000)
        assert [(str(row.entry_id), bytes(row.body)) for row in ledger] == list(self.model.ledger.items())
        assert [row.sequence for row in ledger] == list(range(1, len(ledger) + 1))
        kept = [(str(row.entry_id), bytes(row.body)) for row in store.refused_rows(street)]
        assert sorted(kept) == sorted(self.model.refused)
        assert self.model.lives[-1] == str(epoch())

    def teardown(self) -> None:
        """Nothing is left of the backups."""
        self.folder.cleanup()


def run(examples: int, steps: int) -> None:
    """Try so many ways of so many steps."""
    run_state_machine_as_test(
        Keeping,
        settings=settings(
            max_examples=examples, stateful_step_count=steps, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )


@pytest.mark.usefixtures("store")
def test_the_store_and_its_backups_do_what_their_model_does() -> None:
    run(40 if connection.vendor == "sqlite" else 15, 15)


@pytest.mark.nightly
@pytest.mark.usefixtures("store")
def test_the_store_and_its_backups_do_what_their_model_does_for_long() -> None:
    run(500, 40)
