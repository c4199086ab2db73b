"""The command line: what it prints, what it writes, how it ends."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import hardpan
from hardpan.cli import app
from tests.plan.folders import variant

TEAL = str(hardpan.example("teal-crescent"))
FILES = {
    "plan.txt", "decisions.txt", "plan.json", "plan.xlsx", "zones.csv", "stakes.csv", "loads.csv", "fills.csv", "run_outs.csv", "water_trucks.csv",
    "machine_times.csv", "clocks.csv", "worth.csv", "bays.csv", "notices.csv",
}  # fmt: skip
NO_RATES = "zone,from,to,strips,rate [kg/m2],depth [mm],depth_state,low [mm],water,said_by,heard_by,said_at,where\n"


@pytest.fixture(autouse=True)
def empty_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Every test starts in an empty folder."""
    place = tmp_path / "here"
    place.mkdir()
    monkeypatch.chdir(place)
    return place


def run(*arguments: str) -> Result:
    return CliRunner().invoke(app, list(arguments))


@pytest.fixture
def without_rates(tmp_path: Path) -> str:
    folder = variant(tmp_path / "street", "teal-crescent", {})
    folder.joinpath("instructions.csv").write_text(NO_RATES, encoding="utf-8")
    return str(folder)


@pytest.fixture
def broken(tmp_path: Path) -> str:
    edits = {"readings.csv": [("0+000,0+070,left,nothing", "0+000,0+070,left,squishy")]}
    return str(variant(tmp_path / "broken", "teal-crescent", edits))


def test_plan_prints_and_writes_nothing(empty_place: Path) -> None:
    done = run("plan", TEAL)
    assert done.exit_code == 0
    assert done.stderr == ""
    assert "Teal Crescent" in done.stdout
    assert list(empty_place.iterdir()) == []


def test_plan_json_is_one_object_and_nothing_else(empty_place: Path) -> None:
    done = run("plan", TEAL, "--json", "--out", "kept")
    assert done.exit_code == 0
    assert done.stderr == ""
    shown = json.loads(done.stdout)
    assert shown["schema"] == "hardpan.plan/1"
    assert shown == json.loads((empty_place / "kept" / "plan.json").read_text(encoding="utf-8"))


def test_out_writes_the_files_it_names(empty_place: Path) -> None:
    done = run("plan", TEAL, "--out", "deep/kept")
    assert done.exit_code == 0
    assert {path.name for path in (empty_place / "deep" / "kept").iterdir()} == FILES
    last = " ".join(done.stdout.split("written to")[1].split())
    assert all(name in last for name in FILES)
    printed = (empty_place / "deep" / "kept" / "plan.txt").read_text(encoding="utf-8")
    assert printed.rstrip() in done.stdout


def test_seed_is_kept_with_the_plan() -> None:
    assert json.loads(run("plan", TEAL, "--json", "--seed", "7").stdout)["street"]["seed"] == 7


def test_why_prints_one_working() -> None:
    done = run("plan", TEAL, "--why", "balance[soft].our_low")
    assert done.exit_code == 0
    assert done.stdout.startswith("our low = 0.0471")
    shown = json.loads(run("plan", TEAL, "--why", "balance[soft].our_low", "--json").stdout)
    assert (shown["name"], shown["unit"]) == ("our low", "m")


def test_why_without_a_figure_is_wrong_usage() -> None:
    done = run("plan", TEAL, "--why", "balance[soft].our_lwo")
    assert done.exit_code == 2
    assert done.stdout == ""
    assert "did you mean 'our_low'?" in done.stderr


def test_plan_without_rates_proposes(without_rates: str) -> None:
    done = run("plan", without_rates)
    assert done.exit_code == 0
    assert "960 m of strip have no rate instruction" in " ".join(done.stdout.split())
    assert "proposed 1, " in done.stdout


def test_plan_of_a_street_with_problems_ends_with_them(empty_place: Path, broken: str) -> None:
    done = run("plan", broken, "--out", "kept")
    assert done.exit_code == 1
    assert done.stdout == ""
    assert "readings.csv, row 2, word: found 'squishy'" in done.stderr
    assert "1 problem; nothing was written" in done.stderr
    assert list(empty_place.iterdir()) == []


def test_problems_as_json(broken: str) -> None:
    done = run("plan", broken, "--json")
    assert done.exit_code == 1
    assert done.stderr == ""
    shown = json.loads(done.stdout)
    assert shown["schema"] == "hardpan.problems/1"
    assert [set(problem) for problem in shown["problems"]] == [{"file", "row", "column", "found", "allowed", "do"}]


def test_soil_that_cannot_be_ends_without_a_traceback(tmp_path: Path) -> None:
    pairs = [("wet = true", "wet = true\nsoft.dry_density = 1700\nsoft.water_content = 0.30")]
    done = run("plan", str(variant(tmp_path / "street", "teal-crescent", {"street.toml": pairs})))
    assert done.exit_code == 1
    assert "street.toml, soil.soft: found figures that do not fit in zone soft" in done.stderr


def test_check() -> None:
    done = run("check", TEAL)
    assert (done.exit_code, done.stdout.splitlines()[-1]) == (0, "Teal Crescent: no problems")
    done = run("check", TEAL, "--json")
    assert (done.exit_code, json.loads(done.stdout)) == (0, {"schema": "hardpan.problems/1", "problems": []})


