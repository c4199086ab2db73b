"""CSV and XLSX: what is read back is what the plan says, under heads that name the unit."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import openpyxl
import pytest

import hardpan
from hardpan.exchange.figures_in_words import clock
from hardpan.exchange.tables import plan_tables, write_csv, write_xlsx
from hardpan.plan import CAUTION, Plan
from hardpan.plan.ground import WORDS
from hardpan.street import EXAMPLES

SHEETS = [
    "zones", "stakes", "loads", "fills", "run_outs", "water_trucks", "machine_times", "clocks", "worth", "bays", "notices",
]  # fmt: skip
MM = 1000


@pytest.fixture(scope="module", params=EXAMPLES)
def plan(request: pytest.FixtureRequest) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(request.param)))


@pytest.fixture(scope="module")
def tables(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[dict[str, str]]]:
    """Every CSV file, read back."""
    folder = tmp_path_factory.mktemp("tables")
    read = {}
    for path in write_csv(plan, folder):
        assert path.read_bytes().startswith(b"\xef\xbb\xbf")
        with path.open(encoding="utf-8-sig", newline="") as file:
            read[path.stem] = list(csv.DictReader(file))
    assert list(read) == SHEETS
    return read


def column(rows: list[dict[str, str]], name: str) -> list[float]:
    return [float(row[name]) for row in rows]


def test_zones(plan: Plan, tables: dict[str, list[dict[str, str]]]) -> None:
    rows = tables["zones"]
    assert [row["zone"] for row in rows] == [zone.name for zone in plan.zones]
    assert column(rows, "area [m2]") == pytest.approx([zone.area.value for zone in plan.zones], abs=0.05)
    assert column(rows, "cement [kg]") == pytest.approx([zone.cement.value for zone in plan.zones], abs=0.5)
    assert column(rows, "depth [mm]") == pytest.approx([zone.depth.value * MM for zone in plan.zones], abs=0.05)
    for head, values in {
        "low [mm]": [balance.low.value * MM for balance in plan.balance],
        "our sum [mm]": [balance.our_low.value * MM for balance in plan.balance],
        "our sum from [mm]": [balance.our_low.low * MM for balance in plan.balance],
        "our sum to [mm]": [balance.our_low.high * MM for balance in plan.balance],
        "rise by three phases [mm]": [balance.rise_by_three_phases.value * MM for balance in plan.balance],
        "rise by finished density [mm]": [balance.rise_by_final_density.value * MM for balance in plan.balance],
        "sum to target [L/m2]": [balance.water_to_target.value for balance in plan.balance],
    }.items():
        assert column(rows, head) == pytest.approx(values, abs=0.0501)
    assert column(rows, "air") == pytest.approx([balance.final_air.value for balance in plan.balance], abs=5e-5)
    assert [row["low: basis"] for row in rows] == [balance.low.basis.value for balance in plan.balance]


def test_stakes(plan: Plan, tables: dict[str, list[dict[str, str]]]) -> None:
    rows = tables["stakes"]
    points = [(stake, point) for stake in plan.levels.stakes for point in stake.points]
    reference = plan.levels.reference
    assert column(rows, "station [m]") == [stake.station_m for stake, _ in points]
    assert column(rows, f"design above {reference} [m]") == pytest.approx([p.design.value for _, p in points], abs=5e-5)
    assert column(rows, f"pre-grade above {reference} [m]") == pytest.approx(
        [p.pre_grade.value for _, p in points], abs=5e-5
    )
    assert column(rows, "low [mm]") == pytest.approx([p.low.value * MM for _, p in points], abs=0.0501)
    cuts = [float(row["cut from hub [m]"]) if row["cut from hub [m]"] else None for row in rows]
    assert [cut is None for cut in cuts] == [point.cut_from_hub is None for _, point in points]
    for cut, (_, point) in zip(cuts, points, strict=True):
        if point.cut_from_hub is not None:
            assert cut == pytest.approx(point.cut_from_hub.value, abs=5e-5)


def test_cement_and_water(plan: Plan, tables: dict[str, list[dict[str, str]]]) -> None:
    cement = plan.supply.cement
    assert [(row["time"], float(row["cement [kg]"])) for row in tables["loads"]] == [
        (clock(load.time_min), load.cement.value) for load in cement.loads
    ]
    assert column(tables["fills"], "cement [kg]") == pytest.approx(
        [fill.cement.value for fill in cement.fills], abs=0.5
    )
    outs = [(int(row["fill"]), int(row["strip"]), row["place"]) for row in tables["run_outs"]]
    assert outs == [(out.fill, out.strip, out.place) for out in cement.run_outs]
    assert column(tables["run_outs"], "station [m]") == pytest.approx(
        [out.station.value for out in cement.run_outs], abs=0.0501
    )
    empties, rows = plan.supply.water.empties, tables["water_trucks"]
    assert [int(row["cut"]) for row in rows] == [empty.cut for empty in empties]
    assert column(rows, "station [m]") == pytest.approx([empty.station.value for empty in empties], abs=0.0501)


def test_times_and_clocks(plan: Plan, tables: dict[str, list[dict[str, str]]]) -> None:
    runs = [(row["machine"], row["start"], row["end"]) for row in tables["machine_times"]]
    assert runs == [(run.machine, clock(run.start.value), clock(run.end.value)) for run in plan.shift.runs]
    assert column(tables["clocks"], "elapsed [min]") == pytest.approx(
        [each.elapsed.value for each in plan.shift.clocks], abs=0.0501
    )
    limits = [row["limit [min]"] for row in tables["clocks"]]
    assert [limit == "" for limit in limits] == [each.limit is None for each in plan.shift.clocks]


def test_bays(plan: Plan, tables: dict[str, list[dict[str, str]]]) -> None:
    rows, bays = tables["bays"], plan.ground.bays
    assert len(rows) == len(bays.strips) * bays.lengths_m.size
    zones = {zone.name: zone for zone in plan.zones}
    width, kilograms = plan.street.strips[0].width, 0.0
    for row in rows:
        length = float(row["to [m]"]) - float(row["from [m]"])
        kilograms += length * width * float(row["rate [kg/m2]"])
        assert float(row["rate [kg/m2]"]) == zones[row["zone"]].rate.value
        assert row["slow drive"] in WORDS
    assert kilograms == pytest.approx(plan.supply.cement.planned.value, abs=0.5)


def test_notices_and_worth(plan: Plan, tables: dict[str, list[dict[str, str]]]) -> None:
    assert [row["message"] for row in tables["notices"]] == [*(notice.message for notice in plan.notices), CAUTION]
    costs = {row["way"]: float(row["amount"]) for row in tables["worth"] if row["line"] == "cost"}
    worth = plan.supply.worth
    assert costs == {way.name: round(way.cost.value) for way in (worth.treatment, worth.dig_out)}


def test_numbers_stand_under_a_unit(plan: Plan) -> None:
    """A column of decimals names its unit, or is a ratio of one."""
    plain = {"cement over dry soil", "air", "amount"}
    for table in plan_tables(plan):
        for i, head in enumerate(table.columns):
            if any(isinstance(row[i], float) for row in table.rows) and "[" not in head:
                assert head in plain, (table.name, head)


def test_workbook_holds_the_same(plan: Plan, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(write_xlsx(plan, tmp_path / "plan.xlsx"))
    assert book.sheetnames == SHEETS
    for table in plan_tables(plan):
        sheet = book[table.name]
        assert sheet.freeze_panes == "A2"
        rows: list[tuple[Any, ...]] = list(sheet.iter_rows(values_only=True))
        assert rows[0] == table.columns
        assert [tuple("" if cell is None else cell for cell in row) for row in rows[1:]] == list(table.rows)
