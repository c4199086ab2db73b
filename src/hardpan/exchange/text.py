"""The plan as readable text: what a foreman asks, in the order in which it is asked."""

from __future__ import annotations

import io

from rich.console import Console
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from hardpan.exchange.figures_in_words import about, clock, hours, millimetres, number, say
from hardpan.exchange.odds_in_words import odds_lines, odds_title
from hardpan.plan import CAUTION, Plan
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.levels import StakePoint
from hardpan.plan.shift import Clock, LatestStart
from hardpan.plan.zone_ground import zone_ground
from hardpan.plan.zones import Zone
from hardpan.street import Figure
from hardpan.street.figure import Notice
from hardpan.street.places import say_strips
from hardpan.street.words import say_odds

WIDTH = 110
BLOCKS_ACROSS = 5  # clocks of more blocks stand in a further table
SHADES = {
    "shortage": "bold red",
    "limit": "bold red",
    "safety": "bold",
    "missing": "yellow",
    "default": "yellow",
    "judgement": "yellow",
}


def plan_text(plan: Plan, *, width: int = WIDTH) -> str:
    """Plan as plain text, without colour."""
    console = Console(file=io.StringIO(), width=width, no_color=True, highlight=False, force_terminal=False)
    print_plan(plan, console)
    file = console.file
    return file.getvalue() if isinstance(file, io.StringIO) else ""


def print_plan(plan: Plan, console: Console) -> None:
    """Print a plan to a terminal."""
    _head(plan, console)
    _ground(plan, console)
    _zones(plan, console)
    _odds(plan, console)
    _cement(plan, console)
    _water(plan, console)
    _stakes(plan, console)
    _times(plan, console)
    _obstacles(plan, console)
    _worth(plan, console)
    _agreed(plan, console)
    _notices(plan, console)
    console.print()
    console.print(Text(CAUTION, style="bold"))


def _section(console: Console, title: str) -> None:
    """Head of a section."""
    console.print()
    console.print(Rule(title, align="left", style="bold", characters="\u2500"))


def _line(console: Console, text: str, style: str = "") -> None:
    """One line of text, wrapped with its indent."""
    console.print(Padding(Text(text, style=style), (0, 0, 0, 2)))


def _table(*columns: tuple[str, str]) -> Table:
    """Plain table; each column a head and a side."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for head, side in columns:
        table.add_column(head, justify="right" if side == "right" else "left")
    return table


def _show(console: Console, table: Table) -> None:
    """Print a table, indented."""
    console.print(Padding(table, (0, 0, 0, 2)))


def _head(plan: Plan, console: Console) -> None:
    """Name, place, day, weather, size."""
    street, shift, weather = plan.street, plan.street.file.shift, plan.street.file.weather
    console.print(Text(street.name, style="bold") + Text(f"  {street.file.place}"))
    day = f"{shift.date:%A} {shift.date.day} {shift.date:%B %Y}, " if shift.date else ""
    _line(console, f"{day}shift {shift.start:%H:%M} to {shift.end:%H:%M}")
    says = []
    if weather.low_c is not None and weather.high_c is not None:
        says.append(f"{weather.low_c:g} to {weather.high_c:g} \u00b0C")
    if weather.wind_to_km_h is not None:
        gusts = f", gusts {weather.gusts_km_h:g}" if weather.gusts_km_h is not None else ""
        says.append(f"wind {weather.wind_from_km_h or 0:g} to {weather.wind_to_km_h:g}{gusts} km/h")
    if weather.rain_from is not None:
        says.append(f"rain from {weather.rain_from:%H:%M}")
    if weather.next_nights_low_c is not None:
        says.append(f"lowest of the next nights {weather.next_nights_low_c:+g} \u00b0C")
    if says:
        _line(console, "; ".join(says))
    count = len(street.strips)
    size = f"{street.stationing.show(street.stationing.first)} to {street.stationing.show(street.stationing.last)}, {street.width:.4g} m wide"
    _line(
        console,
        f"{size}, {count} strips of {street.strips[0].width:.2f} m, {number(sum(zone.area.value for zone in plan.zones))} m2",
    )


def _places(plan: Plan, zone: Zone) -> str:
    """Where a zone is."""
    if zone.instruction.elsewhere:
        return "elsewhere"
    by_stretch: dict[tuple[float, float], list[int]] = {}
    for piece in zone.pieces:
        by_stretch.setdefault((piece.start_m, piece.end_m), []).append(piece.strip)
    show = plan.street.stationing.show
    return "; ".join(
        f"{show(a)} to {show(b)}, {say_strips(tuple(strips), len(plan.street.strips))}"
        for (a, b), strips in by_stretch.items()
    )


def _ground(plan: Plan, console: Console) -> None:
    """Ground a line a zone, and the penetrometer tests that help most."""
    _section(console, "ground: what was read, how strong it is")
    for zone in plan.zones:
        _line(console, f"{zone.name}: {zone_ground(plan.ground, zone).line(plan.street)}")
    asked = [
        f"{test.place} strip {test.strip} (soft or firm is called wrongly there {say_odds(test.wrong_here.value)})"
        for test in plan.ground.tests
    ]
    _line(console, f"penetrometer tests that help most: {'; '.join(asked)}")
    _line(console, "hardpan plan FOLDER --why 'ground[0+150, strip 4]' tells how one place is known")


def _zones(plan: Plan, console: Console) -> None:
    """Rate, depth, how low and area by zone; the crew's figure first, ours beside it."""
    _section(console, "zones: rate, depth, how low")
    table = _table(
        ("zone", ""),
        ("where", ""),
        ("kg/m2", "right"),
        ("depth mm", "right"),
        ("mm low", "right"),
        ("our sum, mm", "right"),
        ("m2", "right"),
        ("cement kg", "right"),
    )
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        table.add_row(
            zone.name, _places(plan, zone), f"{zone.rate.value:.3g}", f"{about(zone.depth)}{millimetres(zone.depth)} {zone.depth_state}", _low(balance.low),
            _our_sum(balance), number(zone.area.value), number(zone.cement.value),
        )  # fmt: skip
    _show(console, table)
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        routes = f"rise {millimetres(balance.rise_by_three_phases)} mm by three phases, {millimetres(balance.rise_by_final_density)} mm by finished density"
        chosen = f"chosen: {balance.chosen}; dry {number(balance.final_dry_density.value)} kg/m3 with {number(balance.final_air.value * 100, 1)} % air"
        _line(
            console, f"{zone.name}: cement {balance.cement_content.value * 100:.2f} % of dry soil; {routes}; {chosen}"
        )


