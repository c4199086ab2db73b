"""Time and distance of the planned shift: station across, time down, one slanted line a run along the street.

Each machine has its own line; planned runs are dashed where the machine's own line is not already broken. Clocks stand beside, with their
limit as a fence where one is written.
"""

from __future__ import annotations

from typing import Any

import altair as alt
import vl_convert as vlc

from hardpan.exchange.drawing.ink import CLAY, INK, LOAM, PAPER, RULE, STOP, WATER
from hardpan.exchange.drawing.lettering import FAMILY, font_folder
from hardpan.exchange.figures_in_words import clock, hours, number
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.shift import Run

WIDTH, A_HOUR = 720, 74  # pixels
ROLLING_PASSES = 2  # runs drawn of a roller or grader; it makes more
HOUR = 60.0  # minutes an hour
CROSS = "M-1,-1L1,1M1,-1L-1,1"

# dash and weight of each machine's line; colour is for water alone
LINES = {
    "spreader": ([1, 5], 3.2, INK),
    "mixer, dry": ([1, 0], 1.8, INK),
    "mixer, wet": ([1, 0], 3.4, WATER),
    "padfoot": ([5, 4], 4.0, INK),
    "grader": ([16, 6], 2.0, INK),
    "smooth drum": ([1, 0], 1.0, INK),
}


def draw_time_distance(plan: Plan, day: int) -> str:
    """SVG of one day's runs and clocks."""
    blocks = [block for block in plan.shift.blocks if block.day == day]
    first, last = _hours(plan, day)
    distance = _distance(plan, blocks, first, last)
    chart = (
        alt.hconcat(distance, _clocks(plan, blocks, first, last), spacing=30)
        .configure(**_look())
        .resolve_scale(color="independent")
    )
    vlc.register_font_directory(str(font_folder()))
    svg: str = vlc.vegalite_to_svg(chart.to_dict(), allowed_base_urls=[])
    return svg


def _look() -> dict[str, Any]:
    """Our face and ink for everything that the chart writes."""
    return {
        "font": FAMILY,
        "background": PAPER,
        "view": {"stroke": None},
        "axis": {
            "labelColor": INK,
            "labelFontSize": 15,
            "labelFontWeight": 700,
            "titleColor": LOAM,
            "titleFontSize": 15,
            "titleFontWeight": 400,
            "gridColor": RULE,
            "domain": False,
            "tickColor": INK,
        },
        "title": {"font": FAMILY, "fontSize": 18, "fontWeight": 700, "color": INK, "anchor": "start"},
    }


