"""What a test reads from a sheet: its text by page, where every piece of text stands, and what every sheet must be."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from typing import Any

import pypdf

import hardpan
from hardpan.exchange.drawing.lettering import width
from hardpan.exchange.json_plan import plan_json
from hardpan.plan import CAUTION, Plan
from hardpan.street import example

MARGIN = 20.0  # points that nothing is written in


@cache
def planned(name: str) -> Plan:
    return hardpan.make_plan(hardpan.read_street(example(name)))


def reader(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


def pages(pdf: bytes) -> list[str]:
    """Text of every page, its lines joined by one blank each."""
    return [" ".join(page.extract_text().split()) for page in reader(pdf).pages]


def plain(text: str) -> str:
    """Text as ``pages`` gives it: thin spaces and line ends are blanks."""
    return " ".join(text.split())


@dataclass(frozen=True)
class Written:
    """A piece of text, where it starts and ends across, its height over the foot, all in points."""

    text: str
    left: float
    right: float
    height: float


def written(page: pypdf.PageObject) -> list[Written]:
    found: list[Written] = []

    def note(text: str, outer: list[float], inner: list[float], font: Any, size: float) -> None:
        if text.strip():
            x = outer[0] * inner[4] + outer[2] * inner[5] + outer[4]
            y = outer[1] * inner[4] + outer[3] * inner[5] + outer[5]
            upright = abs(inner[0]) + abs(outer[0]) > 0 and abs(inner[1]) < 1e-6 and abs(outer[1]) < 1e-6
            points = size * abs(inner[0] * outer[0]) if upright else 0.0
            heavy = 900 if "Black" in str(font) else 700 if "Bold" in str(font) else 400
            wide = max(width(line.strip(), points, heavy) for line in text.splitlines() if line.strip())
            found.append(Written(text.strip(), x, x + wide, y))

    page.extract_text(visitor_text=note)
    return found


def check_tagged(pdf: bytes, title: str) -> pypdf.PdfReader:
    """A tagged, archivable document with a title."""
    document = reader(pdf)
    root: Any = document.trailer["/Root"]
    assert document.metadata is not None
    assert document.metadata.title == title
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert root["/Lang"] == "en"
    meta = root["/Metadata"].get_data().decode("utf-8")
    assert "<pdfaid:part>3</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>" in "".join(meta.split())
    assert "<pdfuaid:part>1</pdfuaid:part>" in meta
    return document


def check_document(pdf: bytes, plan: Plan, title: str, *, count: int) -> None:
    """A tagged, archivable document with a title and its plan inside; every page has its head and the caution and keeps its margins."""
    document = check_tagged(pdf, f"{plan.street.name}: {title}")
    assert document.attachments["plan.json"][0].decode("utf-8") == plan_json(plan)
    assert len(document.pages) == count
    for page, text in zip(document.pages, pages(pdf), strict=True):
        assert text.count(plain(CAUTION)) == 1
        pieces = written(page)
        assert pieces
        high, wide = float(page.mediabox.height), float(page.mediabox.width)
        assert [piece for piece in pieces if not MARGIN - 2 < piece.height < high - MARGIN] == []
        assert [piece for piece in pieces if piece.left < MARGIN or piece.left > wide - MARGIN] == []
        caution = min(piece.height for piece in pieces)
        assert caution < 60
