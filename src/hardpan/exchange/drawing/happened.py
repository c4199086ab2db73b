"""The strip map of what happened: rates as they were spread, run-outs, edges, passes, water, tests, what failed, what was not checked.

The same street, rows and frame as the plan's map; solid marks, for they happened. A gap is drawn broken, never left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hardpan.compare import Acceptance, Check
from hardpan.compare.happened import Happened
from hardpan.compare.not_checked import trays_at_restart
from hardpan.exchange.drawing import happened_marks
from hardpan.exchange.drawing.happened_blocks import BLOCK, block_lanes, draw_block
from hardpan.exchange.drawing.happened_ground import Patch, bare, painted_edges, patches
from hardpan.exchange.drawing.ink import (
    CLAY,
    HEAVY_RATE,
    INK,
    MAP,
    MAP_STRONG,
    PAPER,
    RATE,
    STOP,
    TINT,
    TINT_HEAVY,
    TINT_RATE,
    WATER,
    Sheet,
    Type,
    hatch_spacing,
)  # fmt: skip
from hardpan.exchange.drawing.map_row import MapRow
from hardpan.exchange.drawing.placement import Box, Field
from hardpan.exchange.drawing.street_frame import LEAST_SCALE, MARGIN, Drawn, Label, steps
from hardpan.exchange.drawing.street_rows import Span, break_into_rows
from hardpan.ledger.ground import Area
from hardpan.ledger.placed import of
from hardpan.ledger.supplying import RateChange, RunOut, TrayCheck, WaterTruckEmpty
from hardpan.ledger.working import PreGradeShots

MOST_OF_GROUND = 0.6  # share of its ground that a large plate may cover: the hatch must show


def draw_happened(
    happened: Happened, acceptance: Acceptance, *, width: float = 1122.0, strip_height: float = 50.0
) -> tuple[Drawn, ...]:
    """Strip map of what happened, a drawing a row, so that a page can break between them.

    Parameters
    ----------
    happened
        Plan and ledger side by side.
    acceptance
        What was tested, with verdicts.
    width
        Of a drawing; 1122 units are 190 mm of paper at arm's length.
    strip_height
        Of one strip, in the same units; at least 30.
    """
    laid, drawn = patches(happened), []
    for span, _ in break_into_rows(happened.plan.shift.blocks, (width - MARGIN - 8) / LEAST_SCALE):
        words = describe(happened, acceptance, laid, span)
        sheet = Sheet(width, f"Strip map of what happened, {happened.plan.street.name}", words)
        row = _HappenedRow(
            plan=happened.plan, sheet=sheet, span=span, top=0.0, strip_height=max(strip_height, 30.0),
            happened=happened, acceptance=acceptance, laid=laid,
        )  # fmt: skip
        height = row.draw(also_below=True)
        drawn.append(Drawn(sheet.text(height), width, height, tuple(row.labels), words, tuple(row.sentences())))
    return tuple(drawn)


def describe(happened: Happened, acceptance: Acceptance, laid: tuple[Patch, ...], span: Span) -> str:
    """A row of the map in words, for whoever cannot see it."""
    street = happened.plan.street
    said = [f"What happened on {street.name}, {street.place(span.start, span.end)}."]
    for patch in laid:
        if span.cuts(patch.start_m, patch.end_m):
            strips = tuple(range(patch.first_strip, patch.last_strip + 1))
            hand = ", by hand" if patch.work.by_hand else ""
            said.append(
                f"{street.place(patch.start_m, patch.end_m, strips)}: {patch.work.rate_words}{hand}, {', '.join(patch.work.passes)}."
            )
    said += [f"Ran out at {happened.words(area)}." for _, area in happened.state.run_outs if span.holds(area.start_m)]
    said += [
        f"{check.kind} outside its limit: {check.place}."
        for check in acceptance.failed
        if span.cuts(check.area.start_m, check.area.end_m) or span.holds(check.area.start_m)
    ]
    said += [
        f"{one.kind} not checked: {one.place}." for one in acceptance.not_checked if _in_row(happened, one.entry, span)
    ]
    return " ".join(said)


def _in_row(happened: Happened, entry: str, span: Span) -> bool:
    """Whether an entry's ground lies in a row; what has no ground belongs to every row."""
    area = happened.events[entry].area
    return area is None or span.holds(area.start_m) or span.cuts(area.start_m, area.end_m) is not None


