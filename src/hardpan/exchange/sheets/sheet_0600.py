"""The 06:00 sheet: what the foreman hands out at six in the morning, one page a day or a part of one."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from hardpan.exchange.drawing.strip_map import draw_strip_map
from hardpan.exchange.figures_in_words import about, clock, hours, millimetres, number
from hardpan.exchange.sheets.order_sheet import truck_loads
from hardpan.exchange.sheets.pdf import Paper, alt_text, make_pdf
from hardpan.exchange.sheets.phrases import date_parts, setting_words
from hardpan.plan import Plan
from hardpan.plan.blocks import Block
from hardpan.plan.levels import Stake
from hardpan.plan.zone_ground import zone_ground
from hardpan.street.street import Structure

BLOCKS_A_PAGE = 3
STAKES_A_PAGE = (20, 14, 9)  # as many as stand there, as few as a crowded page leaves room for
OBSTACLES_A_PAGE = 6
REFILLS_TOLD = 5
STOP = (
    "gas smell or unlocated service \u00b7 person near drum or rollers \u00b7 dust leaving the street \u00b7 rain due inside mixing time \u00b7 "
    "mixer down: stop spreading \u00b7 water lost on open dry mix \u00b7 two trays in a row off \u00b7 odd soil: smell, ash, crystals"
)
BOXES = (
    "go", "ticket kg", "six shots", "fill started", "strip spread", "ran out here", "tray kg", "dry 1 2 3", "depth hole mm", "coupled", "truck empty",
    "squeeze", "feet walked out", "final roll",
)  # fmt: skip
WORKS = {
    ("mixer", "air, hood up"): "air, hood up", ("spreader", "spread"): "spread", ("mixer", "dry mix"): "dry mix", ("mixer", "wet mix"): "wet mix",
    ("padfoot", "roll"): "padfoot", ("grader", "trim, cut only"): "grader, cut only", ("smooth drum", "final rolling"): "smooth drum",
}  # fmt: skip


def sheet_0600(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the 06:00 sheet."""
    return make_pdf("sheet_0600", shown_0600(plan), plan, paper=paper)


def shown_0600(plan: Plan) -> dict[str, Any]:
    """What the sheet shows."""
    street = plan.street
    valid = street.file.locates.valid_to
    return {
        "title": f"{street.name}: 06:00 sheet",
        "about": "Plan of the day: how low, rate and depth, cement, times, water",
        "name": street.name,
        "date": date_parts(plan),
        "stop": STOP,
        "lows": _lows(plan),
        "rates": _rates(plan),
        "locates": f"locates valid to {valid:%A} {valid.day} {valid:%B}" if valid else "locates: not said",
        "agreed": _agreed(plan),
        "boxes": BOXES,
        "most_obstacles": OBSTACLES_A_PAGE,
        "pages": [_page(plan, blocks) for blocks in pages_of_blocks(plan)],
    }


