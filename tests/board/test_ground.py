"""What lies on the ground, read off the two examples' ledgers by hand, entry by entry."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from django.utils import translation

from hardpan.compare.happened import Happened
from hardpan.site.board.ground import Piece, Stage, at_work, pieces
from hardpan.site.board.now_map import draw_now
from hardpan.site.board.textures import UPRIGHTS
from tests.board.boards import ahead, happened
from tests.compare.days import KESTREL, TEAL, folded, plan
from tests.ledger.making import Diary, place

SVG = "{http://www.w3.org/2000/svg}"
STRIPS = (1, 2, 3, 4)


@pytest.mark.parametrize(
    ("until", "lying"),
    [
        ("06-04 08:24", ()),  # the ticket came 08:25
        ("06-04 08:58", (Piece(Stage("spread"), 0, 80, 1, 2),)),  # strips 1 and 2 were spread by 08:57
        ("06-04 09:43", (Piece(Stage("dry", 1), 0, 80, 1, 4),)),
        ("06-04 10:44", (Piece(Stage("dry", 2), 0, 80, 1, 4), Piece(Stage("spread"), 80, 160, 1, 3))),
        ("06-04 11:13", (Piece(Stage("feet"), 0, 80, 1, 4), Piece(Stage("spread"), 80, 160, 1, 4))),
        ("06-04 11:46", (Piece(Stage("trimmed"), 0, 80, 1, 4), Piece(Stage("dry", 1), 80, 160, 1, 4))),
        ("06-04 12:04", (Piece(Stage("rolled"), 0, 80, 1, 4), Piece(Stage("dry", 1), 80, 160, 1, 4))),
        (
            "06-04 12:40",
            (
                Piece(Stage("closed"), 0, 80, 1, 4),
                Piece(Stage("wet"), 80, 160, 1, 1),
                Piece(Stage("dry", 2), 80, 160, 2, 4),
            ),
        ),
    ],
)
def test_ground_goes_through_the_stages_of_the_day(until: str, lying: tuple[Piece, ...]) -> None:
    assert pieces(happened(TEAL, until)) == lying


def test_spread_ground_ends_where_the_hopper_ran_out_not_where_a_bay_does() -> None:
    fourth = [piece for piece in pieces(happened(KESTREL, "06-09 10:18")) if 4 in piece.strips and piece.end_m > 80]
    assert fourth == [Piece(Stage("spread"), 80, 146, 4, 4)]  # bays end at 140 and 150


@pytest.mark.parametrize(
    ("until", "work"),
    [
        ("06-04 09:09", [Piece(Stage("dry", 1), 0, 80, 1, 4, now=True)]),  # under way from 09:08
        ("06-04 09:44", []),  # done 09:43
        ("06-04 12:20", [Piece(Stage("wet"), 80, 160, 1, 1, now=True)]),
        ("06-04 12:40", [Piece(Stage("feet"), 80, 160, 1, 4, now=True)]),  # the wet pass of strip 1 is done since 12:26
    ],
)
def test_a_machine_is_at_work_until_somebody_says_that_it_is_done(until: str, work: list[Piece]) -> None:
    assert list(at_work(happened(TEAL, until))) == work


def test_work_that_is_done_on_one_strip_goes_on_on_the_others() -> None:
    diary = Diary()
    where = place(0, 80, STRIPS, "B1")
    diary.say(100, "spread run", where, rate_kg_m2=24, started=90)
    diary.say(101, "mixing pass", where, mixed="dry", number=1, under_way=True)
    diary.say(110, "mixing pass", place(0, 80, (1,), "B1"), mixed="dry", number=1, started=101)
    found = at_work(Happened(plan(KESTREL), folded(diary)))
    assert found == (Piece(Stage("dry", 1), 0, 80, 2, 4, now=True),)


def test_a_wet_pass_with_the_water_shut_says_so() -> None:
    diary = Diary()
    where = place(0, 80, STRIPS, "B1")
    diary.say(100, "spread run", where, rate_kg_m2=24, started=90)
    diary.say(110, "mixing pass", where, mixed="wet", number=1, setting="off", started=101)
    assert pieces(Happened(plan(KESTREL), folded(diary))) == (Piece(Stage("wet", off=True), 0, 80, 1, 4),)


# the drawing


def drawn(name: str, until: str, language: str = "en") -> ET.Element:
    with translation.override(language):
        return ET.fromstring(draw_now(happened(name, until), ahead(name, until)).svg)


def texts(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def test_the_map_says_every_stage_in_a_word_and_hatches_it() -> None:
    root = drawn(TEAL, "06-04 12:40")
    assert {"closed", "wet", "dry 2", "padfoot, now", "block 1", "block 2", "block 3", "due at 0+193"} <= set(
        texts(root)
    )
    assert {one.get("id") for one in root.iter(f"{SVG}pattern")} == {"lies-wet", "lies-dry2"}
    told = root.find(f"{SVG}desc")
    assert told is not None
    assert "0+080 to 0+160, strip 1: wet." in (told.text or "")


def test_a_dry_pass_has_as_many_uprights_as_its_number() -> None:
    for until, number in (("06-04 09:43", 1), ("06-04 10:18", 2)):
        root = drawn(TEAL, until)
        (pattern,) = (one for one in root.iter(f"{SVG}pattern") if one.get("id") == f"lies-dry{number}")
        (path,) = pattern
        assert (path.get("d") or "").count("M") == len(UPRIGHTS[number]) == number


def test_bare_ground_is_drawn_and_measured() -> None:
    root = drawn(KESTREL, "06-09 10:18")
    assert "14.0 m bare" in texts(root)  # run-out at 0+146, block to 0+160
    assert "14,0 m nus" in texts(drawn(KESTREL, "06-09 10:18", "fr"))


def test_what_was_not_checked_is_a_mark_with_its_words() -> None:
    assert texts(drawn(TEAL, "06-04 10:58")).count("not checked") == 1  # in the legend
    assert texts(drawn(TEAL, "06-04 11:00")).count("not checked") == 2  # said 10:59, strip 4 at 0+123


@pytest.mark.parametrize("language", ["en", "fr", "es"])
def test_no_label_of_the_map_covers_another_or_leaves_the_drawing(language: str) -> None:
    for name, until in (
        (TEAL, "06-04 12:40"),
        (TEAL, "06-04 10:50"),
        (KESTREL, "06-09 10:18"),
        (KESTREL, "06-10 09:00"),
    ):
        with translation.override(language):
            found = draw_now(happened(name, until), ahead(name, until))
        clashes = [
            (one, other)
            for i, (one, box) in enumerate(found.labels)
            for other, second in found.labels[i + 1 :]
            if box.hits(second)
        ]
        assert clashes == [], until
        outside = [text for text, box in found.labels if box.left < 0 or box.right > found.width]
        assert outside == [], until
