"""Tables as a Windows spreadsheet, an old editor or a hand writes them: each reads right."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from hardpan.street import Basis
from tests.street.streets import FILE, problems, read

READINGS = (
    "from,to,strips,word,rut [mm],note\n0+000,0+070,left,nothing,,\n0+070,0+130,all,,38.5,\u00fcber die M\u00fchle\n"
)
SEMICOLONS = READINGS.replace(",", ";").replace("38.5", "38,5")


@pytest.mark.parametrize(
    "written",
    [
        READINGS.encode("utf-8"),
        READINGS.encode("utf-8-sig"),
        READINGS.encode("utf-16"),
        b"\xfe\xff" + READINGS.encode("utf-16-be"),
        READINGS.encode("cp1252"),
        READINGS.replace("\n", "\r\n").encode(),
        READINGS.replace("\n", "\r").encode("cp1252"),
        READINGS.replace(",", "\t").encode(),
        READINGS.replace(",", "\t").replace("38.5", "38,5").encode("utf-16"),
        SEMICOLONS.encode("cp1252"),
        ("sep=;\r\n" + SEMICOLONS.replace("\n", "\r\n")).encode("utf-8-sig"),
        ("sep=,\n" + READINGS).encode(),
        READINGS.replace(",", ";").encode(),
        READINGS.replace("38.5", '"38,5"').encode(),
        READINGS.replace("\n", ",,,\n").encode() + b",,,,,,,,\n,,\n\n",
        READINGS.replace(",", " ,  ").replace("\n", "   \n").encode(),
        READINGS.replace("from,to,strips,word,rut [mm],note", "FROM, To ,STRIPS,WORD,RUT [MM],Note").encode(),
        READINGS.replace("rut [mm]", "rut (mm)").encode(),
        READINGS.replace("rut [mm]", "rut").replace("38.5", "38.5 mm").encode(),
        READINGS.replace("rut [mm]", "rut [cm]").replace("38.5", "3.85").encode(),
        READINGS.replace("rut [mm]", "rut [in]").replace("38.5", "38.5 mm").encode(),
        READINGS.replace("0+070,0+130", "\u00a00+070\u00a0,0+130\u00a0").encode(),
        READINGS.replace("word,rut", "word,,rut").replace("nothing,", "nothing,,").replace("all,,", "all,,,").encode(),
        READINGS.replace("nothing", "Nothing").replace("left", "LEFT").encode(),
        b"# driven on Tuesday, twice\n" + READINGS.encode() + b"# and once more\n#more,to,come\n",
    ],
)
def test_the_same_readings_in_every_spelling(tmp_path: Path, written: bytes) -> None:
    first, second = read(tmp_path, readings=written).readings
    assert (first.start, first.end, first.strips, first.word, first.rut) == (0, 70, (1, 2), "nothing", None)
    assert (second.start, second.end, second.strips, second.word) == (70, 130, (1, 2, 3, 4), "ruts")
    assert second.rut is not None
    assert second.rut.value == pytest.approx(0.0385, rel=1e-12)
    assert (second.rut.unit, second.rut.basis) == ("m", Basis.STATED)
    assert second.note == "\u00fcber die M\u00fchle"


@pytest.mark.parametrize(
    ("header", "cell", "metres"),
    [
        ("depth [in]", "12", 0.3048),
        ("depth [IN]", "12", 0.3048),
        ("Depth [\u2033]", "12", 0.3048),
        ('"depth [""]"', "12", 0.3048),
        ("depth [mm]", "300", 0.3),
        ("depth [mm]", '"12"""', 0.3048),
        ("depth [mm]", "0.3 m", 0.3),
        ("depth", "0.3", 0.3),
        ("depth", '"0,3"', 0.3),
    ],
)
def test_a_depth_in_any_unit(tmp_path: Path, header: str, cell: str, metres: float) -> None:
    street = read(tmp_path, instructions=f"from,rate,{header}\nelsewhere,28,{cell}\n")
    depth = street.instructions[0].depth
    assert depth is not None
    assert depth.value == pytest.approx(metres, rel=1e-12)


def test_a_rate_in_pounds_a_square_yard(tmp_path: Path) -> None:
    rate = read(tmp_path, instructions="from,rate [lb/yd2],water [gal/sy]\nelsewhere,52,full\n").instructions[0].rate
    assert rate.value == pytest.approx(52 * 0.45359237 / 0.9144**2, rel=1e-12)  # NIST Handbook 44, appendix C


def test_thousands_in_a_spreadsheet_that_uses_decimal_commas(tmp_path: Path) -> None:
    lab = read(tmp_path, lab="test;water_content;dry_density\nA;0,19;1.600\nB;0,21;1 580,5\n").lab
    assert [row.dry_density.value for row in lab if row.dry_density] == [1600, 1580.5]
    assert [row.water_content.value for row in lab if row.water_content] == [0.19, 0.21]


