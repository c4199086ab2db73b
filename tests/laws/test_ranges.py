"""Where relations hold, and the checks that every law shares."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from hardpan import laws
from hardpan.errors import LawError
from hardpan.laws import ranges
from hardpan.laws.ranges import Range, holds_for, outside, ranges_of

# law, argument, low, high, in the units of the law; the source stands beside each number
DECLARED: list[tuple[str, str, float, float]] = [
    # CBAM default 0.81 (2023), direct; Portland Cement Association average 1.04 (2016, from memory)
    ("carbon.treatment_carbon", "cement_factor", 0.81, 1.04),
    ("compaction.oversize_corrected", "coarse_fraction", 0.0, 0.40),  # ASTM D4718: up to 40 % retained on 4.75 mm
    ("depth.loose_from_original", "loose_factor", 1.2, 1.5),  # common practice, no source
    ("depth.original_from_loose", "loose_factor", 1.2, 1.5),
    # axes of the ACI 305 chart: 40 to 100 F, 0 to 25 mph (from memory)
    ("evaporation.uno", "concrete_celsius", 5.0, 38.0),
    ("evaporation.uno", "air_celsius", 5.0, 38.0),
    ("evaporation.uno", "wind", 0.0, 11.2),
    ("evaporation.aci_chart", "concrete_celsius", 5.0, 38.0),
    ("evaporation.aci_chart", "air_celsius", 5.0, 38.0),
    ("evaporation.aci_chart", "wind", 0.0, 11.2),
    ("penetrometer.cbr_d6951", "penetration", 0.0026, 0.160),  # (292 / 100)^(1 / 1.12) and 292^(1 / 1.12) mm
    ("penetrometer.cbr_trl", "penetration", 0.003, 0.160),  # common practice, no source
    ("spread.discharge_needed", "speed", 20 / 60, 60 / 60),  # common practice, no source
    ("spread.powder_depth", "bulk_density", 800.0, 1510.0),  # 94 lb in a cubic foot: 1,506 (from memory)
    ("work.mixing_time", "speed", 3 / 60, 25 / 60),  # common practice, no source
    ("bearing.adhesion_ratio", "strength_ratio", 0.0, 1.0),  # Meyerhof and Hanna 1978, chart (from memory)
    ("rutting.cbr_from_rut", "rut", 0.005, 0.200),  # one pass, fine-grained soil near saturation
    ("rutting.repeated_rut", "exponent", 2.0, 5.0),  # Saarilahti 1991
    ("stiffness.modulus_powell", "cbr", 2.0, 12.0),  # Powell et al. 1984, LR 1132 (from memory)
    ("stiffness.cbr_from_modulus", "modulus", 27.4e6, 86.4e6),  # the same, the other way
    ("stiffness.modulus_austroads", "cbr", 0.0, 10.0),  # AUSTROADS 1992, as quoted
    ("stiffness.undrained_strength", "strength_per_cbr", 23e3, 30e3),  # Black and Lister 1979 to Giroud and Noiray 1981
    ("strength.age_factor", "s", 0.20, 0.38),  # CEB-FIP Model Code
    ("strength.equivalent_age", "celsius", 0.0, 40.0),  # ASTM C1074
    ("strength.delay_factor", "hours", 0.0, 5.0),  # Ubani et al.
    # Mitchell 1976 (from memory): 40 psi a percent, least of fine soil, to 150, most of granular
    ("strength.unconfined_by_percent", "strength_per_percent", 275e3, 1035e3),
    ("strength.unconfined_by_water_cement", "reference_ratio", 2.5, 15.0),  # Horpibulsuk et al. 2003 (from memory)
    ("strength.unconfined_by_water_cement", "ratio", 2.5, 15.0),
    ("strength.unconfined_by_porosity_index", "reference_index", 20.0, 45.0),  # J. Mater. Civ. Eng. 34(3), 2022
    ("strength.unconfined_by_porosity_index", "index", 20.0, 45.0),
    ("strength.unconfined_by_porosity_index", "exponent", 2.5, 4.5),  # usual after Consoli et al. 2007 (from memory)
    ("strength.gain_with_age", "reference_days", 1.0, 365.0),  # common practice, no source
    ("strength.gain_with_age", "days", 1.0, 365.0),
    ("strength.treated_modulus", "multiple", 150.0, 300.0),  # deep mixing, FHWA-HRT-13-046 (from memory)
    ("maturity.nurse_saul", "celsius", 0.0, 40.0),  # common practice, no source
    ("maturity.nurse_saul", "datum_celsius", -11.0, 0.0),  # older practice; ASTM C1074
    ("maturity.nurse_saul_of_history", "celsius", 0.0, 40.0),
    ("maturity.nurse_saul_of_history", "datum_celsius", -11.0, 0.0),
    ("maturity.equivalent_age_of_history", "celsius", 0.0, 40.0),
    # soil to concrete, and layers that a pavement can have: where the integral was checked against other solvers
    ("layered.surface_deflection", "moduli", 1e5, 1e11),
    ("layered.surface_deflection", "thicknesses", 0.01, 20.0),
    ("layered.surface_deflection_of_group", "moduli", 1e5, 1e11),
    ("layered.surface_deflection_of_group", "thicknesses", 0.01, 20.0),
    ("layered.stresses", "moduli", 1e5, 1e11),
    ("layered.stresses", "thicknesses", 0.01, 20.0),
    ("layered_table.two_layer_table", "modulus_ratios", 0.01, 10_000.0),
    ("layered_table.two_layer_table", "thickness_ratios", 0.1, 20.0),
]


def law_of(name: str) -> Callable[..., object]:
    module, function = name.split(".")
    found: Callable[..., object] = getattr(importlib.import_module(f"hardpan.laws.{module}"), function)
    return found


def declared_in_the_laws() -> Iterator[tuple[str, str]]:
    for module in pkgutil.iter_modules(laws.__path__):
        for name, law in inspect.getmembers(importlib.import_module(f"hardpan.laws.{module.name}"), inspect.isfunction):
            if law.__module__ == f"hardpan.laws.{module.name}":
                yield from ((f"{module.name}.{name}", declared.argument) for declared in ranges_of(law))


def test_every_declared_range_is_in_the_list() -> None:
    assert sorted(declared_in_the_laws()) == sorted((law, argument) for law, argument, _, _ in DECLARED)


@pytest.mark.parametrize(("name", "argument", "low", "high"), DECLARED)
def test_range_ends_where_its_source_does(name: str, argument: str, low: float, high: float) -> None:
    law = law_of(name)
    # an end at 0 has no size of its own; that of the other end stands in
    below, above = low - 0.002 * abs(low or high), high + 0.002 * abs(high or low)
    assert outside(law, **{argument: [low, high]}) == ()
    assert [left.argument for left in outside(law, **{argument: below})] == [argument]
    assert [left.argument for left in outside(law, **{argument: above})] == [argument]


@pytest.mark.parametrize(("name", "argument"), [(name, argument) for name, argument, _, _ in DECLARED])
def test_range_names_an_argument_of_its_law(name: str, argument: str) -> None:
    assert argument in inspect.signature(law_of(name)).parameters


def test_one_value_of_many_outside_is_enough() -> None:
    first, second = Range("a", 0.0, 1.0, "m", "sure"), Range("b", 0.0, 1.0, "m", "sure")

    @holds_for(first, second)
    def law(a: float, b: float) -> float:
        return a + b

    assert outside(law, a=[0.5, 1.5]) == (first,)
    assert outside(law, a=-0.5, b=[0.5, -0.5]) == (first, second)
    assert outside(law, a=0.5) == ()
    assert outside(law, c=7.0) == ()


def test_a_law_without_a_range_is_never_left() -> None:
    assert ranges_of(len) == ()
    assert outside(len, obj=1e9) == ()


@pytest.mark.parametrize(
    ("check", "allowed", "refused"),
    [
        (ranges.positive, [1e-9, 1e9], [0.0, -1e-9, np.nan, np.inf]),
        (ranges.not_negative, [0.0, 1e9], [-1e-9, np.nan, np.inf]),
        (ranges.fraction, [0.0, 0.999999], [1.0, -1e-9, np.nan, np.inf]),
    ],
)
def test_one_impossible_value_of_many_raises(
    check: Callable[[str, object], np.ndarray[tuple[int], np.dtype[np.float64]]],
    allowed: list[float],
    refused: list[float],
) -> None:
    assert check("width", allowed).tolist() == allowed
    for value in refused:
        with pytest.raises(LawError, match=r"^width: given "):
            check("width", value)
        with pytest.raises(LawError, match=r"^width: given "):
            check("width", [*allowed, value])
