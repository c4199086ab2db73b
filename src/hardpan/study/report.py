"""The figures of a study: how honest the odds were in every nature, what each rule did; as data and as tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from rich.console import Console
from rich.table import Table

from hardpan.study.natures import NATURES
from hardpan.study.rules import RULES
from hardpan.study.runner import Outcome
from hardpan.study.scoring import SURE, Group, Reliability, honest, resampled_band
from hardpan.study.simulated import LIVES

SCHEMA = "hardpan.study/1"
LIMITS_OF_A_SIMULATOR = (
    "These streets are made by the plan's own assumptions, or by three deliberate breaches of them. They show whether the sums agree "
    "with the assumptions and how far the odds bend when those are wrong. They cannot show that any of them holds on a street: only axle "
    "tests on real streets can. The worth of a rule is counted in the same made-up world, at default prices; changes of rate, delay and "
    "traffic are left out."
)

Band = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class RuleFigures:
    """What one rule did over all streets of a nature, a square metre or a share of length; each a value with its band."""

    cement_kg_m2: Band
    cement_usd_m2: Band
    dug_out_usd_m2: Band
    failed_usd_m2: Band
    cost_usd_m2: Band
    failed: Band
    dug_out: Band


@dataclass(frozen=True, slots=True)
class NatureFigures:
    """One nature: its streets, the odds at the worst place and of the whole zone, what each rule did, and what the plan's cost is less each rule's."""

    nature: str
    streets: int
    worst: Reliability
    whole: Reliability
    rules: dict[str, RuleFigures]
    saved_usd_m2: dict[str, Band]
    dug_out_zones: int


def figures(found: list[Outcome]) -> list[NatureFigures]:
    """Figures of every nature, in the order in which they were asked for."""
    names = dict.fromkeys(one.task.nature for one in found)
    return [nature_figures(name, [one for one in found if one.task.nature == name]) for name in names]


def nature_figures(name: str, found: list[Outcome]) -> NatureFigures:
    """Figures of the streets of one nature: of the zones that the plan proposed and that are treated."""
    zones = [(one.task.seed, zone) for one in found for zone in one.zones if zone.proposed and not zone.dug_out]
    streets = np.array([seed for seed, _ in zones])
    worst, whole, worst_passed, whole_passed = np.array(
        [(zone.worst, zone.whole, zone.worst_passed, zone.whole_passed) for _, zone in zones]
    ).T
    columns = {rule: _columns(found, rule) for rule in RULES}
    mine = columns[RULES[0]]
    return NatureFigures(
        nature=name,
        streets=len(found),
        worst=honest(worst, worst_passed, streets),
        whole=honest(whole, whole_passed, streets),
        rules={rule: RuleFigures(**{key: resampled_band(*pair) for key, pair in columns[rule].items()}) for rule in RULES},
        saved_usd_m2={
            rule: resampled_band(columns[rule]["cost_usd_m2"][0] - mine["cost_usd_m2"][0], mine["cost_usd_m2"][1])
            for rule in RULES[1:]
        },
        dug_out_zones=sum(zone.dug_out for one in found for zone in one.zones),
    )  # fmt: skip


def _columns(found: list[Outcome], rule: str) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Of one rule, by street: what is summed and what it is divided by."""
    ways = [one.worth[rule] for one in found]
    length = np.array([way.length_m for way in ways])
    area = np.array([way.area_m2 for way in ways])
    money = {key: np.array([getattr(way, f"{key}_usd") for way in ways]) for key in ("cement", "dug_out", "failed")}
    return {
        "cement_kg_m2": (np.array([way.cement_kg for way in ways]), area),
        **{f"{key}_usd_m2": (value, area) for key, value in money.items()},
        "cost_usd_m2": (sum(money.values(), np.zeros(area.size)), area),
        "failed": (np.array([way.failed_m for way in ways]), length),
        "dug_out": (np.array([way.dug_out_m for way in ways]), length),
    }


def study_object(found: list[NatureFigures]) -> dict[str, Any]:
    """Figures as plain data; keys end in their unit, ``_1`` for odds and shares."""
    return {
        "schema": SCHEMA,
        "lives_of_a_street": LIVES,
        "band_share_1": SURE,
        "natures": [_nature_object(one) for one in found],
        "caution": LIMITS_OF_A_SIMULATOR,
    }


def _nature_object(one: NatureFigures) -> dict[str, Any]:
    """One nature as plain data."""
    return {
        "nature": one.nature,
        "told": NATURES[one.nature].told,
        "streets": one.streets,
        "zones_dug_out": one.dug_out_zones,
        "worst_place": _reliability_object(one.worst),
        "whole_zone": _reliability_object(one.whole),
        "rules": {
            rule: {
                f"{key}{'' if key.endswith('_m2') else '_share_1'}": _band_object(getattr(each, key))
                for key in RuleFigures.__slots__
            }
            for rule, each in one.rules.items()
        },
        "saved_by_the_plan_usd_m2": {rule: _band_object(each) for rule, each in one.saved_usd_m2.items()},
    }


