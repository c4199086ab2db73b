"""The map of what happened: rates as spread, run-outs, edges, passes, water, tests, what failed and what was not checked."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from hardpan.compare import propose_acceptance
from hardpan.compare.happened import Happened
from hardpan.exchange.drawing.happened import draw_happened
from hardpan.exchange.drawing.happened_blocks import block_lanes
from hardpan.exchange.drawing.happened_ground import bare, patches
from hardpan.exchange.drawing.happened_legend import happened_legend
from hardpan.exchange.drawing.ink import CLAY, STOP, WATER, hatch_spacing, n
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.drawing.street_rows import Span
from hardpan.ledger import Received, fold, read_ledger
from hardpan.street import example
from tests.ledger.making import Diary, place
from tests.sheets.pdf_text import planned

ALL = (1, 2, 3, 4)


def side_by_side(received: tuple[Received, ...] | list[Received], name: str = "kestrel-road") -> Happened:
    return Happened(planned(name), fold(received, planned(name).street))


def drawn(received: tuple[Received, ...] | list[Received], name: str = "kestrel-road") -> tuple[Drawn, ...]:
    happened = side_by_side(received, name)
    return draw_happened(happened, propose_acceptance(happened.plan, happened.state))


def of_example(name: str) -> tuple[Drawn, ...]:
    return drawn(read_ledger(example(name)).received, name)


def texts(drawings: tuple[Drawn, ...]) -> list[str]:
    return [text for one in drawings for text, _ in one.labels]


def test_kestrel_as_it_happened() -> None:
    drawings = of_example("kestrel-road")
    told = texts(drawings)
    assert len(drawings) == 2
    assert told.count("no tray at restart") == 2
    for text in ("ran out 0+035", "ran out 0+146", "18 mm, limit 13", "re-test 7 mm, inside", "36 kg/m\u00b2", "aired 1 \u00b7 dry 3 \u00b7 wet 1", "tray 23.9, 24.6, 24.3 \u00b7 density 98.5 %"):  # fmt: skip
        assert text in told, text
    first, second = (one.svg for one in drawings)
    assert first.count(f'stroke="{STOP}" stroke-width="4"') == 1
    assert STOP not in second
    assert hatch_spacing(24) != hatch_spacing(36)
    for rate in (24, 36):
        side = n(hatch_spacing(rate) * 2**0.5)
        assert all(f'width="{side}"' in svg for svg in (first, second)), rate
    assert "0+146 to 0+152, strip 4: 24 kg/m\u00b2, by hand, dry 1, no wet pass, rolled." in drawings[0].words


def test_teal_half_way() -> None:
    (drawing,) = of_example("teal-crescent")
    told = texts((drawing,))
    for text in ("to 28 at 0+060", "27.2 kg/m\u00b2", "28.2 kg/m\u00b2", "water 1 empty", "no cement recorded", "B1, closed", "tray at restart", "no tray at restart"):  # fmt: skip
        assert text in told, text
    assert "tray check not checked: 11 m past no. 15 (0+123), strip 4." in drawing.words
    assert "tray check not checked: 11 m past no. 15 (0+123), strip 4" in drawing.also


def test_patches_end_where_the_hopper_ran_out_and_a_repair_stands_for_itself() -> None:
    happened = side_by_side(read_ledger(example("kestrel-road")).received)
    found = {(one.start_m, one.end_m, one.first_strip, one.last_strip): one.work for one in patches(happened)}
    repair = found[146, 152, 4, 4]
    assert (repair.by_hand, repair.dry, repair.wet, repair.rolled) == (True, 1, 0, True)
    soft = found[100, 145, 1, 4]
    assert (soft.rate, soft.dry, soft.wet, soft.aired, soft.water_off) == (36, 3, 1, 1, True)
    assert found[152, 160, 4, 4].dry == 2
    assert bare(happened) == []
    # laid ground of every strip adds up to the street
    assert sum((end - start) * (last - first + 1) for start, end, first, last in found) == pytest.approx(4 * 400)


def test_ground_without_cement_is_told_to_the_metre() -> None:
    diary = Diary()
    diary.say(0, "spread run", place(0, 63, (1, 2), "B1"), rate_kg_m2=24)
    assert bare(side_by_side(diary.received)) == [(0, 400, 3, 4), (63, 400, 1, 2)]


def test_water_that_ran_on_a_part_only_has_an_edge_where_it_was_shut() -> None:
    diary = Diary()
    diary.say(0, "spread run", place(0, 80, ALL, "B1"), rate_kg_m2=24)
    diary.say(60, "mixing pass", place(0, 80, ALL, "B1"), mixed="wet", number=1, shut=[{"start_m": 20, "end_m": 40}])
    (first, _) = drawn(diary.received)
    off = [one for one in patches(side_by_side(diary.received)) if one.work.water_off]
    assert [(one.start_m, one.end_m) for one in off] == [(20, 40)]
    assert first.svg.count(f'stroke="{WATER}" stroke-width="2.4"') == 1
    off_all = Diary()
    off_all.say(0, "spread run", place(0, 80, ALL, "B1"), rate_kg_m2=24)
    off_all.say(60, "mixing pass", place(0, 80, ALL, "B1"), mixed="wet", number=1)
    assert f'stroke="{WATER}" stroke-width="2.4"' not in drawn(off_all.received)[0].svg


def test_a_rate_change_is_drawn_where_it_was_tapped() -> None:
    diary = Diary()
    diary.say(0, "rate change", place(102, strips=(2,), block="B2"), rate_kg_m2=36)
    first = drawn(diary.received)[0]
    assert "to 36 at 0+102" in texts((first,))
    assert first.svg.count(f'stroke-width="2.4" stroke="{CLAY}"') + first.svg.count(f'stroke="{CLAY}" stroke-width="2.4"') == 2  # fmt: skip


def test_nobody_has_entered_anything() -> None:
    told = texts(drawn([]))
    assert told.count("no cement recorded") == 2
    assert "slow drive" in told


def test_blocks_on_the_same_ground_stand_in_lanes_of_their_own() -> None:
    lanes = block_lanes({"R1": (146, 152), "B2": (80, 160), "B1": (0, 80), "far": (300, 320)}, Span(0, 240))
    assert [[name for name, _ in lane] for lane in lanes] == [["B1", "B2"], ["R1"]]


def test_the_legend_names_every_mark() -> None:
    words = happened_legend().words
    for name in ("ran out", "tray", "density", "outside its limit", "water OFF", "not checked", "rate changed"):
        assert f"{name}, " in words


spots = st.builds(
    lambda start, length, strip: place(start, start + length if length else None, (strip,), "B1"),
    st.integers(0, 399), st.sampled_from([0, 0, 1, 7, 60]), st.integers(1, 4),
)  # fmt: skip
KINDS: list[tuple[str, dict[str, Any]]] = [
    ("run-out", {}),
    ("rate change", {"rate_kg_m2": 36}),
    ("tray check", {"checked": "weighed", "tray_kg_m2": 24.3}),
    ("tray check", {"checked": "not checked"}),
    ("water truck empty", {"truck": "water 1"}),
    ("density", {"test": "1", "dry_density_kg_m3": 1500, "reference": {"curve": "treated", "maximum_kg_m3": 1600, "proctor": "t"}}),
    ("spread run", {"rate_kg_m2": 24}),
    ("mixing pass", {"mixed": "wet", "number": 1, "setting": "off"}),
    ("closed", {}),
]  # fmt: skip


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
@given(st.lists(st.tuples(st.sampled_from(KINDS), spots), max_size=14))
def test_labels_never_collide_and_nothing_is_lost(
    said: list[tuple[tuple[str, dict[str, Any]], dict[str, Any]]],
) -> None:
    diary = Diary()
    for minute, ((kind, payload), where) in enumerate(said):
        diary.say(minute, kind, where, **payload)
    drawings = drawn(diary.received)
    for one in drawings:
        boxes = [(text, box) for text, box in one.labels if not re.fullmatch(r"[GWETS] \S+|(water|gas) \S+", text)]
        for i, (text, box) in enumerate(boxes):
            assert -1 <= box.left <= box.right <= one.width + 1, text
            for other, beside in boxes[i + 1 :]:
                assert not box.hits(beside, -0.5), (text, other)
    whole = " ".join([*texts(drawings), *(text for one in drawings for text in one.also)])
    outs = {where["start_m"] for (kind, _), where in said if kind == "run-out" and where["end_m"] is None}
    for station in outs:
        shown = planned("kestrel-road").street.stationing.show(station)
        assert f"ran out {shown}" in whole or f"({shown})" in whole, station