def test_new_folder_lists_its_empty_lines(empty_place: Path) -> None:
    done = run("new", "elm-street")
    assert done.exit_code == 0
    assert "hardpan check elm-street" in done.stdout
    assert (empty_place / "elm-street" / "street.toml").is_file()
    checked = run("check", "elm-street")
    assert checked.exit_code == 1
    for key in ("name", "line.length", "line.width", "section.crossfall", "soil.word"):
        assert f"street.toml, {key}: found nothing" in checked.stderr
    assert run("plan", "elm-street").exit_code == 1
    shown = json.loads(run("check", "elm-street", "--json").stdout)
    assert {problem["column"] for problem in shown["problems"]} >= {"name", "line.length", "soil.word"}
    assert {problem["row"] for problem in shown["problems"] if problem["file"] == "street.toml"} == {None}


def test_new_refuses_a_folder_that_holds_something(empty_place: Path) -> None:
    kept = empty_place / "elm-street"
    kept.mkdir()
    kept.joinpath("notes.txt").write_text("mine", encoding="utf-8")
    done = run("new", "elm-street")
    assert done.exit_code == 1
    assert "a folder that is not empty" in done.stderr
    assert [path.name for path in kept.iterdir()] == ["notes.txt"]


def test_a_folder_that_is_not_there() -> None:
    for command in ("check", "plan"):
        done = run(command, "nowhere")
        assert done.exit_code == 1
        assert done.stdout == ""
        assert "nowhere" in done.stderr or "street.toml" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [["plan"], ["plan", TEAL, "--sed", "1"], ["plan", TEAL, "--seed", "one"], ["pln", TEAL], ["check"], ["new"], ["plan", TEAL, "--why"]],
)  # fmt: skip
def test_wrong_usage_ends_with_2(arguments: list[str]) -> None:
    done = run(*arguments)
    assert done.exit_code == 2
    assert done.stdout == ""


@pytest.mark.parametrize("command", [["plan", TEAL, "--out", "taken"], ["demo", "--out", "taken"]])
def test_out_that_is_a_file_is_wrong_usage(empty_place: Path, command: list[str]) -> None:
    empty_place.joinpath("taken").write_text("mine", encoding="utf-8")
    assert run(*command).exit_code == 2
    assert empty_place.joinpath("taken").read_text(encoding="utf-8") == "mine"


def test_demo_writes_both_streets_and_keeps_changes(empty_place: Path) -> None:
    done = run("demo", "--no-serve")
    assert done.exit_code == 0
    demo = empty_place / "hardpan-demo"
    assert {path.name for path in demo.iterdir()} == {"teal-crescent", "kestrel-road"}
    for street in demo.iterdir():
        assert {path.name for path in (street / "plan").iterdir()} == FILES
        assert hardpan.read_street(street).name.lower().replace(" ", "-") == street.name
    file = demo / "teal-crescent" / "street.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("Teal Crescent", "Teal Close"), encoding="utf-8")
    again = run("demo", "--no-serve")
    assert again.exit_code == 0
    assert "Teal Close" in again.stdout
    assert "Teal Close" in file.read_text(encoding="utf-8")


def test_schema_names_every_table() -> None:
    shown = json.loads(run("schema").stdout)
    assert json.dumps(shown).count("instructions.csv") >= 1


def test_help_shows_no_surprising_default() -> None:
    for command in ("new", "check", "plan", "demo", "schema"):
        done = CliRunner().invoke(app, [command, "--help"], env={"COLUMNS": "200", "TERM": "dumb", "NO_COLOR": "1"})
        assert done.exit_code == 0
        defaults = [
            line.split("[default:")[1].split("]")[0].strip() for line in done.stdout.splitlines() if "[default:" in line
        ]
        assert defaults == {"plan": ["0"], "demo": ["hardpan-demo", "127.0.0.1"], "serve": ["127.0.0.1", "8443"]}.get(
            command, []
        )
    assert run("--version").stdout == f"hardpan {hardpan.__version__}\n"


def test_a_process_of_its_own(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "hardpan", "plan", TEAL, "--json"],
        capture_output=True, text=True, encoding="utf-8", timeout=120, check=False, cwd=tmp_path,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["street"]["name"] == "Teal Crescent"


def test_why_of_a_bay_tells_five_lines() -> None:
    street, bay = str(hardpan.example("kestrel-road")), "ground[0+122, strip 2]"
    story = run("plan", street, "--why", bay).stdout.splitlines()
    assert len(story) == 5
    assert "P1 at 0+120 strip 2, CBR 2.8 by ASTM D6951 lean clay" in story[3]
    plain = json.loads(run("plan", street, "--why", bay, "--json").stdout)
    assert plain["story"] == story
    assert plain["low"] < plain["value"] < plain["high"]


def test_why_of_a_bay_that_is_not_there_is_wrong_usage() -> None:
    done = run("plan", TEAL, "--why", "ground[0+122, strip 9]")
    assert (done.exit_code, done.stderr) == (2, "the street has no strip 9; allowed: 1 to 4\n")
