"""The store: once each, in order, never changed; what a phone was told is on the disk."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from hardpan.ledger import Received, entry_body, fold, parse_entry, parse_received
from hardpan.site.entries import store
from hardpan.site.entries.append_only import SAID
from hardpan.site.entries.models import AppendOnlyError, Epoch, RefusedEntry, StoredEntry, epoch, renew_epoch
from hardpan.site.entries.post import Post, take
from hardpan.site.entries.state import state_of
from hardpan.site.entries.store import ALREADY, REFUSED, STORED, Answer
from hardpan.site.roles import Role
from hardpan.site.streets.known import known
from tests.site.conftest import Cast, new_id, note


def test_these_tests_run_on_the_database_that_was_asked_for() -> None:
    asked = os.environ.get("DATABASE_URL", "")
    assert connection.vendor == ("postgresql" if asked.startswith("postgres") else "sqlite")


def posted(cast: Cast, *entries: object, role: Role = Role.OPERATOR, **clock: Any) -> list[Answer]:
    return take(cast.street, Post(entries, **clock), role=role, name="Reviewer" if role is Role.REVIEWER else "")


def bodies(cast: Cast) -> list[bytes]:
    return [bytes(row.body) for row in store.rows_since(cast.street, 0, most=100)]


def test_an_entry_is_stored_once_however_often_it_is_sent(cast: Cast) -> None:
    first, twice = posted(cast, note(1), note(1))
    (again,) = posted(cast, note(1))
    assert [(one.answer, one.sequence) for one in (first, twice, again)] == [(STORED, 1), (ALREADY, 1), (ALREADY, 1)]
    assert bodies(cast) == [entry_body(parse_entry(note(1)))]


def test_entries_keep_the_order_in_which_they_came(cast: Cast) -> None:
    posted(cast, note(3), note(1))
    posted(cast, note(1), note(2))
    rows = store.rows_since(cast.street, 0, most=100)
    assert [(row.sequence, str(row.entry_id)) for row in rows] == [(1, new_id(3)), (2, new_id(1)), (3, new_id(2))]
    assert [row.sequence for row in store.rows_since(cast.street, 1, most=1)] == [2]


def test_another_body_under_an_id_is_refused_kept_apart_and_never_counted(cast: Cast) -> None:
    changed = note(1, payload={"note": "other"})
    posted(cast, note(1))
    for _ in range(2):  # sent again it is refused again, and kept once
        (answer,) = posted(cast, changed)
        assert (answer.answer, answer.sequence) == (REFUSED, None)
        assert answer.reason[0].where == "entry.id"
    assert bodies(cast) == [entry_body(parse_entry(note(1)))]
    (kept,) = store.refused_rows(cast.street)
    assert bytes(kept.body) == entry_body(parse_entry(changed))
    assert [one.id for one in state_of(cast.street)[1].entries] == [new_id(1)]
    assert state_of(cast.street)[1].refused == ()


def test_good_entries_of_a_post_are_stored_beside_bad_ones(cast: Cast) -> None:
    answers = posted(cast, note(1), note(2, kind="no such kind"), "no object", note(3, street="kestrel-road"), note(4))
    assert [one.answer for one in answers] == [STORED, REFUSED, REFUSED, REFUSED, STORED]
    assert [[wrong.where for wrong in one.reason] for one in answers[1:4]] == [["kind"], [""], ["street"]]
    assert len(bodies(cast)) == 2


def test_a_mending_may_come_in_the_same_post_and_needs_the_right_to_what_it_mends(cast: Cast) -> None:
    signed = note(
        1, kind="signature", role="reviewer", name="Reviewer", payload={"signed": "lot 1", "decision": "accepted"}
    )
    withdrawn = note(2, kind="withdrawal", payload={}, corrects=new_id(1), role="tester")
    assert posted(cast, signed, role=Role.REVIEWER)[0].answer == STORED
    (answer,) = posted(cast, withdrawn, role=Role.TESTER)
    assert (answer.answer, [wrong.where for wrong in answer.reason]) == (REFUSED, ["kind"])
    unsigned = note(5, kind="withdrawal", payload={}, corrects=new_id(1), role="reviewer")
    signed_again = note(6, kind="withdrawal", payload={}, corrects=new_id(5), role="tester")
    assert posted(cast, unsigned, role=Role.REVIEWER)[0].answer == STORED
    assert posted(cast, signed_again, role=Role.TESTER)[0].answer == REFUSED
    mended = posted(cast, note(3), note(4, kind="withdrawal", payload={}, corrects=new_id(3)))
    assert [one.answer for one in mended] == [STORED, STORED]


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=20),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(max_size=8), inside, max_size=3),
    max_leaves=6,
)
KEYS = sorted({*note(), "place", "photo", "corrects", "name", "more"})


@given(changed=st.dictionaries(st.sampled_from(KEYS), ANYTHING, min_size=1, max_size=2))
@hypothesis_settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_an_entry_with_anything_in_it_is_stored_as_it_reads_or_refused_in_words(
    cast: Cast, changed: dict[str, Any]
) -> None:
    (answer,) = posted(cast, note(1) | changed)
    if answer.answer == REFUSED:
        assert all(wrong.found and wrong.do for wrong in answer.reason)
        assert answer.reason
    else:
        body = entry_body(parse_entry(note(1) | changed))
        assert body in {bytes(row.body) for row in store.rows_since(cast.street, 0, most=1000)}


def test_rows_give_back_exactly_what_was_received(cast: Cast) -> None:
    plain = {
        "entry": note(1, place={"start_m": 35.5, "strips": [4], "landmark": "pole 4 — Zufahrt"}),
        "received_at": "2026-06-09T14:05:21.5Z",
        "sent_at": "2026-06-09T08:05:21-06:00",
        "heard_at": "2026-06-09T08:00:00+05:30",
        "heard_said": "2026-06-09T14:00:01.25Z",
    }
    received = parse_received(plain)
    with transaction.atomic():
        store.add_within(cast.street, [received])
    (row,) = store.rows_since(cast.street, 0, most=9)
    assert store.received(row) == received
    assert store.plain(row)["heard_said"] == "2026-06-09T14:00:01.25Z"
    assert json.loads(bytes(row.body))["place"] == {"landmark": "pole 4 — Zufahrt", "start_m": 35.5, "strips": [4]}


def test_the_store_stamps_with_its_own_clock(cast: Cast, time_machine: Any) -> None:
    time_machine.move_to("2026-06-09T14:05:30.25Z", tick=False)
    posted(cast, note(1))
    (row,) = store.rows_since(cast.street, 0, most=9)
    assert row.received_at == "2026-06-09T14:05:30.250000Z"


def test_two_streets_count_for_themselves(cast: Cast) -> None:
    posted(cast, note(1))
    (answer,) = take(cast.foreign, Post([note(1, payload={"note": "theirs"})]), role=Role.OPERATOR, name="")
    assert (answer.answer, answer.sequence) == (STORED, 1)


CHANGES: dict[str, Callable[[StoredEntry], object]] = {
    "saved again": lambda row: row.save(),
    "deleted": lambda row: row.delete(),
    "updated": lambda _: StoredEntry.objects.filter(pk__gt=0).update(body=b""),
    "all deleted": lambda _: StoredEntry.objects.all().delete(),
    "in bulk": lambda row: StoredEntry.objects.bulk_update([row], ["body"]),
}


@pytest.mark.parametrize("change", CHANGES)
def test_nothing_that_was_entered_can_be_changed(cast: Cast, change: str) -> None:
    posted(cast, note(1))
    before = bodies(cast)
    with pytest.raises(AppendOnlyError, match="correction"):
        CHANGES[change](StoredEntry.objects.get())
    assert bodies(cast) == before


@pytest.mark.parametrize("model", [StoredEntry, RefusedEntry])
@pytest.mark.parametrize("statement", ["UPDATE {} SET body = ''", "DELETE FROM {}"])
def test_the_database_refuses_too(cast: Cast, model: type[StoredEntry | RefusedEntry], statement: str) -> None:
    posted(cast, note(1), note(1, payload={"note": "other"}))
    with pytest.raises(IntegrityError, match=SAID), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(model._meta.db_table))
    assert model.objects.count() == 1


@pytest.mark.django_db
def test_an_epoch_stays_until_it_is_renewed() -> None:
    first = epoch()
    assert epoch() == first
    assert renew_epoch() != first
    assert Epoch.objects.count() == 1
    with pytest.raises(IntegrityError), transaction.atomic():
        Epoch.objects.create(id=2)


def test_the_state_is_that_of_the_whole_ledger(cast: Cast) -> None:
    posted(cast, note(2), note(1))
    assert state_of(cast.street)[0] == 2
    posted(cast, note(3, kind="withdrawal", payload={}, corrects=new_id(1)))
    last, state = state_of(cast.street)
    rows = store.rows_since(cast.street, 0, most=9)
    assert (last, state) == (3, fold([store.received(row) for row in rows], known(cast.street)))
    assert [one.counts for one in state.entries if one.id == new_id(1)] == [False]


SCRIPT = """
import os, sqlite3, threading
import django
django.setup()
from django.core.management import call_command
from django.db import connection, connections
call_command("migrate", verbosity=0)
from hardpan.site.accounts.people import found_company
from hardpan.site.entries import folders, store
from hardpan.site.entries.post import Post, take
from hardpan.site.entries.models import StoredEntry
from hardpan.site.roles import Role
from tests.site.conftest import example_folder, note

