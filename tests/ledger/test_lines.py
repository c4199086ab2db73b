"""The ledger on disk: lines are added and never rewritten, what cannot be read is kept and named."""

from __future__ import annotations

import multiprocessing
import os
from pathlib import Path

import pytest

from hardpan.ledger import Received, append, entry_body, fold, parse_received, read_ledger, received_body
from tests.ledger.making import kestrel, number, plain


def one(count: int, result: str = "holds", second: int = 0) -> bytes:
    return received_body(made(count, result, second)) + b"\n"


def made(count: int, result: str = "holds", second: int = 0) -> Received:
    entry = plain("squeeze", {"result": result}, id=number(count))
    return parse_received({"entry": entry, "received_at": f"2026-06-09T12:00:{second:02d}Z"})


def test_a_folder_without_a_ledger_has_an_empty_one(tmp_path: Path) -> None:
    assert (read_ledger(tmp_path).received, read_ledger(tmp_path).problems) == ((), ())
    assert read_ledger(tmp_path / "none.jsonl").received == ()


def test_what_is_added_is_there_in_order(tmp_path: Path) -> None:
    assert append(tmp_path, [made(2), made(1)]).stored == (number(2), number(1))
    assert append(tmp_path, [made(3)]).stored == (number(3),)
    assert (tmp_path / "ledger.jsonl").read_bytes() == one(2) + one(1) + one(3)
    assert [entry.entry.id for entry in read_ledger(tmp_path).received] == [number(2), number(1), number(3)]


def test_an_entry_that_comes_again_is_stored_once(tmp_path: Path) -> None:
    append(tmp_path, [made(1)])
    before = (tmp_path / "ledger.jsonl").read_bytes()
    again = append(tmp_path, [made(1, second=9), made(1)])
    assert (again.stored, again.already, again.refused) == ((), (number(1), number(1)), ())
    assert (tmp_path / "ledger.jsonl").read_bytes() == before


def test_an_id_with_another_body_is_refused_and_the_first_stays(tmp_path: Path) -> None:
    append(tmp_path, [made(1)])
    before = (tmp_path / "ledger.jsonl").read_bytes()
    other = made(1, "smears")
    done = append(tmp_path, [other, made(2)])
    assert (done.stored, done.refused) == ((number(2),), (other,))
    assert (tmp_path / "ledger.jsonl").read_bytes() == before + one(2)


def test_of_two_bodies_in_one_batch_the_second_is_refused(tmp_path: Path) -> None:
    done = append(tmp_path, [made(1), made(1, "smears")])
    assert (done.stored, [refused.entry.id for refused in done.refused]) == ((number(1),), [number(1)])


def test_a_line_cut_short_is_kept_and_the_next_starts_anew(tmp_path: Path) -> None:
    file = tmp_path / "ledger.jsonl"
    torn = one(2)[:-40]
    file.write_bytes(one(1) + torn)
    (problem,) = read_ledger(tmp_path).problems
    assert (problem.line, problem.found, problem.text) == (2, "a line cut short", torn.decode())
    append(tmp_path, [made(3)])
    assert file.read_bytes() == one(1) + torn + b"\n" + one(3)
    ledger = read_ledger(file)
    assert [entry.entry.id for entry in ledger.received] == [number(1), number(3)]
    assert [(found.line, found.found) for found in ledger.problems] == [(2, "a line that is no JSON")]


def test_a_whole_line_without_its_end_is_read(tmp_path: Path) -> None:
    (tmp_path / "ledger.jsonl").write_bytes(one(1).rstrip())
    assert len(read_ledger(tmp_path).received) == 1
    append(tmp_path, [made(2)])
    assert (tmp_path / "ledger.jsonl").read_bytes() == one(1) + one(2)


def test_entries_of_a_newer_version_are_kept_named_and_not_folded(tmp_path: Path) -> None:
    file = tmp_path / "ledger.jsonl"
    newer = one(2).replace(b'"kind":"squeeze"', b'"kind":"radar scan"')
    more = one(3).replace(b'"result":"holds"', b'"result":"holds","warmth_c":20')
    file.write_bytes(one(1) + newer + more)
    ledger = read_ledger(file)
    assert [(found.line, found.where) for found in ledger.problems] == [
        (2, "entry.kind"),
        (3, "entry.payload.warmth_c"),
    ]
    assert ledger.problems[0].text.encode() + b"\n" == newer
    append(file, [made(4)])
    assert file.read_bytes() == one(1) + newer + more + one(4)
    assert [standing.id for standing in fold(ledger.received, kestrel()).entries] == [number(1)]


def test_junk_is_named_and_harms_nothing(tmp_path: Path) -> None:
    junk = [b"\xff\xfe", b"[1, 2]", b"null", b'{"entry": 3}', b"[" * 100_000, b'"\\ud800"', b"NaN"]
    (tmp_path / "ledger.jsonl").write_bytes(b"\n".join([*junk, b"", one(1)]))
    ledger = read_ledger(tmp_path)
    assert [entry.entry.id for entry in ledger.received] == [number(1)]
    assert sorted({found.line or 0 for found in ledger.problems}) == [1, 2, 3, 4, 5, 6, 7]


def test_what_was_added_is_on_the_disk_before_it_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    flushed: list[bytes] = []
    flush = os.fsync

    def noted(handle: int) -> None:
        flush(handle)
        flushed.append((tmp_path / "ledger.jsonl").read_bytes())

    monkeypatch.setattr(os, "fsync", noted)
    append(tmp_path, [made(1)])
    assert flushed == [one(1), one(1)]  # the file, then its name in the folder
    append(tmp_path, [made(2)])
    assert flushed[2:] == [one(1) + one(2)]


def _add(path: Path, writer: int) -> None:
    for count in range(20):
        append(path, [made(100 * writer + count), made(7, "holds")])


def test_writers_at_the_same_time_lose_nothing(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=_add, args=(tmp_path, writer)) for writer in (1, 2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert [writer.exitcode for writer in writers] == [0, 0]
    ledger = read_ledger(tmp_path)
    assert ledger.problems == ()
    assert len(ledger.received) == 41
    assert len({entry_body(entry.entry) for entry in ledger.received}) == 41
