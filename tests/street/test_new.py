"""The starting folder: five lines to fill in, and nothing else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from hardpan.street import Basis, Figure, StreetError, read_street
from hardpan.street.given import Sort, Table
from hardpan.street.model import StreetFile
from hardpan.street.new import write_new
from hardpan.street.rows import TABLES

REQUIRED = {"name": '"Elm Street"', "length": "240", "width": "9.0", "crossfall": "0.02", "word": '"fat clay"'}
WORDS = ["nothing", "ruts", "shows", "nothing", "nothing", "ruts", "sinks", "shows", "ruts", "nothing"]


def filled_in(folder: Path) -> Path:
    """The new folder with its five required lines filled in."""
    path = folder / "street.toml"
    text = path.read_text(encoding="utf-8")
    for key, value in REQUIRED.items():
        text = text.replace(f'\n{key} = ""', f"\n{key} = {value}", 1)
    path.write_text(text, encoding="utf-8")
    return folder


def append(path: Path, lines: list[str]) -> None:
    path.write_text(path.read_text(encoding="utf-8") + "\n".join([*lines, ""]), encoding="utf-8")


def test_a_new_folder_lists_its_empty_required_lines_and_nothing_else(tmp_path: Path) -> None:
    write_new(tmp_path / "elm-street")
    with pytest.raises(StreetError) as caught:
        read_street(tmp_path / "elm-street")
    assert [(problem.column, problem.found) for problem in caught.value.problems] == [
        ("name", "nothing"),
        ("line.length", "nothing"),
        ("line.width", "nothing"),
        ("section.crossfall", "nothing"),
        ("soil.word", "nothing"),
    ]
    assert {problem.do for problem in caught.value.problems} == {"This is required: fill it in."}


def test_a_foreman_fills_in_five_lines_two_rates_and_ten_words(tmp_path: Path) -> None:
    folder = tmp_path / "elm-street"
    write_new(folder)
    filled_in(folder)
    append(folder / "instructions.csv", ["soft,0+060,0+160,all,28", "rest,elsewhere,,all,12"])
    words = [f"0+{24 * i:03d},0+{24 * i + 24:03d},all,{word}" for i, word in enumerate(WORDS)]
    append(folder / "readings.csv", words)
    street = read_street(folder)
    assert [one.rate.value for one in street.instructions] == [28, 12]
    assert [one.word for one in street.readings] == WORDS
    assert (street.name, street.width, len(street.strips)) == ("Elm Street", 9, 4)
    assert street.file.mixer.drum.basis is Basis.DEFAULT


def test_the_files_of_a_new_folder(tmp_path: Path) -> None:
    written = write_new(tmp_path / "streets" / "elm-street")
    assert [path.name for path in written] == [
        "instructions.csv",
        "landmarks.csv",
        "levels.csv",
        "readings.csv",
        "street.toml",
        "structures.csv",
    ]
    assert sorted((tmp_path / "streets" / "elm-street").iterdir()) == list(written)


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    assert len(write_new(tmp_path)) == 6


def test_a_folder_that_holds_something_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "note.txt").write_text("mine")
    with pytest.raises(StreetError) as caught:
        write_new(tmp_path)
    assert [str(problem) for problem in caught.value.problems] == [
        (
            f"{tmp_path.name}: found a folder that is not empty; allowed: a folder that is new or empty. "
            "Name another folder; nothing was changed."
        )
    ]
    assert [path.name for path in tmp_path.iterdir()] == ["note.txt"]


def test_a_file_of_that_name_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "elm").write_text("mine")
    with pytest.raises(StreetError, match="found a file of that name"):
        write_new(tmp_path / "elm")
    with pytest.raises(StreetError, match="found a place that cannot be written to \\(not a directory\\)"):
        write_new(tmp_path / "elm" / "street")
    assert (tmp_path / "elm").read_text() == "mine"


def uncommented(text: str, *, leave: tuple[str, ...] = ()) -> str:
    """The file with the # taken away from every line that holds a key."""
    kept = "|".join(leave) or "-"
    return re.sub(rf"(?m)^# (?=(?!(?:{kept}) )\w+ = )", "", text)


