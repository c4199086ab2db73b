"""Hardpan: plan a cement-treated street subgrade, keep it on the clock, and prove it afterwards.

>>> import hardpan
>>> street = hardpan.read_street(hardpan.example("kestrel-road"))
>>> plan = hardpan.make_plan(street)
>>> round(plan.supply.cement.planned.value)
92880

What is named here is loaded at its first use, so that the command line and a law alone start quickly.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hardpan.errors import HardpanError, LawError, Problem, StreetError
    from hardpan.plan import Plan, make_plan
    from hardpan.street import Street, example, read_street

__version__ = "0.1.0"

__all__ = [
    "HardpanError",
    "LawError",
    "Plan",
    "Problem",
    "Street",
    "StreetError",
    "__version__",
    "example",
    "make_plan",
    "read_street",
]

_HOMES = {
    **dict.fromkeys(("HardpanError", "LawError", "Problem", "StreetError"), "hardpan.errors"),
    **dict.fromkeys(("Plan", "make_plan"), "hardpan.plan"),
    **dict.fromkeys(("Street", "example", "read_street"), "hardpan.street"),
}


def __getattr__(name: str) -> object:
    """Load a public name at its first use."""
    if name not in _HOMES:
        raise AttributeError(f"module 'hardpan' has no attribute {name!r}")
    found: object = getattr(import_module(_HOMES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """Public names, loaded or not."""
    return sorted({*globals(), *__all__})
