"""Hardpan: plan a cement-treated street subgrade, keep it on the clock, and prove it afterwards.

>>> import hardpan
>>> street = hardpan.read_street(hardpan.example("kestrel-road"))
>>> plan = hardpan.make_plan(street)
>>> round(plan.supply.cement.planned.value)
92880
"""

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
