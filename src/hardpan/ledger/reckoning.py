"""Cement by three reckonings: tickets less what is left, what the hopper gave, ground times trays; each says which ground it covers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from hardpan.ledger.ground import Area, Ground, Rule
from hardpan.ledger.hopper import Hopper, Laid, Run, delivered_kg
from hardpan.ledger.placed import Event, of
from hardpan.ledger.supplying import TrayCheck
from hardpan.street.figure import Notice

Cell = tuple[str, str]  # block and zone
NO_ZONE = "no instruction"
WHOLE = "the street"
_SLIVER_M2 = 0.5


@dataclass(frozen=True, slots=True)
class Reckoning:
    """Cement on the ground by one way of reckoning; ``kg`` None where the entries do not say it."""

    by: str
    kg: float | None
    area_m2: float
    covers: str
    shared: bool = False  # true: shared out by ground times rate, not told by the entries for this place

    @property
    def kg_m2(self) -> float | None:
        """Mean over the ground that it covers [kg/m2]."""
        return None if self.kg is None or self.area_m2 <= 0 else self.kg / self.area_m2


@dataclass(frozen=True, slots=True)
class Cement:
    """The reckonings of one place side by side; differences are over the ground that both cover."""

    place: str
    area_m2: float
    instructed_kg: float | None
    tickets: Reckoning | None
    fills: Reckoning
    trays: Reckoning
    fills_less_tickets_kg: float | None
    trays_less_fills_kg: float | None
    tray_count: int


@dataclass(frozen=True, slots=True)
class CementState:
    """Cement of the street, of every block and of every zone; what the tickets brought and what is left of it.

    ``unweighed`` are runs since the hopper's content was last known: what lies on them is reckoned at their rate, and
    ``in_hopper_known`` is false.
    """

    delivered_kg: float
    in_truck_kg: float
    in_hopper_kg: float
    in_hopper_known: bool
    left_kg: float
    by_hand_kg: float
    unweighed: tuple[Run, ...]
    street: Cement
    blocks: tuple[Cement, ...]
    zones: tuple[Cement, ...]
    notices: tuple[Notice, ...]

    def block(self, name: str) -> Cement:
        """Cement of one block."""
        return next(one for one in self.blocks if one.place == name)

    def zone(self, name: str) -> Cement:
        """Cement of one zone."""
        return next(one for one in self.zones if one.place == name)


@dataclass
class _CellSums:
    """Sums of one block in one zone."""

    area_m2: float = 0.0
    instructed_kg: float | None = None
    fills_kg: float = 0.0
    fills_area_m2: float = 0.0
    over_blocks: bool = False
    over_zones: bool = False
    trays_kg_m2: tuple[float, ...] = ()


def reckon(
    events: tuple[Event, ...],
    runs: tuple[Run, ...],
    hopper: Hopper,
    *,
    ground: Ground,
    laid: dict[tuple[int, int], Rule],
) -> CementState:
    """The three reckonings of everything that the spreader laid."""
    spread = tuple(run for run in runs if not run.by_hand)
    sums = _Sums(ground, laid)
    sums.areas(spread)
    sums.fills(hopper.laid)
    sums.trays(events)
    delivered = delivered_kg(events)
    gone = sum((sums.expected(run) for run in hopper.open_runs), 0.0)
    in_hopper = max(hopper.content_kg - gone, 0.0)
    in_truck = delivered - hopper.filled_kg
    left = in_truck + in_hopper
    tickets = Reckoning("tickets", delivered - left, sums.whole_m2, "all that was spread") if delivered else None
    names = dict.fromkeys(block for block, _ in sums.cells)
    zones = dict.fromkeys(zone for _, zone in sorted(sums.cells))
    return CementState(
        delivered_kg=delivered,
        in_truck_kg=in_truck,
        in_hopper_kg=in_hopper,
        in_hopper_known=not hopper.open_runs,
        left_kg=left,
        by_hand_kg=sum((run.kg or 0.0 for run in runs if run.by_hand), 0.0),
        unweighed=hopper.open_runs,
        street=sums.cement(WHOLE, list(sums.cells), tickets),
        blocks=tuple(sums.cement(name, [cell for cell in sums.cells if cell[0] == name]) for name in names),
        zones=tuple(sums.cement(zone, [cell for cell in sums.cells if cell[1] == zone]) for zone in zones),
        notices=(*hopper.notices, *_truck_notice(in_truck, delivered)),
    )


def _truck_notice(in_truck: float, delivered: float) -> tuple[Notice, ...]:
    """A notice where more went into the hopper than the tickets brought."""
    if in_truck >= -1.0 or not delivered:
        return ()
    message = (
        f"fills add up to {-in_truck:.0f} kg more than the tickets brought: a ticket is missing, or a fill is wrong"
    )
    return (Notice("conflict", message),)


class _Sums:
    """Sums by block and zone."""

    def __init__(self, ground: Ground, laid: dict[tuple[int, int], Rule]) -> None:
        self.ground, self.laid = ground, laid
        self.cells: dict[Cell, _CellSums] = {}
        self.whole_m2 = 0.0

    def cell(self, block: str, zone: str) -> _CellSums:
        """Sums of one cell, made at first use."""
        return self.cells.setdefault((block, zone), _CellSums())

    def areas(self, runs: tuple[Run, ...]) -> None:
        """Ground under the runs of every block, overlaps counted once."""
        by_block: dict[str, list[Run]] = defaultdict(list)
        for run in runs:
            by_block[run.block].append(run)
        for block, own in by_block.items():
            for zone, rule, area in self._ground_under(own):
                sums = self.cell(block, zone)
                sums.area_m2 += area
                if rule is not None:
                    sums.instructed_kg = (sums.instructed_kg or 0.0) + area * rule.rate_kg_m2
        self.whole_m2 = sum((area for _, _, area in self._ground_under(runs)), 0.0)

    def _ground_under(self, runs: Iterable[Run]) -> Iterable[tuple[str, Rule | None, float]]:
        """Zone, instruction and area of the ground under runs, each place once."""
        reaches: dict[int, list[tuple[float, float]]] = defaultdict(list)
        for run in runs:
            for strip in run.area.strips:
                reaches[strip].append((run.area.start_m, run.area.end_m))
        for strip, stretches in reaches.items():
            for start, end in merged(stretches):
                yield from self._zones_of(strip, start, end)

    def _zones_of(self, strip: int, start: float, end: float) -> Iterable[tuple[str, Rule | None, float]]:
        """Zone, instruction and area of a stretch of one strip, bay by bay."""
        (column,), width = self.ground.columns(Area(start, end, (strip,))), self.ground.widths[strip]
        for row, length in self.ground.pieces(start, end):
            rule = self.laid.get((row, column))
            yield rule.zone if rule else NO_ZONE, rule, length * width

    def shares(self, run: Run) -> dict[str, tuple[float, float]]:
        """Area and expected mass of a run by zone: at the rate it was set to, else at the instruction."""
        found: dict[str, tuple[float, float]] = {}
        for strip in run.area.strips:
            for zone, rule, area in self._zones_of(strip, run.area.start_m, run.area.end_m):
                rate = run.rate_kg_m2 if run.rate_kg_m2 is not None else rule.rate_kg_m2 if rule else 0.0
                before = found.get(zone, (0.0, 0.0))
                found[zone] = before[0] + area, before[1] + area * rate
        return found

    def expected(self, run: Run) -> float:
        """Mass that a run took at its rate."""
        return sum(mass for _, mass in self.shares(run).values())

    def fills(self, known: Iterable[Laid]) -> None:
        """Known masses, shared over blocks and zones by ground times rate where one mass lies on several."""
        for one in known:
            parts = [(run.block, zone, *share) for run in one.runs for zone, share in self.shares(run).items()]
            whole = sum(part[3] for part in parts)
            ground = sum(part[2] for part in parts)
            over_blocks, over_zones = len({part[0] for part in parts}) > 1, len({part[1] for part in parts}) > 1
            for block, zone, area, mass in parts:
                sums = self.cell(block, zone)
                sums.fills_kg += one.kg * (mass / whole if whole else area / ground)
                sums.fills_area_m2 += area
                sums.over_blocks |= over_blocks
                sums.over_zones |= over_zones

    def trays(self, events: Iterable[Event]) -> None:
        """Trays that were weighed, in the block and zone they stood in."""
        for event, tray in of(TrayCheck, events):
            caught = tray.caught_kg_m2
            if caught is None or event.area is None:
                continue
            zone = self._zone_of_tray(event.area, tray.rate_kg_m2)
            if zone:
                sums = self.cell(event.block, zone)
                sums.trays_kg_m2 = (*sums.trays_kg_m2, caught)

    def _zone_of_tray(self, area: Area, rate: float | None) -> str:
        """Zone a tray stood in; empty where its place lies in several, and the rate it was set to tells no one of them."""
        rules = [self.laid.get((row, column)) for row in self.ground.rows(area) for column in self.ground.columns(area)]
        zones = {rule.zone if rule else NO_ZONE: rule for rule in rules}
        if len(zones) > 1:
            zones = {name: rule for name, rule in zones.items() if rule and rule.rate_kg_m2 == rate}
        return next(iter(zones)) if len(zones) == 1 else ""

    def cement(self, place: str, cells: list[Cell], tickets: Reckoning | None = None) -> Cement:
        """Reckonings of one place from its cells."""
        sums = [self.cells[cell] for cell in cells]
        area = self.whole_m2 if tickets or place == WHOLE else sum(one.area_m2 for one in sums)
        shared = place != WHOLE and any(
            self.cells[cell].over_blocks if cell[0] == place else self.cells[cell].over_zones for cell in cells
        )
        fills, trays = _by_fills(sums, area, shared=shared), _by_trays(cells, sums)
        told = [one for one in sums if one.trays_kg_m2 and one.fills_area_m2 >= one.area_m2 - _SLIVER_M2]
        both = sum(_caught(one) - one.fills_kg for one in told)
        known = fills.area_m2 >= area - _SLIVER_M2
        instructed = [one.instructed_kg for one in sums if one.instructed_kg is not None]
        return Cement(
            place=place,
            area_m2=area,
            instructed_kg=sum(instructed) if instructed else None,
            tickets=tickets,
            fills=fills,
            trays=trays,
            fills_less_tickets_kg=fills.kg - tickets.kg if tickets and tickets.kg and fills.kg and known else None,
            trays_less_fills_kg=both if told else None,
            tray_count=sum(len(one.trays_kg_m2) for one in sums),
        )


def _by_fills(sums: list[_CellSums], area: float, *, shared: bool) -> Reckoning:
    """What the hopper gave, and over how much of the ground that is known."""
    covered = min(sum(one.fills_area_m2 for one in sums), area)
    kg = sum(one.fills_kg for one in sums) if covered > 0 else None
    return Reckoning("fills", kg, covered, f"{covered:.0f} of {area:.0f} m2 spread", shared)


def _by_trays(cells: list[Cell], sums: list[_CellSums]) -> Reckoning:
    """Ground times the mean of its trays, where there are any."""
    told = [(cell, one) for cell, one in zip(cells, sums, strict=True) if one.trays_kg_m2 and one.area_m2 > 0]
    where = "; ".join(f"{block or 'no block'}, {zone}" for (block, zone), _ in told)
    kg = sum(_caught(one) for _, one in told) if told else None
    return Reckoning("trays", kg, sum((one.area_m2 for _, one in told), 0.0), where or "no tray was weighed")


def _caught(one: _CellSums) -> float:
    """Ground times the mean of its trays [kg]."""
    return one.area_m2 * sum(one.trays_kg_m2) / len(one.trays_kg_m2)


def merged(stretches: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches without overlaps, in order."""
    found: list[tuple[float, float]] = []
    for start, end in sorted(stretches):
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], end)
        else:
            found.append((start, end))
    return found
