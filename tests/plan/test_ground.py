"""What the plan says of the ground, as an operator reads it and as a suspicious engineer checks it."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

import hardpan
from hardpan.exchange.text import plan_text
from hardpan.laws.rutting import cbr_from_rut
from hardpan.plan import Plan, bay_story
from hardpan.plan.ground import Ground
from hardpan.plan.ground_evidence import RUT_LAW, WORDS, bay_at
from hardpan.plan.zone_ground import zone_ground
from hardpan.street.vehicles import tyre_of
from tests.plan.folders import planned, variant

TEAL, KESTREL = "teal-crescent", "kestrel-road"
NOTHING_LEFT = '0+000,0+070,left,nothing,,"grader, 18 t",2026-06-03 15:30,'
SOFT_ROWS = ["P1,0+120,2,2,70,", "P1,0+120,2,2,140,", "P1,0+120,2,2,210,", "P1,0+120,2,2,280,soft"]
P1 = "P1,0+120,2,10,520,"


def teal(folder: Path, *pairs: tuple[str, str], **tables: list[tuple[str, str]]) -> Plan:
    return planned(folder / "street", TEAL, {"street.toml": list(pairs), **named(tables)})


def kestrel(folder: Path, *pairs: tuple[str, str], **tables: list[tuple[str, str]]) -> Plan:
    return planned(folder / "street", KESTREL, {"street.toml": list(pairs), **named(tables)})


def named(tables: dict[str, list[tuple[str, str]]]) -> dict[str, list[tuple[str, str]]]:
    return {f"{name}.csv": changes for name, changes in tables.items()}


def at(ground: Ground, station: float, strip: int) -> tuple[int, int]:
    return strip - 1, bay_at(ground.bays, station)


def in_mind(plan: Plan) -> str:
    return " ".join(str(notice) for notice in plan.ground.notices)


@pytest.fixture(scope="module")
def crescent() -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL)))


@pytest.fixture(scope="module")
def road() -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(KESTREL)))


# the two streets


def test_softer_words_mean_softer_ground(crescent: Plan) -> None:
    ground = crescent.ground
    middles = [float(np.median(ground.middle[ground.word == WORDS.index(word)])) for word in WORDS[1:]]
    assert middles == sorted(middles, reverse=True)
    assert all(upper > 1.5 * lower for upper, lower in pairwise(middles))


def test_the_trench_stands_out_as_a_place_of_its_own(crescent: Plan) -> None:
    ground = crescent.ground
    trench, beside = at(ground, 150.3, 4), at(ground, 145, 4)
    assert ground.places.trench[trench]
    assert not ground.places.trench[at(ground, 150.3, 1)]
    assert ground.middle[trench] < ground.middle[beside]  # nothing firm holds it up
    assert ground.places.region[trench] != ground.places.region[beside]
    said = in_mind(crescent)
    assert "0+149.4 to 0+150.6, strips 3 and 4" in said
    assert "dig the backfill out, or ask the engineer" in said


def test_where_nothing_showed_a_skin_may_hide_soft_ground(crescent: Plan) -> None:
    ground = crescent.ground
    nothing = ground.word == WORDS.index("nothing")
    assert np.all(ground.hidden.chance[nothing] == pytest.approx(0.2))  # common practice, no source
    assert np.all(ground.hidden.chance[~nothing] == 0)
    assert "about 2 in 10 such places hide it; a penetrometer test tells" in in_mind(crescent)


def test_three_tests_are_asked_for_by_landmark(crescent: Plan) -> None:
    tests = crescent.ground.tests
    names = {mark.name for mark in crescent.street.stationing.landmarks}
    assert len({(test.station_m, test.strip) for test in tests}) == 3
    assert all(any(name in test.place for name in names) for test in tests)
    left = [tests[0].wrong_before.value, *(test.wrong_after.value for test in tests)]
    assert left == sorted(left, reverse=True)
    assert all(0.1 < test.wrong_here.value < 0.5 for test in tests)  # a place that is sure needs no test


def test_the_penetrometer_in_a_is_used(road: Plan) -> None:
    ground = road.ground
    (sounding,) = ground.soundings
    assert sounding.equations == ("CL",)  # its soil is classified
    assert sounding.cbr[0] == pytest.approx(2.82, abs=0.005)  # ASTM D6951 lean clay at 35 mm a blow, from memory
    assert not sounding.skin
    place = at(ground, 120, 2)
    assert ground.high[place] / ground.low[place] < ground.high[at(ground, 110, 2)] / ground.low[at(ground, 110, 2)]
    assert "soft to 280 mm, firm below: the mixer reaches through it" in in_mind(road)
    assert ground.hidden.chance[place] == 0


def test_ruts_and_penetrometer_agree_there(road: Plan) -> None:
    by_rut = float(cbr_from_rut(0.038, tyre_of("grader").wheel))
    assert by_rut == pytest.approx(2.78, abs=0.06)
    assert road.ground.low[at(road.ground, 120, 2)] < by_rut < road.ground.high[at(road.ground, 120, 2)]


def test_soft_to_700_is_a_finding_that_the_mixer_cannot_reach(tmp_path: Path) -> None:
    deep = [
        ("P1,0+120,2,10,400,firm below\nP1,0+120,2,10,520,\n", "P1,0+120,2,12,700,\nP1,0+120,2,20,900,firm below\n")
    ]
    plan = kestrel(tmp_path, penetrometer=deep)
    said = in_mind(plan)
    assert "soft to 700 mm: the mixer reaches 400 mm and leaves 300 mm of soft ground under the plate" in said
    assert "the engineer decides" in said
    assert "the mixer reaches through it" not in said


def test_a_test_that_ends_above_the_mixers_reach_says_so(tmp_path: Path) -> None:
    plan = kestrel(tmp_path, penetrometer=[("P1,0+120,2,10,400,firm below\nP1,0+120,2,10,520,\n", "")])
    assert "the test ends at 280 mm, above the 400 mm that the mixer reaches" in in_mind(plan)


# evidence


def test_a_skin_found_by_a_test_is_soft_ground_and_makes_others_likelier(tmp_path: Path) -> None:
    skin = "P2,0+050,1,0,0,\nP2,0+050,1,12,150,\nP2,0+050,1,4,300,\nP2,0+050,1,4,450,\nP2,0+050,1,4,600,\n"
    plan = kestrel(tmp_path, penetrometer=[(P1, f"{P1}\n{skin}")])
    ground = plan.ground
    place = at(ground, 50, 1)
    assert ground.hidden.chance[place] == 1
    assert ground.high[place] < 4
    assert ground.hidden.chance[at(ground, 250, 1)] == pytest.approx((0.2 * 5 + 1) / (5 + 1))  # beta, worth five tests
    assert "a skin over soft ground" in in_mind(plan)
    firm = skin.replace("1,4,", "1,14,")
    sound = kestrel(tmp_path / "sound", penetrometer=[(P1, f"{P1}\n{firm}")]).ground
    assert sound.hidden.chance[place] == 0
    assert sound.hidden.chance[at(sound, 250, 1)] == pytest.approx(0.2 * 5 / (5 + 1))


def test_one_pair_of_rut_and_test_moves_the_rut_constant_by_about_half(tmp_path: Path) -> None:
    # common practice, no source: a weight of about 0.45, not 1
    def moved(blows: int) -> float:
        tests = [(row, row.replace(",2,2,", f",2,{blows},")) for row in SOFT_ROWS]
        plan = kestrel(tmp_path / str(blows), penetrometer=tests)
        return float(plan.ground.posterior.joint.shared_mean[RUT_LAW])

    # ln CBR by the lean clay equation goes with twice ln of the blows, ln rut with 1.52 times that
    weight = (moved(3) - moved(2)) / (1.52 * 2 * np.log(3 / 2))
    assert 0.25 < weight < 0.5


def test_rain_since_the_drive_makes_its_readings_stale(tmp_path: Path) -> None:
    rained = teal(tmp_path, ("rain_from =", "rained_at = 2026-06-03T19:00:00\nrained_mm = 14\nrain_from ="))
    dry = hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL)))
    soft = rained.ground.word == WORDS.index("ruts")
    assert np.all(rained.ground.middle[soft] < dry.ground.middle[soft])
    ratio = rained.ground.high / rained.ground.low
    assert np.all(ratio[soft] > (dry.ground.high / dry.ground.low)[soft])
    said = in_mind(rained)
    assert "8 of 8 readings are older than the 14 mm of rain of 3 June 19:00 (the first of 3 June 15:30)" in said
    assert "rained on since" in " ".join(bay_story.tell(rained, "ground[0+100, strip 3]")[1])


def test_rain_before_the_drive_changes_nothing(tmp_path: Path) -> None:
    rained = teal(tmp_path, ("rain_from =", 'rained_at = "2026-06-03 07:00"\nrain_from ='))
    dry = hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL)))
    assert np.array_equal(rained.ground.middle, dry.ground.middle)


def test_the_spreaders_ruts_are_a_second_reading_with_its_load_known(tmp_path: Path) -> None:
    def ground(vehicle: str, rut: str) -> Ground:
        row = f'0+100,0+110,3,{rut},,"{vehicle}",2026-06-04 08:00,'
        return teal(
            tmp_path / f"{vehicle}-{rut}".replace(" ", ""), readings=[(NOTHING_LEFT, f"{NOTHING_LEFT}\n{row}")]
        ).ground

    full = ground("spreader full", "shows")
    place = at(full, 105, 3)
    half = ground("spreader half full", "shows")
    assert half.middle[place] < full.middle[place]  # the same rut under half the load is softer ground
    twice = ground("grader 18 t", "shows")  # the softest word of the grader's two trips stands
    plain = hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL))).ground
    assert twice.middle[place] == pytest.approx(plain.middle[place], rel=0.02)
    assert full.middle[place] > 1.1 * plain.middle[place]


def test_a_laboratory_bearing_ratio_counts(tmp_path: Path) -> None:
    folder = variant(tmp_path / "street", TEAL, {})
    (folder / "lab.csv").write_text("test,cbr [%],station,strips\nL1,1.2,0+100,3\n", encoding="utf-8")
    ground = hardpan.make_plan(hardpan.read_street(folder)).ground
    plain = hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL))).ground
    place = at(ground, 105, 3)
    assert ground.middle[place] < 0.8 * plain.middle[place]
    assert ground.high[place] / ground.low[place] < plain.high[place] / plain.low[place]


def test_rates_speak_only_where_nothing_was_read(tmp_path: Path) -> None:
    folder = variant(tmp_path / "street", TEAL, {})
    (folder / "readings.csv").write_text("from,to,strips,word\n", encoding="utf-8")
    bare = hardpan.make_plan(hardpan.read_street(folder)).ground
    soft, rest = at(bare, 100, 2), at(bare, 200, 2)
    assert bare.middle[soft] == pytest.approx(1.8, rel=0.02)
    assert bare.middle[rest] == pytest.approx(6.0, rel=0.02)
    read = teal(tmp_path / "read", instructions=[("soft,0+060,0+160,all,28", "soft,0+060,0+160,all,20")]).ground
    plain = hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL))).ground
    assert np.array_equal(read.middle, plain.middle)  # never twice for the same ruts


def test_a_vehicle_that_nobody_knows_is_named(tmp_path: Path) -> None:
    plan = teal(tmp_path, readings=[('0+150,0+240,left,nothing,,"grader, 18 t"', '0+150,0+240,left,nothing,,"camel"')])
    assert "the tyre of 'camel' is not known: the readings count as a grader's" in in_mind(plan)


def test_the_mirror_image_of_a_street_reads_alike(tmp_path: Path) -> None:
    swap = [(f",{side},", f",{side[0]}_,") for side in ("left", "right")]
    back = [(",l_,", ",right,"), (",r_,", ",left,")]
    folder = variant(tmp_path / "street", TEAL, {})
    for name in ("readings.csv", "structures.csv"):
        text = (folder / name).read_text(encoding="utf-8").replace(",3-4,", ",1-2,")
        for old, new in (*swap, *back):
            text = text.replace(old, new)
        (folder / name).write_text(text, encoding="utf-8")
    mirrored = hardpan.make_plan(hardpan.read_street(folder)).ground
    plain = hardpan.make_plan(hardpan.read_street(hardpan.example(TEAL))).ground
    assert mirrored.middle[::-1] == pytest.approx(plain.middle, rel=1e-6)


# bogging


def test_the_boggy_place_is_the_trench_and_half_a_load_helps(crescent: Plan) -> None:
    bogging, ground = crescent.ground.bogging, crescent.ground
    assert np.unravel_index(np.argmax(bogging.full), bogging.full.shape)[1] in {
        bay_at(ground.bays, 149.7),
        bay_at(ground.bays, 150.3),
    }
    assert np.all(bogging.half <= bogging.full + 1e-4)
    assert [one.strip for one in bogging.stretches] == [3, 4]  # the less boggy strip first
    worst = bogging.stretches[-1]
    assert (worst.start_m, worst.end_m) == (140.0, 160.0)
    laid = (60 * 12 + 80 * 28) * 2.25
    assert worst.from_m == 0.0
    assert worst.left == pytest.approx(1 - laid / 15_000)
    assert worst.half < worst.arriving < worst.full
    assert "come to it with 56 % on board" in in_mind(crescent)


def test_firm_ground_carries_the_spreader(road: Plan) -> None:
    assert road.ground.bogging.stretches == ()
    assert "bogs" not in in_mind(road)


# words


@pytest.mark.parametrize(
    "path", ["ground[0+150, strip 4]", "ground[0+150,4]", "ground[ 10 m past pole 4 , strip 4 ]", "ground[0+150]"]
)
def test_the_story_of_a_bay_is_five_lines(crescent: Plan, path: str) -> None:
    figure, story = bay_story.tell(crescent, path)
    assert len(story) == 5
    assert story[0].startswith("0+150 to 0+150.6, strip 4")
    assert "sinks" in story[1]
    assert figure.value == crescent.ground.middle[at(crescent.ground, 150.3, 4)]
    assert figure.basis.value == "default"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("ground[0+150, strip 9]", "the street has no strip 9; allowed: 1 to 4"),
        ("ground[9+000]", "the street has no place '9+000'; allowed: "),
        ("ground[the old oak, strip 1]", "the street has no place 'the old oak'; allowed: "),
    ],
)
def test_a_bay_that_is_not_there(crescent: Plan, path: str, said: str) -> None:
    with pytest.raises(bay_story.BayError, match=r"^the street has no") as caught:
        bay_story.tell(crescent, path)
    assert str(caught.value).startswith(said)


def test_a_zone_in_one_line(crescent: Plan, road: Plan) -> None:
    soft, rest = (zone_ground(crescent.ground, zone) for zone in crescent.zones)
    assert soft.words[0] == "ruts"
    assert soft.trench
    assert soft.softest_m == pytest.approx(149.7, abs=0.7)
    assert soft.softest_strip == 4
    assert rest.hidden == pytest.approx(0.2)
    assert soft.middle < rest.low
    assert [zone_ground(road.ground, zone).hidden for zone in road.zones if zone.name == "A"] == [0.0]
    assert "about 2 in 10" in rest.line(crescent.street)


def test_the_text_of_the_plan_asks_for_the_tests(crescent: Plan) -> None:
    said = " ".join(plan_text(crescent).split())
    assert "penetrometer tests that help most: " in said
    assert all(test.place in said for test in crescent.ground.tests)
