"""What was done on every bay: cement, passes, water, checks, rolling; what was not checked is a state of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from hardpan.ledger.ground import Area, Ground, Rule
from hardpan.ledger.hopper import Run
from hardpan.ledger.placed import Event
from hardpan.ledger.supplying import TrayCheck
from hardpan.ledger.testing import DensityTest
from hardpan.ledger.water import watered
from hardpan.ledger.working import Closed, DepthCheck, MixingPass, PreGradeShots, Rolling, WalkOut

Checked = Literal["", "not checked", "checked"]  # empty: nobody said


@dataclass(slots=True)
class _Bay:
    """One bay while the entries are walked."""

    block: str = ""
    spread: bool = False
    rate_kg_m2: float | None = None
    dry: int = 0  # passes as bits, by their numbers
    wet: int = 0
    aerate: int = 0
    water: Literal["", "off", "on"] = ""
    water_l_m2: float | None = None
    shots: Checked = ""
    tray: Checked = ""
    depth: str = ""
    density: str = ""
    padfoot_passes: int | None = None
    padfoot: bool = False
    trimmed: bool = False
    final: bool = False
    walked_out: bool | None = None
    closed: bool = False


@dataclass(frozen=True, slots=True)
class BayState:
    """What the entries say of one bay; ``depth_check`` and ``density`` hold the id of the last one, empty where there is none."""

    strip: int
    start_m: float
    end_m: float
    block: str
    zone: str
    instructed_kg_m2: float | None
    spread: bool
    rate_kg_m2: float | None
    dry_passes: int
    wet_passes: int
    aerating_passes: int
    water: Literal["", "off", "on"]
    water_l_m2: float | None
    pre_grade_shots: Checked
    tray: Checked
    depth_check: str
    density: str
    padfoot: bool
    padfoot_passes: int | None
    trimmed: bool
    rolled: bool
    walked_out: bool | None
    closed: bool


def walk_bays(
    events: tuple[Event, ...], runs: tuple[Run, ...], ground: Ground, *, laid: dict[tuple[int, int], Rule]
) -> tuple[BayState, ...]:
    """State of every bay, strip by strip up-station."""
    rows, columns = ground.shape
    bays = [[_Bay() for _ in range(columns)] for _ in range(rows)]
    for run in runs:
        for row in ground.rows(run.area):
            for column in ground.columns(run.area):
                _spread(bays[row][column], run, laid.get((row, column)))
    for event in events:
        told = _TOLD.get(type(event.payload))
        if told is not None and event.area is not None:
            told(bays, ground, event)
    return tuple(
        _state(bays[row][column], ground, (row, column), laid.get((row, column)))
        for column in range(columns)
        for row in range(rows)
    )


def _under(bays: list[list[_Bay]], ground: Ground, area: Area) -> list[_Bay]:
    """Bays that an area covers."""
    columns = ground.columns(area)
    return [bays[row][column] for row in ground.rows(area) for column in columns]


def _spread(bay: _Bay, run: Run, rule: Rule | None) -> None:
    """Cement on a bay: at the rate the spreader was set to where that was said, else as instructed there."""
    bay.block = run.block or bay.block
    bay.spread = True
    bay.rate_kg_m2 = run.rate_kg_m2 if run.rate_kg_m2 is not None else rule.rate_kg_m2 if rule else None


def _mixed(bays: list[list[_Bay]], ground: Ground, event: Event) -> None:
    """A pass that is done counts once by its number, however often it was entered."""
    said = event.payload
    if not isinstance(said, MixingPass) or event.ended is None or event.area is None:
        return
    number = 1 << said.number
    for bay in _under(bays, ground, event.area):
        bay.block = bay.block or event.block
        if said.mixed == "dry":
            bay.dry |= number
        elif said.mixed == "aerate":
            bay.aerate |= number
        else:
            bay.wet |= number
            bay.water = bay.water or "off"
    for area in watered(event, said):
        for bay in _under(bays, ground, area):
            bay.water = "on"
            if said.water_l_m2 is not None:
                bay.water_l_m2 = (bay.water_l_m2 or 0.0) + said.water_l_m2


def _rolled(bays: list[list[_Bay]], ground: Ground, event: Event) -> None:
    """Rolling or trimming that is done."""
    said = event.payload
    if not isinstance(said, Rolling) or event.ended is None or event.area is None:
        return
    for bay in _under(bays, ground, event.area):
        bay.trimmed |= said.rolled == "trim"
        bay.final |= said.rolled == "final"
        if said.rolled == "padfoot":
            bay.padfoot = True
            if said.passes is not None:
                bay.padfoot_passes = (bay.padfoot_passes or 0) + said.passes


def _checked(bays: list[list[_Bay]], ground: Ground, event: Event) -> None:
    """Checks made, and those that somebody said were not made; a check that was made is not taken back."""
    said, area = event.payload, event.area
    for bay in _under(bays, ground, area) if area else ():
        if isinstance(said, TrayCheck):
            _tray(bay, said, spot=area is not None and area.point)
        elif isinstance(said, PreGradeShots) and bay.shots != "checked":
            bay.shots = said.checked
        elif isinstance(said, DepthCheck):
            bay.depth = event.id
        elif isinstance(said, DensityTest):
            bay.density = event.id


def _tray(bay: _Bay, said: TrayCheck, *, spot: bool) -> None:
    """A weighed tray tells of the bay it stood in, and of no whole block."""
    if said.checked == "weighed" and spot:
        bay.tray = "checked"
    elif said.checked == "not checked" and bay.tray != "checked":
        bay.tray = "not checked"


def _finished(bays: list[list[_Bay]], ground: Ground, event: Event) -> None:
    """Feet walked out; the block closed."""
    said, area = event.payload, event.area
    for bay in _under(bays, ground, area) if area else ():
        if isinstance(said, WalkOut):
            bay.walked_out = said.walked_out
        elif isinstance(said, Closed) and said.problem is None:
            bay.closed = True


_TOLD: dict[type, Callable[[list[list[_Bay]], Ground, Event], None]] = {
    MixingPass: _mixed,
    Rolling: _rolled,
    TrayCheck: _checked,
    PreGradeShots: _checked,
    DepthCheck: _checked,
    DensityTest: _checked,
    WalkOut: _finished,
    Closed: _finished,
}


def _state(bay: _Bay, ground: Ground, at: tuple[int, int], rule: Rule | None) -> BayState:
    """A bay that is told to the end."""
    row, column = at
    return BayState(
        strip=ground.strips[column],
        start_m=ground.edges[row],
        end_m=ground.edges[row + 1],
        block=bay.block,
        zone=rule.zone if rule else "",
        instructed_kg_m2=rule.rate_kg_m2 if rule else None,
        spread=bay.spread,
        rate_kg_m2=bay.rate_kg_m2,
        dry_passes=bay.dry.bit_count(),
        wet_passes=bay.wet.bit_count(),
        aerating_passes=bay.aerate.bit_count(),
        water=bay.water,
        water_l_m2=bay.water_l_m2,
        pre_grade_shots=bay.shots,
        tray=bay.tray,
        depth_check=bay.depth,
        density=bay.density,
        padfoot=bay.padfoot,
        padfoot_passes=bay.padfoot_passes,
        trimmed=bay.trimmed,
        rolled=bay.final,
        walked_out=bay.walked_out,
        closed=bay.closed,
    )