street, _ = folders.bring_in(found_company("A", sign_in_name="a", name="A"), example_folder())
with connection.cursor() as cursor:
    if connection.vendor == "sqlite":
        told = [cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous", "foreign_keys")]
        assert told == ["wal", 2, 1], told
failed = []

def phone(number):
    try:
        for i in range(10):
            # each entry from two phones at once; each phone looks from a connection of its own after the answer
            answers = take(street, Post([note(number // 2 * 100 + i), note(9999)]), role=Role.OPERATOR, name="")
            assert {one.answer for one in answers} <= {"stored", "already have it"}, answers
            seen = []
            def look():
                seen.extend(StoredEntry.objects.filter(street=street, entry_id__in=[one.id for one in answers]))
                connections.close_all()
            other = threading.Thread(target=look); other.start(); other.join()
            assert len(seen) == 2, seen
    except BaseException as error:  # told by the main thread
        failed.append(repr(error))
    finally:
        connections.close_all()

phones = [threading.Thread(target=phone, args=(number,)) for number in range(8)]
[one.start() for one in phones]; [one.join() for one in phones]
rows = store.rows_since(street, 0, most=1000)
assert failed == [], failed
assert len({row.entry_id for row in rows}) == len(rows) == 41, len(rows)
assert [row.sequence for row in rows] == list(range(1, 42))
print("stored", len(rows))
"""


def test_many_phones_at_once_lose_and_double_nothing_and_every_answer_comes_after_its_commit(tmp_path: Path) -> None:
    script = tmp_path / "phones.py"
    script.write_text(textwrap.dedent(SCRIPT), encoding="utf-8")
    root = Path(__file__).parents[2]
    told = {**os.environ, "HARDPAN_DATA": str(tmp_path / "data"), "DJANGO_SETTINGS_MODULE": "hardpan.site.settings"}
    told["PYTHONPATH"] = str(root)
    done = subprocess.run(
        [sys.executable, str(script)], cwd=tmp_path, env=told, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "stored 41"


def test_an_entry_that_nobody_sent_yet_has_no_stamp(cast: Cast) -> None:
    with transaction.atomic():
        store.add_within(cast.street, [Received(entry=parse_entry(note(1)))])
    (row,) = store.rows_since(cast.street, 0, most=9)
    assert (row.received_at, store.received(row).received_at, store.plain(row)["received_at"]) == ("", None, None)
