"""The plan as tables, units in the headers: CSV files and one XLSX workbook."""

from __future__ import annotations

import csv
import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from hardpan.exchange.figures_in_words import clock
from hardpan.plan import CAUTION, Plan
from hardpan.plan.ground import WORDS
from hardpan.street import Figure

Cell = str | float | int
WIDEST = 60


@dataclass(frozen=True, slots=True)
class Table:
    """One table: its name, its columns with units in brackets, its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def plan_tables(plan: Plan) -> tuple[Table, ...]:
    """Every table of a plan."""
    return (
        _zones(plan),
        _stakes(plan),
        _loads(plan),
        _fills(plan),
        _run_outs(plan),
        _trucks(plan),
        _times(plan),
        _clocks(plan),
        _worth(plan),
        _bays(plan),
        _notices(plan),
    )


def write_csv(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Write one CSV file a table, UTF-8 with a byte-order mark so that spreadsheets read it right."""
    paths = []
    for table in plan_tables(plan):
        path = folder / f"{table.name}.csv"
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(table.columns)
            writer.writerows(table.rows)
        paths.append(path)
    return tuple(paths)


def write_xlsx(plan: Plan, path: Path) -> Path:
    """Write one workbook, a sheet a table, heads frozen."""
    book = Workbook()
    for empty in book.worksheets:
        book.remove(empty)
    for table in plan_tables(plan):
        sheet = book.create_sheet(table.name)
        sheet.append(table.columns)
        for row in table.rows:
            sheet.append(row)
        for i, column in enumerate(table.columns, start=1):
            longest = max([len(column), *(len(str(row[i - 1])) for row in table.rows)])
            sheet.column_dimensions[get_column_letter(i)].width = min(WIDEST, longest + 2)
            head = sheet.cell(row=1, column=i)
            head.font, head.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
        sheet.freeze_panes = "A2"
    date = plan.street.file.shift.date or dt.date(2000, 1, 1)
    book.properties.title, book.properties.creator = f"{plan.street.name}: plan", "Hardpan"
    book.properties.created = book.properties.modified = dt.datetime.combine(date, dt.time())
    book.save(path)
    return path


def _value(figure: Figure | None, decimals: int) -> Cell:
    """Figure rounded for a cell; empty where there is none."""
    return "" if figure is None else round(figure.value, decimals)


def _zones(plan: Plan) -> Table:
    """Zones with their balance."""
    columns = (
        "zone", "rate [kg/m2]", "depth [mm]", "depth state", "area [m2]", "cement [kg]", "cement over dry soil", "water setting", "water [L/m2]", "water [L]",
        "sum to target [L/m2]", "low [mm]", "our sum [mm]", "our sum from [mm]", "our sum to [mm]", "rise by three phases [mm]", "rise by finished density [mm]",
        "finished dry density [kg/m3]", "air", "low: basis", "said by", "heard by",
    )  # fmt: skip
    rows = tuple(
        (
            zone.name, _value(zone.rate, 2), round(zone.depth.value * 1000, 1), zone.depth_state, _value(zone.area, 1), _value(zone.cement, 0),
            _value(balance.cement_content, 4), balance.water_setting, _value(balance.water, 1), _value(water.litres, 0), _value(balance.water_to_target, 1),
            round(balance.low.value * 1000, 1), round(balance.our_low.value * 1000, 1), round(balance.our_low.low * 1000, 1), round(balance.our_low.high * 1000, 1),
            round(balance.rise_by_three_phases.value * 1000, 1), round(balance.rise_by_final_density.value * 1000, 1),
            _value(balance.final_dry_density, 0), _value(balance.final_air, 4), balance.low.basis.value, zone.instruction.said_by, zone.instruction.heard_by,
        )
        for zone, balance, water in zip(plan.zones, plan.balance, plan.supply.water.zones, strict=True)
    )  # fmt: skip
    return Table("zones", columns, rows)


def _stakes(plan: Plan) -> Table:
    """Levels at every stake and side offset, above the datum or the thing they are measured from (below it: negative)."""
    columns = (
        "station [m]",
        "station",
        "seen by",
        "remark",
        "point",
        "side offset [m]",
        f"design above {plan.levels.reference} [m]",
        "low [mm]",
        f"pre-grade above {plan.levels.reference} [m]",
        "hub [m]",
        "cut from hub [m]",
    )
    rows = tuple(
        (
            round(stake.station_m, 3), plan.street.stationing.show(stake.station_m), stake.seen_by, stake.remark, point.name, point.side_offset_m,
            _value(point.design, 4), round(point.low.value * 1000, 1), _value(point.pre_grade, 4), _value(stake.hub, 4), _value(point.cut_from_hub, 4),
        )
        for stake in plan.levels.stakes
        for point in stake.points
    )  # fmt: skip
    return Table("stakes", columns, rows)


