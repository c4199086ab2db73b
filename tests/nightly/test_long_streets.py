"""What holds for a street of any length, and for every walk along strips."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hardpan
from hardpan.laws.spread import run_outs
from tests.streets import write_long_street

pytestmark = pytest.mark.nightly

TELL = """
import sys, hardpan
plan = hardpan.make_plan(hardpan.read_street(sys.argv[1]))
sys.stdout.write(repr([getattr(plan, step) for step in ("zones", "balance", "levels", "supply", "shift", "notices")]))
"""


@pytest.mark.parametrize("times", [10, 30])
def test_a_street_laid_end_to_end_takes_as_many_times_the_cement(tmp_path: Path, times: int) -> None:
    one, many = (
        hardpan.make_plan(hardpan.read_street(write_long_street(tmp_path / str(count), count))) for count in (1, times)
    )
    assert many.supply.cement.planned.value == pytest.approx(times * one.supply.cement.planned.value, rel=1e-12)
    area = sum(zone.area.value for zone in one.zones)
    assert sum(zone.area.value for zone in many.zones) == pytest.approx(times * area, rel=1e-12)


def test_a_plan_does_not_hang_on_the_order_of_a_hash(tmp_path: Path) -> None:
    street = write_long_street(tmp_path / "street", 3)
    told = {
        subprocess.run(
            [sys.executable, "-c", TELL, str(street)],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "2", "3", "random")
    }
    assert len(told) == 1
    assert len(told.pop()) > 10_000


WALKS = st.lists(st.tuples(st.floats(0, 300), st.floats(0, 100)), min_size=1, max_size=60)
FILLS = st.lists(st.floats(0, 20_000), max_size=20)


@settings(max_examples=20_000, deadline=None)
@given(WALKS, FILLS)
def test_run_outs_are_those_of_a_walk_metre_by_metre(walk: list[tuple[float, float]], fills: list[float]) -> None:
    lengths, per_metre = np.array(walk).T
    found = run_outs(lengths, per_metre, fills)
    total = float(lengths @ per_metre)
    given_out = np.cumsum(fills)
    assert found.unused == pytest.approx(max(sum(fills) - total, 0), abs=1e-6 * (1 + total))
    assert found.missing == pytest.approx(max(total - sum(fills), 0), abs=1e-6 * (1 + total))
    for fill, (segment, distance) in enumerate(zip(found.segment, found.distance, strict=True)):
        if segment >= 0:
            spread = float(lengths[:segment] @ per_metre[:segment]) + float(distance) * float(per_metre[segment])
            assert spread == pytest.approx(given_out[fill], abs=1e-6 * (1 + total))
            assert 0 <= distance <= lengths[segment]
        else:
            assert given_out[fill] >= total * (1 - 1e-9)
