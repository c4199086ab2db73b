"""Labels that never collide: places tried in order of liking, and rows beside the street where everything fits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Box:
    """Upright rectangle; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def hits(self, other: Box, gap: float = 0.0) -> bool:
        """Whether two boxes overlap or come nearer than ``gap``."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def inside(self, outer: Box) -> bool:
        """Whether the whole box lies inside another."""
        return (
            self.left >= outer.left
            and self.right <= outer.right
            and self.top >= outer.top
            and self.bottom <= outer.bottom
        )

    def moved(self, right: float, down: float) -> Box:
        """The box moved."""
        return Box(self.left + right, self.top + down, self.right + right, self.bottom + down)


@dataclass
class Field:
    """An area with what already stands in it; ``faint`` things are kept clear of where that is possible."""

    area: Box
    gap: float = 2.0
    taken: list[Box] = field(default_factory=list)
    faint: list[Box] = field(default_factory=list)

    def free(self, box: Box, *, faint: bool = True) -> bool:
        """Whether a box lies inside the area and touches nothing, faint things counted or not."""
        things = (*self.taken, *self.faint) if faint else self.taken
        return box.inside(self.area) and not any(box.hits(other, self.gap) for other in things)

    def put(self, candidates: Iterable[Box]) -> Box | None:
        """First candidate that is free, taken; over faint things where no other is; None where none is."""
        tried = list(candidates)
        for faint in (True, False):
            for box in tried:
                if self.free(box, faint=faint):
                    self.taken.append(box)
                    return box
        return None


def spread_out(
    wanted: Sequence[float], widths: Sequence[float], low: float, high: float, gap: float
) -> list[float] | None:
    """Middles of labels in one row, in the order of ``wanted``, as near to it as keeps them apart and inside; None where they do not fit.

    The least sum of squared moves: neighbours that would touch are pooled and stand round the mean of what they want.
    """
    total = sum(widths) + gap * max(0, len(widths) - 1)
    if total > high - low:
        return None
    pools: list[_Pool] = []
    for want, width in zip(wanted, widths, strict=True):
        pools.append(_Pool(want - width / 2, width, 1))
        while len(pools) > 1 and pools[-2].start(low, high) + pools[-2].width + gap > pools[-1].start(low, high):
            last = pools.pop()
            pools[-1] = pools[-1].joined(last, gap)
    middles: list[float] = []
    each = iter(widths)
    for pool in pools:
        left = pool.start(low, high)
        for _ in range(pool.count):
            width = next(each)
            middles.append(left + width / 2)
            left += width + gap
    return middles


@dataclass(frozen=True, slots=True)
class _Pool:
    """Labels that stand shoulder to shoulder: where they want to begin, how wide they are, how many."""

    wish: float
    width: float
    count: int

    def start(self, low: float, high: float) -> float:
        """Where they begin, kept inside."""
        return min(max(self.wish, low), high - self.width)

    def joined(self, other: _Pool, gap: float) -> _Pool:
        """Two pools as one; the second's wish counts from where it would stand in the joined row."""
        shifted = other.wish - (self.width + gap)
        wish = (self.wish * self.count + shifted * other.count) / (self.count + other.count)
        return _Pool(wish, self.width + gap + other.width, self.count + other.count)


def rows_of_labels(
    wanted: Sequence[float], widths: Sequence[float], low: float, high: float, gap: float
) -> list[tuple[int, float]]:
    """Row (0 next to the street) and middle of every label, in as few rows as hold them all; every label no wider than the row.

    Labels are dealt to rows in turn, so that neighbours in one row lie farther apart than neighbours on the street.
    """
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    for count in range(1, len(order) + 1):
        dealt = [order[row::count] for row in range(count)]
        placed = [spread_out([wanted[i] for i in row], [widths[i] for i in row], low, high, gap) for row in dealt]
        if all(middles is not None for middles in placed):
            found: dict[int, tuple[int, float]] = {}
            for row, (indices, middles) in enumerate(zip(dealt, placed, strict=True)):
                found.update({i: (row, middle) for i, middle in zip(indices, middles or [], strict=True)})
            return [found[i] for i in range(len(wanted))]
    return []
