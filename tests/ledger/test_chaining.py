"""The chain: whatever is changed, left out, added or moved, the first broken line is found and its entry is named."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hardpan.ledger import chain, parse_received, read_ledger, verify_chain
from hardpan.street import example
from tests.ledger.making import number, plain

LINES = tuple(
    chain(
        parse_received(
            {
                "entry": plain("note", {"note": f"no. {count}"}, id=number(count)),
                "received_at": f"2026-06-09T12:00:0{count}Z",
            }
        )
        for count in range(1, 6)
    )
)
TEXT = "\n".join(LINES)


def first_broken(lines: list[str]) -> tuple[int | None, str]:
    (problem,) = verify_chain(lines)
    return problem.line, problem.where


def test_an_untouched_chain_has_no_problem() -> None:
    assert verify_chain(LINES) == ()
    assert verify_chain([f"{line}\n" for line in LINES]) == ()
    assert verify_chain(chain(read_ledger(example("kestrel-road")).received)) == ()
    assert verify_chain(chain([])) == ()


def test_a_hash_is_the_sha_256_of_its_line_without_it() -> None:
    line = json.loads(LINES[1])
    said = line.pop("hash")
    text = json.dumps(line, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert hashlib.sha256(text.encode()).hexdigest() == said
    assert line["previous"] == json.loads(LINES[0])["hash"]


@given(place=st.integers(0, len(TEXT) - 1), letter=st.characters(codec="utf-8"))
def test_any_changed_letter_is_found(place: int, letter: str) -> None:
    assume(TEXT[place] != letter)
    changed = TEXT[:place] + letter + TEXT[place + 1 :]
    (problem,) = verify_chain(changed.split("\n"))
    assert problem.line is not None
    assert problem.line <= TEXT.count("\n", 0, place) + 1


@pytest.mark.parametrize("gone", range(len(LINES)))
def test_a_missing_line_is_found(gone: int) -> None:
    line, _ = first_broken([*LINES[:gone], *LINES[gone + 1 :]])
    assert line == gone + 1


@pytest.mark.parametrize("kept", range(len(LINES)))
def test_a_chain_cut_off_is_found(kept: int) -> None:
    assert first_broken([*LINES[:kept]]) == (kept + 1, "")


@pytest.mark.parametrize("again", range(len(LINES)))
def test_a_line_that_is_there_twice_is_found(again: int) -> None:
    line, _ = first_broken([*LINES[: again + 1], *LINES[again:]])
    assert line == again + 2


def test_lines_in_another_order_are_found_and_the_entry_is_named() -> None:
    assert first_broken([LINES[0], LINES[2], LINES[1], *LINES[3:]]) == (2, f"entry {number(3)}")


def test_a_changed_stamp_is_found_and_the_entry_is_named() -> None:
    changed = [line.replace("2026-06-09T12:00:03Z", "2026-06-09T11:59:03Z") for line in LINES]
    assert first_broken(changed) == (3, f"entry {number(3)}")


def test_a_changed_entry_with_a_hash_that_fits_it_breaks_the_next_line() -> None:
    line = json.loads(LINES[1].replace("no. 2", "no. 9"))
    line.pop("hash")
    text = json.dumps(line, sort_keys=True, separators=(",", ":"))
    forged = json.dumps(
        line | {"hash": hashlib.sha256(text.encode()).hexdigest()}, sort_keys=True, separators=(",", ":")
    )
    assert first_broken([LINES[0], forged, *LINES[2:]]) == (3, f"entry {number(3)}")


def test_an_end_that_counts_other_lines_is_found_even_where_its_hash_fits() -> None:
    end = json.loads(LINES[-1]) | {"end": {"lines": 4}}
    end.pop("hash")
    text = json.dumps(end, sort_keys=True, separators=(",", ":"))
    forged = json.dumps(
        end | {"hash": hashlib.sha256(text.encode()).hexdigest()}, sort_keys=True, separators=(",", ":")
    )
    assert first_broken([*LINES[:-1], forged]) == (6, "")


def test_a_chain_is_read_as_a_ledger(tmp_path: Path) -> None:
    (tmp_path / "chain.jsonl").write_text(TEXT + "\n", encoding="utf-8")
    ledger = read_ledger(tmp_path / "chain.jsonl")
    assert [one.entry.id for one in ledger.received] == [number(count) for count in range(1, 6)]
    assert ledger.problems == ()
