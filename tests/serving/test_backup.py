"""Backup and restore within one process, on whichever database the tests run."""

from __future__ import annotations

import hashlib
import io
import json
import sqlite3
import stat
import threading
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.db import IntegrityError, OperationalError, connection, transaction
from PIL import Image

from hardpan.site.accounts.models import Company, User
from hardpan.site.accounts.people import found_company
from hardpan.site.entries import folders
from hardpan.site.entries.append_only import SAID
from hardpan.site.entries.models import RefusedEntry, StoredEntry, epoch
from hardpan.site.entries.post import Post, take
from hardpan.site.join import codes
from hardpan.site.join.models import CrewMember, JoinCode
from hardpan.site.keeping import archive, rows
from hardpan.site.keeping.archive import BackupError, Manifest
from hardpan.site.keeping.backup import back_up, last_backup
from hardpan.site.keeping.restore import _empty, restore
from hardpan.site.photos import store as photos
from hardpan.site.photos.models import Photo
from hardpan.site.roles import Role
from hardpan.site.serving import lock
from hardpan.site.serving.start import ServingError
from hardpan.site.streets.models import Street
from hardpan.street import example
from tests.serving.machine import note

pytestmark = pytest.mark.usefixtures("street")


def everything() -> dict[str, list[dict[str, Any]]]:
    """Every row that a backup keeps, the epoch apart."""
    kept = {rows.label(model): list(rows.all_rows(model)) for model in rows.kept_models()}
    kept.pop("entries.epoch")
    return kept


@pytest.fixture
def street(store: Path) -> Street:  # noqa: ARG001  # a fixture asks for another by its name
    """A street with entries, one refused, a correction, a photo, a crew, people."""
    owner = found_company("Norvale Streets", sign_in_name="owner", name="Owner é")
    folder = {path.name: path.read_bytes() for path in example("kestrel-road").iterdir()}
    street, _ = folders.bring_in(owner, folder)
    street.people.add(User.objects.invite(owner.company, "foreman", name="Foreman", role="foreman"))
    first = named(note("first"))
    post(street, first, first | {"payload": {"note": "another body"}})
    post(street, named(note("")) | {"kind": "withdrawal", "payload": {}, "corrects": first["id"]})
    codes.come_in(codes.open_code(street, "operator", by=owner), name="Jo", device="phone-1")
    photos.keep(street, picture("red"))
    return street


def named(entry: dict[str, Any]) -> dict[str, Any]:
    """An entry of this street."""
    return entry | {"street": "kestrel-road"}


def post(street: Street, *entries: dict[str, Any]) -> list[str]:
    """What became of entries."""
    return [one.answer for one in take(street, Post(entries), role=Role.OPERATOR, name="")]


def picture(colour: str) -> bytes:
    """A photo as a phone sends it."""
    made = io.BytesIO()
    Image.new("RGB", (16, 16), colour).save(made, "PNG")
    return made.getvalue()


def test_the_street_of_these_tests_has_a_row_of_everything() -> None:
    assert [name for name, told in everything().items() if not told] == []
    assert StoredEntry.objects.count() == 113  # 111 of the example's own
    assert RefusedEntry.objects.count() == 1


def test_a_restore_brings_every_row_back_in_a_new_epoch(street: Street, tmp_path: Path) -> None:
    before, life, file = everything(), epoch(), tmp_path / "a.zip"
    manifest = back_up(file)
    post(street, named(note("after the backup")))
    Company.objects.create(name="Later Ltd")
    JoinCode.objects.get().delete()
    done = restore(file)
    assert everything() == before
    assert manifest == done.manifest
    assert (manifest.epoch, done.epoch) == (str(life), str(epoch()))
    assert done.epoch != manifest.epoch


def test_after_a_restore_new_rows_get_keys_of_their_own(tmp_path: Path) -> None:
    back_up(tmp_path / "a.zip")
    restore(tmp_path / "a.zip")
    assert post(Street.objects.get(), named(note("first of the new life"))) == ["stored"]
    assert StoredEntry.objects.count() == 114
    found_company("Elsewhere Ltd", sign_in_name="other", name="Other")
    assert len({user.pk for user in User.objects.all()}) == 3


def test_after_a_restore_entries_are_guarded_again(tmp_path: Path) -> None:
    back_up(tmp_path / "a.zip")
    restore(tmp_path / "a.zip")
    for words in ("UPDATE entries_storedentry SET kind = 'note'", "DELETE FROM entries_refusedentry"):
        with pytest.raises(IntegrityError, match=SAID), connection.cursor() as cursor:
            cursor.execute(words)


