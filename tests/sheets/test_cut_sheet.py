"""The cut sheet: what stands on the paper is what stands in the plan, in the order a reader meets it."""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pypdf
import pytest

import hardpan
from hardpan.errors import HardpanError
from hardpan.exchange.json_plan import plan_json
from hardpan.exchange.sheets.cut_rows import ROWS_A_PAGE, stakes_between, stretches
from hardpan.exchange.sheets.cut_sheet import cut_sheet, shown_cut_sheet, steer
from hardpan.exchange.stake_units import FOOT, LEVEL_UNITS, STEPS, Mode, Unit, read
from hardpan.plan import CAUTION, Plan
from hardpan.street import example
from tests.streets import write_long_street

UNITS: list[Unit] = ["m", "mm", "ft", "ft-in"]
ROUNDED = 1e-5  # of a step
LENGTH = r"(?:up )?(?:\d+' ?)?\d[\d.]*(?:-\d/\d{1,2})?(?:/\d)?\"?"


@cache
def planned(name: str) -> Plan:
    return hardpan.make_plan(hardpan.read_street(example(name)))


def changed(folder: Path, name: str, **changes: Callable[[str], str]) -> Plan:
    """Plan of an example with some of its files changed."""
    shutil.copytree(example(name), folder)
    for file, change in changes.items():
        path = next(folder.glob(f"{file}.*"))
        before = path.read_text(encoding="utf-8")
        assert change(before) != before, file
        path.write_text(change(before), encoding="utf-8")
    return hardpan.make_plan(hardpan.read_street(folder))


