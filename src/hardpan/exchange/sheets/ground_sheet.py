"""The ground sheet: where it is soft and how sure that is, which tests settle most and how to make them, the ground strip by strip."""

from __future__ import annotations

from typing import Any

import numpy as np

from hardpan.exchange.drawing.ground_along import draw_ground_along
from hardpan.exchange.drawing.ground_legend import along_legend, legend_alone, map_legend
from hardpan.exchange.drawing.ground_map import draw_ground_map
from hardpan.exchange.drawing.ground_rows import done_tests, ground_spans, hidden_odds
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.drawing.street_rows import Span
from hardpan.exchange.figures_in_words import number
from hardpan.exchange.sheets.pdf import Paper, alt_text, make_pdf
from hardpan.exchange.sheets.phrases import date_parts, day_words, fitted, strips_words
from hardpan.laws.rutting import RUT_EXPONENT
from hardpan.plan import Plan
from hardpan.plan.next_tests import NextTest
from hardpan.plan.soundings import Sounding, name_of
from hardpan.plan.zone_ground import zone_ground
from hardpan.street.defaults import default
from hardpan.street.units import factor
from hardpan.street.words import say_odds

TALLEST: dict[Paper, float] = {
    "a4": 1330.0,
    "us-letter": 1180.0,
}  # units of a drawing that a page holds under the legend
RAISED = str.maketrans("0123456789.", "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079\u00b7")
MAPS_FIRST = 2  # rows: a longer map stands after the tests
LEAST_DEPTH, UNDER_THE_MIXER = 0.600, 0.150  # how deep to test [m]: common practice, no source


def ground_sheet(plan: Plan, *, paper: Paper = "a4") -> bytes:
    """PDF of the ground sheet.

    Parameters
    ----------
    plan
        The plan it is taken from.
    paper
        ``a4`` or ``us-letter``.
    """
    return make_pdf("ground_sheet", shown_ground(plan, paper=paper), plan, paper=paper)


def shown_ground(plan: Plan, *, paper: Paper = "a4") -> dict[str, Any]:
    """What the sheet shows."""
    street, ground, spans = plan.street, plan.ground, ground_spans(plan)
    maps = [draw_ground_map(plan, spans=[span], legend=False) for span in spans]
    along = [drawn for span in spans for drawn in _along(plan, span, TALLEST[paper])]
    return {
        "title": f"{street.name}: ground sheet",
        "about": "Where the ground is soft and how sure that is, the tests that settle most, the ground strip by strip",
        "name": street.name,
        "date": date_parts(plan),
        "under": f"{day_words(plan, 1)} \u00b7 {street.place(spans[0].start, spans[-1].end)} \u00b7 {street.width:.4g} m wide",
        "right": [
            f"{_counted(len(ground.soundings), 'test')} done",
            f"{_counted(len(ground.tests), 'test')} asked for",
        ],
        "maps": _drawings([*maps, legend_alone(map_legend(hidden_odds(plan)), "Legend of the ground map")]),
        "maps_first": len(maps) <= MAPS_FIRST,
        "tests": [_test(plan, index, one) for index, one in enumerate(ground.tests)],
        "how": how_to_test(plan),
        "done": [_done(plan, one) for one in ground.soundings] + _laboratory(plan),
        "zones": [_zone(plan, index) for index in range(len(plan.zones))],
        "notices": [str(notice) for notice in ground.notices],
        "along_legend": _drawings([legend_alone(along_legend(), "Legend of the ground along the street")])[0],
        "along": _drawings(along),
        "rut_law": _rut_law(plan),
    }


def _counted(count: int, noun: str) -> str:
    """``1 test``, ``3 tests``."""
    return f"{count or 'no'} {noun}{'' if count == 1 else 's'}"


def _drawings(drawings: list[Drawn]) -> list[dict[str, str]]:
    """Drawings with their words."""
    return [{"svg": drawn.svg, "words": alt_text(drawn.words)} for drawn in drawings]


