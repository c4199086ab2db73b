"""plan.json: one object, keys that end in their unit, the basis of every figure beside it."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings

import hardpan
from hardpan.exchange.json_plan import plan_json, plan_object, problems_json
from hardpan.plan import CAUTION, Plan
from hardpan.street import EXAMPLES, Figure
from tests.plan.random_streets import Written, written_streets

TOP = ["schema", "street", "ground", "treatment", "zones", "balance", "levels", "supply", "shift", "notices"]


@pytest.fixture(scope="module", params=EXAMPLES)
def plan(request: pytest.FixtureRequest) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(request.param)))


def no_constant(text: str) -> None:
    raise AssertionError(f"{text} is no JSON")


def numbers(here: Any, key: str = "") -> Iterator[tuple[str, float]]:
    """Every number with the key it stands under."""
    if isinstance(here, dict):
        for name, value in here.items():
            yield from numbers(value, name)
    elif isinstance(here, list):
        for item in here:
            yield from numbers(item, key)
    elif isinstance(here, int | float) and not isinstance(here, bool):
        yield key, here


def beside(plan_part: object, shown: Any) -> Iterator[tuple[object, dict[str, Any]]]:
    """Dataclasses of a plan beside the objects they became."""
    if isinstance(plan_part, tuple) and plan_part and not isinstance(plan_part[0], Figure):
        for one, two in zip(plan_part, shown, strict=True):
            yield from beside(one, two)
    elif dataclasses.is_dataclass(plan_part) and not isinstance(plan_part, Figure):
        yield plan_part, shown
        for field in dataclasses.fields(plan_part):
            if field.name in shown:
                yield from beside(getattr(plan_part, field.name), shown[field.name])


def check(plan: Plan) -> None:
    """The object of a plan is complete and true."""
    shown = json.loads(plan_json(plan), parse_constant=no_constant)
    assert list(shown) == TOP
    assert all(math.isfinite(value) for _, value in numbers(shown))
    for part in ("zones", "balance", "levels", "supply", "shift"):
        for holder, plain in beside(getattr(plan, part), shown[part]):
            for field in dataclasses.fields(holder):  # type: ignore[arg-type]
                value = getattr(holder, field.name)
                figures = value if isinstance(value, tuple) else (value,)
                if not figures or not all(isinstance(figure, Figure) for figure in figures):
                    continue
                suffix = figures[0].unit_suffix
                key = field.name.removesuffix(suffix) + suffix
                assert plain[key] == (value.value if value is figures[0] else [figure.value for figure in figures])
                assert plain["basis"][key] == max((figure.basis for figure in figures), key=lambda basis: basis.rank)
                if value is figures[0] and value.spread:
                    stem = key.removesuffix(suffix)
                    assert (plain[f"{stem}_from{suffix}"], plain[f"{stem}_to{suffix}"]) == (value.low, value.high)


def test_both_streets(plan: Plan) -> None:
    check(plan)
    shown = plan_object(plan)
    assert shown["schema"] == "hardpan.plan/1"
    assert shown["street"]["caution"] == CAUTION
    assert shown["street"]["length_m"] * shown["street"]["width_m"] == pytest.approx(
        sum(zone["area_m2"] for zone in shown["zones"])
    )
    edges = shown["ground"]["edges_m"]
    assert all(len(row) == len(edges) - 1 for row in (*shown["ground"]["word"], *shown["ground"]["reading"]))
    assert len(shown["notices"]) == len(plan.notices)
    assert {notice["kind"] for notice in shown["notices"]} <= {
        "default", "range", "shortage", "limit", "missing", "judgement", "instruction", "safety",
    }  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(written_streets())
def test_any_street(written: Written) -> None:
    check(hardpan.make_plan(written.read()))


def test_problems_carry_what_they_are() -> None:
    problem = hardpan.Problem("readings.csv", 3, "word", "'soft'", "nothing, shows, ruts, sinks", "Say one.")
    shown = json.loads(problems_json((problem,)))
    assert shown == {
        "schema": "hardpan.problems/1",
        "problems": [
            {
                "file": "readings.csv", "row": 3, "column": "word", "found": "'soft'",
                "allowed": "nothing, shows, ruts, sinks", "do": "Say one.",
            }
        ],
    }  # fmt: skip
