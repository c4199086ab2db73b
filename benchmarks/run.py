"""Ratios of times, each the best of five: they tell growth, and hold on a slow machine as on a quick one."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from itertools import cycle
from pathlib import Path

import numpy as np

import hardpan
from benchmarks.ground import ground_ratios
from benchmarks.layered import layered_ratios
from benchmarks.ledger import ledger_ratios
from benchmarks.record import record_ratios
from benchmarks.site import posts_ratios
from benchmarks.timing import Ratio, best
from benchmarks.treatment import treatment_ratios
from benchmarks.zones import zone_ratios
from hardpan.exchange.drawing.ground_map import draw_ground_map
from hardpan.exchange.drawing.odds_curve import draw_odds_curve
from hardpan.exchange.drawing.strip_map import draw_strip_map
from hardpan.exchange.sheets.shelf import SHEETS, Wishes
from hardpan.laws.spread import run_outs
from hardpan.plan import Plan
from tests.streets import write_long_street

LONGER = 10
IMPORTS = "import numpy, scipy.special, pydantic"


def importing(statement: str) -> Callable[[], object]:
    """A new Python that imports."""
    return lambda: subprocess.run([sys.executable, "-c", statement], check=True)


def import_times() -> list[Ratio]:
    """Hardpan as imported, and with all that it loads at first use, over what it stands on; the start of Python itself counts in neither."""
    everything = f"{IMPORTS}\nfrom hardpan import make_plan, read_street"
    bare, below, whole, all_of_it = (best(importing(said)) for said in ("", IMPORTS, "import hardpan", everything))
    return [
        Ratio(f"import hardpan / {IMPORTS}", (whole - bare) / (below - bare), 1.2, whole),
        Ratio("the same with all that is loaded at first use", (all_of_it - bare) / (below - bare), None, all_of_it),
    ]


def planned(street: hardpan.Street) -> Callable[[], object]:
    """Planning a street that is read."""
    return lambda: hardpan.make_plan(street)


def read_and_planned(path: Path) -> Callable[[], object]:
    """Planning a street from its folder."""
    return lambda: hardpan.make_plan(hardpan.read_street(path))


def planning() -> Iterator[Ratio]:
    """A street of 4 km over one of 400 m."""
    with tempfile.TemporaryDirectory() as folder:
        short, long = (write_long_street(Path(folder) / str(times), times) for times in (1, LONGER))
        plans = [best(planned(hardpan.read_street(path))) for path in (short, long)]
        whole = [best(read_and_planned(path)) for path in (short, long)]
    yield Ratio("make_plan, 4 km / 400 m", plans[1] / plans[0], 12.0, plans[1])
    yield Ratio("read_street and make_plan, 4 km / 400 m", whole[1] / whole[0], 12.0, whole[1])


def redrawing() -> Ratio:
    """One word of Teal Crescent's slow drive changed: read, planned, its maps and odds drawn again."""
    with tempfile.TemporaryDirectory() as folder:
        street = shutil.copytree(hardpan.example("teal-crescent"), Path(folder) / "street")
        readings = street / "readings.csv"
        said = readings.read_text(encoding="utf-8")
        words = cycle((said.replace("ruts,yes", "sinks,yes", 1), said))

        def again() -> None:
            readings.write_text(next(words), encoding="utf-8")
            plan = hardpan.make_plan(hardpan.read_street(street))
            draw_ground_map(plan)
            draw_strip_map(plan)
            for index in range(len(plan.zones)):
                draw_odds_curve(plan, index)

        seconds = best(again)
    return Ratio("Teal Crescent, one word changed: planned and drawn again, seconds", seconds, 1.0, seconds)


def all_sheets(plan: Plan) -> Callable[[], object]:
    """Making every sheet of a plan."""
    return lambda: [make(plan, Wishes()) for _, make in SHEETS.values()]


def sheets() -> Iterator[Ratio]:
    """Every sheet after the plan: seconds for a street of 400 m, and a street of 4 km over it."""
    with tempfile.TemporaryDirectory() as folder:
        streets = (write_long_street(Path(folder) / str(times), times) for times in (1, LONGER))
        plans = [hardpan.make_plan(hardpan.read_street(path)) for path in streets]
        short, long = (best(all_sheets(plan)) for plan in plans)
    yield Ratio("all sheets of 400 m, seconds after the plan", short, 1.0, short)
    yield Ratio("all sheets, 4 km / 400 m", long / short, 12.0, long)


def walking() -> Ratio:
    """Ten times the segments and the fills."""

    def walk(count: int) -> Callable[[], object]:
        draws = np.random.default_rng(0)
        lengths, per_metre = draws.uniform(1, 80, count), draws.uniform(20, 90, count)
        fills = np.full(count // 5, float(lengths @ per_metre) / (count // 5))
        return lambda: run_outs(lengths, per_metre, fills)

    few, many = best(walk(1000)), best(walk(1000 * LONGER))
    return Ratio("run_outs, 10,000 / 1,000 segments", many / few, 12.0, many)


def main() -> int:
    """Print every ratio; exit 1 where an aim is not reached."""
    ratios = [
        *import_times(),
        *planning(),
        redrawing(),
        *sheets(),
        walking(),
        *ground_ratios(),
        *layered_ratios(),
        *treatment_ratios(),
        *zone_ratios(),
        *ledger_ratios(),
        *record_ratios(),
        *posts_ratios(),
    ]
    print(*ratios, sep="\n")
    return 0 if all(ratio.reached for ratio in ratios) else 1


if __name__ == "__main__":
    sys.exit(main())
