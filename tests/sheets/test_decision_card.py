"""The decision card: what a person said stands first and large, our sum beside it, what the choice does, boxes to tick; every figure is the plan's."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

import hardpan
from hardpan.exchange.figures_in_words import number
from hardpan.exchange.sheets import decision_depth, decision_low
from hardpan.exchange.sheets.decision_card import decision_card, decision_text, shown_decisions, zone_pages
from hardpan.plan import Plan
from hardpan.street import example
from hardpan.street.words import say_odds
from tests.drawing.ground_streets import in_feet, one_strip, unread
from tests.drawing.map_streets import MapStreet, map_plans
from tests.drawing.odds_streets import ODD, least_written, six_zones, with_strengths, without_a_rate
from tests.sheets.odd_streets import many, strained
from tests.sheets.pdf_text import check_document, pages, plain, planned, reader

TITLE = "decision card"
EXAMPLES = ["teal-crescent", "kestrel-road"]
BOTH = pytest.mark.parametrize("paper", ["a4", "us-letter"])
RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def check(plan: Plan, paper: Any = "a4") -> None:
    """One page a decision, whole."""
    count = sum(1 if zone.instruction.dig_out else 3 for zone in plan.zones)
    check_document(decision_card(plan, paper=paper), plan, TITLE, count=count)


@BOTH
@pytest.mark.parametrize("name", EXAMPLES)
def test_one_page_a_decision(name: str, paper: Any) -> None:
    check(planned(name), paper)


@pytest.mark.parametrize("make", [*ODD, unread, one_strip, in_feet, strained, many])
def test_odd_streets_stay_on_their_pages(tmp_path: Path, make: Callable[[Path], Plan]) -> None:
    check(make(tmp_path / "s"))


@pytest.mark.parametrize("make", [six_zones, without_a_rate, strained])
def test_the_fullest_pages_fit_on_letter_too(tmp_path: Path, make: Callable[[Path], Plan]) -> None:
    check(make(tmp_path / "s"), "us-letter")


@settings(RANDOM, max_examples=5)
@given(street=map_plans(longest=600))
def test_random_streets_stay_on_their_pages(street: MapStreet) -> None:
    check(street.plan)


# --- which rate ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_instruction_stands_first_and_its_odds_are_the_plans(name: str) -> None:
    plan = planned(name)
    told = pages(decision_card(plan))
    for index, (zone, odds) in enumerate(zip(plan.zones, plan.treatment.odds.zones, strict=True)):
        text = told[3 * index]
        tonnes = f"{zone.rate.value:g} kg/m\u00b2 {number(zone.cement.value / 1000, 1)} t over {number(zone.area.value)} m\u00b2"
        assert plain(f"the instruction says {tonnes}") in text
        where = f"{plan.street.stationing.show(round(odds.worst_m))} strip {odds.worst_strip}"
        assert f"worst place, {where} {say_odds(odds.worst.value)} between {round(10 * odds.low)} and {round(10 * odds.high)} in 10" in text  # fmt: skip
        assert f"all of the zone at once {say_odds(odds.whole.value)} whole street {say_odds(plan.treatment.odds.street.value)}" in text  # fmt: skip
        failing = (
            f"{100 * odds.failing.value:.0f} in 100 m may fail about {odds.failing.value * zone.area.value:.0f} m\u00b2"
        )
        assert f"of its length {failing}" in text
        first, second, third = (one.name for one in odds.matters[:3])
        assert f"The doubt hangs most on the {first}, then the {second}, then the {third}." in text
        for notice in odds.notices:
            assert plain(str(notice)) in text


def test_our_rate_stands_beside_it() -> None:
    soft, rest = (zone_pages(planned("teal-crescent"), index)[0] for index in (0, 1))
    assert [soft["figures"][1][key] for key in ("value", "second")] == ["none", "up to 40 kg/m\u00b2 reaches 8.5 in 10"]
    assert [rest["figures"][1][key] for key in ("head", "value", "second")] == ["our sum, about", "15", "lowest that reaches 8.5 in 10"]  # fmt: skip
    assert rest["figures"][1]["note"] == "8.5 in 10: a default, for nobody wrote the least odds"


def test_who_wrote_the_least_odds(tmp_path: Path) -> None:
    page = zone_pages(least_written(tmp_path / "s"), 2)[0]
    assert page["figures"][1]["note"] == "9 in 10: engineer, job limits 10"


def test_a_lower_rate_is_offered_only_where_it_may_be(tmp_path: Path) -> None:
    plan = planned("kestrel-road")
    soft, firm = (zone_pages(plan, index)[0] for index in (0, 2))
    enough = [plan.treatment.odds.zones[index].enough for index in (0, 2)]
    assert [figure.value for figure in enough if figure] == [30, 15]
    assert soft["figures"][1]["value"] == "30"  # it stands beside the instruction all the same
    assert not any("our sum" in choice for choice in soft["choices"])
    assert "15 kg/m\u00b2, our sum" in firm["choices"]
    calculated = with_strengths(tmp_path / "s")
    assert calculated.treatment.odds.calculated
    for index, odds in enumerate(calculated.treatment.odds.zones):
        choices = zone_pages(calculated, index)[0]["choices"]
        offered = odds.enough is not None and odds.enough.value != odds.rate.value
        assert any("our sum" in choice for choice in choices) == offered
        assert "laboratory strengths first" not in choices


def test_choices_of_a_zone_that_may_fail() -> None:
    plan = planned("teal-crescent")
    odds = plan.treatment.odds.zones[0]
    assert zone_pages(plan, 0)[0]["choices"] == ["keep 28 kg/m\u00b2", f"test on day 7: {say_odds(odds.later[1][28])}", "dig out 0+150 strip 4", "laboratory strengths first", "other, kg/m\u00b2:"]  # fmt: skip
    assert zone_pages(planned("kestrel-road"), 0)[0]["choices"][1:] == ["test on day 7: nearly always", "laboratory strengths first", "other, kg/m\u00b2:"]  # fmt: skip


def test_no_cement_is_kept_as_untreated(tmp_path: Path) -> None:
    page = zone_pages(six_zones(tmp_path / "s"), 5)[0]
    assert page["figures"][0]["value"] == "0"
    assert page["choices"][0] == "keep: leave untreated"


def test_what_nobody_said_is_not_said(tmp_path: Path) -> None:
    plan = without_a_rate(tmp_path / "s")
    for index, zone in enumerate(plan.zones):
        cards = zone_pages(plan, index)
        assert [card["figures"][0]["value"] for card in cards] == ["not said"] * len(cards)
        assert cards[0]["figures"][1]["head"] == "our proposal"
        assert "nobody has agreed it yet" in cards[0]["figures"][1]["note"]
        if zone.instruction.dig_out:
            assert [card["what"] for card in cards] == ["which rate"]
            assert cards[0]["figures"][1]["value"] == "dig out"
            assert cards[0]["choices"][0] == "agree: dig it out"
        else:
            assert cards[0]["figures"][1]["value"] == f"{zone.rate.value:g}"
            assert cards[0]["choices"][0] == f"agree {zone.rate.value:g} kg/m\u00b2"
    assert {zone.instruction.dig_out for zone in plan.zones} == {True, False}


# --- how deep -----------------------------------------------------------------------------------------------------------


def test_one_depth_in_three_states() -> None:
    """300 mm of original ground: 375 loose at 1.25; (1475 x 0.3 + 28) / 1355.5 = 347 rolled, which is depth and rise."""
    plan = planned("teal-crescent")
    states = decision_depth.in_states(plan, 0)
    assert {name: round(1000 * one.value) for name, one in states.items()} == {"original": 300, "loose": 375, "rolled": 347}  # fmt: skip
    assert states["rolled"].value == pytest.approx(0.300 + plan.balance[0].rise.value, abs=1e-9)
    text = pages(decision_card(plan))[1]
    assert "the instruction says 300 mm of original ground" in text
    assert (
        "the same depth, by our sum 375 mm loose, behind the mixer about 347 mm rolled, in the finished layer" in text
    )


def test_a_depth_said_in_another_state_keeps_it(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    for index, (name, value) in enumerate((("rolled", 0.300), ("loose", 0.150))):
        states = decision_depth.in_states(plan, index)
        assert states[name].value == pytest.approx(value)
        assert states["original"].value == plan.balance[index].original_depth.value
        assert states["loose"].value == pytest.approx(1.25 * states["original"].value)
    assert zone_pages(plan, 0)[1]["figures"][0]["second"] == "rolled"
    assert "ask: original, loose or rolled?" in zone_pages(plan, 2)[1]["choices"]
    assert "Its state was not said: ask." in zone_pages(plan, 2)[1]["figures"][0]["note"]


def test_what_another_depth_does_is_the_plans_at_the_planned_one() -> None:
    plan = planned("kestrel-road")
    for index, odds in enumerate(plan.treatment.odds.zones):
        found = decision_depth.depths(plan, index)
        assert [round(1000 * one.metres) for one in found] == [200, 250, 300, 350, 400]
        (own,) = [one for one in found if one.instructed]
        assert (own.worst, own.failing) == pytest.approx((odds.worst.value, odds.failing.value), abs=1e-12)
        assert own.cement == pytest.approx(plan.balance[index].cement_content.value)
        assert [one.cement * one.metres for one in found] == pytest.approx([own.cement * own.metres] * 5)
        assert all(one.reached for one in found)


def test_what_the_mixer_does_not_reach_is_said(tmp_path: Path) -> None:
    text = " ".join(pages(decision_card(six_zones(tmp_path / "s"))))
    assert "450 mm, the mixer does not reach" in text
    assert "The mixer reaches 400 mm of original ground, a default." in text


def test_the_shallowest_service_is_named() -> None:
    """S1 of Kestrel Road: 620 mm down at 0+168; zone A has none."""
    plan = planned("kestrel-road")
    named = [decision_depth.depth_lines(plan, index)[2:] for index in (0, 2)]
    (known,) = [one for one in plan.street.structures if one.id == "S1"]
    assert known.top_depth is not None
    assert named[0] == []
    assert named[1] == [f"Shallowest thing that is known here: water S1, top {1000 * known.top_depth.value:.0f} mm down, {plan.street.painted(known.start)}."]  # fmt: skip


# --- how low ------------------------------------------------------------------------------------------------------------


def test_what_shaping_45_low_does() -> None:
    """900 m2 that rise 47.1 end 2.1 mm over design: 1.9 m3, at (442.5 + 28) x 1.356 kg in 0.347 m 3.5 t, 28 / 470.5 of its dry mass cement."""
    plan = planned("teal-crescent")
    low, middle, high = decision_low.ends(plan.street, plan.zones[0], plan.balance[0])
    rise = plan.balance[0].rise
    assert [one.rise for one in (low, middle, high)] == pytest.approx([rise.low, rise.value, rise.high])
    assert [one.above for one in (low, middle, high)] == pytest.approx([one - 0.045 for one in (rise.low, rise.value, rise.high)])  # fmt: skip
    thick, soil, water = 0.300 + rise.value, 1475 * 0.300, 1475 * 0.300 * plan.balance[0].rise.inputs[1].value + 34
    assert middle.volume == pytest.approx(900 * (rise.value - 0.045))
    assert middle.mass == pytest.approx(middle.volume * (soil + 28 + water) / thick)
    assert middle.cement == pytest.approx(middle.volume * 28 / thick)
    text = pages(decision_card(plan))[2]
    assert "the crew says 45 mm low stated: engineer, Wednesday 3 June 2026 16:40. It is the plan. our sum, about 47 mm low 32 to 62, 8 times in 10" in text  # fmt: skip
    assert "if it rises 47 ends 2 mm above design 1.9 m\u00b3 cut off: 3.5 t, 0.2 t of it cement" in text
    assert "if it rises 32 ends 13 mm below design base fills it: 11.8 m\u00b3" in text


def test_without_a_band_both_sums_are_tried() -> None:
    plan = planned("kestrel-road")
    balance = plan.balance[2]
    ours, other = decision_low.ends(plan.street, plan.zones[2], balance)
    assert [ours.rise, other.rise] == [balance.rise_by_final_density.value, balance.rise_by_three_phases.value]
    assert [ours.above, other.above] == pytest.approx([one.rise - 0.010 for one in (ours, other)])
    assert other.words[:2] == ("if it rises 4, by water and air", "ends 6 mm below design")
    text = pages(decision_card(plan))[8]
    assert "Before trimming; the trim allowance is 10 mm (stated)." in text
    for notice in balance.notices:
        assert plain(str(notice)) in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_sum_comes_out_step_by_step(name: str) -> None:
    plan = planned(name)
    told = pages(decision_card(plan))
    for index, balance in enumerate(plan.balance):
        steps = decision_low.steps(plan.street, balance)
        assert steps[-1].value == pytest.approx(balance.our_low.value, abs=1e-12)
        lengths = [one for one in steps if one.unit == "m"]
        rise = next(one for one in steps if one.name == "less depth")
        assert rise.value == pytest.approx(balance.rise.value, abs=1e-12)
        for one in lengths:
            assert f"{1000 * one.value:.1f} mm" in told[3 * index + 2]
        for given_figure in decision_low.given(balance.our_low):
            assert plain(decision_low.input_value(given_figure)) in told[3 * index + 2]


def test_the_sum_of_teal_crescent_line_by_line() -> None:
    """As it is reckoned by hand: 163.9 + 8.9 + 167.4 = 340.2 mm, over 0.98 is 347.1, less 300 is 47.1."""
    steps = decision_low.steps(planned("teal-crescent").street, planned("teal-crescent").balance[0])
    assert [(one.name, plain(one.how), one.shown) for one in steps] == [
        ("solids", "1 475 \u00d7 0.300 / 2 700", "163.9 mm"),
        ("cement", "28 / 3 150", "8.9 mm"),
        ("water", "133.4 + 34.0", "167.4 mm"),
        ("together", "", "340.2 mm"),
        ("with air", "340.2 / 0.98", "347.1 mm"),
        ("less depth", "\u2212 300.0", "47.1 mm"),
    ]


def test_every_steps_sum_holds_on_odd_streets(tmp_path: Path) -> None:
    plan = six_zones(tmp_path / "s")
    for balance in plan.balance:
        steps = decision_low.steps(plan.street, balance)
        assert steps[-1].value == pytest.approx(balance.our_low.value, abs=1e-12)


def test_inputs_wear_their_basis() -> None:
    inputs = zone_pages(planned("kestrel-road"), 2)[2]["working"]["inputs"]
    assert [[one[0], one[1], plain(one[2])] for one in inputs] == [
        ["measured", "dry density", "1 600 kg/m\u00b3"],
        ["stated", "rate", "24 kg/m\u00b2"],
        ["measured", "final dry density", "1 576 kg/m\u00b3"],
        ["stated", "depth", "300 mm"],
        ["stated", "trim", "10 mm"],
        ["default", "settlement under the layer", "0 mm"],
    ]
    assert zone_pages(planned("kestrel-road"), 2)[2]["figures"][1]["note"] == "weakest basis: default, 1 of 6 inputs"
    soft = zone_pages(planned("teal-crescent"), 0)[2]
    assert soft["notices"][0].startswith("no density was measured here: ")
    assert not any("no density was measured" in text for text in zone_pages(planned("kestrel-road"), 2)[2]["notices"])


def test_nobody_said_how_low() -> None:
    page = zone_pages(planned("teal-crescent"), 1)[2]
    assert page["figures"][0]["value"] == "not said"
    assert page["choices"] == ["shape 23 mm low, our sum", "measure the first 50\u00a0m", "other, mm low:"]
    short = zone_pages(planned("kestrel-road"), 1)[2]
    assert short["choices"] == ["keep 10 mm low", "shape 9 mm low, our sum", "measure the first 30\u00a0m", "other, mm low:"]  # fmt: skip


# --- the page -----------------------------------------------------------------------------------------------------------


def test_read_from_the_top() -> None:
    rate, deep, low = pages(decision_card(planned("teal-crescent")))[:3]
    order = ["Teal Crescent", "which rate", "zone soft", "decision 1 of 6", "the engineer decides", "station", "the instruction says", "our sum", "Odds that the axle test passes", "What the odds cost", "what 28 kg/m\u00b2 does", "decided", "keep 28", "decided by", "Wet cement burns"]  # fmt: skip
    found = [rate.index(words) for words in order]
    assert found == sorted(found)
    order = ["how deep", "the instruction says", "by mixing depth", "what another depth of original ground does at 28 kg/m\u00b2", "decided", "the working, opened", "Wet cement burns"]  # fmt: skip
    found = [deep.index(words) for words in order]
    assert found == sorted(found)
    order = ["how low to shape", "the crew says", "our sum, about", "crew 45", "what shaping 45 mm low does", "decided", "the working, opened", "Wet cement burns"]  # fmt: skip
    found = [low.index(words) for words in order]
    assert found == sorted(found)


def test_the_drawings_are_told_in_words() -> None:
    def alternatives(node: Any) -> list[str]:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            return [found for each in node for found in alternatives(each)]
        if not isinstance(node, dict):
            return []
        return ([str(node["/Alt"])] if "/Alt" in node else []) + alternatives(node.get("/K", []))

    root: Any = reader(decision_card(planned("teal-crescent"))).trailer["/Root"]
    found = alternatives(root["/StructTreeRoot"]["/K"])
    heads = ["Tape of", "Odds that the axle test passes, by rate", "What the odds cost", "Tape of", "Odds that the axle test passes, by mixing depth", "Tape of", "The crew says 45"]  # fmt: skip
    assert [text.startswith(head) for text, head in zip(found[:7], heads, strict=True)] == [True] * 7
    assert len(found) == 14


def test_as_text() -> None:
    plan = planned("teal-crescent")
    text = decision_text(plan)
    lines = text.splitlines()
    assert [line.split(":")[0] for line in lines if line and not line.startswith(" ")] == ["which rate", "how deep", "how low to shape"] * 2  # fmt: skip
    assert "  the instruction says 28 kg/m\u00b2, 25.2 t over 900 m\u00b2 (stated: engineer, Wednesday 3 June 2026 16:40. It is the plan)" in lines  # fmt: skip
    assert "  our sum none, up to 40 kg/m\u00b2 reaches 8.5 in 10 (8.5 in 10: a default, for nobody wrote the least odds)" in lines  # fmt: skip
    assert "    if it rises 47: ends 2 mm above design; 1.9 m\u00b3 cut off: 3.5 t, 0.2 t of it cement" in lines
    assert "    less depth       \u2212 300.0                         47.1 mm" in lines
    assert "  [ ] keep 45 mm low; [ ] shape 47 mm low, our sum; [ ] measure the first 50\u00a0m; [ ] other, mm low:; the engineer decides" in lines  # fmt: skip
    for page in shown_decisions(plan)["pages"]:
        for notice in page["notices"]:
            assert f"  ! {notice}" in lines


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = hardpan.make_plan(hardpan.read_street(example("kestrel-road")))
    assert decision_card(planned("kestrel-road")) == decision_card(again)
