"""Broken folders, each beside the exact lines that a foreman is told about it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from hardpan.street import StreetError, read_street

FOLDERS = sorted(path.parent for path in Path(__file__).parent.glob("*/expected.txt"))


def told(folder: Path) -> list[str]:
    with pytest.raises(StreetError) as caught:
        read_street(folder)
    return [str(problem) for problem in caught.value.problems]


def expected(folder: Path) -> list[str]:
    return (folder / "expected.txt").read_text(encoding="utf-8").splitlines()


def kind_of(line: str) -> str:
    """A message without its place, its quoted parts and its numbers."""
    return re.sub(r"'[^']*'|\"[^\"]*\"|-?\d[\d.+]*", "_", line.partition(": found")[2])


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_foreman_is_told_exactly_what_is_wrong(folder: Path) -> None:
    assert told(folder) == expected(folder)


def test_the_folders_cover_the_ways_to_be_wrong() -> None:
    kinds = {kind_of(line) for folder in FOLDERS for line in expected(folder)}
    assert len(FOLDERS) >= 80
    assert len(kinds) >= 90


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_every_line_says_where_what_is_allowed_and_what_to_do(folder: Path) -> None:
    for line in expected(folder):
        place, found, rest = re.split(r": found |; allowed: ", line, maxsplit=2)
        allowed, do = re.split(r"(?<=[\w'\")%])\. ", rest, maxsplit=1)
        assert place.split(",")[0].lower().endswith((".toml", ".csv"))
        assert found
        assert allowed
        assert "\n" not in line
        assert do[0].isupper() or do[0] in "'-0123456789"
        assert do.endswith((".", "?", ".toml"))


def test_a_foreman_who_mistypes_the_path_is_told_so(tmp_path: Path) -> None:
    assert told(tmp_path / "elm-street") == [
        (
            "street.toml: found no such folder; allowed: a folder that holds street.toml. "
            "Check the path, or start a street with: hardpan new elm-street"
        )
    ]


def test_a_foreman_who_gives_a_file_is_told_to_give_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "street.toml"
    path.write_text("name = 'Elm Street'\n")
    assert told(path) == [
        (
            "street.toml: found a file where a folder is wanted; allowed: a folder that holds street.toml. "
            "Give the folder that the file lies in."
        )
    ]


def test_a_table_that_is_a_folder_is_a_problem(tmp_path: Path) -> None:
    good = (FOLDERS[0].parent / "no_landmarks" / "street.toml").read_text()
    (tmp_path / "street.toml").write_text(good)
    (tmp_path / "levels.csv").mkdir()
    assert told(tmp_path) == [
        (
            "levels.csv: found a file that cannot be opened (is a directory); allowed: a table of text (CSV). "
            "Close it elsewhere; check its rights."
        )
    ]