def test_every_remark_of_street_toml_reads_once_its_mark_is_taken_away(tmp_path: Path) -> None:
    write_new(tmp_path)
    path = filled_in(tmp_path) / "street.toml"
    path.write_text(uncommented(path.read_text(encoding="utf-8"), leave=("point",)), encoding="utf-8")
    street = read_street(tmp_path)
    assert street.file.cement.delivery[0].cement.value == 40_000
    assert street.file.limits.clock[0].within.value == 240
    path.write_text(re.sub(r"(?m)^# (?=point)|^down.*\n", "", path.read_text(encoding="utf-8")), encoding="utf-8")
    assert len(read_street(tmp_path).level_points) == 3


def keys(table: type[Table], path: str = "") -> dict[str, object]:
    """Every key of a table that is not itself a table, with its default."""
    found: dict[str, object] = {}
    for name, info in table.model_fields.items():
        inner = info.annotation
        if isinstance(inner, type) and issubclass(inner, Table):
            found.update(keys(inner, f"{path}{name}."))
        elif name != "schema_":
            found[f"{path}{name}"] = None if info.is_required() else info.get_default(call_default_factory=True)
    return found


def shown_keys(text: str) -> dict[str, str]:
    """Every key of a file, remarks included, with what stands after its equals sign."""
    table, shown = "", {}
    for line in text.splitlines():
        if head := re.match(r"\[([\w.]+)\]", line):
            table = f"{head[1]}."
        elif key := re.match(r"(?:# )?(\w+) = (.*?)(?:\s*# .*)?$", line):
            shown[f"{table}{key[1]}"] = key[2]
    return shown


def test_the_file_shows_every_key_with_its_default(tmp_path: Path) -> None:
    write_new(tmp_path)
    shown = shown_keys((tmp_path / "street.toml").read_text(encoding="utf-8"))
    known = keys(StreetFile)
    assert set(shown) - {"schema"} == set(known)
    for key, value in known.items():
        if isinstance(value, Figure) or (isinstance(value, int | float) and not isinstance(value, bool)):
            assert float(shown[key]) == float(value), key


def test_every_figure_in_the_file_says_its_unit(tmp_path: Path) -> None:
    write_new(tmp_path)
    table = StreetFile
    for line in (tmp_path / "street.toml").read_text(encoding="utf-8").splitlines():
        if head := re.match(r"\[([\w.]+)\]", line):
            table = StreetFile
            for part in head[1].split("."):
                table = table.model_fields[part].annotation  # type: ignore[assignment]  # each part of a head is a table
        elif key := re.match(r"(?:# )?(\w+) = [^\[{]*# (?:required; )?(.*)$", line):
            sort = table.model_fields[key[1]].json_schema_extra if key[1] in table.model_fields else None
            if isinstance(sort, Sort) and key[1] != "specific_gravity":
                assert key[2].startswith(("fraction" if sort.unit == "1" else sort.unit) + ":"), line


@pytest.mark.parametrize("name", ["landmarks", "readings", "instructions", "structures", "levels"])
def test_the_example_lines_of_a_table_read_once_their_mark_is_taken_away(tmp_path: Path, name: str) -> None:
    write_new(tmp_path)
    filled_in(tmp_path)
    for table in {name, "landmarks"}:
        path = tmp_path / f"{table}.csv"
        head, remark, *examples = path.read_text(encoding="utf-8").splitlines()
        assert remark.startswith("# ")
        path.write_text("\n".join([head, *(line.removeprefix("# ") for line in examples), ""]), encoding="utf-8")
    street = read_street(tmp_path)
    rows = street.stationing.landmarks if name == "landmarks" else getattr(street, name)
    assert len(rows) >= 1


@pytest.mark.parametrize("name", ["landmarks", "readings", "instructions", "structures", "levels"])
def test_a_table_starts_with_every_column(tmp_path: Path, name: str) -> None:
    write_new(tmp_path)
    head = (tmp_path / f"{name}.csv").read_text(encoding="utf-8").splitlines()[0]
    columns = [re.sub(r" \[.*", "", column) for column in head.split(",")]
    kind = TABLES[f"{name}.csv"]
    assert columns == [info.alias or field for field, info in kind.model_fields.items()]
