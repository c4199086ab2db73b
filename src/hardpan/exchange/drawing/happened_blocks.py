"""The lane of blocks under the map of what happened: a bracket each, solid where it is closed, with its times and the tests of no spot."""

from __future__ import annotations

from hardpan.compare import Acceptance
from hardpan.compare.happened import Happened
from hardpan.exchange.drawing.ink import INK, MAP, MAP_STRONG, PAPER, n
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_frame import StreetRow
from hardpan.exchange.drawing.street_rows import Span
from hardpan.ledger.ground import Reach
from hardpan.ledger.working import Closed

BLOCK = 62.0  # height of one lane: bracket, times, tests
Inside = tuple[str, Span]


def block_lanes(blocks: dict[str, Reach], span: Span) -> list[list[Inside]]:
    """Blocks of a row in as few lanes as keep them apart: the long ones first, as they were worked."""
    lanes: list[list[Inside]] = []
    order = sorted(blocks.items(), key=lambda one: (one[1][0] - one[1][1], one[1][0], one[0]))
    for name, (start, end) in order:
        inside = span.cuts(start, end)
        if inside is None:
            continue
        for lane in lanes:
            if all(inside.cuts(other.start, other.end) is None for _, other in lane):
                lane.append((name, inside))
                break
        else:
            lanes.append([(name, inside)])
    return lanes


def block_times(happened: Happened, name: str) -> list[str]:
    """``B1``, then the day, first mix and end of rolling, as far as they are recorded."""
    clocks = [clock for clock in happened.state.clocks if clock.block == name]
    mix = next((clock for clock in clocks if clock.starts_with == "first mix"), None)
    if mix is None:
        return ["no first mix"]
    rolled = next(
        (clock.stopped_at for clock in clocks if clock.stops_with == "final rolling ends" and clock.stopped_at), None
    )
    day = f"{mix.started_at.day} {mix.started_at:%B}"
    end = f"rolled {rolled:%H:%M}" if rolled else "not rolled"
    return [day, f"first mix {mix.started_at:%H:%M}", end]


def spotless(acceptance: Acceptance, name: str) -> str:
    """Tests of a block that have no spot, as one line."""
    found: dict[str, list[str]] = {}
    for check in acceptance.checks:
        stretch = check.kind == "density" and check.spotted and not check.area.point
        if (
            check.block == name
            and check.value is not None
            and check.kind in ("tray check", "density")
            and (not check.spotted or stretch)
        ):
            unit = " %" if check.value.unit == "%" else ""
            outside = " outside" if check.verdict == "outside" else ""
            found.setdefault("tray" if check.kind == "tray check" else "density", []).append(
                f"{check.value.value:.1f}{unit}{outside}"
            )
    return " \u00b7 ".join(f"{kind} {', '.join(values)}" for kind, values in found.items())


def draw_block(
    row: StreetRow, happened: Happened, acceptance: Acceptance, *, name: str, inside: Span, top: float, free: float
) -> list[tuple[float, str]]:
    """Bracket of a block with its words under it, right of it where it is narrow; gives what found no room before ``free``."""
    left, right, y = row.x(inside.start) + 3, row.x(inside.end) - 3, top + 18
    closed = any(
        isinstance(event.payload, Closed) and event.payload.problem is None and event.block == name
        for event in happened.state.events
    )
    also = []
    title = f"{name}, closed" if closed else name
    wide = MAP_STRONG.width(title) + 12
    middle = (left + right) / 2
    if wide > right - left:
        row.sheet.path(f"M{n(left)} {n(y - 9)} V{n(y)} H{n(right)} V{n(y - 9)}", weight=3.0)
        said = " \u00b7 ".join(
            part for part in (title, *block_times(happened, name), spotless(acceptance, name)) if part
        )
        if right + 8 + MAP.width(said) > free:
            return [(inside.start, f"block {said}")]
        row.note(said, row.sheet.write(right + 8, y + 2, said, MAP))
        return []
    row.sheet.path(
        f"M{n(left)} {n(y - 9)} V{n(y)} H{n(middle - wide / 2)} M{n(middle + wide / 2)} {n(y)} H{n(right)} V{n(y - 9)}",
        weight=3.0,
    )
    plate = Box(middle - wide / 2, y - 11, middle + wide / 2, y + 9)
    if closed:
        row.sheet.frame(plate, weight=1.0, fill=INK)
    row.note(title, row.sheet.write(middle, y + 4, title, MAP_STRONG, colour=PAPER if closed else INK, anchor="middle"))
    lines = [" \u00b7 ".join(block_times(happened, name)), spotless(acceptance, name)]
    baseline = y + 26
    for text in (line for line in lines if line):
        if MAP.width(text) <= right - left + 4:
            row.note(text, row.sheet.write(middle, baseline, text, MAP, anchor="middle"))
            baseline += MAP.height
        else:
            also.append((inside.start, f"block {name}: {text}"))
    return also
