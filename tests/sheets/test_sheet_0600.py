"""The 06:00 sheet: every figure of the plan that it claims, one page a part of a day, nothing over the edge."""

from __future__ import annotations

import io
import json
import re
import shutil
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from pypdf import PdfReader

import hardpan
from hardpan.exchange.figures_in_words import clock, number
from hardpan.exchange.json_plan import plan_object
from hardpan.exchange.sheets.order_sheet import truck_loads
from hardpan.exchange.sheets.sheet_0600 import BOXES, pages_of_blocks, sheet_0600
from hardpan.plan import Plan
from tests.drawing.map_streets import MapStreet, map_plans

A4 = (595.3, 841.9)
STREETS = ["teal-crescent", "kestrel-road"]


@cache
def planned(name: str) -> Plan:
    return hardpan.make_plan(hardpan.read_street(hardpan.example(name)))


@cache
def reader(name: str) -> PdfReader:
    return PdfReader(io.BytesIO(sheet_0600(planned(name))))


def words(pdf: PdfReader) -> str:
    """Text of every page, blanks of every kind made one."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pdf.pages).replace("\u2009", " "))


def root(pdf: PdfReader) -> Any:
    """The document catalogue."""
    return pdf.trailer["/Root"]


def plain(value: float, decimals: int = 0) -> str:
    return number(value, decimals).replace("\u2009", " ")


def corners(pdf: PdfReader) -> list[tuple[float, float]]:
    """Where every run of text begins."""
    found: list[tuple[float, float]] = []

    def see(text: str, cm: list[float], tm: list[float], *_: Any) -> None:
        if text.strip():
            found.append((cm[0] * tm[4] + cm[2] * tm[5] + cm[4], cm[1] * tm[4] + cm[3] * tm[5] + cm[5]))

    for page in pdf.pages:
        page.extract_text(visitor_text=see)
    return found


@pytest.mark.parametrize("name", STREETS)
def test_a_foreman_reads_every_figure_that_the_sheet_claims(name: str) -> None:
    plan, shown = planned(name), words(reader(name))
    cement, supply = plan.supply.cement, plan.supply.water
    claimed = [f"{plain(cement.short.value)} kg short of the order"]
    for day in sorted({block.day for block in plan.shift.blocks}):
        mine = [block for block in plan.shift.blocks if block.day == day]
        laid = (
            sum(block.planned.value for block in cement.blocks if block.day == day)
            * cement.laid.value
            / cement.planned.value
        )
        claimed += [plain(laid / 1000, 1), f"{truck_loads(plan, mine)} truck load"]
    claimed += [f"{plain(load.cement.value / 1000, 1)} t at {clock(load.time_min)}" for load in cement.loads]
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        claimed += [
            f"{plain(balance.low.value * 1000)} mm at {zone.rate.value:g}",
            f"{zone.rate.value:g} kg/m\u00b2",
            f"{plain(zone.depth.value * 1000)} mm of {zone.depth_state}",
        ]
        claimed += (
            [f"our sum about {plain(balance.our_low.value * 1000)}"]
            if zone.instruction.low
            else ["our sum; not said: ask"]
        )
    for out in cement.run_outs:
        claimed.append(f"{plan.street.stationing.show(round(out.station.value))} strip {out.strip}")
    for run in plan.shift.runs:
        claimed.append(f"{clock(run.start.value)} \u2013 {clock(run.end.value)}")
    for each in supply.zones:
        claimed += [f"{plain(each.cut_a_truck.value)} m a truck at"] if each.cut_a_truck else []
    for stake in plan.levels.stakes:
        claimed.append(plan.street.stationing.show(stake.station_m))
        claimed += [
            f"{point.pre_grade.value:.3f}" if plan.levels.reference == "datum" else plain(-point.pre_grade.value * 1000)
            for point in stake.points
        ]
    assert [text for text in claimed if text not in shown] == []


@pytest.mark.parametrize("name", STREETS)
def test_an_operator_finds_places_obstacles_and_who_agreed(name: str) -> None:
    plan, shown = planned(name), words(reader(name))
    for structure in plan.street.structures:
        assert plan.street.stationing.show(structure.start) in shown
    assert "Said: engineer. Heard:" in shown
    assert "local codes, the specification and the licensed engineer decide" in shown
    assert [box for box in BOXES if box not in shown] == []
    last = [pages[-1].number for pages in pages_of_blocks(plan)]
    for start in plan.shift.latest_starts:
        if start.block in last:
            assert f"{clock(start.latest.value)}" in shown
            assert f"plan says {clock(start.planned.value)}" in shown


def test_teal_crescent_is_one_page_and_kestrel_road_a_page_for_three_blocks_or_fewer() -> None:
    assert len(reader("teal-crescent").pages) == 1
    assert len(reader("kestrel-road").pages) == len(pages_of_blocks(planned("kestrel-road"))) == 2


@pytest.mark.parametrize("name", STREETS)
def test_the_page_is_read_from_its_top_to_its_foot(name: str) -> None:
    shown = reader(name).pages[0].extract_text()
    order = [
        "06:00 sheet",
        "STOP, anyone",
        "how low",
        "rate and depth",
        "cement",
        "last block",
        "stakes:",
        "machine times",
        "obstacles",
        "who agreed",
        "write here",
    ]
    place = 0
    for head in order:
        place = shown.find(head, place)
        assert place >= 0, head


@pytest.mark.parametrize("name", STREETS)
def test_the_sheet_stands_alone_tagged_and_archivable_with_the_plan_inside(name: str) -> None:
    pdf, plan = reader(name), planned(name)
    assert bool(root(pdf)["/MarkInfo"]["/Marked"])
    assert "/StructTreeRoot" in root(pdf)
    assert pdf.metadata is not None
    assert pdf.metadata.title == f"{plan.street.name}: 06:00 sheet"
    marks = root(pdf)["/Metadata"].get_data().decode()
    assert re.search(r"pdfaid:part>3|pdfaid:part=\"3", marks)
    assert "pdfuaid:part" in marks
    assert json.loads(pdf.attachments["plan.json"][0]) == json.loads(json.dumps(plan_object(plan)))


@pytest.mark.parametrize("name", STREETS)
def test_the_same_plan_gives_the_same_bytes(name: str) -> None:
    assert sheet_0600(planned(name)) == sheet_0600(planned(name))


@pytest.mark.parametrize("name", STREETS)
def test_nothing_stands_over_the_edge_of_the_paper(name: str) -> None:
    for paper, (wide, high) in (("a4", A4), ("us-letter", (612.0, 792.0))):
        pdf = PdfReader(io.BytesIO(sheet_0600(planned(name), paper=paper)))  # type: ignore[arg-type]  # both are papers
        assert len(pdf.pages) == len(pages_of_blocks(planned(name)))
        assert all(0 < x < wide and 0 < y < high for x, y in corners(pdf))


def hold(street: MapStreet) -> None:
    """Every part of a day on a page of its own, read to its foot; nothing lost, nothing over the edge."""
    plan = street.plan
    pdf = PdfReader(io.BytesIO(sheet_0600(plan)))
    pages = [page.extract_text() for page in pdf.pages]
    parts = [page for page in pages if "how low" in page]
    assert len(parts) == len(pages_of_blocks(plan))
    rest = next((i for i, page in enumerate(pages) if "06:00 sheet, the rest" in page), len(pages))
    for page in (*pages[:rest], pages[-1]):
        assert "engineer decide" in page
    for page in parts:
        assert "machine times" in page
        assert "write here" in page
    shown = re.sub(r"\s+", " ", " ".join(pages))
    for structure in plan.street.structures:
        assert structure.id in shown
    assert all(0 < x < A4[0] and 0 < y < A4[1] for x, y in corners(pdf))


RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


@settings(RANDOM, max_examples=25)
@given(street=map_plans())
def test_on_random_streets_no_page_overflows_or_stays_empty(street: MapStreet) -> None:
    hold(street)


@pytest.mark.nightly
@settings(RANDOM, max_examples=200)
@given(street=map_plans())
def test_on_200_random_streets_no_page_overflows_or_stays_empty(street: MapStreet) -> None:
    hold(street)


def test_a_letter_that_no_face_holds_is_a_square_on_paper_and_itself_in_the_data(tmp_path: Path) -> None:
    folder = tmp_path / "street"
    shutil.copytree(hardpan.example("teal-crescent"), folder)
    marks = folder / "landmarks.csv"
    marks.write_text(
        marks.read_text(encoding="utf-8") + "\u6c34\u5854 9,0+200,left\n\u0628\u0631\u062c,0+205,left\n",
        encoding="utf-8",
    )
    pdf = PdfReader(io.BytesIO(sheet_0600(hardpan.make_plan(hardpan.read_street(folder)))))
    assert "\u25a1\u25a1 9" in words(pdf)
    assert "\u6c34\u5854 9" in pdf.attachments["plan.json"][0].decode("utf-8")
