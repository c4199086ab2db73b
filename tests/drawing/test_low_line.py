"""How low on a line, and the tape with a zone in its frame: everything stands at its figure."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from hardpan.exchange.drawing.ink import CLAY, LOAM
from hardpan.exchange.drawing.low_line import draw_low_line, low_mm
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.drawing.zone_tape import draw_zone_tape, joined
from hardpan.plan import Plan
from tests.drawing.ground_streets import collisions, elements, in_feet, outside, texts
from tests.drawing.map_streets import MapStreet, map_plans
from tests.drawing.odds_streets import ODD, six_zones
from tests.sheets.odd_streets import many, strained
from tests.sheets.pdf_text import planned

EXAMPLES = ["teal-crescent", "kestrel-road"]
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def hold(plan: Plan) -> None:
    """What holds for every zone: nothing collides or leaves."""
    for index, (zone, balance) in enumerate(zip(plan.zones, plan.balance, strict=True)):
        for drawn in (draw_low_line(zone, balance), draw_zone_tape(plan, index)):
            assert collisions(drawn) == []
            assert outside(drawn) == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_collides_on_the_two_streets(name: str) -> None:
    hold(planned(name))


@pytest.mark.parametrize("make", [*ODD, in_feet, many, strained])
def test_nothing_collides_on_odd_streets(tmp_path: Path, make: Callable[[Path], Plan]) -> None:
    hold(make(tmp_path / "s"))


@settings(RANDOM, max_examples=15)
@given(street=map_plans(longest=2000))
def test_nothing_collides_on_random_streets(street: MapStreet) -> None:
    hold(street.plan)


def millimetres_at(drawn: Drawn, x: float) -> float:
    """What stands at a place, from the first and last tick with a number in the middle of the line."""
    ticks = [float(one.get("x1", "nan")) for one in elements(drawn, "line", stroke_width="2") if one.get("x1") == one.get("x2")]  # fmt: skip
    numbered = {}
    for text, box in drawn.labels:
        found = re.fullmatch(r"(\d+)( high)?", text)
        if found and box.left > 2 and box.bottom > 100:
            numbered[min(ticks, key=lambda tick: abs(tick - (box.left + box.right) / 2))] = float(found[1]) * (-1 if found[2] else 1)  # fmt: skip
    (x0, first), *_, (x1, last) = sorted(numbered.items())
    return first + (x - x0) / (x1 - x0) * (last - first)


def test_crew_and_our_sum_stand_at_their_figures_with_our_band() -> None:
    plan = planned("teal-crescent")
    zone, balance = plan.zones[0], plan.balance[0]
    drawn = draw_low_line(zone, balance)
    assert "crew 45" in texts(drawn)
    assert "our sum 47" in texts(drawn)
    stems = sorted(float(one.get("x1", "nan")) for one in elements(drawn, "line", stroke_width="3") if one.get("x1") == one.get("x2"))  # fmt: skip
    assert [millimetres_at(drawn, x) for x in stems] == pytest.approx([45, 1000 * balance.our_low.value], abs=0.05)
    (band,) = elements(drawn, "path", stroke=LOAM, stroke_width="1.4")
    left, right = (float(x) for x in re.findall(r"M([\d.]+) .* H([\d.]+)", band.get("d", ""))[0])
    ends = [1000 * balance.our_low.low, 1000 * balance.our_low.high]
    assert [millimetres_at(drawn, left), millimetres_at(drawn, right)] == pytest.approx(ends, abs=0.05)


def test_the_crews_lath_is_solid_and_ours_dotted() -> None:
    plan = planned("teal-crescent")
    laths = list(elements(draw_low_line(plan.zones[0], plan.balance[0]), "path", stroke_width="2.6"))
    assert [one.get("stroke-dasharray") for one in laths] == [None, "2.5 4.5"]


def test_without_a_band_the_other_sum_stands_there() -> None:
    plan = planned("kestrel-road")
    balance = plan.balance[2]
    drawn = draw_low_line(plan.zones[2], balance)
    low = balance.rise_by_three_phases.value - plan.street.file.level.trim.value
    assert f"by water and air {low_mm(low, unit=False)}" in texts(drawn)
    assert "our band" not in " ".join(texts(drawn))
    stems = sorted(float(one.get("x1", "nan")) for one in elements(drawn, "line", stroke_width="3") if one.get("x1") == one.get("x2"))  # fmt: skip
    assert millimetres_at(drawn, stems[0]) == pytest.approx(1000 * low, abs=0.05)


def test_high_is_said_to_be_high(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    drawn = draw_low_line(plan.zones[1], plan.balance[1])
    assert "crew 10 high" in texts(drawn)
    assert [low_mm(0.0451), low_mm(-0.0062), low_mm(-0.0001), low_mm(-0.006, unit=False)] == ["45 mm low", "6 mm high", "0 mm low", "6 high"]  # fmt: skip


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_tape_frames_the_zone(name: str) -> None:
    plan = planned(name)
    street = plan.street.stationing
    for index, zone in enumerate(plan.zones):
        drawn = draw_zone_tape(plan, index)
        bars = {
            (float(one.get("x1", "nan")), float(one.get("x2", "nan"))) for one in elements(drawn, "line", stroke=CLAY)
        }
        scale = (drawn.width - 8 - 96) / street.length
        covered = sum(b - a for a, b in bars) / scale
        stations = {round(a + step * 0.5, 1) for piece in zone.pieces for a, n in [(piece.start_m, round(2 * piece.length_m))] for step in range(n)}  # fmt: skip
        assert covered == pytest.approx(0.5 * len(stations), abs=0.1)
        assert min(a for a, _ in bars) == pytest.approx(96 + (min(piece.start_m for piece in zone.pieces) - street.first) * scale, abs=0.02)  # fmt: skip


def test_stretches_that_meet_are_one() -> None:
    assert joined([(145, 300), (0, 100), (145, 400), (400, 410), (20, 30)]) == [(0, 100), (145, 410)]
