"""How long each machine needs for a block, and how the runs of a plain block follow each other."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.laws import work
from hardpan.street import Figure, Street
from hardpan.street.figure import worked


@dataclass(frozen=True, slots=True)
class BlockDurations:
    """Minutes of every run of one block, and the two lags between machines.

    ``dry`` holds one figure a pass over the whole block, ``extra`` the further dry passes over soft ground alone (None without).
    """

    spread: Figure
    dry: tuple[Figure, ...]
    extra: Figure | None
    wet: Figure
    padfoot: Figure
    grader: Figure
    smooth: Figure
    padfoot_after_wet: Figure
    smooth_before: Figure

    @property
    def runs(self) -> tuple[Figure, ...]:
        """Every run of every machine."""
        extra = (self.extra,) if self.extra else ()
        return (self.spread, *self.dry, *extra, self.wet, self.padfoot, self.grader, self.smooth)

    @property
    def dry_minutes(self) -> float:
        """All dry mixing."""
        return sum(figure.value for figure in self.dry) + (self.extra.value if self.extra else 0.0)

    @property
    def mixing_minutes(self) -> float:
        """From first mix to the end of the wet pass."""
        return self.dry_minutes + self.wet.value


def time_block(
    street: Street,
    length: float,
    area: float,
    *,
    cuts: int,
    soft: tuple[tuple[int, float], ...],
    loads: list[tuple[float, float]],
) -> BlockDurations:
    """Durations of one block.

    Parameters
    ----------
    street
        The street, for its plant.
    length, area
        Of the block [m], [m2].
    cuts
        Mixer cuts across the street.
    soft
        Cut and length [m] of every soft stretch.
    loads
        Length [m] and rate [kg/m2] of every stretch of strip, in order.
    """
    mixer, rolling = street.file.mixer, street.file.rolling
    soft_length = sum(stretch for _, stretch in soft)
    size = Figure("area", area, "m2", street.file.line.width.basis, "block length x width")
    run = Figure("length of a run", length, "m", street.file.line.length.basis, "block joints")
    number = Figure("cuts", cuts, "1", mixer.drum.basis, "cuts needed to cover the width with the least overlap")
    return BlockDurations(
        spread=_spreading(street, loads),
        dry=tuple(_dry_pass(street, run, number, soft_length if i == 0 else 0.0) for i in range(mixer.dry_passes)),
        extra=_extra(street, soft, run.value),
        wet=worked(
            "wet pass", _mixing(length, mixer.wet_speed.value, cuts, mixer.turn.value), "min", run, mixer.wet_speed, number, mixer.turn,
            formula="cuts x (length / speed + turn)",
        ),
        padfoot=_area_run("padfoot", size, rolling.padfoot_rate),
        grader=_area_run("grader", size, rolling.grader_rate),
        smooth=_area_run("smooth drum", size, rolling.smooth_rate),
        padfoot_after_wet=rolling.padfoot_after_wet,
        smooth_before=rolling.smooth_before,
    )  # fmt: skip


def plain_durations(street: Street, length: float, *, cuts: int, rate: float) -> BlockDurations:
    """Durations of a plain block: no soft ground, one rate, no refill."""
    loads = [(length, rate)] * len(street.strips)
    return time_block(street, length, length * street.width, cuts=cuts, soft=(), loads=loads)


def _mixing(length: float, speed: float, cuts: float, turn: float) -> float:
    """Minutes of a mixing pass; speeds in m/min, turn in min."""
    return float(work.mixing_time(length, speed / 60, cuts=cuts, turn=turn * 60)) / 60


def _dry_pass(street: Street, run: Figure, number: Figure, soft_length: float) -> Figure:
    """One dry pass over the whole block; the first goes slower through soft ground."""
    mixer = street.file.mixer
    minutes = _mixing(run.value, mixer.dry_speed.value, number.value, mixer.turn.value)
    if not soft_length or mixer.first_speed_soft.value == mixer.dry_speed.value:
        return worked(
            "dry pass",
            minutes,
            "min",
            run,
            mixer.dry_speed,
            number,
            mixer.turn,
            formula="cuts x (length / speed + turn)",
        )
    minutes += soft_length / mixer.first_speed_soft.value - soft_length / mixer.dry_speed.value
    length = Figure("soft length of all cuts", soft_length, "m", run.basis, "zones of soft ground")
    return worked(
        "first dry pass", minutes, "min", run, mixer.dry_speed, number, mixer.turn, length, mixer.first_speed_soft,
        formula="cuts x (length / speed + turn) + soft length x (1 / soft speed - 1 / speed)",
    )  # fmt: skip


def _extra(street: Street, soft: tuple[tuple[int, float], ...], length: float) -> Figure | None:
    """Further dry passes over soft ground alone; None where there are none."""
    mixer = street.file.mixer
    passes = mixer.dry_passes_soft - mixer.dry_passes
    if passes <= 0 or not soft:
        return None
    minutes = passes * sum(
        _mixing(min(stretch, length), mixer.dry_speed.value, 1, mixer.turn.value) for _, stretch in soft
    )
    stretches = Figure(
        "soft length of all cuts",
        sum(stretch for _, stretch in soft),
        "m",
        mixer.dry_speed.basis,
        f"{len(soft)} stretches of soft ground",
    )
    return worked(
        "extra dry pass in soft ground", minutes, "min", stretches, mixer.dry_speed, mixer.turn,
        formula=f"{passes} x sum of (stretch / speed + turn) over the cuts in soft ground",
    )  # fmt: skip


def _area_run(name: str, size: Figure, rate: Figure) -> Figure:
    """Minutes of a run that is counted by area."""
    return worked(
        name,
        float(work.area_time(size.value, rate.value / 3600)) / 60,
        "min",
        size,
        rate,
        formula="area / area an hour",
    )


def _spreading(street: Street, loads: list[tuple[float, float]]) -> Figure:
    """Minutes of spreading without refills: driving at the speed the discharge allows, and turn, tray and wait at each strip."""
    spreader = street.file.spreader
    driving = sum(driving_minutes(street, length, rate) for length, rate in loads)
    total = driving + spreader.strip_time.value * len(street.strips) if loads else 0.0
    return worked(
        "spreading", total, "min", spreader.discharge, spreader.top_speed, spreader.strip_time,
        formula="sum of length / min(top speed, discharge / (rate x strip width)) + strip time x strips",
    )  # fmt: skip


def driving_minutes(street: Street, length: float, rate: float) -> float:
    """Minutes the spreader drives over a length of strip at a rate; none where nothing is spread."""
    if rate <= 0:
        return 0.0
    spreader = street.file.spreader
    return length / min(spreader.top_speed.value, spreader.discharge.value / (rate * street.strips[0].width))


@dataclass(frozen=True, slots=True)
class PlainRuns:
    """Start and end of every run of a block in minutes after first mix, nobody waiting for another block."""

    dry_end: float
    wet_end: float
    padfoot: tuple[float, float]
    grader: tuple[float, float]
    smooth: tuple[float, float]


def follow_on(
    durations: BlockDurations, first_mix: float = 0.0, *, free: tuple[float, float, float] = (0.0, 0.0, 0.0)
) -> PlainRuns:
    """Runs of a block after its first mix.

    The padfoot starts a lag into the wet pass and ends no sooner than it; the grader follows the padfoot; the smooth drum starts before the
    grader ends and ends no sooner than it. ``free`` is when padfoot, grader and smooth drum come free from the block before.
    """
    dry_end = first_mix + durations.dry_minutes
    wet_end = dry_end + durations.wet.value
    padfoot_start = max(dry_end + durations.padfoot_after_wet.value, free[0])
    padfoot_end = max(padfoot_start + durations.padfoot.value, wet_end)
    grader_start = max(padfoot_end, free[1])
    grader_end = grader_start + durations.grader.value
    smooth_start = max(grader_end - durations.smooth_before.value, grader_start, free[2])
    smooth_end = max(smooth_start + durations.smooth.value, grader_end)
    return PlainRuns(
        dry_end, wet_end, (padfoot_start, padfoot_end), (grader_start, grader_end), (smooth_start, smooth_end)
    )


def closing_minutes(durations: BlockDurations, start: str, stop: str) -> float:
    """Minutes from the event that starts a clock to the event that stops it, nobody waiting for another block."""
    runs = follow_on(durations)
    starts = {"cement on the ground": -durations.spread.value, "first mix": 0.0, "water": runs.dry_end}
    stops = {"padfoot starts": runs.padfoot[0], "padfoot ends": runs.padfoot[1], "final rolling ends": runs.smooth[1]}
    return stops[stop] - starts[start]