def test_what_was_there_before_is_kept_and_can_be_brought_back(street: Street, tmp_path: Path, store: Path) -> None:
    back_up(tmp_path / "a.zip")
    post(street, named(note("after the backup")))
    later = everything()
    done = restore(tmp_path / "a.zip")
    assert done.before is not None
    assert done.before.parent == store
    assert stat.S_IMODE(done.before.stat().st_mode) == 0o600
    assert archive.content(done.before, archive.KEY) == (store / "secret-key").read_bytes()
    restore(done.before)
    assert everything() == later


def test_everybody_signs_in_again(tmp_path: Path) -> None:
    Session.objects.create(session_key="a" * 32, session_data="", expire_date=datetime.now(UTC) + timedelta(hours=1))
    back_up(tmp_path / "a.zip")
    restore(tmp_path / "a.zip")
    assert not Session.objects.exists()


def test_the_secret_key_travels_only_where_it_was_asked_for(tmp_path: Path, store: Path) -> None:
    key = (store / "secret-key").read_bytes()
    back_up(tmp_path / "without.zip")
    back_up(tmp_path / "with.zip", with_key=True)
    assert key not in (tmp_path / "without.zip").read_bytes()
    assert archive.KEY not in archive.check(tmp_path / "without.zip").members
    try:
        (store / "secret-key").write_bytes(b"another one")
        restore(tmp_path / "without.zip")
        assert (store / "secret-key").read_bytes() == b"another one"
        restore(tmp_path / "with.zip")
        assert (store / "secret-key").read_bytes() == key
    finally:
        (store / "secret-key").write_bytes(key)


