"""What was driven over the ground, in the crew's words, and the tyre that it put on it."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from hardpan.laws.rutting import Wheel

FULL, HALF = "loaded truck", "half loaded truck"
"""Names of the tyres of a spreader or a water truck with its load, and with half of it."""

_TRUCKS = re.compile(r"\b(truck|spreader|tanker|tandem|dump|lorry)\b")
_HALF = re.compile(r"\b(half|part)\b")
_TONNES = re.compile(r"(\d+(?:[.,]\d+)?)\s*t\b")


@dataclass(frozen=True, slots=True)
class Tyre:
    """One kind of tyre by name; ``machine_t`` is the machine's mass that its load belongs to [t], 0 where loads are not scaled."""

    name: str
    wheel: Wheel
    machine_t: float
    source: str
    known: bool = True


@cache
def tyres() -> dict[str, Tyre]:
    """Tyres of ``wheels.csv`` by name."""
    text = files("hardpan.street").joinpath("wheels.csv").read_text(encoding="utf-8")
    return {
        row["name"]: Tyre(
            row["name"],
            Wheel(*(float(row[key]) for key in ("load_n", "pressure_pa", "width_m", "diameter_m"))),
            float(row["machine_t"] or 0),
            f"default, {row['source']}",
        )
        for row in csv.DictReader(text.splitlines())
    }


@cache
def tyre_of(vehicle: str) -> Tyre:
    """Tyre of a vehicle as written, such as ``grader, 18 t`` or ``spreader, half full``.

    A grader where nothing is said, its load by its tonnes where they are; ``known`` is false where the words name nothing
    that is listed, and the grader stands in.
    """
    said = " ".join(vehicle.lower().split())
    for name in ("steer tyre", "light test roller", "heavy test roller"):
        if name in said:
            return tyres()[name]
    if _TRUCKS.search(said):
        return tyres()[HALF if _HALF.search(said) else FULL]
    grader = tyres()["grader"]
    tonnes = _TONNES.search(said)
    if tonnes and "grader" in said:
        share = float(tonnes[1].replace(",", ".")) / grader.machine_t
        return replace(grader, wheel=replace(grader.wheel, load=grader.wheel.load * share))
    return replace(grader, known="grader" in said or not said)
