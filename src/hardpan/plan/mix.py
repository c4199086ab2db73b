"""What is known of the mix: the wide default for the soil's word, mended by treated laboratory strengths."""

from __future__ import annotations

import numpy as np

from hardpan.laws.strength import age_factor
from hardpan.plan.axle_odds import Mix
from hardpan.street import Basis, Figure, Street
from hardpan.street.defaults import default
from hardpan.street.figure import worked
from hardpan.street.rows import LabRow


def mix_of(street: Street) -> tuple[Mix, Figure]:
    """Strength of the mix for a cement content of 1, and the same for one percent as a figure with its working.

    Notes
    -----
    Conjugate: ln strength is normal with the default's scatter; every laboratory strength, brought to 28 days and to one
    percent, is a measurement of it with its own.
    """
    prior = default(f"{street.file.soil.word}.strength_per_percent")
    spread, scatter = default("odds.strength_spread").value, default("odds.laboratory_spread").value
    told = [one for one in map(_per_percent, street.lab) if one is not None]
    precision = 1 / spread**2 + len(told) / scatter**2
    log = (np.log(prior.value) / spread**2 + sum(np.log(told)) / scatter**2) / precision
    left, value = float(precision**-0.5), float(np.exp(log))
    tests = tuple(
        Figure(f"laboratory strength {i + 1}, one percent at 28 days", one, "kPa", Basis.MEASURED, "lab.csv")
        for i, one in enumerate(told)
    )
    weight = 1 - 1 / (spread**2 * precision)
    figure = worked(
        "cement's part of strength in the laboratory at 28 days, for one percent", value, "kPa", prior, *tests,
        formula=f"weighted mean of logarithms: {len(told)} tests weigh {weight:.2f}, the default {1 - weight:.2f}",
        source="conjugate normal update", spread=value * left,
    )  # fmt: skip
    return Mix(float(np.log(100_000 * value)), left, len(told)), figure


def _per_percent(row: LabRow) -> float | None:
    """Strength for one percent at 28 days [kPa], 28 days where no age stands on the slip; None where the row tells no such thing."""
    if not row.treated or row.strength is None or row.cement_content is None:
        return None
    slow = (default("odds.slowness_least").value + default("odds.slowness_most").value) / 2
    percent = 100 * row.cement_content.value * float(age_factor(row.age_days.value if row.age_days else 28.0, slow))
    return row.strength.value / percent if percent > 0 and row.strength.value > 0 else None