def _loads(plan: Plan) -> Table:
    """Bulk loads."""
    rows = tuple(
        (
            load.number,
            load.day,
            clock(load.time_min),
            _value(load.cement, 0),
            load.ticket,
            "proposed" if load.proposed else "stated",
        )
        for load in plan.supply.cement.loads
    )
    return Table("loads", ("load", "day", "time", "cement [kg]", "ticket", "basis"), rows)


def _fills(plan: Plan) -> Table:
    """Spreader fills."""
    rows = tuple(
        (fill.number, fill.day, fill.load, _value(fill.cement, 0), _value(fill.in_hopper, 0))
        for fill in plan.supply.cement.fills
    )
    return Table("fills", ("fill", "day", "load", "cement [kg]", "in hopper [kg]"), rows)


def _run_outs(plan: Plan) -> Table:
    """Where fills run out."""
    columns = ("fill", "day", "block", "strip", "station [m]", "place", "back up to [m]", "then")
    rows = tuple(
        (
            out.fill,
            out.day,
            out.block,
            out.strip,
            _value(out.station, 1),
            out.place,
            round(out.back_up_to_m, 1),
            "no cement left" if out.bare_after else "refill, tray",
        )
        for out in plan.supply.cement.run_outs
    )
    return Table("run_outs", columns, rows)


def _trucks(plan: Plan) -> Table:
    """Where water trucks empty."""
    rows = tuple(
        (empty.truck, empty.day, empty.block, empty.cut, _value(empty.station, 1), empty.place)
        for empty in plan.supply.water.empties
    )
    return Table("water_trucks", ("truck", "day", "block", "cut", "station [m]", "place"), rows)


def _times(plan: Plan) -> Table:
    """Runs by time of day."""
    rows = tuple(
        (
            run.day,
            run.block,
            run.machine,
            run.work,
            clock(run.start.value),
            clock(run.end.value),
            round(run.end.value - run.start.value, 1),
        )
        for run in plan.shift.runs
    )
    return Table("machine_times", ("day", "block", "machine", "work", "start", "end", "minutes [min]"), rows)


def _clocks(plan: Plan) -> Table:
    """Clocks against limits."""
    columns = (
        "block",
        "starts with",
        "stops with",
        "start",
        "stop",
        "elapsed [min]",
        "limit [min]",
        "owner",
        "written in",
    )
    rows = tuple(
        (
            each.block,
            each.starts_with,
            each.stops_with,
            clock(each.start.value),
            clock(each.stop.value),
            _value(each.elapsed, 1),
            _value(each.limit, 0),
            each.owner,
            each.source,
        )
        for each in plan.shift.clocks
    )
    return Table("clocks", columns, rows)


def _worth(plan: Plan) -> Table:
    """Cost and carbon beside digging out."""
    worth = plan.supply.worth
    rows: list[tuple[Cell, ...]] = [
        (way.name, item.name, round(item.amount.value), "$")
        for way in (worth.treatment, worth.dig_out)
        for item in way.items
    ]
    for way in (worth.treatment, worth.dig_out):
        rows += [
            (way.name, "cost", round(way.cost.value), "$"),
            (way.name, "cost a square metre", round(way.cost_a_square_metre.value, 2), "$/m2"),
        ]
        rows += [
            (way.name, "carbon", round(way.carbon.value), "kg CO2e"),
            (way.name, "loads", round(way.loads.value), "1"),
        ]
    return Table("worth", ("way", "line", "amount", "unit"), tuple(rows))


def _bays(plan: Plan) -> Table:
    """Every bay: what the drive found, what it gets."""
    bays = plan.ground.bays
    edges, middles = bays.edges_m.tolist(), bays.middles_m.tolist()
    zone_of = {(piece.strip, piece.start_m, piece.end_m): zone for zone in plan.zones for piece in zone.pieces}
    rows = []
    for row, strip in enumerate(bays.strips):
        mine = sorted((start, end, zone) for (number, start, end), zone in zone_of.items() if number == strip)
        for i, middle in enumerate(middles):
            zone = next(zone for start, end, zone in mine if start < middle < end)
            rows.append(
                (
                    strip,
                    edges[i],
                    edges[i + 1],
                    WORDS[plan.ground.word[row, i]],
                    zone.name,
                    _value(zone.rate, 2),
                    round(zone.depth.value * 1000, 1),
                )
            )
    return Table(
        "bays", ("strip", "from [m]", "to [m]", "slow drive", "zone", "rate [kg/m2]", "depth [mm]"), tuple(rows)
    )


def _notices(plan: Plan) -> Table:
    """Notices, and the caution."""
    rows = [(notice.kind, notice.message, notice.place, notice.value, notice.limit) for notice in plan.notices]
    return Table("notices", ("kind", "message", "place", "value", "limit"), (*rows, ("safety", CAUTION, "", "", "")))
