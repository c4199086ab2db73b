"""``hardpan backup`` and ``hardpan restore`` as programs: while a server runs, killed, damaged, from one database to the other."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from hardpan.site.keeping import archive
from tests.serving.machine import ROOT, Machine, Phone, note


def contents(machine: Machine, folder: Path) -> dict[str, list[dict[str, Any]]]:
    """Every row of a machine's store, the epoch among them."""
    file = folder / "contents.zip"
    done = machine.run("backup", str(file), "--replace")
    assert done.returncode == 0, done.stderr
    return {model: list(archive.rows(file, model)) for model in archive.check(file).rows}


def without_epoch(told: dict[str, list[dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    """The rest."""
    return {model: rows for model, rows in told.items() if model != "entries.epoch"}


def post_some(machine: Machine, token: str, count: int) -> list[str]:
    """Ids of new entries that the server took."""
    entries = [note(f"number {number}") for number in range(count)]
    with closing(Phone(machine, token)) as phone:
        assert set(phone.post(entries).values()) == {"stored"}
    return [one["id"] for one in entries]


def test_a_backup_of_a_busy_server_holds_all_that_was_acknowledged_before_it(machine: Machine, tmp_path: Path) -> None:
    tokens = machine.people(3)
    machine.start()
    acknowledged: list[str] = []
    stop = threading.Event()

    def post_on(token: str) -> None:
        while not stop.is_set():
            acknowledged.extend(post_some(machine, token, 2))

    phones = [threading.Thread(target=post_on, args=(token,)) for token in tokens]
    for phone in phones:
        phone.start()
    try:
        for number in range(2):
            before = set(acknowledged)
            while len(acknowledged) < len(before) + 20:  # it is busy
                time.sleep(0.01)
            before = set(acknowledged)
            done = machine.run("backup", str(tmp_path / f"{number}.zip"))
            assert done.returncode == 0, done.stderr
            rows = list(archive.rows(tmp_path / f"{number}.zip", "entries.storedentry"))
            (street,) = archive.rows(tmp_path / f"{number}.zip", "streets.street")
            assert before <= {row["entry_id"] for row in rows}
            assert [row["sequence"] for row in rows] == list(range(1, street["last_sequence"] + 1))
    finally:
        stop.set()
        for phone in phones:
            phone.join(timeout=60)
    assert len(acknowledged) > len(before) > 0


def test_a_store_goes_from_sqlite_to_postgresql_and_back(machine: Machine, postgresql: Machine, tmp_path: Path) -> None:
    (token,) = machine.people(1)
    machine.start()
    post_some(machine, token, 5)
    machine.stop()
    first = contents(machine, tmp_path)
    assert machine.run("backup", str(tmp_path / "a.zip"), "--with-key").returncode == 0
    done = postgresql.run("restore", str(tmp_path / "a.zip"))
    assert done.returncode == 0, done.stderr
    assert "5 entries; epoch " in done.stdout
    assert "what was there before is kept" not in done.stdout  # nothing was
    second = contents(postgresql, tmp_path)
    assert without_epoch(second) == without_epoch(first)
    assert second["entries.epoch"] != first["entries.epoch"]
    postgresql.start()
    more = post_some(postgresql, token, 2)  # the phone goes on where the store went
    refused = postgresql.run("restore", str(tmp_path / "a.zip"))
    assert (refused.returncode, refused.stdout) == (1, "")
    assert "a server or a restore is at work on it" in refused.stderr
    elsewhere = Machine(tmp_path / "elsewhere", postgresql.database_url).run("restore", str(tmp_path / "a.zip"))
    assert elsewhere.returncode == 1  # another machine's server, on the same database
    assert "other connection" in elsewhere.stderr
    postgresql.stop()
    assert postgresql.run("backup", str(tmp_path / "b.zip")).returncode == 0
    done = machine.run("restore", str(tmp_path / "b.zip"))
    assert "7 entries; epoch " in done.stdout
    assert "what was there before is kept" in done.stdout
    third = contents(machine, tmp_path)
    assert {row["entry_id"] for row in third["entries.storedentry"]} > set(more)
    assert without_epoch(third) == without_epoch(contents(postgresql, tmp_path))


STEPS = ("_keep_before", "_fill", "_reset_keys", "renew_epoch")


@pytest.mark.parametrize(("database", "steps"), [("machine", STEPS), ("postgresql", STEPS[1::2])])
def test_a_restore_that_is_killed_leaves_what_was_there(
    database: str, steps: tuple[str, ...], request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    there: Machine = request.getfixturevalue(database)
    (token,) = there.people(1)
    there.start()
    post_some(there, token, 40)
    assert there.run("backup", str(tmp_path / "a.zip")).returncode == 0
    post_some(there, token, 3)
    there.stop()
    before = contents(there, tmp_path)
    for step in steps:
        command = [sys.executable, "-m", "tests.serving.killed_restore", str(tmp_path / "a.zip"), step]
        done = subprocess.run(command, cwd=ROOT, env=there.environment, capture_output=True, text=True, check=False)
        assert done.returncode == -signal.SIGKILL, done.stderr
        assert contents(there, tmp_path) == before, step
    assert there.run("restore", str(tmp_path / "a.zip")).returncode == 0
    assert len(contents(there, tmp_path)["entries.storedentry"]) == 40


def test_a_backup_with_one_byte_changed_is_refused_and_changes_nothing(machine: Machine, tmp_path: Path) -> None:
    (token,) = machine.people(1)
    machine.start()
    post_some(machine, token, 3)
    machine.stop()
    file = tmp_path / "a.zip"
    assert machine.run("backup", str(file)).returncode == 0
    before, there = contents(machine, tmp_path), sorted(path.name for path in machine.folder.iterdir())
    whole = file.read_bytes()
    for place in (30, len(whole) // 2, len(whole) - 200, len(whole) - 1):
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        done = machine.run("restore", str(file))
        assert (done.returncode, done.stdout) == (1, "")
        assert done.stderr.startswith(f"backup {file}: damaged (its bytes are not those that were written)")
    assert contents(machine, tmp_path) == before
    assert sorted(path.name for path in machine.folder.iterdir()) == there
    file.write_bytes(whole)
    assert machine.run("restore", str(file)).returncode == 0


def test_phones_send_again_after_a_restore(machine: Machine, tmp_path: Path) -> None:
    (token,) = machine.people(1)
    machine.start()
    with closing(Phone(machine, token)) as phone:
        kept, gone = [note("before")], [note("after")]
        phone.post(kept)
        assert machine.run("backup", str(tmp_path / "a.zip")).returncode == 0
        phone.post(gone)
        life = phone.ask("GET", "/api/me")["epoch"]
    machine.stop()
    assert machine.run("restore", str(tmp_path / "a.zip")).returncode == 0
    machine.start()
    with closing(Phone(machine, token)) as phone:
        assert phone.ask("GET", "/api/me")["epoch"] != life  # by which it knows
        assert [one["entry"]["id"] for one in phone.ledger()] == [kept[0]["id"]]
        assert list(phone.post(kept + gone).values()) == ["already have it", "stored"]
        assert [one["entry"]["id"] for one in phone.ledger()] == [kept[0]["id"], gone[0]["id"]]


def test_what_a_backup_says(machine: Machine, tmp_path: Path) -> None:
    machine.people(1)
    file = tmp_path / "a.zip"
    done = machine.run("backup", str(file))
    assert done.stdout.splitlines()[:2] == [f"written and read back: {file}", "  1 streets, 0 entries, 0 photos"]
    assert "secret key is not in it" in done.stdout
    again = machine.run("backup", str(file))
    assert (again.returncode, again.stderr[: len(f"backup {file}: a file is there")]) == (
        1,
        f"backup {file}: a file is there",
    )
    assert "secret key" not in machine.run("backup", str(file), "--replace", "--with-key").stdout
    assert machine.run("backup").returncode == 2