def _odds(plan: Plan, console: Console) -> None:
    """Odds a zone, what the rate costs, what would sharpen them."""
    _section(console, odds_title(plan))
    for line in odds_lines(plan):
        _line(console, line)


def _low(low: Figure) -> str:
    """How low, in whole millimetres; ground that is shaped above design is said to be high."""
    return f"{about(low)}{number(abs(low.value) * 1000)}{' high' if millimetres(low).startswith('-') else ''}"


def _our_sum(balance: ZoneBalance) -> str:
    """Our sum of how low, with its band where one is known."""
    ours = balance.our_low
    if not ours.spread:
        return f"{about(ours)}{number(ours.value * 1000, 1)}"
    return f"{about(ours)}{number(ours.value * 1000, 1)} ({number(ours.low * 1000)} to {number(ours.high * 1000)})"


def _cement(plan: Plan, console: Console) -> None:
    """Tonnes, loads, fills, run-outs, bare ground."""
    cement, show = plan.supply.cement, plan.street.stationing.show
    _section(console, "cement")
    allowance = plan.street.file.cement.order_allowance
    _line(
        console,
        f"planned {say(cement.planned)}; with {allowance.value * 100:g} % order allowance {say(cement.ordered)}; the spreader lays {say(cement.laid)}",
    )
    loads = "; ".join(
        f"{'proposed: ' if load.proposed else ''}day {load.day} {clock(load.time_min)} {number(load.cement.value)} kg{f' ({load.ticket})' if load.ticket else ''}"
        for load in cement.loads
    )
    _line(console, f"loads: {loads or 'none'}")
    if cement.short.value > 0:
        _line(console, f"{number(cement.short.value)} kg short of the order", "bold red")
    hoppers = [
        f"{number(zone.strip_a_hopper.value)} m of strip at {zone.rate.value:.3g}"
        for zone in cement.zones
        if zone.strip_a_hopper
    ]
    if hoppers:
        hopper = number(plan.street.file.spreader.hopper.value)
        _line(console, f"a hopper of {hopper} kg covers {' and '.join(dict.fromkeys(hoppers))} kg/m2")
    table = _table(
        ("fill", "right"), ("day", "right"), ("kg", "right"), ("runs out at", ""), ("strip", "right"), ("then", "")
    )
    outs = {out.fill: out for out in cement.run_outs}
    for fill in cement.fills:
        out = outs.get(fill.number)
        if out is None:
            table.add_row(str(fill.number), str(fill.day), number(fill.cement.value), "not today", "", "")
            continue
        then = (
            "no cement left" if out.bare_after else f"back up to {show(round(out.back_up_to_m))}, set a tray, overlap"
        )
        table.add_row(str(fill.number), str(fill.day), number(fill.cement.value), out.place, str(out.strip), then)
    _show(console, table)
    for bare in cement.bare:
        _line(console, f"no cement left: {bare.place}, strip {bare.strip}, {number(bare.area.value)} m2", "bold red")
    if cement.left_over.value > 0:
        _line(console, f"left over at the end: {say(cement.left_over)}")