def _band_object(band: Band) -> dict[str, float]:
    """A value with its band."""
    return dict(zip(("value", "low", "high"), band, strict=True))


def _reliability_object(one: Reliability) -> dict[str, Any]:
    """Reliability as plain data."""
    return {
        "inside": one.inside,
        "outside_by_1": one.outside_by,
        "all": _group_object(one.whole),
        "groups": [_group_object(each) for each in one.groups],
        "slope": {"value": one.slope, "low": one.slope_low, "high": one.slope_high},
        "brier": {f"{key}_1": getattr(one.brier, key) for key in one.brier.__slots__},
    }


def _group_object(one: Group) -> dict[str, float | int | bool]:
    """Group as plain data."""
    counts = {"zones": one.zones, "streets": one.streets, "inside": one.inside}
    odds = ("stated", "passed", "gap", "gap_low", "gap_high", "count_low", "count_high")
    return counts | {f"{key}_1": getattr(one, key) for key in odds}


def print_figures(found: list[NatureFigures], console: Console) -> None:
    """Tables of every nature."""
    for one in found:
        console.print(
            f"\n[bold]{NATURES[one.nature].told}[/bold] ({one.nature}): {one.streets} streets of {LIVES} lives each"
        )
        console.print(reliability_table(one))
        for what, odds in (("worst place", one.worst), ("whole zone", one.whole)):
            console.print(f"{what}: {verdict(odds)}")
        console.print(worth_table(one))
        for rule, band in one.saved_usd_m2.items():
            console.print(saved_words(rule, band))
    console.print(f"\n{LIMITS_OF_A_SIMULATOR}")


def verdict(odds: Reliability) -> str:
    """What the bands say, in one line."""
    parts = odds.brier
    slope = f"slope {odds.slope:.2f} ({odds.slope_low:.2f} to {odds.slope_high:.2f})"
    score = (
        f"Brier {parts.score:.4f} = {parts.miscalibration:.4f} - {parts.discrimination:.4f} + {parts.uncertainty:.4f}"
    )
    if odds.inside:
        return f"inside every band; {slope}; {score}"
    side = "lower" if odds.outside_by > 0 else "higher"
    return (
        f"NOT honest: odds {side} than what happened, by {abs(odds.outside_by):.3f} beyond the band; {slope}; {score}"
    )


def saved_words(rule: str, band: Band) -> str:
    """What the plan saves beside a rule, in a line."""
    value, low, high = band
    side = "costs less than" if low > 0 else "costs more than" if high < 0 else "cannot be told apart in cost from"
    return f"the plan {side} {rule}: it saves {value:+.2f} $/m2, band {low:+.2f} to {high:+.2f}"


def reliability_table(one: NatureFigures) -> Table:
    """Odds against what happened."""
    table = _table("odds of", "group", "zones", "streets", "stated", "passed", "gap", f"{SURE:.0%} band", "")
    for what, odds in (("worst place", one.worst), ("whole zone", one.whole)):
        for name, group in (("all", odds.whole), *((f"{i}", each) for i, each in enumerate(odds.groups, 1))):
            table.add_row(
                what, name, f"{group.zones}", f"{group.streets}", f"{group.stated:.3f}", f"{group.passed:.3f}", f"{group.gap:+.3f}",
                f"{group.gap_low:+.3f} to {group.gap_high:+.3f}", "" if group.inside else "out",
            )  # fmt: skip
    return table


def worth_table(one: NatureFigures) -> Table:
    """What every rule did."""
    table = _table(
        "rule", "cement kg/m2", "cement $/m2", "dug out $/m2", "failed $/m2", "all $/m2", "failed %", "dug out %"
    )
    for rule, each in one.rules.items():
        money = (each.cement_kg_m2, each.cement_usd_m2, each.dug_out_usd_m2, each.failed_usd_m2, each.cost_usd_m2)
        table.add_row(
            rule, *(_show(band, 1.0) for band in money), _show(each.failed, 100.0), _show(each.dug_out, 100.0)
        )
    return table


def _table(*heads: str) -> Table:
    """An empty table in the plain style, figures to the right."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for index, head in enumerate(heads):
        table.add_column(head, justify="left" if index == 0 else "right")
    return table


def _show(band: Band, scale: float) -> str:
    """A value with its band."""
    value, low, high = (scale * one for one in band)
    return f"{value:.2f} ({low:.2f}-{high:.2f})"
