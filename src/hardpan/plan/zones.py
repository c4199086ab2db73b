"""Zones: the places that share one rate and one mixing depth, with their areas."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.plan.instructions import InForce, Piece
from hardpan.street import Basis, Figure, Notice, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked
from hardpan.street.street import Instruction, SoilWordState
from hardpan.street.words import DepthState


@dataclass(frozen=True, slots=True)
class Zone:
    """One zone: its rate, its depth with its state, its area, its pieces."""

    name: str
    instruction: Instruction
    soil: SoilWordState
    rate: Figure
    depth: Figure
    depth_state: DepthState
    area: Figure
    cement: Figure
    pieces: tuple[Piece, ...]
    notices: tuple[Notice, ...]


def draw_zones(street: Street, in_force: InForce) -> tuple[Zone, ...]:
    """Zones in order of their first station."""
    by_instruction: dict[int, list[Piece]] = {}
    for piece in in_force.pieces:
        by_instruction.setdefault(piece.instruction, []).append(piece)
    zones = [_zone(street, street.instructions[index], tuple(pieces)) for index, pieces in by_instruction.items()]
    return tuple(
        sorted(zones, key=lambda zone: (zone.instruction.elsewhere, zone.pieces[0].start_m, zone.pieces[0].strip))
    )


def _zone(street: Street, instruction: Instruction, pieces: tuple[Piece, ...]) -> Zone:
    """One zone from its instruction and pieces."""
    rate = instruction.rate
    soil = soil_state(street, instruction)
    depth, state, notices = _depth(instruction)
    area = _area(street, pieces)
    cement = worked("cement", rate.value * area.value, "kg", rate, area, formula="rate x area")
    return Zone(instruction.zone, instruction, soil, rate, depth, state, area, cement, pieces, notices)


def soil_state(street: Street, instruction: Instruction) -> SoilWordState:
    """State of the soil: as instructed; else soft on a street stated wet and from 20 kg/m2."""
    if instruction.soil:
        return instruction.soil
    heavy = instruction.rate.value >= default("soft.from_rate").value
    return "soft" if street.file.soil.wet or heavy else "firm"


def _depth(instruction: Instruction) -> tuple[Figure, DepthState, tuple[Notice, ...]]:
    """Mixing depth and its state; a default with a notice where it was not said."""
    if instruction.depth is None:
        heavy = instruction.rate.value >= default("depth.heavy_from").value
        depth = default("depth.heavy" if heavy else "depth.light")
        message = f"the mixing depth at {instruction.rate.value:.3g} kg/m2 was not said: {depth.value * 1000:.0f} mm of original ground is a default; ask"
        return depth, "original", (Notice("default", message, instruction.zone),)
    if instruction.depth_state is None:
        message = (
            f"{instruction.depth.value * 1000:.0f} mm was said without its state: taken as depth of original ground"
        )
        return instruction.depth, "original", (Notice("default", message, instruction.zone),)
    return instruction.depth, instruction.depth_state, ()


def _area(street: Street, pieces: tuple[Piece, ...]) -> Figure:
    """Area of some pieces."""
    line = street.file.line
    width = line.width
    length = sum(piece.length_m for piece in pieces)
    strip = worked("strip width", street.strips[0].width, "m", width, formula=f"width / {len(street.strips)} strips")
    along = Figure("length of strip in the zone", length, "m", Basis.STATED, "painted edges of the instructions")
    return worked("area", length * strip.value, "m2", along, strip, formula="length of strip x strip width")