def _hours(plan: Plan, day: int) -> tuple[float, float]:
    """First and last whole hour of the day, in minutes after midnight, loads and limits included."""
    runs = [run for run in plan.shift.runs if run.day == day]
    loads = [load.time_min for load in plan.supply.cement.loads if load.day == day]
    numbers = {block.number for block in plan.shift.blocks if block.day == day}
    fences = [each.start.value + each.limit.value for each in plan.shift.clocks if each.limit and each.block in numbers]
    early = min([run.start.value for run in runs] + loads)
    late = max([run.end.value for run in runs] + fences)
    return HOUR * (early // HOUR), HOUR * -(-late // HOUR)


def _run_kind(run: Run) -> str:
    """Name of a run's line."""
    if run.machine == "mixer":
        return "mixer, wet" if run.work == "wet mix" else "mixer, dry"
    return run.machine


def _trips(plan: Plan, block: Block, run: Run) -> int:
    """Lines to draw for a run: a strip or a cut each, fewer than rolled for rollers and grader."""
    if run.machine == "spreader":
        return len(plan.street.strips)
    if run.machine == "mixer":
        passes = 1 if run.work != "dry mix" else len(block.durations.dry)
        return passes * len(plan.shift.cuts)
    return ROLLING_PASSES


def _lines(plan: Plan, blocks: list[Block]) -> list[dict[str, Any]]:
    """End points of every slanted line; the spreader always drives up-station, the others to and fro."""
    rows: list[dict[str, Any]] = []
    for block in blocks:
        for run in (run for run in plan.shift.runs if run.block == block.number):
            trips = _trips(plan, block, run)
            each = (run.end.value - run.start.value) / trips
            for trip in range(trips):
                ends = (
                    (block.start_m, block.end_m)
                    if trip % 2 == 0 or run.machine == "spreader"
                    else (block.end_m, block.start_m)
                )
                name = f"{run.block} {run.machine} {run.work} {trip}"
                start = run.start.value + trip * each
                rows.append({"run": name, "kind": _run_kind(run), "station": ends[0], "minute": start})
                rows.append({"run": name, "kind": _run_kind(run), "station": ends[1], "minute": start + each})
    return rows


def _labels(plan: Plan, blocks: list[Block]) -> list[dict[str, Any]]:
    """A word in the middle of every run; water with its litres. Runs that overlap in time write at different places across."""
    places = {
        "spreader": 0.2,
        "mixer, dry": 0.5,
        "mixer, wet": 0.72,
        "padfoot": 0.3,
        "grader": 0.62,
        "smooth drum": 0.75,
    }
    litres = {each.block: each.litres.value for each in plan.supply.water.blocks}
    rows = []
    for block in blocks:
        for run in (run for run in plan.shift.runs if run.block == block.number):
            kind = _run_kind(run)
            words = {
                "spread": "spread",
                "dry mix": "dry",
                "wet mix": f"wet, {number(litres[block.number])} L",
                "air, hood up": "air, hood up",
            }.get(run.work, kind)
            rows.append(
                {
                    "text": words,
                    "kind": kind,
                    "station": block.start_m + places[kind] * (block.end_m - block.start_m),
                    "minute": (run.start.value + run.end.value) / 2,
                }
            )
    return rows


def _chart(rows: list[dict[str, Any]]) -> alt.Chart:
    """Chart of some rows."""
    return alt.Chart(alt.InlineData(values=rows))


def _scales(first: float, last: float) -> alt.Y:
    """Time axis, downwards."""
    ticks = [first + HOUR * i for i in range(int((last - first) // HOUR) + 1)]
    return alt.Y(
        "minute:Q",
        scale=alt.Scale(domain=[last, first]),
        axis=alt.Axis(values=ticks, labelExpr="format(floor(datum.value/60),'02d')+':00'", title=None, tickSize=0),
    )


def _distance(plan: Plan, blocks: list[Block], first: float, last: float) -> alt.LayerChart | alt.FacetChart:
    """Runs over station and time, block joints, run-outs, loads."""
    show = plan.street.stationing.show
    edges = sorted({place for block in blocks for place in (block.start_m, block.end_m)})
    names = ", ".join(f"{place!r}: '{show(place)}'" for place in edges)
    x = alt.X(
        "station:Q",
        scale=alt.Scale(domain=[edges[0], edges[-1]], nice=False),
        axis=alt.Axis(
            values=edges, orient="top", labelExpr="{" + names + "}[datum.value]", title=None, grid=False, tickSize=8
        ),
    )
    y = _scales(first, last)
    size = {"width": WIDTH, "height": A_HOUR * (last - first) / HOUR}
    kinds = list(LINES)
    colour = alt.Color("kind:N", scale=alt.Scale(domain=kinds, range=[LINES[kind][2] for kind in kinds]), legend=None)
    layers: list[alt.Chart] = [
        _chart([{"station": edge} for edge in edges]).mark_rule(color=INK, strokeWidth=1.6).encode(x=x)
    ]
    for kind in kinds:
        dash, weight, _ = LINES[kind]
        rows = [row for row in _lines(plan, blocks) if row["kind"] == kind]
        mark = _chart(rows).mark_line(
            strokeDash=dash, strokeWidth=weight, strokeCap="round" if kind == "spreader" else "butt"
        )
        layers.append(mark.encode(x=x, y=y, detail="run:N", color=colour))
    words = _chart(_labels(plan, blocks))
    layers.append(
        words.mark_text(fontSize=15, fontWeight=600, stroke=PAPER, strokeWidth=5, strokeJoin="round").encode(
            x=x, y=y, text="text:N"
        )
    )
    layers.append(words.mark_text(fontSize=15, fontWeight=600).encode(x=x, y=y, text="text:N", color=colour))
    return alt.layer(*layers, *_run_outs(plan, blocks, x, y), *_loads(plan, blocks[0].day, edges, x, y)).properties(
        **size
    )


def _run_outs(plan: Plan, blocks: list[Block], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Hollow crosses where a fill is predicted to run out, at the share of the spreading that lies before."""
    rows = []
    for block in blocks:
        spread = next(run for run in plan.shift.runs if run.block == block.number and run.machine == "spreader")
        for out in (out for out in plan.supply.cement.run_outs if out.block == block.number):
            share = (out.strip - 1 + (out.station.value - block.start_m) / (block.end_m - block.start_m)) / len(
                plan.street.strips
            )
            rows.append(
                {
                    "station": out.station.value,
                    "minute": spread.start.value + share * (spread.end.value - spread.start.value),
                    "text": f"runs out {plan.street.stationing.show(round(out.station.value))}",
                }
            )
    data = _chart(rows)
    crosses = [
        data.mark_point(shape=CROSS, filled=False, size=130, stroke=ink, strokeWidth=weight, opacity=1).encode(x=x, y=y)
        for ink, weight in ((INK, 7.0), (PAPER, 3.4))
    ]
    return [
        *crosses,
        data.mark_text(fontSize=14, fontWeight=700, dy=17, stroke=PAPER, strokeWidth=5).encode(x=x, y=y, text="text:N"),
        data.mark_text(fontSize=14, fontWeight=700, dy=17, color=INK).encode(x=x, y=y, text="text:N"),
    ]


def _loads(plan: Plan, day: int, edges: list[float], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Loads as dotted lines across at the time they are due."""
    rows = [
        {
            "station": edges[-1],
            "minute": load.time_min,
            "text": f"{load.ticket or f'load {load.number}'}: {number(load.cement.value)} kg",
        }
        for load in plan.supply.cement.loads
        if load.day == day
    ]
    data = _chart(rows)
    return [
        data.mark_rule(color=INK, strokeWidth=1.4, strokeDash=[2, 3]).encode(y=y),
        data.mark_text(fontSize=14, fontWeight=700, color=CLAY, align="right", dx=-6, dy=-9).encode(
            x=x, y=y, text="text:N"
        ),
    ]


def _clocks(plan: Plan, blocks: list[Block], first: float, last: float) -> alt.LayerChart | alt.FacetChart:
    """Planned clocks beside: dashed to their end, a fence at the limit where one is written."""
    numbers = [block.number for block in blocks]
    clocks = [
        each
        for each in plan.shift.clocks
        if each.block in numbers
        and (each.limit or not plan.street.file.limits.clock)
        and each.starts_with != "cement on the ground"
    ]
    rows = [
        {
            "clock": f"{each.block} {'mix' if each.starts_with == 'first mix' else each.starts_with}", "start": each.start.value, "stop": each.stop.value,
            "fence": each.start.value + each.limit.value if each.limit else None, "elapsed": hours(each.elapsed.value),
            "by": clock(each.start.value + each.limit.value) if each.limit else "no limit", "ink": WATER if each.starts_with == "water" else INK,
        }
        for each in clocks
    ]  # fmt: skip
    scale = alt.Scale(domain=[last, first])
    data = _chart(rows)
    x = alt.X("clock:N", sort=None, axis=alt.Axis(orient="top", title="clocks, by block", labelAngle=0, tickSize=0))
    start = alt.Y("start:Q", scale=scale, axis=None)
    ink = alt.Stroke("ink:N", scale=None)
    return alt.layer(
        data.mark_bar(filled=False, strokeDash=[5, 4], strokeWidth=2, size=22).encode(
            x=x, y=start, y2="stop:Q", stroke=ink
        ),
        data.transform_filter("datum.fence != null")
        .mark_tick(color=STOP, thickness=5, size=34, orient="horizontal")
        .encode(x=x, y=alt.Y("fence:Q", scale=scale)),
        data.transform_filter("datum.fence != null")
        .mark_text(fontSize=14, fontWeight=700, color=STOP, dy=14)
        .encode(x=x, y=alt.Y("fence:Q", scale=scale), text="by:N"),
        data.mark_text(fontSize=14, fontWeight=700, angle=270, color=INK)
        .transform_calculate(middle="(datum.start + datum.stop) / 2")
        .encode(x=x, y=alt.Y("middle:Q", scale=scale), text="elapsed:N"),
    ).properties(width=62 * len(rows), height=A_HOUR * (last - first) / HOUR)