def pages_of_blocks(plan: Plan) -> list[tuple[Block, ...]]:
    """Blocks of every page: of one day, at most three, shared out evenly."""
    pages = []
    for day in sorted({block.day for block in plan.shift.blocks}):
        mine = [block for block in plan.shift.blocks if block.day == day]
        count = -(-len(mine) // BLOCKS_A_PAGE)
        edges = [round(i * len(mine) / count) for i in range(count + 1)]
        pages += [tuple(mine[a:b]) for a, b in pairwise(edges)]
    return pages


def _weather(plan: Plan) -> list[str]:
    """Two lines of weather."""
    weather = plan.street.file.weather
    first = []
    if weather.low_c is not None and weather.high_c is not None:
        first.append(f"{weather.low_c:g} to {weather.high_c:g} \u00b0C")
    if weather.wind_to_km_h is not None:
        gusts = f", gusts {weather.gusts_km_h:g}" if weather.gusts_km_h is not None else ""
        first.append(f"wind {weather.wind_from_km_h or 0:g} to {weather.wind_to_km_h:g}{gusts} km/h")
    second = [f"dry to {weather.rain_from:%H:%M}, then rain"] if weather.rain_from else []
    if weather.next_nights_low_c is not None:
        second.append(f"next nights {weather.next_nights_low_c:+g} \u00b0C")
    return [" \u00b7 ".join(first) or "weather: not said", " \u00b7 ".join(second)]


def _lows(plan: Plan) -> list[dict[str, Any]]:
    """How low, by rate; zones that share both are said once."""
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        low, ours = balance.low, balance.our_low
        value, at = number(abs(low.value) * 1000), f"{zone.rate.value:.3g}"
        side = "mm" if low.value >= 0 else "mm high"
        source = (
            f"stated; our sum {about(ours)}{number(ours.value * 1000)}"
            if zone.instruction.low
            else "our sum; not said: ask"
        )
        band = f"between {number(ours.low * 1000)} and {number(ours.high * 1000)}" if ours.spread else ""
        notes = [(low.basis.value, source), *([("", band)] if band else [])]
        found.setdefault((value, at), {"value": value, "unit": f"{side} at {at}", "notes": notes})
    return list(found.values())[:3]


def _rates(plan: Plan) -> list[dict[str, Any]]:
    """Rate and depth; zones that share both are said once."""
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for zone in plan.zones:
        depth = f"{millimetres(zone.depth)} mm of {zone.depth_state}" + (
            ": not said" if zone.instruction.depth is None else ""
        )
        rate = f"{zone.rate.value:.3g}"
        found.setdefault(
            (rate, depth), {"value": rate, "unit": "kg/m\u00b2", "notes": [(zone.depth.basis.value, depth)]}
        )
    return list(found.values())[:3]


def _cement(plan: Plan, blocks: tuple[Block, ...]) -> dict[str, Any]:
    """Tonnes of the day with its loads; what is short on the whole street; where the spreader is refilled and where cement ends."""
    cement, show, day = plan.supply.cement, plan.street.stationing.show, blocks[0].day
    days = max(block.day for block in plan.shift.blocks)
    today = (
        sum(block.planned.value for block in cement.blocks if block.day == day)
        * cement.laid.value
        / max(cement.planned.value, 1.0)
    )
    loads = [load for load in cement.loads if load.day == day]
    lines = [
        f"{'proposed: ' if load.proposed else ''}{number(load.cement.value / 1000, 1)} t at {clock(load.time_min)}"
        for load in loads[:3]
    ]
    lines += [f"and {len(loads) - 3} more: order sheet"] if len(loads) > 3 else []
    lines += _carried(plan, day) + _over_the_rate(plan)
    lines += [f"whole street: order {number(cement.ordered.value / 1000, 1)} t"] if days > 1 else []
    numbers = {block.number for block in blocks}
    outs = [out for out in cement.run_outs if out.block in numbers]
    refills = [f"{show(round(out.station.value))} strip {out.strip}" for out in outs if not out.bare_after]
    ends = [f"{show(round(out.station.value))} strip {out.strip}" for out in outs if out.bare_after]
    more = f" and {len(refills) - REFILLS_TOLD} more: see the map" if len(refills) > REFILLS_TOLD else ""
    short = f"{number(cement.short.value)} kg short of the order" if cement.short.value > 0 else ""
    return {
        "tonnes": number(today / 1000, 1),
        "unit": "t today" if days > 1 else "t",
        "lines": lines,
        "short": short,
        "reaches": "planned rates still reach the end" if short and not cement.bare else "",
        "refills": f"refill at {', '.join(refills[:REFILLS_TOLD])}{more}" if refills else "",
        "ends": f"cement ends at {', '.join(ends)}" if ends else "",
    }


def _carried(plan: Plan, day: int) -> list[str]:
    """What the hopper holds in the morning from the day before."""
    first = next((fill for fill in plan.supply.cement.fills if fill.day == day), None)
    held = first.in_hopper.value - first.cement.value if first else 0.0
    return [f"{number(held / 1000, 1)} t in the hopper already"] if held >= 50 else []


def _over_the_rate(plan: Plan) -> list[str]:
    """What the spreader lays over the rate, so that nobody reckons the run-outs without it."""
    cement = plan.street.file.cement
    allowance = (cement.spread_allowance or cement.order_allowance).value
    return [f"laid at the rate and {allowance * 100:.3g} %"] if allowance else ["laid at the bare rate"]


def _water(plan: Plan, blocks: tuple[Block, ...]) -> dict[str, Any]:
    """Truck loads of the day, and metres a truck with the ground that gets each setting."""
    supply, truck = plan.supply.water, plan.street.file.water_truck
    mine = [block for block in plan.shift.blocks if block.day == blocks[0].day]
    loads, at_work = truck_loads(plan, mine), round(supply.trucks_at_work.value)
    metres = []
    for zone, planned in zip(supply.zones, plan.zones, strict=True):
        setting = f"{setting_words(zone.setting)} {zone.rate.value:.3g} L/m\u00b2"
        text = (
            f"{number(zone.cut_a_truck.value)} m a truck at {setting}, where {planned.rate.value:.3g}"
            if zone.cut_a_truck
            else f"none where {planned.rate.value:.3g}"
        )
        metres += [text] if text not in metres else []
    emptying = min((zone.minutes_a_truck.value for zone in supply.zones if zone.minutes_a_truck), default=None)
    keeps = (
        "tops up between blocks"
        if truck.tops_up_between_blocks
        else f"{at_work} keep the mixer moving"
        if at_work > 1
        else "one truck is enough"
    )
    lines = [f"{number(truck.volume.value)} L each", keeps]
    if emptying is not None and not truck.tops_up_between_blocks:
        lines.append(f"one empties in {number(emptying)} min")
    return {
        "trucks": str(loads),
        "unit": "truck loads" if loads != 1 else "truck load",
        "lines": lines,
        "metres": metres[:4],
    }


def _agreed(plan: Plan) -> list[str]:
    """Who agreed the rates, zones agreed together said together."""
    found: dict[tuple[str, str, str], list[str]] = {}
    for zone in plan.zones:
        said = zone.instruction
        when = f"{said.said_at:%a} {said.said_at.day} {said.said_at:%B %H:%M}" if said.said_at else "time not said"
        where = f", {said.where}" if said.where else ""
        what = f"{zone.rate.value:.3g} kg/m\u00b2" + ("" if said.depth is not None else " (depth: not said)")
        found.setdefault((when + where, said.said_by or "not said", said.heard_by or "not said"), []).append(what)
    return [
        f"{' and '.join(dict.fromkeys(rates))}: {when}. Said: {said}. Heard: {heard}."
        for (when, said, heard), rates in list(found.items())[:4]
    ]


def _heed(plan: Plan, blocks: tuple[Block, ...]) -> list[str]:
    """The notices that matter most on paper, of these blocks and with the place of their zone: safety, limits, shortage.

    That a fill peels stands beside the stakes already.
    """
    order = {"safety": 0, "limit": 1, "shortage": 2}
    mattering = [notice for notice in plan.notices if notice.kind in order and notice not in plan.levels.notices]
    told = [
        (notice, _where(plan, blocks, notice.place))
        for notice in sorted(mattering, key=lambda notice: order[notice.kind])
    ]
    return [f"{where}: {notice.message}" if where else notice.message for notice, where in told if where is not None]


def _where(plan: Plan, blocks: tuple[Block, ...], place: str) -> str | None:
    """Place of a notice on this page: a zone's name with its stretch, a block's number; None where it lies on another page."""
    numbers = re.fullmatch(r"block (\d+)", place)
    if numbers:
        return place if int(numbers[1]) in {block.number for block in blocks} else None
    zone = next((zone for zone in plan.zones if zone.name == place), None)
    if zone is None or zone.instruction.elsewhere:
        return place
    start, end = blocks[0].start_m, blocks[-1].end_m
    here = any(piece.start_m < end and piece.end_m > start for piece in zone.pieces)
    stretch = plan.street.place(zone.instruction.start, zone.instruction.end, zone.instruction.strips)
    return f"{place}, {stretch}" if here else None


def _page(plan: Plan, blocks: tuple[Block, ...]) -> dict[str, Any]:
    """One page: the map, stakes, times and obstacles of its blocks."""
    show, shift = plan.street.stationing.show, plan.street.file.shift
    start, end = blocks[0].start_m, blocks[-1].end_m
    drawn = draw_strip_map(plan, blocks=blocks, also_below=False)
    day = blocks[0].day
    days = max(block.day for block in plan.shift.blocks)
    dated = shift.date if day == 1 else None
    when = f"{dated:%A} {dated.day} {dated:%B}" if dated else f"day {day}"
    counted = f" of {days}" if not dated and days > 1 else f", day {day} of {days}" if days > 1 else ""
    stretch = f" \u00b7 {show(start)} to {show(end)}" if len(pages_of_blocks(plan)) > 1 else ""
    obstacles = [one for one in plan.street.structures if start <= one.start <= end or start <= one.end <= end]
    return {
        "under": f"{when}{counted} \u00b7 shift {shift.start:%H:%M} to {shift.end:%H:%M}{stretch}",
        "weather": _weather(plan) if day == 1 else ["weather: not said for this day", ""],
        "map": drawn.svg,
        "map_words": alt_text(drawn.words),
        "also": list(drawn.also),
        "ground": _ground(plan, start, end),
        "cement": _cement(plan, blocks),
        "water": _water(plan, blocks),
        "heed": _heed(plan, blocks),
        "size": f"{plan.street.width:.4g} m wide \u00b7 strip 1 is the leftmost looking up-station \u00b7 every strip and cut is worked up-station",
        "last": _last(plan, blocks),
        "stakes": [_stakes(plan, start, end, most=most) for most in STAKES_A_PAGE],
        "times": _times(plan, blocks),
        "stretch": f"{show(start)} to {show(end)}",
        "obstacles": [_obstacle(plan, one) for one in obstacles],
    }


def _ground(plan: Plan, start: float, end: float) -> list[dict[str, str]]:
    """One line of ground for every zone of a stretch."""
    return [
        {"zone": zone.name, "line": zone_ground(plan.ground, zone).short(plan.street)}
        for zone in plan.zones
        if any(piece.start_m < end and piece.end_m > start for piece in zone.pieces)
    ]


def _last(plan: Plan, blocks: tuple[Block, ...]) -> dict[str, Any]:
    """Latest first mix of the last block, what the plan says, and the limits."""
    start = next(each for each in plan.shift.latest_starts if each.block == blocks[-1].number)
    limits = plan.street.file.limits.clock
    written = "; ".join(
        f"{limit.start} {hours(limit.within.value)}: {limit.owner or 'owner not said'}" for limit in limits
    )
    return {
        "time": clock(start.latest.value),
        "lines": [f"block {start.block}: mix no later, to", f"close before {start.before}"],
        "plan": f"plan says {clock(start.planned.value)}",
        "limit": written or "no limit is written",
    }


def _stakes(plan: Plan, start: float, end: float, *, most: int) -> dict[str, Any]:
    """Stakes of a stretch, left, centre and right; thinned evenly where there are too many for the page."""
    levels = plan.levels
    here = [stake for stake in levels.stakes if start <= stake.station_m <= end]
    must = [stake for stake in here if stake.remark]
    thin = 1
    while len([s for i, s in enumerate(here) if i % thin == 0 or s.remark]) > most and thin < len(here):
        thin += 1
    rows = [stake for i, stake in enumerate(here) if i % thin == 0 or stake in must][:most]
    chosen = (0, len(here[0].points) // 2, len(here[0].points) - 1) if here else ()
    down = levels.reference not in ("datum", "design")
    title = {"datum": "stakes: pre-grade level, m", "design": "stakes: mm below design"}.get(
        levels.reference, f"stakes: pre-grade, mm down from {levels.reference}"
    )
    note = "not every stake; all in the cut sheet. " if len(rows) < len(here) else ""
    return {
        "title": title,
        "points": [here[0].points[i].name for i in chosen] if here else [],
        "rows": [
            {
                "station": plan.street.stationing.show(s.station_m),
                "seen": s.seen_by,
                "remark": s.remark,
                "basis": "default" if any(s.points[i].low.basis.value == "default" for i in chosen) else "",
                "values": [_stake_value(s, i, levels.reference, down=down) for i in chosen],
            }
            for s in rows
        ],
        "note": f"{note}Cut only: a thin fill peels.",
        "dotted": any(point.low.basis.value == "default" for stake in rows for point in stake.points),
    }


def _stake_value(stake: Stake, point: int, reference: str, *, down: bool) -> str:
    """What is written for one point of a stake."""
    one = stake.points[point]
    if reference == "design":
        return millimetres(one.low)
    return number(-one.pre_grade.value * 1000) if down else f"{one.pre_grade.value:.3f}"


def _times(plan: Plan, blocks: tuple[Block, ...]) -> dict[str, Any]:
    """Start and end of every machine, a column a block."""
    rows = []
    for (machine, work), words in WORKS.items():
        cells = []
        for block in blocks:
            runs = [
                run
                for run in plan.shift.runs
                if run.block == block.number and (run.machine, run.work) == (machine, work)
            ]
            cells.append(", ".join(f"{clock(run.start.value)} \u2013 {clock(run.end.value)}" for run in runs))
        if any(cells):
            rows.append({"work": words, "times": cells})
    starts = [
        clock(run.start.value)
        for block in blocks
        for run in plan.shift.runs
        if run.block == block.number and run.work == "spread"
    ]
    return {
        "heads": [f"block {block.number}" for block in blocks],
        "rows": rows,
        "note": f"first cement on wet soil {', '.join(starts)}: write the real times",
    }


def _obstacle(plan: Plan, one: Structure) -> tuple[str, str, str]:
    """Station, what and where across, how to meet it."""
    across = "full width" if one.side == "full" else one.side
    if one.side_offset not in (None, 0.0):
        across = f"{one.side} {abs(one.side_offset):g} m"
    name = one.kind if one.id == one.kind else f"{one.id} {one.kind}"
    care = [one.method] if one.method else []
    if one.top_depth is not None:
        care.insert(0, f"{one.top_depth.value:g} m below pre-grade")
    if one.clearance is not None and not one.method:
        care.append(f"hand work {one.clearance.value:g} m round it")
    show = plan.street.stationing.show
    where = f"{show(one.start)} to {show(one.end)}" if one.end > one.start else show(one.start)
    return where, f"{name}, {across}", ", ".join(care)
