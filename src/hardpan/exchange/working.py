"""The working of one figure as text: what it is, the formula, what went in, the source, the notices."""

from __future__ import annotations

from typing import Any

from hardpan.exchange.figures_in_words import clock
from hardpan.street import Figure

DEEPEST = 2  # levels of working that are printed at once; deeper ones have a path of their own


def working_text(figure: Figure) -> str:
    """Working of a figure as lines of text."""
    return "\n".join(_lines(figure, 0))


def working_object(figure: Figure, depth: int = 0) -> dict[str, Any]:
    """Working of a figure as plain dictionaries."""
    plain: dict[str, Any] = {
        "name": figure.name,
        "value": figure.value,
        "unit": figure.unit,
        "basis": figure.basis.value,
        "source": figure.source,
    }
    if figure.spread:
        plain |= {"low": figure.low, "high": figure.high}
    if figure.working and depth < DEEPEST:
        plain |= {
            "formula": figure.working.formula,
            "inputs": [working_object(given, depth + 1) for given in figure.inputs],
        }
    plain["notices"] = [str(notice) for notice in figure.notices]
    return plain


def _lines(figure: Figure, depth: int) -> list[str]:
    """One figure and, indented, what it rests on."""
    indent = "  " * depth
    band = (
        f", 8 times in 10 between {_shown(figure.low, figure.unit)} and {_shown(figure.high, figure.unit)}"
        if figure.spread
        else ""
    )
    lines = [f"{indent}{figure.name} = {_shown(figure.value, figure.unit)}{band}  [{figure.basis.value}]"]
    if figure.working is None:
        if figure.source:
            lines[0] += f"  {figure.source}"
    else:
        lines.append(f"{indent}  = {figure.working.formula}  ({figure.working.source})")
    lines += [f"{indent}  ! {notice}" for notice in figure.notices]
    if depth < DEEPEST:
        for given in figure.inputs:
            lines += _lines(given, depth + 1)
    return lines


def _shown(value: float, unit: str) -> str:
    """Number with its unit, six digits."""
    if unit == "min of day":
        return clock(value)
    return f"{value:.6g}" + ("" if unit == "1" else f" {unit}")
