"""``hardpan doctor``: what is well, and what is to be done about what is not."""

from __future__ import annotations

import datetime as dt
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from hardpan.site.accounts.people import found_company
from hardpan.site.entries import folders
from hardpan.site.entries.post import Post, take
from hardpan.site.keeping import health
from hardpan.site.keeping.backup import back_up
from hardpan.site.photos import store as photos
from hardpan.site.roles import Role
from hardpan.site.serving import certificates
from hardpan.site.streets.models import Street
from hardpan.street import example
from tests.serving.machine import Machine, note
from tests.serving.test_backup import picture
from tests.site.cluster import cluster, programs


def told(machine: Machine) -> tuple[int, dict[str, dict[str, Any]]]:
    """Exit and lines by what they are about."""
    done = machine.run("doctor", "--json")
    plain = json.loads(done.stdout)
    assert (plain["schema"], done.stderr) == ("hardpan.doctor/1", "")
    assert plain["well"] is (done.returncode == 0)
    return done.returncode, {line["what"]: line for line in plain["checks"]}


def to_do(lines: dict[str, dict[str, Any]]) -> dict[str, str]:
    """What is to be done."""
    return {what: line["do"] for what, line in lines.items() if not line["well"]}


def test_a_machine_that_serves_is_well_and_says_what_was_looked_at(machine: Machine) -> None:
    machine.start()
    exit_code, lines = told(machine)
    assert (exit_code, to_do(lines)) == (0, {})
    assert list(lines) == [
        "data folder", "secret key", "room on the disk", "server", "database", "tables", "journal_mode", "synchronous",
        "foreign_keys", "file of the database", "clock", "backup", "entries", "refused entries, kept apart",
        "entries that came by a file, not by a device", "photos", "files of the pages",
    ]  # fmt: skip
    assert lines["server"]["found"] == f"http://localhost:{machine.port}"
    assert [lines[name]["found"] for name in ("journal_mode", "synchronous", "foreign_keys")] == ["wal", "2", "1"]
    words = machine.run("doctor").stdout.splitlines()
    assert len(words) == len(lines)
    assert f"  data folder: {machine.folder}, 0700" in words


def test_what_is_not_well_ends_with_exit_1_and_what_to_do(machine: Machine) -> None:
    machine.start()
    machine.stop()
    machine.folder.chmod(0o755)
    (machine.folder / "secret-key").chmod(0o640)
    shutil.rmtree(machine.folder / "static")
    exit_code, lines = told(machine)
    assert exit_code == 1
    assert to_do(lines) == {
        "data folder": f"chmod 700 {machine.folder}",
        "secret key": f"chmod 600 {machine.folder / 'secret-key'}",
        "files of the pages": "Start the server: it collects them.",
    }
    assert (lines["secret key"]["found"], lines["secret key"]["wanted"]) == (
        f"{machine.folder / 'secret-key'}, 0640", "0600, its owner only",
    )  # fmt: skip
    assert f"! secret key: found {machine.folder / 'secret-key'}, 0640; wanted: 0600" in machine.run("doctor").stdout


def test_a_folder_that_was_never_served_from_is_told(machine: Machine) -> None:
    exit_code, lines = told(machine)
    assert exit_code == 1
    assert lines["tables"]["found"].endswith("migrations to come")
    assert "backup" not in lines


def test_a_folder_that_cannot_be_used_is_the_only_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", encoding="ascii")
    exit_code, lines = told(Machine(tmp_path / "file" / "data"))
    assert (exit_code, list(lines)) == (1, ["data folder"])


def test_a_damaged_file_of_the_database_is_told(machine: Machine) -> None:
    machine.people(1)
    file = machine.folder / "hardpan.sqlite3"
    with closing(sqlite3.connect(file)) as opened:
        opened.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.write_bytes(b"not a database, " * 1000)
    exit_code, lines = told(machine)
    assert exit_code == 1
    assert "file is not a database" in lines["database"]["found"]
    assert "hardpan restore" in lines["database"]["do"]