def test_levels_with_three_decimals_behind_a_comma(tmp_path: Path) -> None:
    levels = read(tmp_path, levels="station;level\n0+000;102,650\n0+020;102,785\n").levels
    assert [level.level.value for level in levels] == [102.65, 102.785]


def test_per_cent_in_a_cell_and_in_a_header(tmp_path: Path) -> None:
    lab = read(tmp_path, lab="test,water_content [%],cement_content\nA,19,6 %\n").lab
    assert lab[0].water_content is not None
    assert lab[0].cement_content is not None
    assert (lab[0].water_content.value, lab[0].cement_content.value) == (0.19, 0.06)


def test_a_cell_with_a_line_break_is_one_cell_and_rows_keep_their_line(tmp_path: Path) -> None:
    text = 'from,to,word,note\r\n0+000,0+070,nothing,"seen\r\nfrom the ""truck"", twice"\r\n0+070,0+130,mud,\r\n'
    assert problems(tmp_path, readings=text) == [
        (
            "readings.csv, row 4, word: found 'mud'; allowed: 'nothing', 'shows', 'ruts' or 'sinks'. "
            "Write one of these words."
        )
    ]
    assert read(tmp_path, readings=text.replace("mud", "ruts")).readings[0].note == 'seen from the "truck", twice'


@pytest.mark.parametrize("text", ["", "\n\n", ",,,\n", "\ufeff", "# nothing yet\n"])
def test_an_empty_table_has_no_rows(tmp_path: Path, text: str) -> None:
    assert read(tmp_path, readings=text).readings == ()


def test_a_blank_before_a_quoted_cell(tmp_path: Path) -> None:
    text = 'from, to, strips, word\n0+000, 0+070, "1, 2", ruts\n'
    assert read(tmp_path, readings=text).readings[0].strips == (1, 2)


def test_a_house_number_is_no_comment(tmp_path: Path) -> None:
    street = read(
        tmp_path,
        landmarks="name,station\n#14,0+120\n#14a,0+130\n# 15,0+140\n",
        readings="from,to,word\n#14,#14a,ruts\n",
    )
    assert [mark.name for mark in street.stationing.landmarks] == ["#14", "#14a"]
    assert (street.readings[0].start, street.readings[0].end) == (120, 130)


@pytest.mark.parametrize(
    ("written", "moment"),
    [
        ("2026-06-03 16:40", dt.datetime(2026, 6, 3, 16, 40)),
        ("2026-06-03T16:40:30", dt.datetime(2026, 6, 3, 16, 40, 30)),
        ("2026-6-3  9:05", dt.datetime(2026, 6, 3, 9, 5)),
        ("2026-06-03", dt.datetime(2026, 6, 3)),
    ],
)
def test_a_moment_as_spreadsheets_write_it(tmp_path: Path, written: str, moment: dt.datetime) -> None:
    assert read(tmp_path, instructions=f"from,rate,said_at\nelsewhere,12,{written}\n").instructions[0].said_at == moment


def test_the_later_of_two_instructions_is_no_contradiction(tmp_path: Path) -> None:
    text = "from,to,rate,said_at\n0+000,0+100,28,2026-06-03 16:40\n0+050,0+100,20,2026-06-03 17:10\n"
    assert [one.row for one in read(tmp_path, instructions=text).instructions] == [2, 3]


def test_an_instruction_without_a_zone_is_named_by_its_rate(tmp_path: Path) -> None:
    text = "from,to,strips,rate\n0+060,0+160,left,28\n0+060,0+160,right,20\nelsewhere,,,12\n"
    zones = [one.zone for one in read(tmp_path, instructions=text).instructions]
    assert zones == ["28 kg/m2 0+060", "20 kg/m2 0+060", "12 kg/m2 elsewhere"]


def test_a_crew_counts_the_blows_of_two_tests_in_turn(tmp_path: Path) -> None:
    text = "test,station,strip,blows,depth [mm]\nP1,0+120,2,2,70\nP2,0+180,3,4,90\nP1,0+120,2,2,140\n"
    rows = read(tmp_path, penetrometer=text).penetrometer
    assert [(row.test, row.station, row.row.depth.value) for row in rows] == [
        ("P1", 120, 0.07),
        ("P2", 180, 0.09),
        ("P1", 120, pytest.approx(0.14)),
    ]


def test_a_valve_on_a_one_lane_street_touches_its_only_strip(tmp_path: Path) -> None:
    street = read(
        tmp_path, file=FILE.replace("width = 9", "width = 2"), structures="id,kind,from,side\nV1,Valve,0+050,left\n"
    )
    assert (street.structures[0].strips, street.structures[0].kind) == ((1,), "valve")
    assert street.structures[0].start == street.structures[0].end == 50


def test_bounces_and_exposed_take_yes_in_any_form(tmp_path: Path) -> None:
    text = "from,to,word,bounces\n0+000,0+010,ruts,Yes\n0+010,0+020,ruts,x\n0+020,0+030,ruts,no\n0+030,0+040,ruts,\n"
    assert [one.bounces for one in read(tmp_path, readings=text).readings] == [True, True, False, False]