@dataclass(kw_only=True)
class _HappenedRow(MapRow):
    """One row of the map of what happened."""

    happened: Happened
    acceptance: Acceptance
    laid: tuple[Patch, ...]

    def ground(self) -> None:
        """Hatch of every rate as it was spread; ground without cement stays white. The instructed edges as they were painted."""
        for patch in self.laid:
            box, rate = self._box(patch), patch.work.rate or 0.0
            if box is None or rate <= 0:
                continue
            if rate >= TINT_RATE:
                self.sheet.fill(box, TINT_HEAVY if rate >= HEAVY_RATE else TINT)
            self.sheet.hatch(box, CLAY, hatch_spacing(rate), crossed=rate >= HEAVY_RATE)
        for number, station in painted_edges(self.happened):
            if self.span.start < station < self.span.end:
                strip = self.street.strips[number - 1]
                x = self.x(station)
                self.sheet.line(x, self.y(strip.left), x, self.y(strip.right), weight=3.5, colour=CLAY)

    def inside(self, room: Field) -> None:
        """Marks first, for they cannot move; then plates and labels where there is room."""
        wanted: list[Label] = []
        for patch in self.laid:
            box = self._box(patch)
            if box is not None and patch.work.water_off:
                happened_marks.water_off(self.sheet, Box(box.left + 4, box.top + 4, box.right - 4, box.bottom - 4))
        tests: list[Label] = []
        self.structures(room, wanted)
        self._run_outs(room, tests)
        self._failed(room, tests)
        self._rate_changes(room, wanted)
        self._trays(room, tests)
        self._densities(room, tests)
        self._trucks(room, wanted)
        self._not_checked(room, tests)
        for label in tests:
            self.put(room, label)
        for patch in self.laid:
            self._plate(room, patch)
        for label in wanted:
            self.put(room, label)
        for start, end, first, last in bare(self.happened):
            self._bare(room, Span(start, end), first, last)

    def _box(self, patch: Patch) -> Box | None:
        """Where a patch lies in this row; None where it does not."""
        inside = self.span.cuts(patch.start_m, patch.end_m)
        if inside is None:
            return None
        strips = self.street.strips
        top, bottom = self.y(strips[patch.first_strip - 1].left), self.y(strips[patch.last_strip - 1].right)
        return Box(self.x(inside.start), top, self.x(inside.end), bottom)

    def _spots(self, area: Area | None) -> Iterator[tuple[float, float, Box]]:
        """Where a point stands on every strip it names: x, the middle of the strip, the strip's box around it."""
        if area is None or not area.point or not self.span.holds(area.start_m):
            return
        x = min(max(self.x(area.start_m), self.left + 13), self.right - 13)
        for number in area.strips:
            strip = self.street.strips[number - 1]
            yield x, self.y(strip.middle), Box(x - 1, self.y(strip.left), x + 1, self.y(strip.right))

    def _label(self, mark: Box, lines: tuple[str, ...], station: float, sentence: str, *, colour: str = INK) -> Label:
        """Label of a mark, its first line strong."""
        kinds = [MAP_STRONG, *[MAP] * len(lines)]
        return Label(mark, tuple(zip(lines, kinds, strict=False)), station, sentence, colour)

    def _failed(self, room: Field, wanted: list[Label]) -> None:
        """Ground outside a limit, with what was found, the limit, and how it was found again."""
        for check in self.acceptance.failed:
            inside = self.span.cuts(check.area.start_m, check.area.end_m)
            for number in check.area.strips if inside is not None and check.spotted else ():
                strip = self.street.strips[number - 1]
                left, right = self.x(inside.start if inside else 0), self.x(inside.end if inside else 0)
                box = happened_marks.failed(
                    self.sheet, Box(left, self.y(strip.left) + 2, right, self.y(strip.right) - 2)
                )
                room.taken.append(box)
                lines = (_found(check), self._again(check))
                sentence = f"{check.kind}, {check.place}: {', '.join(line for line in lines if line)}"
                wanted.append(
                    self._label(box, tuple(line for line in lines if line), check.area.start_m, sentence, colour=STOP)
                )

    def _again(self, check: Check) -> str:
        """How a failed place was found again."""
        later = [
            one for one in self.acceptance.checks if one.entry == check.retested_by and one.area.touches(check.area)
        ]
        return f"re-test {_value(later[-1])}, {later[-1].verdict}" if later else "no re-test"

    def _run_outs(self, room: Field, wanted: list[Label]) -> None:
        """Crosses where the hopper ran out, with the tray of the restart or that there was none."""
        for event, _ in of(RunOut, self.happened.state.events):
            trays = trays_at_restart(self.happened, event)
            tray, told = any(said.caught_kg_m2 is not None for said in trays), bool(trays)
            station = event.area.start_m if event.area else 0.0
            lines = (
                f"ran out {self.street.stationing.show(station)}",
                "tray at restart" if tray else "no tray at restart",
            )
            for x, y, _ in self._spots(event.area):
                box = happened_marks.ran_out(self.sheet, x, y, restart_told=told)
                room.taken.append(box)
                wanted.append(self._label(box, lines, station, f"ran out at {self.happened.where(event)}, {lines[1]}"))

    def _rate_changes(self, room: Field, wanted: list[Label]) -> None:
        """Where the rate was changed as it was entered; labelled once a station."""
        told: set[float] = set()
        for event, said in of(RateChange, self.happened.state.events):
            for x, _, strip in self._spots(event.area):
                box = happened_marks.rate_changed(self.sheet, x, strip.top, strip.bottom)
                room.taken.append(box)
                station = event.area.start_m if event.area else 0.0
                if station not in told:
                    told.add(station)
                    shown = self.street.stationing.show(station)
                    sentence = f"rate changed to {said.rate_kg_m2:.3g} kg/m\u00b2 at {shown}"
                    lines = (f"to {said.rate_kg_m2:.3g} at {shown}",)
                    wanted.append(self._label(box, lines, station, sentence, colour=CLAY))

    def _trays(self, room: Field, wanted: list[Label]) -> None:
        """Trays that stood on a spot, with what they caught."""
        for check in self.acceptance.checks:
            if check.kind == "tray check" and check.spotted:
                for x, y, _ in self._spots(check.area):
                    box = happened_marks.tray_box(self.sheet, _clear(room, x, y), y, weighed=True)
                    self._test(room, wanted, check, box)

    def _densities(self, room: Field, wanted: list[Label]) -> None:
        """Densities found on a spot."""
        for check in self.acceptance.checks:
            if check.kind == "density" and check.spotted:
                for x, y, _ in self._spots(check.area):
                    self._test(room, wanted, check, happened_marks.density(self.sheet, _clear(room, x, y), y))

    def _test(self, room: Field, wanted: list[Label], check: Check, box: Box) -> None:
        """Label of a test on its spot; one that is outside says so."""
        room.taken.append(box)
        outside = check.verdict == "outside"
        lines = (f"{_value(check)}{', outside' if outside else ''}",)
        sentence = f"{check.kind} {check.place}: {lines[0]}"
        wanted.append(self._label(box, lines, check.area.start_m, sentence, colour=STOP if outside else INK))

    def _trucks(self, room: Field, wanted: list[Label]) -> None:
        """Drops where a water truck ran dry."""
        for event, said in of(WaterTruckEmpty, self.happened.state.events):
            for x, y, _ in self._spots(event.area):
                box = happened_marks.truck_empty(self.sheet, x, y)
                room.taken.append(box)
                lines = (f"{said.truck or 'truck'} empty",)
                sentence = f"{lines[0]} at {self.happened.where(event)}"
                wanted.append(
                    self._label(box, lines, event.area.start_m if event.area else 0.0, sentence, colour=WATER)
                )

    def _not_checked(self, room: Field, wanted: list[Label]) -> None:
        """Spots of which somebody said that nothing was measured; without a spot it is told under the row."""
        for event in self.happened.state.events:
            said = event.payload
            if isinstance(said, TrayCheck | PreGradeShots) and said.checked == "not checked":
                sentence = f"{event.standing.kind} not checked: {self.happened.where(event)}"
                spots = list(self._spots(event.area))
                if not spots and (event.area is None or self.span.cuts(event.area.start_m, event.area.end_m)):
                    self.also.append((event.area.start_m if event.area else self.span.start, sentence))
                for x, y, _ in spots:
                    box = happened_marks.not_checked(self.sheet, _clear(room, x, y), y)
                    room.taken.append(box)
                    wanted.append(
                        self._label(box, ("not checked",), event.area.start_m if event.area else 0.0, sentence)
                    )

    def _plate(self, room: Field, patch: Patch) -> None:
        """Rate and passes of a patch inside its own ground, large, else small, else under the row."""
        ground = self._box(patch)
        if ground is None:
            return
        work = patch.work
        rate = f"{work.rate_words}{' by hand' if work.by_hand else ''}"
        short = f"{work.rate:.3g}" if work.rate is not None else "?"
        inner = ground.right - ground.left - 20
        for head in ((rate, RATE), (rate, MAP_STRONG), (short, MAP_STRONG)):
            lines = (head, *((line, MAP) for line in _wrapped(work.passes, max(inner, head[1].width(head[0])))))
            wide = max(kind.width(text) for text, kind in lines) + 16
            high = sum(kind.height for _, kind in lines) + 8
            covering = wide * high > MOST_OF_GROUND * (ground.right - ground.left) * (ground.bottom - ground.top)
            found = None if covering and head[0] != short else room.put(steps(ground, wide, high))
            if found is not None:
                self._write_plate(found, lines)
                return
        place = self.street.place(patch.start_m, patch.end_m, tuple(range(patch.first_strip, patch.last_strip + 1)))
        self.also.append((patch.start_m, f"{place}: {rate}, {', '.join(work.passes)}"))

    def _bare(self, room: Field, stretch: Span, first: int, last: int) -> None:
        """A word on ground that no cement is recorded on; small pieces are told under the row."""
        inside = self.span.cuts(stretch.start, stretch.end)
        if inside is None:
            return
        strips, text = self.street.strips, "no cement recorded"
        ground = Box(
            self.x(inside.start), self.y(strips[first - 1].left), self.x(inside.end), self.y(strips[last - 1].right)
        )
        found = room.put(steps(ground, MAP.width(text) + 16, MAP.height + 8))
        if found is None:
            self.also.append(
                (
                    stretch.start,
                    f"{self.street.place(stretch.start, stretch.end, tuple(range(first, last + 1)))}: {text}",
                )
            )
            return
        self.sheet.frame(found, weight=1.4, fill=PAPER, dash=happened_marks.BROKEN)
        self.note(
            text,
            self.sheet.write((found.left + found.right) / 2, found.top + 4 + MAP.above, text, MAP, anchor="middle"),
        )

    def _write_plate(self, box: Box, lines: tuple[tuple[str, Type], ...]) -> None:
        """White plate on a solid foot: it happened."""
        self.sheet.frame(box, weight=1.4, colour=CLAY, fill=PAPER)
        self.sheet.path(f"M{box.left:.2f} {box.bottom:.2f} H{box.right:.2f}", weight=4.0, colour=CLAY)
        middle, baseline = (box.left + box.right) / 2, box.top + 2
        for i, (text, kind) in enumerate(lines):
            baseline += kind.above
            colour = CLAY if i == 0 else INK
            self.note(text, self.sheet.write(middle, baseline, text, kind, colour=colour, anchor="middle"))
            baseline += kind.below

    # --- under the street ---------------------------------------------------------------------------------------------

    def below(self, top: float) -> float:
        """Blocks with the times of their clocks, those that overlap in lanes of their own; tests without a spot under each."""
        lanes = block_lanes(self.happened.state.blocks, self.span)
        for i, lane in enumerate(lanes):
            y = top + i * BLOCK
            self.lane_name(y + 14, "blocks" if i == 0 else "same ground")
            for name, inside in lane:
                after = [self.x(other.start) for _, other in lane if other.start >= inside.end]
                free = min(after, default=self.right) - 6
                self.also += draw_block(
                    self, self.happened, self.acceptance, name=name, inside=inside, top=y, free=free
                )
        return top + max(len(lanes), 1) * BLOCK


