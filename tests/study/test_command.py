"""The command and the sheet of a study."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
import typer
from pypdf import PdfReader
from typer.testing import CliRunner

from hardpan.study.command import study
from hardpan.study.report import figures, study_object
from hardpan.study.runner import read_kept
from hardpan.study.sheet import study_sheet

APP = typer.Typer()
APP.command()(study)


def ends(value: object, key: str = "") -> list[str]:
    """Every key that holds a number, with the key above where it is one of a band."""
    if isinstance(value, dict):
        return [each for name, inner in value.items() for each in ends(inner, f"{key}.{name}")]
    if isinstance(value, list):
        return [each for inner in value for each in ends(inner, key)]
    return [key] if isinstance(value, float) else []


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("study")
    asked = ["--streets", "20", "--nature", "as-modelled", "--nature", "maclaurin", "--out", str(out), "--json"]
    result = CliRunner().invoke(APP, asked)
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout) == json.loads((out / "study.json").read_text(encoding="utf-8"))
    return out


def test_the_json_names_natures_and_units(folder: Path) -> None:
    plain = json.loads((folder / "study.json").read_text(encoding="utf-8"))
    assert plain["schema"] == "hardpan.study/1"
    assert [one["nature"] for one in plain["natures"]] == ["as-modelled", "maclaurin"]
    assert [one["streets"] for one in plain["natures"]] == [20, 20]
    for key in ends(plain):
        assert any(part.endswith(("_1", "_m2")) or part == "slope" for part in key.split(".")), key


def test_a_second_call_takes_the_streets_from_the_file(folder: Path) -> None:
    before = (folder / "study.jsonl").read_bytes()
    result = CliRunner().invoke(APP, ["--streets", "20", "--nature", "maclaurin", "--out", str(folder)])
    assert result.exit_code == 0, result.output
    assert (folder / "study.jsonl").read_bytes() == before
    assert "every rut by Maclaurin's law alone (maclaurin): 20 streets" in result.stdout
    assert "study.pdf" in result.stdout


def test_wrong_usage_ends_with_2_and_says_what_there_is(tmp_path: Path) -> None:
    for asked, told in ((["--nature", "kind"], "no nature is called kind"), (["--streets", "3"], "--streets")):
        result = CliRunner().invoke(APP, [*asked, "--out", str(tmp_path)])
        assert result.exit_code == 2
        assert told in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_sheet_is_text_one_page_a_nature_and_the_same_bytes_again(folder: Path) -> None:
    found = sorted(read_kept(folder / "study.jsonl").values(), key=lambda one: one.task)
    told = figures(found)
    once = study_sheet(told)
    assert once == study_sheet(told)
    reader = PdfReader(io.BytesIO(once))
    assert len(reader.pages) == 2
    words = " ".join(reader.pages[1].extract_text().split())
    assert "every rut by Maclaurin's law alone" in words
    assert f"{told[1].worst.whole.stated:.3f}" in words
    assert "What this cannot show" in words
    assert json.loads(reader.attachments["study.json"][0]) == study_object(told)