def test_photos_come_back_and_a_photo_that_is_gone_does_not_stop_a_backup(tmp_path: Path) -> None:
    photo = Photo.objects.get()
    path = photos.path_of(photo.sha256)
    content = path.read_bytes()
    back_up(tmp_path / "a.zip")
    path.unlink()
    assert back_up(tmp_path / "b.zip").missing_photos == (photo.sha256,)
    restore(tmp_path / "a.zip")
    assert path.read_bytes() == content
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_backup_is_of_one_moment_while_posts_go_on(
    street: Street, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between two tables of the backup a post is committed: it is in neither."""
    real = rows.all_rows
    told: list[str] = []

    def from_a_phone() -> None:
        told.extend(post(street, named(note("in between"))))
        connection.close()

    def posting_first(model: Any) -> Any:
        if model is CrewMember:  # after streets with their last sequence number, before entries
            phone = threading.Thread(target=from_a_phone)
            phone.start()
            phone.join(timeout=60)
        return real(model)

    monkeypatch.setattr(rows, "all_rows", posting_first)
    manifest = back_up(tmp_path / "a.zip")
    assert told == ["stored"]
    assert manifest.rows["entries.storedentry"] == 113
    assert next(archive.rows(tmp_path / "a.zip", "streets.street"))["last_sequence"] == 113
    assert StoredEntry.objects.count() == 114
    assert post(street, named(note("as before"))) == ["stored"]


def test_a_file_that_is_there_stays_unless_it_is_to_be_replaced(tmp_path: Path) -> None:
    file = tmp_path / "a.zip"
    file.write_text("mine", encoding="ascii")
    with pytest.raises(BackupError, match=r"a file is there already; allowed: a new name\."):
        back_up(file)
    assert file.read_text(encoding="ascii") == "mine"
    back_up(file, replace=True)
    assert archive.check(file).rows["streets.street"] == 1
    assert [path.name for path in tmp_path.iterdir()] == ["a.zip"]


def test_a_backup_that_cannot_be_written_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(BackupError, match="cannot be written"):
        back_up(tmp_path / "nowhere" / "a.zip")

    def full(_made: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(archive, "_seal", full)
    with pytest.raises(BackupError, match=r"No space left on device\); allowed: a folder with room"):
        back_up(tmp_path / "a.zip")
    assert list(tmp_path.iterdir()) == []


def test_the_last_backup_is_known_until_a_new_life_begins(tmp_path: Path) -> None:
    assert last_backup() is None or last_backup() != back_up(tmp_path / "0.zip").made_at
    manifest = back_up(tmp_path / "a.zip")
    last = last_backup()
    assert last is not None
    assert last.made_at == manifest.made_at
    restore(tmp_path / "a.zip")
    assert last_backup() is None


# what is refused


def resealed(path: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    """A copy of a backup whose members were changed, and whose hash at the end fits again."""
    with zipfile.ZipFile(path) as packed:
        members = {name: packed.read(name) for name in packed.namelist()}
    change(members)
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        for name, content in members.items():
            packed.writestr(name, content)
        packed.comment = b"0" * archive.SEAL
    whole = made.getvalue()[: -archive.SEAL]
    other = path.with_name("changed.zip")
    other.write_bytes(whole + hashlib.sha256(whole).hexdigest().encode())
    return other


def manifest_with(members: dict[str, bytes], /, **told: Any) -> None:
    """Change the manifest."""
    members[archive.MANIFEST] = json.dumps(json.loads(members[archive.MANIFEST]) | told).encode()


def vouched(members: dict[str, bytes], name: str, content: bytes) -> None:
    """Put a member in, and vouch for it in the manifest."""
    members[name] = content
    told = json.loads(members[archive.MANIFEST])["members"]
    lines = content.count(b"\n") if name.startswith(archive.ROWS) else None
    told[name] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content), "rows": lines}
    manifest_with(members, members=told)


def without_column(members: dict[str, bytes]) -> None:
    """An entry without the column that has no default."""
    name = "rows/entries.storedentry.jsonl"
    lines = [json.loads(line) for line in members[name].splitlines()]
    del lines[-1]["entry_id"]
    vouched(members, name, b"".join(json.dumps(line).encode() + b"\n" for line in lines))


CHANGES: dict[str, tuple[Callable[[dict[str, bytes]], None], str]] = {
    "a form of later": (lambda m: manifest_with(m, schema="hardpan.backup/2"), r"of the form hardpan\.backup/2; allowed: hardpan\.backup/1"),
    "a newer Hardpan": (
        lambda m: manifest_with(m, version="9.0", migrations={"entries": ["0001_initial", "0009_more"]}),
        r"made by a newer Hardpan \(9\.0; this one does not know entries\.0009_more\)",
    ),
    "a feature of later": (lambda m: manifest_with(m, migrations={"weighing": ["0001_initial"]}), r"does not know weighing\.0001_initial"),
    "a member that nobody vouches for": (lambda m: m.update({"rows/a.b.jsonl": b""}), r"damaged \(not as its manifest says: rows/a\.b\.jsonl"),
    "a member that is gone": (lambda m: void(m.pop("rows/photos.photo.jsonl")), r"damaged \(not as its manifest says: rows/photos\.photo\.jsonl"),
    "a way out of the folder": (lambda m: vouched(m, "photos/../../secret-key", b"x"), r"damaged \(not as its manifest says: photos/\.\./"),
    "a photo under another name": (lambda m: vouched(m, f"photos/{'0' * 64}", b"x"), r"damaged \(not as its manifest says: photos/000"),
    "no manifest": (lambda m: void(m.pop(archive.MANIFEST)), r"damaged \(KeyError"),
    "a column of later": (
        lambda m: vouched(m, "rows/accounts.company.jsonl", b'{"id": 1, "name": "A", "colour": "red"}\n'),
        r"its rows do not fit \(ValueError: accounts\.company: columns that this Hardpan does not have: colour\)",
    ),
    "a column too few": (without_column, r"its rows do not fit \(IntegrityError"),
    "a tie to nobody": (lambda m: vouched(m, "rows/accounts.company.jsonl", b""), r"its rows do not fit \(IntegrityError"),
}  # fmt: skip


def void(_: object) -> None:
    """Nothing."""


@pytest.mark.parametrize("what", CHANGES)
def test_a_backup_that_does_not_fit_changes_nothing(street: Street, tmp_path: Path, what: str) -> None:
    change, said = CHANGES[what]
    back_up(tmp_path / "a.zip")
    post(street, named(note("after the backup")))
    before, life = everything(), epoch()
    with pytest.raises(BackupError, match=said):
        restore(resealed(tmp_path / "a.zip", change))
    assert (everything(), epoch()) == (before, life)
    with pytest.raises(IntegrityError, match=SAID), connection.cursor() as cursor:  # the guard is where it was
        cursor.execute("DELETE FROM entries_storedentry")


def test_a_resealed_copy_without_a_change_is_taken(tmp_path: Path) -> None:
    back_up(tmp_path / "a.zip")
    assert restore(resealed(tmp_path / "a.zip", void)).manifest == archive.check(tmp_path / "a.zip")


def test_every_byte_counts(tmp_path: Path) -> None:
    """One bit of a byte turned, all along the file: in names, sizes and times of the zip too."""
    back_up(tmp_path / "a.zip")
    whole = (tmp_path / "a.zip").read_bytes()
    changed = tmp_path / "changed.zip"
    places = [*range(0, len(whole), 61), *range(len(whole) - 90, len(whole))]
    taken = []
    for place in places:
        changed.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        try:
            archive.check(changed)
        except BackupError:
            continue
        taken.append(place)
    assert taken == []
    assert len(places) > 500


@pytest.mark.parametrize("content", [b"", b"a", b"0" * 64, b"PK\x05\x06" + b"\0" * 200])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "a.zip"
    file.write_bytes(content)
    with pytest.raises(BackupError, match="damaged"):
        archive.check(file)
    with pytest.raises(BackupError, match=r"cannot be read \(No such file or directory\)"):
        archive.check(tmp_path / "none.zip")


def test_a_cut_off_backup_is_refused(tmp_path: Path) -> None:
    back_up(tmp_path / "a.zip")
    whole = (tmp_path / "a.zip").read_bytes()
    for size in (len(whole) - 1, len(whole) // 2, 100):
        (tmp_path / "a.zip").write_bytes(whole[:size])
        with pytest.raises(BackupError, match="its bytes are not those that were written"):
            archive.check(tmp_path / "a.zip")


def test_a_restore_waits_for_nobody_and_is_refused_beside_a_server(tmp_path: Path, store: Path) -> None:
    back_up(tmp_path / "a.zip")
    life = epoch()
    with (
        lock.held(store, said="https://localhost:8443"),
        pytest.raises(ServingError, match=r"at work on it \(https://localhost:8443\)"),
    ):
        restore(tmp_path / "a.zip")
    assert epoch() == life


def test_a_fault_within_the_transaction_changes_nothing(
    street: Street, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    back_up(tmp_path / "a.zip")
    post(street, named(note("after the backup")))
    before, life = everything(), epoch()

    def broken() -> None:
        raise OperationalError("disk I/O error")

    monkeypatch.setattr("hardpan.site.keeping.restore.renew_epoch", broken)
    with pytest.raises(BackupError, match=r"OperationalError: disk I/O error\).* Nothing was changed\."):
        restore(tmp_path / "a.zip")
    assert (everything(), epoch()) == (before, life)


def test_rows_of_an_older_hardpan_have_defaults_where_it_knew_no_column() -> None:
    made = rows.row(
        User, {"id": 7, "company_id": 1, "sign_in_name": "a", "name": "A", "role": "owner", "password": "!"}
    )
    assert (made.pk, rows.plain(made)["is_active"]) == (7, True)


def test_a_value_of_every_kind_comes_back_as_it_was() -> None:
    for model in rows.kept_models():
        for one in model._base_manager.all():
            back = rows.row(model, json.loads(json.dumps(rows.plain(one))))
            assert rows.plain(back) == rows.plain(one)
            for field in model._meta.concrete_fields:
                value, again = getattr(one, field.attname), getattr(back, field.attname)
                assert (
                    (bytes(again), bytes(value))[0] == bytes(value)
                    if isinstance(value, bytes | memoryview)
                    else again == value
                )


def test_a_manifest_says_how_many_rows_there_are() -> None:
    member = archive.Member(sha256="", bytes=0, rows=3)
    told = Manifest(
        version="1",
        made_at=datetime.now(UTC),
        epoch="",
        migrations={},
        members={"rows/a.b.jsonl": member, "photos/x": member},
    )
    assert told.rows == {"a.b": 3}


def test_an_sqlite_file_that_is_damaged_is_put_aside(tmp_path: Path) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("a file of SQLite")
    before = everything()
    back_up(tmp_path / "a.zip")
    connection.close()
    file = Path(str(connection.settings_dict["NAME"]))
    with sqlite3.connect(file) as opened:
        opened.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    opened.close()
    content = file.read_bytes()
    file.write_bytes(b"not a database, " * 64 + content[1024:])
    done = restore(tmp_path / "a.zip")
    assert done.before is not None
    assert done.before.name.startswith("damaged-")
    assert (done.before / file.name).read_bytes()[:14] == b"not a database"
    assert everything() == before


def test_emptying_the_store_is_undone_with_its_transaction() -> None:
    before = everything()
    with transaction.atomic():
        _empty()
        assert not StoredEntry.objects.exists()
        transaction.set_rollback(True)
    assert everything() == before