def _clear(room: Field, x: float, y: float) -> float:
    """Where a mark stands free of others: at its place, else a little up-station of it."""
    for step in range(0, 60, 4):
        if not any(Box(x + step - 9, y - 9, x + step + 9, y + 9).hits(taken) for taken in room.taken):
            return x + step
    return x


def _wrapped(parts: tuple[str, ...], room: float) -> list[str]:
    """Parts on as few lines as hold them, in their order."""
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]} \u00b7 {part}" if lines else part
        if lines and MAP.width(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(part)
    return lines


def _found(check: Check) -> str:
    """What was found, and the limit: ``18 mm, limit 13``."""
    limit = check.limit
    end = None if limit is None else limit.high or limit.low
    return f"{_value(check)}{f', limit {_number(end.value, end.unit)}' if end is not None else ''}"


def _value(check: Check) -> str:
    """Value of a test with its unit."""
    if check.value is None:
        return check.verdict
    unit = {"m": "mm", "kg/m2": "kg/m\u00b2"}.get(check.value.unit, check.value.unit)
    return f"{_number(check.value.value, check.value.unit)} {unit}"


def _number(value: float, unit: str) -> str:
    """Millimetres whole, everything else to a tenth."""
    return f"{1000 * value:.0f}" if unit == "m" else f"{value:.1f}"
