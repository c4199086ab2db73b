"""The rate instruction card: what was said stands large, our own sum beside it, and nothing that was ever said is lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

import hardpan
from hardpan.exchange.sheets.rate_card import rate_card, replaced_by, shown_rates, zone_groups
from hardpan.plan import Plan
from hardpan.street import example
from tests.drawing.map_streets import MapStreet, map_plans
from tests.sheets.odd_streets import changed, many, strained
from tests.sheets.pdf_text import check_document, pages, planned

TITLE = "rate instruction card"


def replaced(folder: Path) -> Plan:
    """Teal Crescent where the tester said 24 at first, and left 0+140 to 0+180 anew at 20, without depth, how low or water."""

    def instructions(text: str) -> str:
        first = "old,0+060,0+160,all,24,250,original,40,full,tester,foreman,2026-06-02 09:00,by phone\n"
        later = "anew,0+140,0+180,left,20,,,,,engineer,,2026-06-04 06:10,at the truck\n"
        return text.replace("soft,", first + "soft,", 1) + later

    return changed(folder, "teal-crescent", instructions=instructions)


def test_the_cards_of_teal_crescent() -> None:
    soft, rest = pages(rate_card(planned("teal-crescent")))
    assert "rate 28 kg/m\u00b2 900 m\u00b2, 25 200 kg planned mixing depth 300 mm of original ground shape 45 mm low as said water FULL about 34.0 L/m\u00b2" in soft  # fmt: skip
    # our sum by three phases: 47.1 mm, the band beside it; the crew's 45 stands in the large figure
    assert "rise about 47.1 mm (32 to 62), so about 47.1 mm (32 to 62) low" in soft
    assert "soft 0+060 to 0+160 2 m past pole 2 to 8 m before no. 23 all strips" in soft
    assert (
        "said by engineer heard by foreman, grader operator when Wednesday 3 June 2026 16:40 where at the curb" in soft
    )
    assert "replaces nothing" in soft
    assert "mixing depth not said: ask planned with about 200 mm of original shape not said: ask planned with about 23 mm low, our sum" in rest  # fmt: skip
    assert "rest 0+000 to 0+060 start to 2 m past pole 2 all strips rest 0+160 to 0+240" in rest


def test_zones_said_alike_share_a_card() -> None:
    first, second = pages(rate_card(planned("kestrel-road")))
    assert "zones A and B \u00b7 card 1 of 2" in first
    assert "A 0+100 to 0+145 20 m before no. 14 to 25 m past no. 14 all strips B 0+300 to 0+330" in first
    assert "water none said: target; 0.0 L/m\u00b2" in first
    assert "rate 24 kg/m\u00b2 3 060 m\u00b2, 73 440 kg planned" in second


@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_every_zone_and_stretch_stands_on_a_card(name: str) -> None:
    plan = planned(name)
    told = " ".join(pages(rate_card(plan)))
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        assert f"{zone.rate.value:g} kg/m\u00b2" in told
        assert f"rise {'about ' if balance.rise.basis == 'default' else ''}{1000 * balance.rise.value:.1f} mm" in told
        for piece in zone.pieces:
            show = plan.street.stationing.show
            assert f"{zone.name} {show(piece.start_m)} to {show(piece.end_m)}" in told


def test_old_and_new_stand_side_by_side(tmp_path: Path) -> None:
    cards = pages(rate_card(replaced(tmp_path / "s")))
    assert len(cards) == 3
    soft = next(text for text in cards if "zone soft" in text)
    anew = next(text for text in cards if "zone anew" in text)
    assert "replaces row 2 of instructions.csv" in soft
    row = "row 2, old, Tuesday 2 June 2026 09:00 tester; heard foreman 24 kg/m\u00b2 28 kg/m\u00b2 250 mm of original 300 mm of original"
    assert f"0+060 to 0+140 strips 1 and 2 {row}" in soft
    assert f"0+060 to 0+160 strips 3 and 4 {row}" in soft
    assert "replaces rows 2, 3 of instructions.csv" in anew
    assert "0+140 to 0+160 strips 1 and 2 row 2, old" in anew
    assert "24 kg/m\u00b2 20 kg/m\u00b2 250 mm of original not said" in anew
    assert "28 kg/m\u00b2 20 kg/m\u00b2 300 mm of original not said" in anew
    assert "water not said: ask planned:" in anew
    assert "heard by not said" in anew
    # elsewhere gives way by itself: it is in force beside 0+140 to 0+180 still, and not replaced
    assert "rest, " not in anew.split("what it replaces")[1]


def test_an_elsewhere_that_a_later_one_replaced_is_not_lost(tmp_path: Path) -> None:
    def instructions(text: str) -> str:
        return text + "rest 2,elsewhere,,all,16,250,rolled,,half,engineer,foreman,2026-06-04 06:00,at the truck\n"

    plan = changed(tmp_path / "s", "teal-crescent", instructions=instructions)
    told = " ".join(pages(rate_card(plan)))
    assert "0+000 to 0+060 all strips row 3, rest, Wednesday 3 June 2026 16:40" in told
    assert "12 kg/m\u00b2 16 kg/m\u00b2 not said 250 mm of rolled" in told


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(street=map_plans(longest=1200))
def test_every_instruction_is_in_force_or_replaced_on_any_street(street: MapStreet) -> None:
    plan = street.plan
    groups = zone_groups(plan)
    told = {zone.instruction.row for group in groups for zone, _ in group.zones}
    told |= {one.older.row for group in groups for one in replaced_by(plan, group)}
    assert told == {one.row for one in plan.street.instructions}
    shown = shown_rates(plan)["pages"]
    stretches = {(piece.instruction, piece.start_m, piece.end_m) for piece in plan.treatment.pieces}
    assert sum(len(page["places"]) for page in shown) == len(stretches)
    assert sum(len(page["older"]) for page in shown) == sum(len(replaced_by(plan, group)) for group in groups)


def test_read_from_the_top() -> None:
    text, _ = pages(rate_card(planned("teal-crescent")))
    order = ["Teal Crescent", "rate instruction", "zone soft", "rate 28", "mixing depth", "shape 45", "water FULL", "our sum beside it", "place", "said by engineer", "read back and signed", "changed since, by hand", "Wet cement burns"]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("name", ["teal-crescent", "kestrel-road"])
def test_a_page_a_group_that_stands_alone(name: str, paper: Any) -> None:
    plan = planned(name)
    count = len(shown_rates(plan, shorter=paper != "a4")["pages"])
    assert paper != "a4" or count == 2
    check_document(rate_card(plan, paper=paper), plan, TITLE, count=count)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_names_and_many_rows_stay_on_the_paper(tmp_path: Path, paper: Any) -> None:
    for plan in (strained(tmp_path / "s"), many(tmp_path / "m"), replaced(tmp_path / "r")):
        count = len(shown_rates(plan, shorter=paper != "a4")["pages"])
        check_document(rate_card(plan, paper=paper), plan, TITLE, count=count)


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = hardpan.make_plan(hardpan.read_street(example("kestrel-road")))
    assert rate_card(planned("kestrel-road")) == rate_card(again)
