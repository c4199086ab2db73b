"""``street.toml`` as people write it."""

from __future__ import annotations

from pathlib import Path

import pytest

from hardpan.street import Basis, example, read_street
from hardpan.street.street import Instruction, Reading, Structure
from tests.street.streets import FILE, folder, problems, read


@pytest.mark.parametrize(
    "written",
    [
        FILE.encode("utf-8-sig"),
        FILE.encode("utf-16"),
        FILE.replace("\n", "\r\n").encode(),
        FILE.replace("\n", "\r").encode(),
        FILE.replace("Elm Street", "Elm Street  ").replace("fat clay", "Fat Clay").encode(),
        FILE.replace("240", '"240 m"').replace("= 9", '= "900 cm"').replace("0.02", '"2 %"').encode(),
        FILE.replace("240", '{ value = "0,24 km" }').encode(),
    ],
)
def test_the_same_street_in_every_spelling(tmp_path: Path, written: bytes) -> None:
    street = read(tmp_path, file=written)
    assert (street.name, street.file.line.length.value, street.width) == ("Elm Street", 240, 9)
    assert (street.file.section.crossfall.value, street.file.soil.word) == (0.02, "fat clay")
    assert street.file.line.length.basis is Basis.STATED


def test_an_umlaut_from_the_windows_code_page(tmp_path: Path) -> None:
    assert read(tmp_path, file=FILE.replace("Elm", "M\u00fchl").encode("cp1252")).name == "M\u00fchl Street"


def test_a_measured_figure_keeps_its_source_and_spread(tmp_path: Path) -> None:
    measured = '{ value = "240 m", basis = "measured", source = "tape", spread = "5 cm" }'
    length = read(tmp_path, file=FILE.replace("240", measured)).file.line.length
    assert (length.value, length.unit, length.basis, length.source) == (240, "m", Basis.MEASURED, "tape")
    assert length.spread == pytest.approx(0.05)


def test_a_stated_figure_names_the_file_it_stands_in(tmp_path: Path) -> None:
    street = read(tmp_path, instructions="zone,from,rate\nA,elsewhere,28\n")
    assert street.file.line.length.source == "stated in street.toml"
    assert street.instructions[0].rate.source == "stated in instructions.csv row 2"


def test_what_is_left_out_stands_on_a_default_with_its_source(tmp_path: Path) -> None:
    drum = read(tmp_path).file.mixer.drum
    assert (drum.value, drum.basis) == (2.4, Basis.DEFAULT)
    assert drum.source.startswith("default, ")


def test_a_foot_street_is_metres_inside(tmp_path: Path) -> None:
    file = FILE.replace("length = 240", 'length = "800 ft"\nstation_style = "0+00 ft"')
    design = "\n[level]\npoint = [{ station = 0, level = 100 }, { station = '8+00', level = 101 }]\n"
    street = read(tmp_path, file=file + design, readings="from,to,word\n0+00,1+40.5,ruts\n")
    assert street.readings[0].end == pytest.approx(140.5 * 0.3048)
    assert [point[0] for point in street.level_points] == [0, pytest.approx(800 * 0.3048)]


def test_a_crossfall_table_may_name_landmarks(tmp_path: Path) -> None:
    table = "\n".join(
        f"[[section.transition]]\nstation = {at}\nleft = 0.02\nright = 0.02\n" for at in ("0", '"pole 1"', '"0+100"')
    )
    street = read(tmp_path, file=f"{FILE}\n{table}", landmarks="name,station\npole 1,0+018\n")
    assert street.crossfall_stations == (0, 18, 100)


def test_curves_that_just_meet_are_allowed(tmp_path: Path) -> None:
    points = [(0, 0), (40, 40), (70, 20), (240, 0)]
    said = ", ".join(f"{{ station = {at}, level = 102, curve_length = {curve} }}" for at, curve in points)
    assert len(read(tmp_path, file=f"{FILE}\n[level]\npoint = [{said}]\n").level_points) == 4


@pytest.mark.parametrize(
    ("line", "add", "message"),
    [
        ("width = 9", "[spreader]\npan = 2.5", "the pan is 2.5 m and a strip 2.25 m: close the pan down to the strip"),
        ("width = 9\nstrips = 2", "", "a strip is 4.50 m and the pan 2.25 m: the pan leaves bare lanes"),
        ("width = 9", "[limits]\nwind_km_h = { value = 30 }", "limit wind km h: owner not said"),
        ("width = 9", "[[limits.clock]]\nstart = 'water'\nwithin = '2 h'", "limit clock: owner not said"),
    ],
)
def test_what_a_reviewer_would_ask_about_is_a_notice(tmp_path: Path, line: str, add: str, message: str) -> None:
    notices = read(tmp_path, file=FILE.replace("width = 9", line) + "\n" + add).notices
    assert [str(notice)[: len(message)] for notice in notices] == [message]


def test_rows_are_checked_though_street_toml_has_problems(tmp_path: Path) -> None:
    file = FILE.replace("fat clay", "mud") + "\n[spreader]\npan = -1\n"
    told = problems(tmp_path, file=file, readings="from,to,strips,word\n0+000,0+300,4,ruts\n")
    assert [line.split(":")[0] for line in told] == [
        "street.toml, soil.word",
        "street.toml, spreader.pan",
        "readings.csv, row 2, to",
    ]


def test_without_a_line_only_the_rows_themselves_are_checked(tmp_path: Path) -> None:
    told = problems(tmp_path, file="name = 'Elm Street'\n", readings="from,to,word\n0+000,0+300,mud\n")
    assert [line.split(":")[0] for line in told] == [
        "street.toml, line",
        "street.toml, section",
        "street.toml, soil",
        "readings.csv, row 2, word",
    ]


def test_a_file_of_twenty_faults_is_given_up(tmp_path: Path) -> None:
    assert len(problems(tmp_path, file="no\n" * 50)) == 20


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_every_place_of_an_example_is_on_its_street(name: str) -> None:
    street = read_street(example(name))
    length, count = street.file.line.length.value, len(street.strips)
    placed: list[Reading | Instruction | Structure] = [*street.readings, *street.instructions, *street.structures]
    for one in placed:
        assert 0 <= one.start <= one.end <= length
        assert set(one.strips) <= set(range(1, count + 1))


def test_a_stray_copy_beside_the_right_table_is_left_alone(tmp_path: Path) -> None:
    folder(tmp_path, readings="from,to,word\n", **{"readings (1)": "anything"})
    assert read_street(tmp_path).readings == ()