def test_a_postgresql_that_does_not_flush_is_told(tmp_path: Path) -> None:
    if programs() is None:
        pytest.skip("no PostgreSQL server on this machine")
    with cluster() as url:
        machine = Machine(tmp_path / "data", url)
        machine.people(1)
        lines = told(machine)[1]
        assert set(to_do(lines)) >= {"fsync", "full_page_writes"}
        assert lines["synchronous_commit"]["well"] is True
    gone = told(machine)[1]
    assert gone["database"]["found"].startswith("no answer (")
    assert "DATABASE_URL" in gone["database"]["do"]


def certificate_line(folder: Path) -> health.Line:
    """What is said of the certificate."""
    (line,) = (one for one in health._folder(folder) if one.what == "certificate")
    return line


def test_a_certificate_near_its_end_is_told(tmp_path: Path) -> None:
    chain = certificates.own(tmp_path, ["localhost"]).chain
    assert certificate_line(tmp_path).well
    with time_machine.travel(dt.datetime.now(dt.UTC) + dt.timedelta(days=775), tick=False):
        assert certificate_line(tmp_path).do == "Start the server again: it makes another one."
    chain.write_text("none", encoding="ascii")
    assert certificate_line(tmp_path).do == "Start the server again: it makes another one."


def test_a_given_certificate_has_to_be_for_every_name_of_the_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    chain = certificates.own(tmp_path, ["streets.example.org"]).chain
    monkeypatch.setenv("HARDPAN_CERTIFICATE", str(chain))
    monkeypatch.setenv("HARDPAN_HOSTS", "streets.example.org:8443")
    assert certificate_line(tmp_path).well
    monkeypatch.setenv("HARDPAN_HOSTS", "streets.example.org, other.example.org")
    line = certificate_line(tmp_path)
    assert line.found.endswith(", for streets.example.org")
    assert line.wanted == "30 days left at least and for streets.example.org, other.example.org"
    assert line.do == "Have it renewed, for every name of HARDPAN_HOSTS."
    monkeypatch.setenv("HARDPAN_CERTIFICATE", str(tmp_path / "gone.pem"))
    assert certificate_line(tmp_path).found == f"none in {tmp_path / 'gone.pem'}"


def test_a_disk_without_room_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10**12, 10**12 - 10**8, 10**8))
    (line,) = (one for one in health._folder(tmp_path) if one.what == "room on the disk")
    assert (line.found, line.wanted, line.do) == ("100 MB", "1000 MB at least", "Make room, or move the data folder.")


@pytest.fixture
def street(store: Path) -> Street:  # noqa: ARG001  # a fixture asks for another by its name
    """A street with an entry."""
    owner = found_company("Norvale Streets", sign_in_name="owner", name="Owner")
    street, _ = folders.bring_in(owner, {path.name: path.read_bytes() for path in example("kestrel-road").iterdir()})
    take(street, Post([note() | {"street": "kestrel-road"}]), role=Role.OPERATOR, name="")
    return street


@pytest.mark.usefixtures("street")
def test_a_clock_that_was_set_back_is_told() -> None:
    assert health._clock().well
    with time_machine.travel(timezone.now() - dt.timedelta(hours=1), tick=False):
        line = health._clock()
    assert line.do == "Set the clock, best by the network's time."
    assert line.wanted.startswith("after ")


def test_entries_without_a_backup_of_a_day_are_told(street: Street, tmp_path: Path) -> None:
    assert health._backup().do == "hardpan backup FILE, to another disk."
    back_up(tmp_path / "a.zip")
    assert health._backup().well
    with time_machine.travel(timezone.now() + dt.timedelta(days=3), tick=False):
        assert health._backup().well  # nothing came since
        take(street, Post([note() | {"street": "kestrel-road"}]), role=Role.OPERATOR, name="")
        line = health._backup()
    assert line.found.endswith("1 entries since")
    assert not line.well


def test_entries_are_counted_and_a_photo_that_is_gone_is_told(street: Street) -> None:
    lines = {line.what: line.found for line in health._entries()}
    assert lines["entries"] == "112"
    photo, _ = photos.keep(street, picture("blue"))
    assert health._photos().well
    photos.path_of(photo.sha256).unlink()
    assert (health._photos().found, health._photos().do) == (
        "1, 1 of them gone",
        "Restore the last backup that had them.",
    )
