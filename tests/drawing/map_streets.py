"""Random streets for drawings: any length, any strips, crowded structures, long names, text from right to left."""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

import hardpan
from hardpan.plan import Plan

LONG = "corner of the old brickworks lane, second gate"
NAMES = (
    "pole",
    "no.",
    "hydrant",
    LONG,
    "\u0628\u0631\u062c \u0627\u0644\u0645\u0627\u0621",
    "Stra\u00dfe \u00e9t\u00e9",
    "\u6c34\u5854",
)
KINDS = (
    "manhole",
    "valve",
    "catch basin",
    "gas",
    "water",
    "power",
    "telecom",
    "sewer",
    "trench",
    "ground rod",
    "other",
)
WORDS = ("nothing", "shows", "ruts", "sinks")


class MapStreet:
    """A street's file and its plan; shown by the file alone, for a plan prints in megabytes."""

    def __init__(self, toml: str, plan: Plan) -> None:
        self.toml = toml
        self.plan = plan

    def __repr__(self) -> str:
        return f"MapStreet({self.toml!r})"


def _table(folder: Path, name: str, head: list[str], rows: list[list[Any]]) -> None:
    with (folder / name).open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([head, *rows])


@st.composite
def map_plans(draw: Any, longest: int = 4000) -> MapStreet:
    """A random street, planned."""
    length = draw(st.one_of(st.integers(40, 300), st.integers(40, longest)))
    strips = draw(st.integers(1, 8))
    place = st.integers(0, length * 10).map(lambda tenths: tenths / 10)
    stretch = st.tuples(place, place).filter(lambda two: abs(two[0] - two[1]) >= 0.5).map(sorted)
    toml = f'name = "{draw(st.sampled_from(["Ash Row", LONG]))}"\n[line]\nlength = {length}\nwidth = {2.25 * strips}\nstrips = {strips}\n'
    toml += '[section]\ncrossfall = 0.02\n[level]\ndown_from = "lip"\ndown_at_edge = 0.4\n[soil]\nword = "fat clay"\n'
    toml += f"[shift]\nblock_length = {draw(st.sampled_from([25, 80, 200, 700]))}\n[water_truck]\nvolume = {draw(st.sampled_from([800, 12000]))}\n"
    toml += f"[spreader]\nhopper = {draw(st.sampled_from([600, 15000]))}\n"
    if draw(st.booleans()):
        toml += f'[[cement.delivery]]\ntime = "06:30"\ncement = {draw(st.integers(1, 400)) * 100}\n'
    marks = [
        [f"{draw(st.sampled_from(NAMES))} {i}", draw(place), draw(st.sampled_from(["left", "right", "centre"]))]
        for i in range(draw(st.integers(0, 40)))
    ]
    readings = [
        [*draw(stretch), draw(st.integers(1, strips)), draw(st.sampled_from(WORDS)), draw(st.sampled_from(["", "yes"]))]
        for _ in range(draw(st.integers(0, 20)))
    ]
    rates = [
        [
            "",
            *draw(stretch),
            draw(st.integers(1, strips)),
            draw(st.sampled_from([8, 16, 28, 36])),
            f"2026-06-03 {8 + i // 60:02d}:{i % 60:02d}",
        ]
        for i in range(draw(st.integers(0, 8)))
    ]
    structures = []
    for i in range(draw(st.integers(0, 60))):
        kind, start = draw(st.sampled_from(KINDS)), draw(place)
        end = min(length, start + 1.2) if kind == "trench" else ""
        structures.append(
            [
                f"{draw(st.sampled_from(['M', 'V', 'x' * 30]))}{i}",
                kind,
                start,
                end,
                draw(st.sampled_from(["left", "right", "centre", "full"])),
                draw(st.sampled_from(["", LONG])),
            ]
        )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "street.toml").write_text(toml, encoding="utf-8")
        _table(folder, "landmarks.csv", ["name", "station", "side"], marks)
        _table(folder, "readings.csv", ["from", "to", "strips", "word", "bounces"], readings)
        _table(
            folder,
            "instructions.csv",
            ["zone", "from", "to", "strips", "rate", "said_at"],
            [["rest", "elsewhere", "", "all", 12, "2026-06-03 07:00"], *rates],
        )
        _table(folder, "structures.csv", ["id", "kind", "from", "to", "side", "method"], structures)
        return MapStreet(toml, hardpan.make_plan(hardpan.read_street(folder)))