def reader(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


def texts(plan: Plan, **options: Any) -> list[str]:
    return [page.extract_text() for page in reader(cut_sheet(plan, **options)).pages]


def row(text: str, station: str) -> str:
    """The table's row of a station, on one line."""
    table = text[text.index("station seen by") : text.index("six check shots")]
    match = re.search(rf"^{re.escape(station)} .*?(?=^\S*\d\+\d{{3}} |\Z)", table, re.MULTILINE | re.DOTALL)
    assert match, station
    return match[0].replace("\n", " ").strip()


def metres(text: str, unit: Unit) -> float:
    """A figure of the sheet in metres, down from what it is measured from counting up."""
    sign = -1.0 if text.startswith(("up ", "F ")) else 1.0
    return sign * read(text.removeprefix("up ").removeprefix("F ").removeprefix("C "), unit)


def near(text: str, unit: Unit, value: float) -> bool:
    return abs(metres(text, unit) - value) <= STEPS[unit] * (0.5 + ROUNDED)


@pytest.mark.parametrize("unit", UNITS)
def test_every_level_and_cut_of_kestrel_road_is_the_plans(unit: Unit) -> None:
    plan = planned("kestrel-road")
    (text,) = texts(plan, unit=unit)
    level = LEVEL_UNITS[unit]
    for stake in plan.levels.stakes:
        found = row(text, plan.street.stationing.show(stake.station_m))
        figures = re.findall(rf"[CF] {LENGTH}|\b\d{{3}}\.\d+", found)
        assert stake.hub is not None
        assert near(figures[0], level, stake.hub.value)
        assert len(figures) == 1 + 3 * len(stake.points)
        for point, (design, pre_grade, cut) in zip(
            stake.points, zip(*[iter(figures[1:])] * 3, strict=True), strict=True
        ):
            assert near(design, level, point.design.value)
            assert near(pre_grade, level, point.pre_grade.value)
            assert point.cut_from_hub is not None
            assert cut.startswith("C ")
            assert near(cut, unit, point.cut_from_hub.value)


@pytest.mark.parametrize("unit", UNITS)
def test_every_measure_down_on_teal_crescent_is_the_plans(unit: Unit) -> None:
    plan = planned("teal-crescent")
    (text,) = texts(plan, unit=unit)
    for stake in plan.levels.stakes:
        found = row(text, plan.street.stationing.show(stake.station_m))
        figures = re.findall(LENGTH, found)[-3 * len(stake.points) :]
        for point, (design, low, down) in zip(stake.points, zip(*[iter(figures)] * 3, strict=True), strict=True):
            assert near(design, unit, -point.design.value)
            assert near(low, unit, point.low.value)
            assert near(down, unit, -point.pre_grade.value)


def test_the_row_of_0_100_on_kestrel_road() -> None:
    # the worked day: centreline 102.990 and lip 102.900 for a design of 103.000 and 102.910, hub 103.250
    (text,) = texts(planned("kestrel-road"))
    side = "102.910 102.900 C 0.350"
    assert row(text, "0+100") == (
        f"0+100 20 m before no. 14 36 kg/m\u00b2 from here 103.250 {side} 103.000 102.990 C 0.260 {side}"
    )


def test_teal_crescent_is_written_down_from_the_lip() -> None:
    (text,) = texts(planned("teal-crescent"))
    assert "millimetres down from the lip" in text
    assert row(text, "0+140") == "0+140 pole 4 450 45 495 360 45 405 450 45 495"
    assert "L 495\nCL 405\nR 495\nbelow lip" in text
    assert row(text, "0+065").startswith("0+065 3 m before hydrant ramp ends, 28 kg/m\u00b2 from 0+060 450")
    assert "block joint" in row(text, "0+080")


def test_the_page_is_read_from_the_top() -> None:
    (text,) = texts(planned("kestrel-road"))
    order = [
        "Kestrel Road", "cut sheet: pre-grade", "the whole street", "pre-grade = design + 10 trim \u2212 20 rise", "rise: stated", "trim: stated, foreman",
        "tolerance: no limit is written", "how to read it", "write\non the\nlath", "station seen by hub", "0+000 start", "0+400 end", "six check shots", "C is down from the hub's top",
    ]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert CAUTION.split(" ")[-1] in text.replace("\n", " ")
    assert text.count("not checked") == 1 + 6


def test_the_sum_is_told_with_the_band_and_what_nobody_said() -> None:
    (text,) = texts(planned("teal-crescent"))
    soft, rest = (balance.our_low for balance in planned("teal-crescent").balance)
    assert "At 28 kg/m\u00b2: 45 mm low: stated, engineer. Our sum: pre-grade = design + 0 trim \u2212 47 rise" in text
    assert f"between {soft.low * 1000:.0f} and {soft.high * 1000:.0f}." in text
    assert f"Nobody said how low: ours, between {rest.low * 1000:.0f} and {rest.high * 1000:.0f}." in text
    assert "trim: 0 mm, nobody stated one" in text
    assert "Dotted foot: rests on a default." in text


@pytest.mark.parametrize(
    ("owner", "said"), [('owner = "engineer"', "10 mm either way, engineer"), ("", "10 mm either way, owner not said")]
)
def test_a_written_tolerance_names_its_owner(tmp_path: Path, owner: str, said: str) -> None:
    limit = (
        f"[limits]\npre_grade_tolerance = {{ value = 0.010, source = 'job limits 4'{', ' if owner else ''}{owner} }}\n"
    )
    plan = changed(tmp_path / "s", "kestrel-road", street=lambda text: text.replace("[limits]\n", limit))
    (text,) = texts(plan)
    assert f"tolerance: {said}, job limits 4" in text
    assert "no limit is written" not in text


def test_rods_read_what_the_instrument_is_above_pre_grade() -> None:
    plan = planned("kestrel-road")
    (text,) = texts(plan, from_="rod", instrument_height=104.600)
    assert row(text, "0+100").endswith("102.910 102.900 1.700 103.000 102.990 1.610 102.910 102.900 1.700")
    assert "from an instrument at 104.600" in text
    assert "HI 104.600" in text
    for stake in plan.levels.stakes:
        found = row(text, plan.street.stationing.show(stake.station_m))
        for point in stake.points:
            reading = 104.600 - point.pre_grade.value
            assert (f" {reading:.3f}" if reading > 0 else "no sight") in found
    assert "No sight: pre-grade lies above the instrument" in text


@pytest.mark.parametrize(("height", "edge", "crown"), [(0.0, "350", "260"), (0.5, "850", "760")])
def test_a_string_over_the_hub(height: float, edge: str, crown: str) -> None:
    (text,) = texts(planned("kestrel-road"), unit="mm", from_="string", string_height=height)
    side = f"102.910 102.900 {edge}"
    assert row(text, "0+100").endswith(f"103.250 {side} 103.000 102.990 {crown} {side}")


def test_a_string_over_the_lip() -> None:
    (text,) = texts(planned("teal-crescent"), from_="string", string_height=0.3)
    assert row(text, "0+140").endswith("450 45 795 360 45 705 450 45 795")
    assert "a string 300 mm over the lip" in text


def test_lips_at_different_heights(tmp_path: Path) -> None:
    # 2 % from left to right over 9 m: the left lip lies 180 mm above the right one, so a string between them is 90 mm over the middle
    def one_way(text: str) -> str:
        falls = "[{ station = 0, left = -0.02, right = 0.02 }, { station = 240, left = -0.02, right = 0.02 }]"
        text = text.replace("[level]\n", "[level]\nstake_spacing_transition = 20\n")
        return re.sub(r"crossfall = 0.02.*", f"crossfall = 0.02\ntransition = {falls}", text)

    plan = changed(tmp_path / "s", "teal-crescent", street=one_way)
    (lip,), (string,) = texts(plan), texts(plan, from_="string")
    assert "The two lips are not level here" in lip
    shown = {kind: re.findall(LENGTH, row(text, "0+140"))[-9:] for kind, text in (("lip", lip), ("string", string))}
    assert [shown["lip"][i] for i in (2, 5, 8)] == ["495", "405", "495"]
    assert [shown["string"][i] for i in (2, 5, 8)] == ["495", "495", "495"]


def test_fill_and_missing_hubs(tmp_path: Path) -> None:
    def lower(text: str) -> str:
        return text.replace("0+100,-6.0,103.250", "0+100,-6.0,102.950").replace("0+120,-6.0,103.385,hub,H7\n", "")

    plan = changed(tmp_path / "s", "kestrel-road", levels=lower)
    (text,) = texts(plan)
    assert row(text, "0+100").endswith(
        "102.950 102.910 102.900 C 0.050 103.000 102.990 F 0.040 102.910 102.900 C 0.050"
    )
    assert row(text, "0+120").endswith("no hub 103.030 103.020 103.020 103.120 103.110 103.110 103.030 103.020 103.020")
    assert "No hub: the figure is the pre-grade level itself." in text


def test_a_surveyed_street_without_any_hub_has_levels_only(tmp_path: Path) -> None:
    plan = changed(tmp_path / "s", "kestrel-road", levels=lambda text: text.splitlines()[0] + "\n")
    (text,) = texts(plan)
    assert row(text, "0+400").endswith(
        "end no hub 104.710 104.700 104.700 104.800 104.790 104.790 104.710 104.700 104.700"
    )
    with pytest.raises(HardpanError, match="levels above a datum, no hub; allowed: hub, rod"):
        cut_sheet(plan, from_="string")


def test_a_street_without_design_level_shows_how_low_only(tmp_path: Path) -> None:
    plan = changed(
        tmp_path / "s", "teal-crescent", street=lambda text: re.sub(r"down_from.*\n|down_at_edge.*\n", "", text)
    )
    (text,) = texts(plan)
    assert row(text, "0+140") == "0+140 pole 4 45 low 45 low 45 low"
    assert row(text, "0+240") == "0+240 end 23 low 23 low 23 low"
    assert "no design level is known" in text
    with pytest.raises(HardpanError, match="no design level; allowed: low"):
        cut_sheet(plan, from_="hub")


@pytest.mark.parametrize(
    ("name", "from_", "message"),
    [
        ("kestrel-road", "lip", "levels above a datum; allowed: hub, string, rod"),
        ("teal-crescent", "hub", "levels down from the lip; allowed: lip, string"),
        ("teal-crescent", "rod", "levels down from the lip; allowed: lip, string"),
        ("kestrel-road", "rod", "given no height of instrument"),
    ],
)
def test_what_cannot_be_measured_from_is_said(name: str, from_: Mode, message: str) -> None:
    with pytest.raises(HardpanError, match=message):
        cut_sheet(planned(name), from_=from_)


def test_further_side_offsets_stand_on_further_pages(tmp_path: Path) -> None:
    plan = changed(
        tmp_path / "s", "kestrel-road", street=lambda text: text.replace("[level]\n", "[level]\nside_offset = [-2.25, 2.25, 6.0]\n")
    )  # fmt: skip
    first, second = texts(plan)
    assert "left 4.5 left 2.25 centre" in first
    assert "right 2.25 right 4.5 right 6" in second
    assert row(first, "0+100").count("C ") == row(second, "0+100").count("C ") == 3
    stake = next(stake for stake in plan.levels.stakes if stake.station_m == 100)
    for point, text in zip(stake.points, [first] * 3 + [second] * 3, strict=True):
        assert point.cut_from_hub is not None
        assert f"{point.design.value:.3f} {point.pre_grade.value:.3f} C {point.cut_from_hub.value:.3f}" in row(
            text, "0+100"
        )
    assert "0+040 right 2.25" in second


def test_a_long_street_breaks_with_a_day(tmp_path: Path) -> None:
    plan = hardpan.make_plan(hardpan.read_street(write_long_street(tmp_path / "long", 5)))
    pages = texts(plan)
    ends = [(round(start), round(end)) for start, end in stretches(plan, ROWS_A_PAGE["a4"])]
    assert ends == [(0, 400), (400, 800), (800, 1200), (1200, 1600), (1600, 2000)]
    days = {block.end_m for block, after in pairwise(plan.shift.blocks) if block.day < after.day}
    assert {float(end) for _, end in ends[:-1]} <= days
    assert len(pages) == 5
    for i, text in enumerate(pages):
        assert f"page {i + 1} of 5" in text
        assert f"days {2 * i + 1} to {2 * i + 2}" in text
        assert text.count("not checked") == 7
        assert text.count("Wet cement burns") == 1
    stations = [plan.street.stationing.show(stake.station_m) for stake in plan.levels.stakes]
    assert all(any(re.search(rf"^{re.escape(station)} ", text, re.MULTILINE) for text in pages) for station in stations)


@pytest.mark.parametrize("rows", [3, 4, 6, 10, 13, 24])
def test_stretches_cover_the_street_and_fit(rows: int) -> None:
    plan = planned("kestrel-road")
    found = stretches(plan, rows)
    assert found[0][0] == 0
    assert found[-1][1] == 400
    assert all(before[1] == after[0] for before, after in pairwise(found))
    assert all(2 <= len(stakes_between(plan, *stretch)) <= rows for stretch in found)
    joints = {block.start_m for block in plan.shift.blocks} | {400.0}
    assert rows < 5 or all(start in joints for start, _ in found)
    assert rows != 13 or found == [(0, 240), (240, 400)]  # by day


def test_hatched_cells_are_those_of_the_heavier_rate() -> None:
    plan = planned("kestrel-road")
    steering = steer(plan, unit=None, from_=None, instrument_height=None, string_height=0.0)
    (page,) = shown_cut_sheet(plan, steering)["pages"]
    hatched = {(line["station"], i) for line in page["rows"] for i, cell in enumerate(line["cells"]) if cell["rate"]}
    full = {(station, i) for station in ("0+100", "0+120", "0+140") for i in range(3)}
    assert hatched == full | {("0+300", 2), ("0+320", 2)}
    assert [line["station"] for line in page["rows"] if line["joint"]] == ["0+080", "0+160", "0+240", "0+320"]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("name", ["kestrel-road", "teal-crescent"])
def test_one_tagged_page_that_knows_its_title_and_carries_its_plan(name: str, paper: Any) -> None:
    plan = planned(name)
    document = reader(cut_sheet(plan, paper=paper))
    root: Any = document.trailer["/Root"]
    assert len(document.pages) == 1
    assert document.metadata is not None
    assert document.metadata.title == f"{plan.street.name}: cut sheet, pre-grade"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert root["/Lang"] == "en"
    assert document.attachments["plan.json"][0].decode("utf-8") == plan_json(plan)


def test_the_same_plan_gives_the_same_bytes() -> None:
    first = cut_sheet(planned("teal-crescent"))
    again = cut_sheet(hardpan.make_plan(hardpan.read_street(example("teal-crescent"))))
    assert first == again


def heights(page: pypdf.PageObject) -> list[tuple[str, float]]:
    """Every piece of text with its height over the foot of the page, in points."""
    found: list[tuple[str, float]] = []

    def note(text: str, page_matrix: list[float], matrix: list[float], _: Any, __: Any) -> None:
        if text.strip():
            found.append((text.strip(), page_matrix[1] * matrix[4] + page_matrix[3] * matrix[5] + page_matrix[5]))

    page.extract_text(visitor_text=note)
    return found


@pytest.mark.parametrize(("paper", "pages"), [("a4", 1), ("us-letter", 2)])
def test_the_fullest_page_holds_its_rows_apart_and_ends_on_the_paper(tmp_path: Path, paper: Any, pages: int) -> None:
    # three sums, two lines of remarks, and as many stakes as a page takes: 24, which on the shorter paper are two days on two pages
    def one_strip(text: str) -> str:
        return text.replace("right,36,300,original,10", "3,36,300,original,25")

    plan = changed(tmp_path / "s", "kestrel-road", instructions=one_strip)
    assert len(plan.levels.stakes) == ROWS_A_PAGE["a4"]
    document = reader(cut_sheet(plan, paper=paper))
    assert len(document.pages) == pages
    for page in document.pages:
        found = heights(page)
        assert all(15 < height < page.mediabox.height - 15 for _, height in found)
        table = [height for text, height in found if re.fullmatch(r"0\+\d{3}", text)]
        rows = table[1:]  # the first is the lath's
        assert len(rows) >= 8
        assert all(above - below > 15 for above, below in pairwise(rows))
        assert rows[-1] > next(height for text, height in found if text.startswith("six check shots"))


def test_feet_name_side_offsets_in_feet() -> None:
    (text,) = texts(planned("kestrel-road"), unit="ft")
    assert f"left {4.5 / FOOT:.1f} ft" in text
    assert "0.03 ft low" in text
