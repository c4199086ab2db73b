"""Numbers and units as people write them.

Factors: NIST Handbook 44, appendix C (inch 25.4 mm, pound 0.45359237 kg, US gallon 3.785411784 L, yard 0.9144 m, exact).
"""

from __future__ import annotations

import pytest

from hardpan.street.units import UnitError, decimal_comma_in, factor, number, plain, quantity, split


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("38 940", 38_940),
        ("38\u00a0940", 38_940),
        ("38\u202f940,5", 38_940.5),
        ("1'234'567", 1_234_567),
        ("24,5", 24.5),
        ("0,450", 0.45),
        ("12345,678", 12_345.678),
        ("1.234,5", 1_234.5),
        ("1,234.5", 1_234.5),
        ("1,234,567", 1_234_567),
        ("1.234.567", 1_234_567),
        ("102.650", 102.65),
        ("\u22123", -3),
        ("+7.", 7),
        (".5", 0.5),
        ("1e3", 1_000),
        ("  12 ", 12),
    ],
)
def test_a_number_reads_as_people_write_it(text: str, value: float) -> None:
    assert number(text) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "that is not a number"),
        ("about 40", "that is not a number"),
        ("12 5", "that is not a number"),
        ("12 mm", "that is not a number"),
        ("1,234", "the comma could be a decimal sign or group thousands: write 1.234 or 1234"),
        ("1.2.3", "that is not a number: its commas and dots do not fit together"),
        ("1,23,4", "that is not a number: its commas and dots do not fit together"),
        ("1,2.5", "that is not a number: its commas and dots do not fit together"),
        ("30-45", "write one number, not a range"),
        ("30\u201345", "write one number, not a range"),
        ("1e99", "that is too large a number"),
        ("9" * 400, "that is too large a number"),
        ("nan", "that is not a number"),
    ],
)
def test_what_is_no_number_says_why(text: str, reason: str) -> None:
    with pytest.raises(UnitError) as caught:
        number(text)
    assert str(caught.value) == reason


@pytest.mark.parametrize(("decimal_comma", "value"), [(True, 1.234), (False, 1234.0)])
def test_a_file_that_uses_decimal_commas_settles_a_doubtful_comma(decimal_comma: bool, value: float) -> None:
    assert number("1,234", decimal_comma=decimal_comma) == value
    assert number("1.234", decimal_comma=not decimal_comma) == value


@pytest.mark.parametrize(
    ("numbers", "separator_hints", "answer"),
    [
        (["24,5", "1.234"], False, True),
        (["24.5", "1,234"], False, False),
        (["24.5", "24,5"], True, None),
        (["102,650"], True, True),
        (["102,650"], False, None),
        (["102.650"], True, None),
        (["102.650", "1,000"], True, None),
        (["1.234,5"], False, True),
        (["1,234.5"], True, False),
        (["words", ""], True, None),
    ],
)
def test_the_numbers_of_a_file_tell_its_decimal_sign(
    numbers: list[str], separator_hints: bool, answer: bool | None
) -> None:
    assert decimal_comma_in(numbers, commas_expected=separator_hints) is answer


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("29.5 ft", "m", 29.5 * 0.3048),
        ('12"', "m", 12 * 0.0254),
        ("12\u2033", "m", 12 * 0.0254),
        ("12 IN", "m", 12 * 0.0254),
        ("5'", "m", 5 * 0.3048),
        ("300 MM", "m", 0.3),
        ("52 lb/yd2", "kg/m2", 52 * 0.45359237 / 0.9144**2),
        ("52 lbs/SY", "kg/m2", 52 * 0.45359237 / 0.9144**2),
        ("52 lb/yd\u00b2", "kg/m2", 52 * 0.45359237 / 0.9144**2),
        ("2 gal/yd^2", "L/m2", 2 * 3.785411784 / 0.9144**2),
        ("100 pcf", "kg/m3", 100 * 0.45359237 / 0.3048**3),
        ("38.94 T", "kg", 38_940),
        ("2 %", "1", 0.02),
        ("4 h", "min", 240),
        ("0.24 $/kg", "$/t", 240),
        ("850 kg CO2e/t", "kg CO2e/kg", 0.85),
        ("100 psi", "kPa", 689.4757293168),
        ("7", "m", 7),
    ],
)
def test_a_quantity_is_converted_at_the_door(text: str, unit: str, value: float) -> None:
    assert quantity(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "into", "reason"),
    [
        ("kg", "m", "the unit 'kg' does not fit: a unit like 'm' is wanted"),
        ("m", "1", "the unit 'm' does not fit: a number without a unit, or %, is wanted"),
        ("nan", "m", "the unit 'nan' does not fit: a unit like 'm' is wanted"),
        ("smoots", "m", "the unit 'smoots' does not fit: a unit like 'm' is wanted"),
        ("m/", "m", "'m/' is not a unit that Hardpan knows"),
        ("(m", "m", "'(m' is not a unit that Hardpan knows"),
        ("m**9**9**9", "m", "'m**9**9**9' is not a unit that Hardpan knows"),
        ("m" * 41, "m", f"'{'m' * 41}' is not a unit that Hardpan knows"),
        ("tons", "kg", "a ton may be 907 or 1000 kg; write t for 1000 kg, or short_ton"),
    ],
)
def test_a_unit_that_does_not_fit_says_what_is_wanted(unit: str, into: str, reason: str) -> None:
    with pytest.raises(UnitError) as caught:
        factor(unit, into)
    assert str(caught.value) == reason


def test_feet_and_inches_in_one_cell_are_not_guessed() -> None:
    with pytest.raises(UnitError, match="is not a unit that Hardpan knows"):
        quantity("5' 6\"", "m")


def test_number_and_unit_come_apart() -> None:
    assert split("12.5in") == (12.5, "in")
    assert split("12.5") == (12.5, "")


@pytest.mark.parametrize(
    ("value", "shown"), [(1e6, "1000000"), (0.05, "0.05"), (-20.0, "-20"), (0.0000001, "0.0000001"), (1e16, "1e+16")]
)
def test_a_number_is_shown_as_a_person_writes_it(value: float, shown: str) -> None:
    assert plain(value) == shown
