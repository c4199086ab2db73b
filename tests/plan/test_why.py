"""Every figure of a plan opens to its working; a wrong path says where it ends and what is there."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import pytest

import hardpan
from hardpan.exchange.working import working_object, working_text
from hardpan.plan import Plan, why
from hardpan.street import EXAMPLES, Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import Notice


@pytest.fixture(scope="module", params=EXAMPLES)
def plan(request: pytest.FixtureRequest) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(request.param)))


def paths(here: object, done: str = "") -> Iterator[tuple[str, Figure]]:
    """Path of every figure of a plan, every item of every list."""
    if isinstance(here, Figure):
        yield done, here
    elif isinstance(here, tuple):
        for i, item in enumerate(here):
            yield from paths(item, f"{done}[{i}]")
    elif dataclasses.is_dataclass(here) and not isinstance(here, Street):
        for field in dataclasses.fields(here):
            yield from paths(getattr(here, field.name), f"{done}.{field.name}" if done else field.name)


def test_every_path_opens_with_and_without_its_unit(plan: Plan) -> None:
    found = list(paths(plan))
    assert len(found) > 300
    for path, figure in found:
        assert why.find(plan, path) is figure
        if not path.endswith("]"):
            assert why.find(plan, path + figure.unit_suffix) is figure
    explicit = {path for path, _ in found}
    assert explicit >= set(why.below(plan))


def test_paths_by_name(plan: Plan) -> None:
    for i, zone in enumerate(plan.zones):
        for path in ("zones[{}].area", "balance[{}].our_low_m", "supply.cement.zones[{}].planned_kg", "supply.water.zones[{}].flow"):  # fmt: skip
            assert why.find(plan, path.format(zone.name)) is why.find(plan, path.format(i))
    item = plan.supply.worth.dig_out.items[0]
    assert why.find(plan, f"supply.worth.dig_out.items[{item.name}].amount") is item.amount


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("", "the plan is not one figure; there are: "),
        ("balance", "balance is not one figure; there are: [0].original_depth, [0].soil_mass"),
        ("balnce[0].rise", "the plan has no 'balnce'; did you mean 'balance'?"),
        ("balance[0].rize", "balance[0] has no 'rize'; did you mean 'rise'?"),
        ("balance[99].rise", "balance has no [99]; allowed: 0 to "),
        ("balance[nowhere].rise", "balance has no [nowhere]; allowed: 0 to "),
        ("levels[0]", "levels is not a list: leave out [0]"),
        ("balance[0].rise.value", "balance[0].rise has no 'value'"),
        ("balance[0]..rise", "cannot be read from '..rise'"),
        ("balance[0", "cannot be read from '[0'"),
    ],
)
def test_wrong_paths_say_where_they_end(plan: Plan, path: str, told: str) -> None:
    with pytest.raises(why.PathError) as caught:
        why.find(plan, path)
    assert told in str(caught.value)
    if "nowhere" in path:
        assert plan.zones[0].name in str(caught.value)


def test_working_shows_formula_basis_and_source(plan: Plan) -> None:
    for _, figure in paths(plan):
        text = working_text(figure)
        first, *rest = text.split("\n")
        assert first.startswith(f"{figure.name} = ")
        assert f"[{figure.basis.value}]" in first
        if figure.working is None:
            assert figure.source in first
        else:
            assert rest[0] == f"  = {figure.working.formula}  ({figure.working.source})"
            for given in figure.inputs:
                assert any(line.startswith(f"  {given.name} = ") and f"[{given.basis.value}]" in line for line in rest)
        if figure.spread:
            assert "8 times in 10 between" in first


def test_working_as_an_object(plan: Plan) -> None:
    figure = plan.balance[0].our_low
    plain = working_object(figure)
    assert (plain["value"], plain["unit"], plain["basis"]) == (figure.value, "m", figure.basis.value)
    assert [given["name"] for given in plain["inputs"]] == [given.name for given in figure.inputs]
    noted = dataclasses.replace(default("mixer.drum"), notices=(Notice("range", "too wide", "zone A"),))
    assert working_object(noted)["notices"] == ["too wide (zone A)"]
    assert working_text(noted).split("\n")[1] == "  ! too wide (zone A)"
    assert "notices" in working_object(noted)


def test_times_of_day_are_shown_as_such(plan: Plan) -> None:
    start = plan.shift.runs[0].start
    hour, minute = divmod(round(start.value), 60)
    assert f"= {hour:02d}:{minute:02d}" in working_text(start)
