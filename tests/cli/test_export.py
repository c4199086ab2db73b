"""``hardpan export``: the sheets by name, what may be wished of them, and the picture of the README."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

import hardpan
from hardpan.cli import app
from hardpan.exchange.sheets.shelf import SHEETS

ROOT = Path(__file__).resolve().parents[2]
RUN = CliRunner()
TEAL, KESTREL = str(hardpan.example("teal-crescent")), str(hardpan.example("kestrel-road"))


def test_a_foreman_gets_every_sheet_when_none_is_named(tmp_path: Path) -> None:
    done = RUN.invoke(app, ["export", TEAL, "--out", str(tmp_path / "sheets")])
    assert done.exit_code == 0, done.output
    assert sorted(path.name for path in (tmp_path / "sheets").iterdir()) == sorted(file for file, _ in SHEETS.values())
    for file in (tmp_path / "sheets").glob("*.pdf"):
        assert file.name in done.output
        assert "engineer decide" in PdfReader(io.BytesIO(file.read_bytes())).pages[-1].extract_text().replace("\n", " ")


def test_only_the_named_sheets_are_written_each_once(tmp_path: Path) -> None:
    done = RUN.invoke(
        app, ["export", TEAL, "--sheet", "order", "--sheet", "map", "--sheet", "order", "--out", str(tmp_path)]
    )
    assert done.exit_code == 0, done.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["order-sheet.pdf", "strip-map.svg"]


def test_an_operator_has_his_cuts_in_feet_and_eighths_on_letter_paper(tmp_path: Path) -> None:
    done = RUN.invoke(
        app, ["export", KESTREL, "--sheet", "cut", "--unit", "ft-in", "--paper", "letter", "--out", str(tmp_path)]
    )
    assert done.exit_code == 0, done.output
    page = PdfReader(tmp_path / "cut-sheet.pdf").pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (612, 792)
    assert '10-1/4"' in page.extract_text()  # 0.260 m is 10.24 in


def test_a_rod_reading_needs_the_height_of_the_instrument(tmp_path: Path) -> None:
    words = ["export", KESTREL, "--sheet", "cut", "--from", "rod", "--out", str(tmp_path)]
    done = RUN.invoke(app, words)
    assert done.exit_code == 2
    assert "instrument" in done.output
    assert list(tmp_path.iterdir()) == []
    done = RUN.invoke(app, [*words, "--instrument-height", "104.6"])
    assert done.exit_code == 0, done.output
    assert "1.610" in PdfReader(tmp_path / "cut-sheet.pdf").pages[0].extract_text()


def test_a_street_with_problems_gets_no_sheet(tmp_path: Path) -> None:
    RUN.invoke(app, ["new", str(tmp_path / "ash-row")])
    done = RUN.invoke(app, ["export", str(tmp_path / "ash-row"), "--out", str(tmp_path / "sheets")])
    assert done.exit_code == 1
    assert not (tmp_path / "sheets").exists()


@pytest.mark.parametrize("wrong", [["--sheet", "poster"], ["--paper", "a3"], ["--unit", "yd"], []])
def test_wrong_usage_is_exit_2(tmp_path: Path, wrong: list[str]) -> None:
    out = ["--out", str(tmp_path)] if wrong else []
    assert RUN.invoke(app, ["export", TEAL, *wrong, *out]).exit_code == 2


def test_the_picture_of_the_readme_is_the_map_that_the_command_makes(tmp_path: Path) -> None:
    RUN.invoke(app, ["export", TEAL, "--sheet", "map", "--out", str(tmp_path)])
    assert (tmp_path / "strip-map.svg").read_bytes() == (ROOT / "docs/pictures/teal-crescent.svg").read_bytes()