def _along(plan: Plan, span: Span, tallest: float) -> list[Drawn]:
    """One row along the street: as one drawing, or as few as each fit a page, the strips shared out evenly."""
    strips = plan.ground.bays.strips
    for count in range(1, len(strips) + 1):
        groups = [tuple(int(strip) for strip in group) for group in np.array_split(strips, count)]
        drawn = [draw_ground_along(plan, spans=[span], strips=group, legend=False) for group in groups]
        if max(one.height for one in drawn) <= tallest:
            break
    return drawn


def _test(plan: Plan, index: int, one: NextTest) -> dict[str, str]:
    """One test asked for: where, how doubtful, what it would settle."""
    before = f"about {_metres(plan, one.wrong_before.value)} now, " if index == 0 else "about "
    after = "after it" if index == 0 else "after this one too"
    return {
        "test": f"test {index + 1}",
        "place": fitted(one.place, 62, 9, weight=600, lines=2),
        "strip": str(one.strip),
        "rate": _rate_at(plan, one.station_m, one.strip),
        "doubt": f"wrong {say_odds(one.wrong_here.value)}",
        "settles": f"{before}{_metres(plan, one.wrong_after.value)} {after}",
    }


def _metres(plan: Plan, length: float) -> str:
    """Length in the unit that the street counts in."""
    unit = plan.street.stationing.unit
    return f"{number(length / factor(unit, 'm'))} {unit}"


def _rate_at(plan: Plan, station: float, strip: int) -> str:
    """Rate that is instructed at a place."""
    zone = next(
        zone
        for zone in plan.zones
        for piece in zone.pieces
        if piece.strip == strip and piece.start_m <= station <= piece.end_m
    )
    return f"{zone.rate.value:.3g} kg/m\u00b2"


def how_to_test(plan: Plan) -> list[str]:
    """How to make a test, a sentence a step; a cone that no longer moves as in ASTM D6951 (from memory)."""
    deep = max(LEAST_DEPTH, plan.street.file.mixer.deepest.value + UNDER_THE_MIXER)
    return [
        "Locates first: a rod finds services too.",
        "Scrape off what is loose, stand the rod upright (8 kg hammer, 60 degree cone), seat the cone, read zero.",
        f"Write blows and depth every two blows, each blow where one drops more than 50 mm, to {number(1000 * deep)} mm or as deep as it goes.",
        "Five blows that move it less than 2 mm: stop, start again 300 mm away.",
        "Write station and strip: the rows belong in penetrometer.csv.",
    ]


def _done(plan: Plan, one: Sounding) -> str:
    """One test that was made: where, what it found, by which equations."""
    street = plan.street
    whole = Span(street.stationing.first, street.stationing.last)
    found = next(each for each in done_tests(plan, whole) if each.name == one.test)
    shares = [f" {weight:.2g}" if weight < 1 else "" for weight in one.weights]
    by = ", ".join(f"{name_of(equation)}{share}" for equation, share in zip(one.equations, shares, strict=True))
    place = f"{street.painted(one.station_m)}, strip {one.strip}"
    return f"{found.said}; {place}, to {number(1000 * one.end_m)} mm; by {by}"


def _laboratory(plan: Plan) -> list[str]:
    """Laboratory values."""
    street = plan.street
    return [
        f"lab {one.test}: CBR {one.cbr.value:.2g}; {street.painted(one.station)}, {strips_words(plan, one.strips)}"
        for one in street.bearing
    ]


def _zone(plan: Plan, index: int) -> dict[str, str]:
    """One line of a zone."""
    zone = plan.zones[index]
    return {
        "zone": fitted(zone.name, 30, 9, weight=700),
        "rate": f"{zone.rate.value:.3g} kg/m\u00b2",
        "line": zone_ground(plan.ground, zone).line(plan.street),
    }


def _rut_law(plan: Plan) -> str:
    """How bearing ratios and ruts belong together on this street."""
    soft = default("ground.soft_below").value
    return (
        f"A grader's rut is about {number(1000 * plan.ground.rut_constant.value)} mm / CBR{str(RUT_EXPONENT).translate(RAISED)} on this street: a default, "
        f"mended by its own words, ruts and tests. Ground counts as soft under CBR {soft:.3g}. Softer ground stands lower."
    )