def _water(plan: Plan, console: Console) -> None:
    """Litres, setting, trucks."""
    supply = plan.supply.water
    _section(console, "water")
    table = _table(
        ("zone", ""),
        ("setting", ""),
        ("L/m2", "right"),
        ("our sum L/m2", "right"),
        ("L", "right"),
        ("L/min", "right"),
        ("a truck lasts", ""),
    )
    for zone, balance in zip(supply.zones, plan.balance, strict=True):
        ours = balance.water_to_target
        band = f" ({number(ours.low)} to {number(ours.high)})" if ours.spread else ""
        lasts = (
            f"{number(zone.cut_a_truck.value)} m of cut, {number(zone.minutes_a_truck.value, 1)} min"
            if zone.cut_a_truck and zone.minutes_a_truck
            else "no water"
        )
        setting = zone.setting.upper() if zone.setting in ("full", "half", "off") else zone.setting
        table.add_row(
            zone.zone,
            setting,
            f"{about(zone.rate)}{zone.rate.value:.3g}" if zone.rate.value else "none",
            f"{about(ours)}{number(ours.value, 1)}{band}",
            number(zone.litres.value),
            number(zone.flow.value),
            lasts,
        )
    _show(console, table)
    truck = plan.street.file.water_truck
    loads, at_work = round(supply.truck_loads.value), round(supply.trucks_at_work.value)
    keeps = "one keeps the mixer moving" if at_work == 1 else f"{at_work} keep the mixer moving"
    _line(console, f"in all {say(supply.litres)}: {loads} truck loads of {number(truck.volume.value)} L; {keeps}")
    for empty in supply.empties:
        _line(console, f"truck {empty.truck} is empty at {empty.place}, cut {empty.cut}")


def _stakes(plan: Plan, console: Console) -> None:
    """Pre-grade at every stake."""
    levels = plan.levels
    title = {"datum": "pre-grade levels, m", "design": "mm below design"}.get(
        levels.reference, f"pre-grade, mm down from {levels.reference}"
    )
    _section(console, f"stakes: {title}")
    points = [point.name for point in levels.stakes[0].points]
    hubs = any(stake.hub for stake in levels.stakes)
    table = _table(
        ("station", ""),
        ("seen by", ""),
        *((name, "right") for name in points),
        *([("cut from hub: " + ", ".join(points), "right")] if hubs else []),
        ("", ""),
    )
    for stake in levels.stakes:
        cells = [_steered(levels.reference, point) for point in stake.points]
        cuts = (
            ["  ".join(number(point.cut_from_hub.value, 3) for point in stake.points if point.cut_from_hub)]
            if hubs
            else []
        )
        table.add_row(plan.street.stationing.show(stake.station_m), stake.seen_by, *cells, *cuts, stake.remark)
    _show(console, table)
    if levels.trim_volume.value:
        _line(
            console,
            f"trim {number(levels.trim_volume.value)} m3, {number(levels.trim_mass.value / 1000)} t, {number(levels.trim_loads.value)} loads",
        )
    at = {(stake.station_m, point.name): point for stake in levels.stakes for point in stake.points}
    shots = "; ".join(
        f"{plan.street.stationing.show(shot.station_m)} {shot.point}: {_steered(levels.reference, at[shot.station_m, shot.point])}"
        for shot in levels.check_shots
    )
    _line(console, f"six check shots before spreading: {shots}")


def _steered(reference: str, point: StakePoint) -> str:
    """What the operator steers by at one point: a level, millimetres down from a thing, or millimetres below design."""
    if reference == "datum":
        return number(point.pre_grade.value, 3)
    return number((point.low.value if reference == "design" else -point.pre_grade.value) * 1000)


def _times(plan: Plan, console: Console) -> None:
    """Machine times, clocks, latest starts."""
    shift, show = plan.shift, plan.street.stationing.show
    _section(console, "machine times, plan")
    works = list(dict.fromkeys(f"{run.machine}: {run.work}" for run in sorted(shift.runs, key=lambda run: run.block)))
    order = [
        "mixer: air, hood up",
        "spreader: spread",
        "mixer: dry mix",
        "mixer: wet mix",
        "padfoot: roll",
        "grader: trim, cut only",
        "smooth drum: final rolling",
    ]
    works.sort(key=order.index)
    for first in range(0, len(shift.blocks), 4):
        blocks = shift.blocks[first : first + 4]
        table = _table(("", ""), *((f"block {block.number}, day {block.day}", "") for block in blocks))
        table.add_row("", *(f"{show(block.start_m)} to {show(block.end_m)}" for block in blocks))
        for what in works:
            cells = []
            for block in blocks:
                runs = [run for run in shift.runs if run.block == block.number and f"{run.machine}: {run.work}" == what]
                cells.append(", ".join(f"{clock(run.start.value)} \u2013 {clock(run.end.value)}" for run in runs))
            if any(cells):
                table.add_row(what, *cells)
        _show(console, table)
    _clocks(plan, console)
    for start in shift.latest_starts:
        _line(
            console,
            f"block {start.block}: latest first mix {_latest(start)} to close before {start.before}; plan says {clock(start.planned.value)}",
        )
    _line(
        console,
        f"the {shift.bottleneck} sets the pace: {hours(shift.bottleneck_minutes.value)} of work over all blocks",
    )
    if shift.longest_block is not None:
        _line(
            console, f"longest plain block that closes inside the written clocks: {number(shift.longest_block.value)} m"
        )


