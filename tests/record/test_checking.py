"""A record checked: one byte changed anywhere is found, and the entry it stands in is named."""

from __future__ import annotations

import re
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardpan.exchange.record import verify_file
from hardpan.exchange.record.checking import Finding
from hardpan.ledger import read_ledger
from hardpan.street import example
from tests.record.recorded import files, recorded

CHAIN = files("teal-crescent")["record.jsonl"]
IDS = [one.entry.id for one in read_ledger(example("teal-crescent")).received]


def checked(content: bytes, folder: Path, name: str = "record.jsonl") -> tuple[Finding, ...]:
    path = folder / name
    path.write_bytes(content)
    return verify_file(path)


def test_a_whole_chain_is_good_and_tells_its_last_hash(tmp_path: Path) -> None:
    (found,) = checked(CHAIN, tmp_path)
    assert found.good
    assert found.words == f"55 entries, none changed, moved, added or left out; last hash {recorded('teal-crescent').last_hash}: the paper must show the same"  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(place=st.integers(0, len(CHAIN) - 2), byte=st.integers(0, 255))
def test_one_byte_changed_is_found_and_its_entry_named(
    tmp_path_factory: pytest.TempPathFactory, place: int, byte: int
) -> None:
    if CHAIN[place] == byte:
        byte = (byte + 1) % 256
    content = CHAIN[:place] + bytes([byte]) + CHAIN[place + 1 :]
    path = tmp_path_factory.getbasetemp() / "changed.jsonl"
    path.write_bytes(content)
    found = verify_file(path)
    line = CHAIN[:place].count(b"\n") + 1
    assert not found[0].good
    assert found[0].line == line
    start = CHAIN.rfind(b"\n", 0, place) + 1
    named = re.compile(rb'"id":"[0-9a-f-]{36}"').search(CHAIN, start)
    touched = named is not None and named.start() <= place < named.end()
    if line <= len(IDS) and not touched and byte != ord("\n"):
        assert found[0].entry == IDS[line - 1]
        assert IDS[line - 1] in found[0].words


def test_lines_left_out_moved_and_added_are_named(tmp_path: Path) -> None:
    lines = CHAIN.splitlines(keepends=True)
    (left_out,) = checked(b"".join([*lines[:3], *lines[4:]]), tmp_path)
    assert (left_out.good, left_out.line, left_out.entry) == (False, 4, IDS[4])
    (moved,) = checked(b"".join([lines[1], lines[0], *lines[2:]]), tmp_path)
    assert (moved.good, moved.line, moved.entry) == (False, 1, IDS[1])
    (added,) = checked(CHAIN + lines[0], tmp_path)
    assert (added.good, added.line) == (False, 57)
    (cut,) = checked(b"".join(lines[:-1]), tmp_path)
    assert not cut.good
    assert "no end line" in cut.words


def test_a_ledger_is_no_record(tmp_path: Path) -> None:
    (found,) = verify_file(example("teal-crescent") / "ledger.jsonl")
    assert not found.good
    assert "without a chain" in found.words
    (missing,) = verify_file(tmp_path / "nothing.jsonl")
    assert missing == Finding(False, "the file cannot be opened: no such file or directory")
    assert [one.good for one in checked(b"", tmp_path)] == [False]


def test_the_chain_inside_the_pdf_is_the_file_beside_it(tmp_path: Path) -> None:
    (found,) = checked(files("teal-crescent")["record.pdf"], tmp_path, "record.pdf")
    assert found.good
    assert recorded("teal-crescent").last_hash in found.words


def test_a_pdf_that_tells_another_hash_or_holds_a_changed_chain_is_found(tmp_path: Path) -> None:
    pdf, last = files("teal-crescent")["record.pdf"], recorded("teal-crescent").last_hash.encode()
    other = (b"0" if last[:1] != b"0" else b"1") + last[1:]
    (found,) = checked(pdf.replace(last, other), tmp_path, "record.pdf")
    assert not found.good
    assert "another last hash" in found.words
    stream = next(
        match.end()
        for match in re.finditer(rb"stream\r?\n", pdf)
        if (inside := _inflated(pdf[match.end() :])).startswith(CHAIN[:80])
        and inside == CHAIN
    )  # fmt: skip
    broken = pdf[: stream + 900] + bytes([pdf[stream + 900] ^ 1]) + pdf[stream + 901 :]
    assert not any(one.good for one in checked(broken, tmp_path, "record.pdf"))


def test_a_pdf_of_something_else_says_what_to_do(tmp_path: Path) -> None:
    (found,) = checked(b"%PDF-1.7\nnothing\n", tmp_path, "other.pdf")
    assert not found.good
    assert "save record.jsonl from its attachments" in found.words


def _inflated(content: bytes) -> bytes:
    try:
        return zlib.decompressobj().decompress(content)
    except zlib.error:
        return b""
