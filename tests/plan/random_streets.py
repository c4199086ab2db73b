"""Random small streets, written as folders and read back, and in plain words what was written."""

from __future__ import annotations

import csv
import datetime as dt
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

import hardpan
from hardpan.street import Street

Draw = Any
WORDS = ("nothing", "shows", "ruts", "sinks")


@dataclass(frozen=True)
class Said:
    """One row of instructions.csv."""

    zone: str
    start: float
    end: float
    strips: tuple[int, ...]
    elsewhere: bool
    rate: float
    depth: float | None
    state: str
    low: float | None
    water: str
    soil: str
    minute: int


@dataclass(frozen=True)
class Written:
    """A street folder in memory: the tables of street.toml as lines, and the rows of the CSV files."""

    length: float
    strips: int
    width: float
    lines: tuple[str, ...]
    said: tuple[Said, ...]
    readings: tuple[tuple[float, float, str, str, str], ...]

    def write(self, folder: Path) -> None:
        """Write the folder."""
        folder.joinpath("street.toml").write_text("\n".join(self.lines) + "\n", encoding="utf-8")
        with folder.joinpath("instructions.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            head = ["zone", "from", "to", "strips", "rate", "depth", "depth_state", "low", "water", "soil", "said_at"]
            writer.writerow(head)
            for one in self.said:
                at = dt.datetime(2026, 6, 3, 6) + dt.timedelta(minutes=one.minute)
                start, end = ("elsewhere", "") if one.elsewhere else (f"{one.start:.2f}", f"{one.end:.2f}")
                strips = "all" if one.elsewhere else ",".join(str(number) for number in one.strips)
                shown = ["" if value is None else repr(value) for value in (one.rate, one.depth, one.low)]
                row = [one.zone, start, end, strips, *shown[:2], one.state, shown[2], one.water, one.soil]
                writer.writerow([*row, f"{at:%Y-%m-%d %H:%M}"])
        with folder.joinpath("readings.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(["from", "to", "strips", "word", "bounces"])
            writer.writerows((f"{start:.2f}", f"{end:.2f}", *rest) for start, end, *rest in self.readings)

    def read(self) -> Street:
        """The folder, written and read back."""
        with tempfile.TemporaryDirectory() as place:
            self.write(Path(place))
            return hardpan.read_street(place)

    def in_force(self, strip: int, station: float) -> Said:
        """Instruction in force at a place: said for the place beats elsewhere, then the later beats the earlier."""
        here = [one for one in self.said if strip in one.strips and one.start < station < one.end]
        placed = [one for one in here if not one.elsewhere]
        return max(placed or here, key=lambda one: one.minute)

    def edges(self, start: float, end: float) -> list[float]:
        """Stations between two where any instruction begins or ends, with both."""
        inside = {place for one in self.said for place in (one.start, one.end) if start < place < end}
        return [start, *sorted(inside), end]


def _number(draw: Draw, low: float, high: float, decimals: int = 2) -> float:
    """Number of some decimals."""
    scale = float(10**decimals)
    return int(draw(st.integers(round(low * scale), round(high * scale)))) / scale


def _maybe(draw: Draw, low: float, high: float, decimals: int = 2) -> float | None:
    """Number, or nothing."""
    return _number(draw, low, high, decimals) if draw(st.booleans()) else None


def _figure(draw: Draw, value: float) -> str:
    """TOML of a figure, bare or with its basis."""
    basis = draw(st.sampled_from(["", "stated", "measured"]))
    return f'{{ value = {value!r}, basis = "{basis}" }}' if basis else repr(value)


def _table(draw: Draw, name: str, keys: dict[str, tuple[float, float, int]], *more: str) -> list[str]:
    """TOML table of keys that are there or not."""
    lines = [f"[{name}]", *more]
    for key, (low, high, decimals) in keys.items():
        if draw(st.booleans()):
            lines.append(f"{key} = {_figure(draw, _number(draw, low, high, decimals))}")
    return lines


@st.composite
def _instruction(draw: Draw, number: int, *, length: float, strips: int, elsewhere: bool) -> Said:
    """One rate instruction."""
    start = 0.0 if elsewhere else _number(draw, 0, length - 2, 1)
    end = length if elsewhere else min(length, start + _number(draw, 1, length, 1))
    chosen = draw(st.sets(st.integers(1, strips), min_size=1))
    water = draw(st.sampled_from(["", "full", "half", "off", "target", "litres"]))
    return Said(
        zone=f"Z{number}",
        start=start,
        end=end,
        strips=tuple(range(1, strips + 1)) if elsewhere else tuple(sorted(chosen)),
        elsewhere=elsewhere,
        rate=draw(st.sampled_from([0.0, 12.0, 24.0, 28.0])) if draw(st.booleans()) else _number(draw, 0, 60, 1),
        depth=_maybe(draw, 0.15, 0.45),
        state=draw(st.sampled_from(["", "original", "loose", "rolled"])),
        low=_maybe(draw, -0.05, 0.08, 3),
        water=repr(_number(draw, 0, 40, 1)) if water == "litres" else water,
        soil=draw(st.sampled_from(["", "firm", "soft"])),
        minute=number,
    )


def _soil(draw: Draw) -> list[str]:
    """Tables of the soil; finished density and air are both or neither or one, always possible ones."""
    word, wet = draw(st.sampled_from(["silt", "lean clay", "fat clay"])), draw(st.booleans())
    lines = ["[soil]", f'word = "{word}"', f"wet = {str(wet).lower()}"]
    for key in ("water_full", "water_half"):
        if draw(st.booleans()):
            lines.append(f"{key} = {_number(draw, 2, 40, 1)}")
    keys = {
        "dry_density": (1350, 1560, 0), "water_content": (0.12, 0.25, 3), "saturation": (0.85, 1.0, 2),
        "specific_gravity": (2.6, 2.8, 2), "treated_optimum": (0.14, 0.34, 3), "treated_maximum": (1350, 1700, 0),
        "final_dry_density": (900, 1100, 0), "final_air": (0.0, 0.1, 3), "water_losses": (0, 6, 1),
    }  # fmt: skip
    for state in ("firm", "soft"):
        lines += _table(draw, f"soil.{state}", keys)
        if draw(st.booleans()):
            lines.append(f"aired_from = {_number(draw, 0.2, 0.4, 2)}")
    return lines


def _plant(draw: Draw) -> list[str]:
    """Tables of the machines."""
    return [
        *_table(
            draw, "spreader",
            {
                "hopper": (2000, 20000, 0), "discharge": (800, 3000, 0), "top_speed": (20, 60, 0), "transfer_rate": (500, 1500, 0),
                "coupling": (0, 8, 1), "strip_time": (0, 6, 1), "back_up": (0, 5, 1),
            },
        ),
        *_table(
            draw, "mixer",
            {"drum": (2.0, 2.6, 2), "dry_speed": (5, 15, 1), "first_speed_soft": (4, 12, 1), "wet_speed": (5, 12, 1), "turn": (0, 4, 1), "move": (0, 10, 1)},
            f"overlap_nozzles_shut = {str(draw(st.booleans())).lower()}", f"dry_passes = {draw(st.integers(1, 3))}",
            f"dry_passes_soft = {draw(st.integers(1, 4))}",
        ),
        *_table(
            draw, "water_truck", {"volume": (3000, 20000, 0), "pump": (200, 1500, 0), "away": (5, 60, 0), "coupling": (0, 6, 1)},
            f"tops_up_between_blocks = {str(draw(st.booleans())).lower()}",
        ),
        *_table(
            draw, "rolling",
            {
                "padfoot_rate": (500, 2000, 0), "padfoot_after_wet": (0, 60, 0), "grader_rate": (500, 2000, 0), "smooth_rate": (500, 2000, 0),
                "smooth_before": (0, 60, 0),
            },
        ),
    ]  # fmt: skip


def _cement(draw: Draw) -> list[str]:
    """Tables of the cement: allowances, loads and fills said or not."""
    lines = _table(draw, "cement", {"order_allowance": (0, 0.06, 2), "spread_allowance": (0, 0.06, 2)})
    for _ in range(draw(st.integers(0, 4))):
        hour, kilograms = draw(st.integers(6, 15)), draw(st.integers(20, 400)) * 100
        lines += [
            "[[cement.delivery]]",
            f"day = {draw(st.integers(1, 3))}",
            f'time = "{hour:02d}:15"',
            f"cement = {kilograms}",
        ]
    for _ in range(draw(st.sampled_from([0, 0, 1, 2, 5]))):
        amount = draw(st.sampled_from(['"brim"', '"rest"', "1500", "2000"]))
        lines += ["[[cement.fill]]", f"day = {draw(st.integers(1, 3))}", f"cement = {amount}"]
    return lines


def _shift(draw: Draw) -> list[str]:
    """Tables of the shift and its limits."""
    end = draw(st.sampled_from(["12:00", "15:30", "18:00"]))
    lines = _table(draw, "shift", {"block_length": (20, 120, 1)}, "date = 2026-06-04", f'end = "{end}"')
    if draw(st.booleans()):
        lines.append(f"blocks_by_day = {draw(st.lists(st.integers(1, 4), min_size=1, max_size=3))}")
    if draw(st.booleans()):
        lines += ["[weather]", 'rain_from = "16:00"', "low_c = 3", "wind_to_km_h = 35"]
    for start in draw(st.sets(st.sampled_from(["cement on the ground", "first mix", "water"]))):
        within, owner = draw(st.integers(90, 300)), draw(st.sampled_from(["", "engineer"]))
        lines += ["[[limits.clock]]", f'start = "{start}"', f"within = {within}", f'owner = "{owner}"']
    return lines


@st.composite
def written_streets(draw: Draw) -> Written:
    """A random street: 40 to 600 m, 1 to 6 strips, up to 8 instructions and an elsewhere."""
    length, strips = _number(draw, 40, 600, 1), draw(st.integers(1, 6))
    width = round(strips * _number(draw, 1.8, 2.6), 2)
    count = draw(st.integers(0, 7))
    said = [draw(_instruction(i + 1, length=length, strips=strips, elsewhere=False)) for i in range(count)]
    said.append(draw(_instruction(0, length=length, strips=strips, elsewhere=True)))
    readings = []
    for _ in range(draw(st.integers(0, 4))):
        start = _number(draw, 0, length - 2, 1)
        end = min(length, start + _number(draw, 1, length, 1))
        word, bounces = draw(st.sampled_from(WORDS)), draw(st.sampled_from(["", "yes"]))
        readings.append((start, end, str(draw(st.integers(1, strips))), word, bounces))
    level = draw(st.sampled_from([[], ['down_from = "lip"', "down_at_edge = 0.45"]]))
    keys = {"trim": (0, 0.03, 3), "settlement": (0, 0.02, 3), "ramp": (0.5, 40, 1), "stake_spacing": (5, 40, 1)}
    lines = [
        'name = "Random Road"',
        "[line]",
        f"length = {_figure(draw, length)}",
        f"width = {_figure(draw, width)}",
        f"strips = {strips}",
        f"bay_length = {_number(draw, 3, 20, 1)}",
        "[section]",
        f"crossfall = {_number(draw, 0, 0.04, 3)}",
        *_table(draw, "level", keys, *level),
        *_soil(draw),
        *_plant(draw),
        *_cement(draw),
        *_shift(draw),
    ]
    return Written(length, strips, width, tuple(lines), tuple(said), tuple(readings))
