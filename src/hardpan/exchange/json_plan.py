"""The plan as one JSON object: keys end in their unit, every object says the basis of its figures."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from typing import Any, TypeGuard

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from hardpan.errors import Problem
from hardpan.plan import CAUTION, Plan
from hardpan.plan.ground import WORDS, Ground
from hardpan.plan.odds_basis import DAYS
from hardpan.plan.soundings import Sounding, name_of
from hardpan.plan.treatment import RATES, Odds
from hardpan.street import Figure, Street
from hardpan.street.figure import weakest

PLAN_SCHEMA = "hardpan.plan/1"
PROBLEMS_SCHEMA = "hardpan.problems/1"


def plan_object(plan: Plan) -> dict[str, Any]:
    """Plan as plain lists and dictionaries, keys ending in their unit."""
    return {
        "schema": PLAN_SCHEMA,
        "street": _street(plan.street, plan.seed),
        "ground": _ground(plan.ground),
        "treatment": {
            "instructions": _plain(plan.street.instructions),
            "pieces": _plain(plan.treatment.pieces),
            "odds": _odds(plan.treatment.odds),
            "notices": _plain(plan.treatment.notices),
        },
        "zones": _plain(plan.zones),
        "balance": _plain(plan.balance),
        "levels": _plain(plan.levels),
        "supply": _plain(plan.supply),
        "shift": _plain(plan.shift),
        "notices": _plain(plan.notices),
    }


def plan_json(plan: Plan) -> str:
    """Plan as JSON text."""
    return json.dumps(plan_object(plan), ensure_ascii=False, indent=1, allow_nan=False)


def problems_json(problems: tuple[Problem, ...]) -> str:
    """Problems as JSON text."""
    return json.dumps(
        {"schema": PROBLEMS_SCHEMA, "problems": [dataclasses.asdict(problem) for problem in problems]},
        ensure_ascii=False,
        indent=1,
    )


def _street(street: Street, seed: int) -> dict[str, Any]:
    """What the plan is of."""
    stationing = street.stationing
    return {
        "name": street.name,
        "place": street.file.place,
        "date": _plain(street.file.shift.date),
        "seed": seed,
        "first_station_m": stationing.first,
        "length_m": stationing.length,
        "width_m": street.width,
        "strips": [{"number": strip.number, "left_m": strip.left, "right_m": strip.right} for strip in street.strips],
        "landmarks": [
            {"name": mark.name, "station_m": mark.station, "side": mark.side} for mark in stationing.landmarks
        ],
        "structures": _plain(street.structures),
        "weather": _plain(street.file.weather),
        "limits": _plain(street.file.limits),
        "caution": CAUTION,
    }


def _ground(ground: Ground) -> dict[str, Any]:
    """Ground by bay, as arrays: strips down, bays along. Bearing ratios hold 8 times in 10 between low and high."""

    def rounded(values: NDArray[np.float64], digits: int) -> Any:
        return np.round(values, digits).tolist()

    return {
        "edges_m": ground.bays.edges_m.tolist(),
        "strips": list(ground.bays.strips),
        "word": [[WORDS[index] for index in row] for row in ground.word.tolist()],
        "reading": ground.reading.tolist(),
        "trench": ground.places.trench.tolist(),
        "cbr_low_percent": rounded(ground.low, 3),
        "cbr_percent": rounded(ground.middle, 3),
        "cbr_high_percent": rounded(ground.high, 3),
        "soft_chance": rounded(ground.soft, 4),
        "hidden_soft_chance": rounded(ground.hidden.chance, 4),
        "bogs_full_chance": rounded(ground.bogging.full, 4),
        "bogs_half_full_chance": rounded(ground.bogging.half, 4),
        "basis": "default",
        "rut_constant": _plain(ground.rut_constant),
        "penetrometer": [_sounding(one) for one in ground.soundings],
        "next_tests": _plain(ground.tests),
        "boggy": _plain(ground.bogging.stretches),
        "notices": _plain(ground.notices),
    }


def _odds(odds: Odds) -> dict[str, Any]:
    """Odds of the street and of every zone, curves as arrays by rate."""
    plain: dict[str, Any] = _plain(odds)
    plain["rates_kg_m2"], plain["later_days"] = RATES.tolist(), list(DAYS)
    return plain


def _sounding(one: Sounding) -> dict[str, Any]:
    """One penetrometer test as a profile."""
    return {
        "test": one.test,
        "station_m": one.station_m,
        "strip": one.strip,
        "tops_m": one.tops_m.tolist(),
        "bottoms_m": one.bottoms_m.tolist(),
        "cbr_percent": np.round(one.cbr, 3).tolist(),
        "equations": [name_of(equation) for equation in one.equations],
        "weights": list(one.weights),
        "skin": one.skin,
    }


def _plain(value: Any) -> Any:
    """Plain lists, dictionaries, numbers and text of anything a plan holds."""
    match value:
        case tuple() | list():
            return [_plain(item) for item in value]
        case dt.date() | dt.time():
            return value.isoformat()
        case np.ndarray():
            return np.round(value, 4).tolist()
        case _ if names := _names(value):
            return _object(value, names)
        case _:
            return value


def _all_figures(value: Any) -> TypeGuard[tuple[Figure, ...]]:
    """Whether a value is a list of figures and of nothing else."""
    return isinstance(value, tuple) and bool(value) and all(isinstance(item, Figure) for item in value)


def _names(value: Any) -> list[str]:
    """Names of what a dataclass or a table of the street file holds; none of anything else."""
    if isinstance(value, BaseModel):
        return list(type(value).model_fields)
    return [field.name for field in dataclasses.fields(value)] if dataclasses.is_dataclass(value) else []


def _object(holder: Any, names: list[str]) -> dict[str, Any]:
    """One object: figures under their name and unit, with their band (8 times in 10) where known, and the basis of each."""
    plain: dict[str, Any] = {}
    basis: dict[str, str] = {}
    for name in names:
        value = getattr(holder, name)
        if isinstance(value, Figure):
            stem, suffix = name.removesuffix(value.unit_suffix), value.unit_suffix
            plain[stem + suffix] = value.value
            basis[stem + suffix] = value.basis.value
            if value.spread:
                plain[f"{stem}_from{suffix}"], plain[f"{stem}_to{suffix}"] = value.low, value.high
        elif _all_figures(value):
            key = name + value[0].unit_suffix
            plain[key] = [figure.value for figure in value]
            basis[key] = weakest(*(figure.basis for figure in value)).value
        else:
            plain[name] = _plain(value)
    return {**plain, "basis": basis} if basis else plain
