"""How low, in words: the sum of design, trim and rise with the basis of each part, the crew's figure first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from hardpan.exchange.figures_in_words import about, number
from hardpan.exchange.stake_units import FOOT, Unit, low_words
from hardpan.plan import Plan
from hardpan.plan.balance import ZoneBalance
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure

_Said = TypeVar("_Said", str, tuple[str, str])
SMALL = {"m": ("mm", 0.001, 0), "mm": ("mm", 0.001, 0), "ft": ("ft", FOOT, 2), "ft-in": ("in", FOOT / 12, 1)}
CLOSES = 0.51  # of the last digit: rounded parts that add up to the rounded sum
FINER = 2  # further decimals tried before parts are left a digit apart from their sum
MINUS = "\u2212"
MOST = 3  # sums a page
ROUTES = {
    "rise by finished density": "by dry density before and after",
    "rise by three phases": "by volumes of soil, cement, water and air",
}


class Sums:
    """The sums of some zones in one unit."""

    def __init__(self, plan: Plan, unit: Unit, zones: Sequence[tuple[Zone, ZoneBalance]]) -> None:
        self.level, self.limits = plan.street.file.level, plan.street.file.limits
        self.unit, self.zones, self.every = unit, zones, len(plan.zones) == len(zones)
        self.small, self.step, self.decimals = SMALL[unit]

    def lows(self) -> list[tuple[str, bool]]:
        """How low, each with the rate where it differs: ``45 mm low at 28 kg/m2``; true where it is a figure."""
        found = self._grouped([self.low(balance.low) for _, balance in self.zones])
        if len(found) == 1:
            return [*((low, True) for low in found), ("the whole street" if self.every else "all on this page", False)]
        return [(f"{low} at {where}", True) for low, where in found.items()][:MOST]

    def _grouped(self, said: Sequence[_Said]) -> dict[_Said, str]:
        """What is said of the zones, each once, with the rates it is said of; with the zones where a rate alone does not tell."""
        zones: dict[_Said, list[Zone]] = {}
        for what, (zone, _) in zip(said, self.zones, strict=True):
            zones.setdefault(what, []).append(zone)
        rates = {what: list(dict.fromkeys(f"{zone.rate.value:.3g}" for zone in mine)) for what, mine in zones.items()}
        every = [rate for mine in rates.values() for rate in mine]
        clear = len(set(every)) == len(every)
        return {
            what: " and ".join(rates[what] if clear else [f"zone {zone.name}" for zone in mine])
            + (" kg/m\u00b2" if clear else "")
            for what, mine in zones.items()
        }

    def low(self, low: Figure) -> str:
        """``10 mm low``, ``about 3/8 in low``."""
        words = low_words(low.value, self.unit)
        return about(low) + (words.replace(" ", " mm ") if self.small == "mm" else words)

    def lines(self) -> list[tuple[str, str]]:
        """The figure that makes the level, and the sum beside it; zones that share both are said once."""
        found = self._grouped([self._line(zone, balance) for zone, balance in self.zones])
        alone = len(found) == 1
        return [
            (first if alone else f"At {where}: {first}", second)
            for (first, second), where in list(found.items())[:MOST]
        ]

    def _line(self, zone: Zone, balance: ZoneBalance) -> tuple[str, str]:
        """What makes the level of one zone, and what stands beside it."""
        said, ours, band = zone.instruction, self._sum(balance), self._band(balance.our_low)
        if said.low is None:
            return f"{ours}.", f"Nobody said how low: ours{band}"
        by = f", {said.said_by}" if said.said_by else ""
        return f"{self.low(balance.low)}: stated{by}.", f"Our sum: {ours}{band}"

    def _sum(self, balance: ZoneBalance) -> str:
        """``pre-grade = design + 10 trim - 20 rise = 10 mm below design``, in as many decimals as let the rounded parts add up."""
        parts = [(self.level.trim.value, "trim")]
        if self.level.settlement.value:
            parts.append((self.level.settlement.value, "settlement"))
        parts.append((-balance.rise.value, "rise"))
        total = balance.our_low.value
        decimals = self.decimals
        for decimals in range(self.decimals, self.decimals + FINER + 1):
            rounded = sum(round(value / self.step, decimals) for value, _ in parts)
            if abs(rounded + round(total / self.step, decimals)) < CLOSES * 10**-decimals:
                break
        said = " ".join(
            f"{MINUS if value < 0 else '+'} {number(abs(value) / self.step, decimals)} {name}" for value, name in parts
        )
        side = "below" if total >= 0 else "above"
        figure = f"{about(balance.our_low)}{number(abs(total) / self.step, decimals)} {self.small}"
        return f"pre-grade = design {said} = {figure} {side} design"

    def _band(self, ours: Figure) -> str:
        """Band of our sum, where one is known."""
        if not ours.spread:
            return "."
        low, high = (number(value / self.step, self.decimals) for value in (ours.low, ours.high))
        return f", between {low} and {high}."

    def laths(self) -> list[tuple[str, str]]:
        """Basis and words of every part of the sums, each once."""
        parts: list[tuple[str, str]] = []
        for zone, balance in self.zones:
            parts.append((balance.rise.basis.value, f"rise: {balance.rise.basis.value}, {ROUTES[balance.rise.name]}"))
            if zone.instruction.low is not None:
                said = zone.instruction.said_by or "by whom: not said"
                parts.append((zone.instruction.low.basis.value, f"how low: {zone.instruction.low.basis.value}, {said}"))
        parts += [self._allowance("trim", self.level.trim), self._allowance("settlement", self.level.settlement)]
        return list(dict.fromkeys(parts))

    def _allowance(self, name: str, figure: Figure) -> tuple[str, str]:
        """Basis and words of an allowance; one that nobody stated is said to be 0."""
        value = f"{number(figure.value / self.step, self.decimals)} {self.small}"
        if figure.basis is Basis.DEFAULT:
            return figure.basis.value, f"{name}: {value}, nobody stated one"
        return figure.basis.value, f"{name}: {figure.basis.value}, {figure.source or 'source not said'}"

    def tolerance(self) -> dict[str, str | bool]:
        """Tolerance of pre-grade with its owner, or that none is written."""
        limit = self.limits.pre_grade_tolerance
        if limit is None:
            return {"written": False, "words": "tolerance: no limit is written"}
        value = f"{number(limit.value.value / self.step, self.decimals)} {self.small}"
        owner, source = limit.owner or "owner not said", limit.source or "source not said"
        return {"written": True, "words": f"tolerance: {value} either way, {owner}, {source}"}