def _latest(start: LatestStart) -> str:
    """Latest first mix; a block that takes more than the whole day has none."""
    return clock(start.latest.value) if start.latest.value >= 0 else "never"


def _clocks(plan: Plan, console: Console) -> None:
    """Elapsed time on every clock, against its limit where one is written."""
    kinds = list(dict.fromkeys((each.starts_with, each.stops_with) for each in plan.shift.clocks))
    for first in range(0, len(plan.shift.blocks), BLOCKS_ACROSS):
        numbers = [block.number for block in plan.shift.blocks[first : first + BLOCKS_ACROSS]]
        table = _table(("clock", ""), *((f"block {number}", "right") for number in numbers), ("limit", ""))
        for kind in kinds:
            clocks = [each for each in plan.shift.clocks if (each.starts_with, each.stops_with) == kind]
            elapsed = [hours(each.elapsed.value) for each in clocks if each.block in numbers]
            table.add_row(" to ".join(kind), *elapsed, _written_limit(clocks[0]))
        _show(console, table)


def _written_limit(one: Clock) -> str:
    """Limit of a clock with its owner and source."""
    if one.limit is None:
        return "no limit is written"
    return f"{hours(one.limit.value)}, {one.owner or 'owner not said'}, {one.source or 'source not said'}"


def _obstacles(plan: Plan, console: Console) -> None:
    """Structures and services by station, and how long the locates hold."""
    street = plan.street
    valid = street.file.locates.valid_to
    _section(console, f"obstacles (locates {f'valid to {valid.day} {valid:%B}' if valid else 'not said'})")
    table = _table(("where", ""), ("what", ""), ("side", ""), ("top, m", "right"), ("hand work, m", "right"), ("", ""))
    for one in street.structures:
        where = street.stationing.show(one.start) + (
            f" to {street.stationing.show(one.end)}" if one.end > one.start else ""
        )
        side = {"full": "across"}.get(one.side, one.side)
        side += f" {abs(one.side_offset):g}" if one.side_offset else ""
        depth, clearance = (f"{figure.value:g}" if figure else "" for figure in (one.top_depth, one.clearance))
        table.add_row(
            where, one.kind if one.id == one.kind else f"{one.kind} {one.id}", side, depth, clearance, one.method
        )
    if street.structures:
        _show(console, table)
    else:
        _line(console, "none listed")


def _worth(plan: Plan, console: Console) -> None:
    """Cost and carbon beside digging out."""
    _section(console, "beside digging out (orders of magnitude)")
    table = _table(("", ""), ("$", "right"), ("$/m2", "right"), ("t CO2e", "right"), ("truck loads", "right"))
    for way in (plan.supply.worth.treatment, plan.supply.worth.dig_out):
        table.add_row(
            way.name,
            number(way.cost.value),
            number(way.cost_a_square_metre.value, 1),
            number(way.carbon.value / 1000, 1),
            number(way.loads.value),
        )
    _show(console, table)


def _agreed(plan: Plan, console: Console) -> None:
    """Who agreed the rates."""
    _section(console, "who agreed the rates")
    for zone in plan.zones:
        said = zone.instruction
        when = f"{said.said_at.day} {said.said_at:%B %H:%M}, " if said.said_at else "time not said, "
        who = f"said: {said.said_by or 'not said'}; heard: {said.heard_by or 'not said'}"
        _line(
            console, f"{zone.name}, {zone.rate.value:.3g} kg/m2: {when}{said.where + ', ' if said.where else ''}{who}"
        )


def _notices(plan: Plan, console: Console) -> None:
    """Everything that stands beside a figure."""
    _section(console, "notices")
    for notice in plan.notices:
        _line(console, f"! {_sentence(notice)}", SHADES.get(notice.kind, ""))
    _line(console, "about: rests on a default; measure or state it in the street folder and it goes away")
    _line(console, "hardpan plan FOLDER --why PATH opens any figure to its working, as in --why balance[0].our_low")


def _sentence(notice: Notice) -> str:
    """Notice with its place."""
    return f"{notice.place}: {notice.message}" if notice.place else notice.message
