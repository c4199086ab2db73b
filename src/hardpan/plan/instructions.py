"""Instructions: which one is in force at every place. The instruction is the plan; a place without one waits for a proposal."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise

from hardpan.street import Notice, Street
from hardpan.street.street import Instruction


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of one strip under one instruction; stations in metres, ``instruction`` indexes the street's instructions, -1 where there is none."""

    strip: int
    start_m: float
    end_m: float
    instruction: int

    @property
    def length_m(self) -> float:
        """Length in metres."""
        return self.end_m - self.start_m


@dataclass(frozen=True, slots=True)
class InForce:
    """Pieces in order of strip and station, and what later instructions replaced."""

    pieces: tuple[Piece, ...]
    notices: tuple[Notice, ...]


def follow_instructions(street: Street) -> InForce:
    """Instruction in force at every place: what is said for a place beats ``elsewhere``, the later beats the earlier."""
    pieces = tuple(piece for strip in street.strips for piece in _strip_pieces(street, strip.number))
    return InForce(pieces, _replaced(street, pieces))


def _strip_pieces(street: Street, strip: int) -> list[Piece]:
    """Pieces of one strip; instruction -1 where there is none."""
    first, last = street.stationing.first, street.stationing.last
    mine = [(index, one) for index, one in enumerate(street.instructions) if strip in one.strips]
    edges = sorted({first, last, *(place for _, one in mine for place in (one.start, one.end))})
    pieces: list[Piece] = []
    for start, end in pairwise(edges):
        governing = _governing(mine, (start + end) / 2)
        if pieces and pieces[-1].instruction == governing:
            pieces[-1] = Piece(strip, pieces[-1].start_m, end, governing)
        else:
            pieces.append(Piece(strip, start, end, governing))
    return pieces


def _governing(instructions: list[tuple[int, Instruction]], station: float) -> int:
    """Index of the instruction in force at a station; -1 for none."""
    there = [(index, one) for index, one in instructions if one.start < station < one.end]
    return max(there, key=_precedence, default=(-1, None))[0]


def _precedence(numbered: tuple[int, Instruction]) -> tuple[bool, dt.datetime, int]:
    """Order of instructions at one place, the one in force last."""
    index, one = numbered
    return not one.elsewhere, (one.said_at or dt.datetime.min).replace(tzinfo=None), index


def _replaced(street: Street, pieces: tuple[Piece, ...]) -> tuple[Notice, ...]:
    """A notice for every instruction that a later one replaced, wholly or in part."""
    notices = []
    for index, one in enumerate(street.instructions):
        taken = {
            piece.instruction
            for piece in pieces
            if piece.strip in one.strips
            and piece.instruction != index
            and min(piece.end_m, one.end) - max(piece.start_m, one.start) > 1e-6
        }
        if one.elsewhere or not taken:
            continue
        later = " and ".join(sorted(street.instructions[other].zone for other in taken))
        message = f"the instruction of {one.rate.value:.3g} kg/m2 in row {one.row} is replaced by a later one ({later})"
        notices.append(Notice("instruction", message, street.place(one.start, one.end, one.strips)))
    return tuple(notices)
