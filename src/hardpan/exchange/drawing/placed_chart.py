"""Lines, shapes and words that have their place already, drawn by Altair: one layer a kind of line, words on top on white plates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import altair as alt
import vl_convert as vlc
from altair.utils.schemapi import debug_mode

from hardpan.exchange.drawing.ink import INK, PAPER, Type
from hardpan.exchange.drawing.lettering import FAMILY, font_folder
from hardpan.exchange.drawing.placement import Box


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn: weight, dash, colour; ``inner`` is white along its middle, which makes it double."""

    weight: float
    dash: tuple[float, float] = (1, 0)
    colour: str = INK
    cap: Literal["butt", "round"] = "butt"
    inner: float = 0.0


ALIGN = {"start": "left", "middle": "center", "end": "right"}
KIND = ("size", "weight", "align", "angle")  # what every word of one layer shares


class PlacedChart:
    """What Altair draws, in order: every item with its place on the sheet, y downwards."""

    def __init__(self) -> None:
        self.under: list[tuple[Stroke, list[tuple[float, float]]]] = []
        self.grounds: list[tuple[Box, str]] = []
        self.shapes: list[dict[str, Any]] = []
        self.letters: list[dict[str, Any]] = []
        self.labels: list[tuple[str, Box]] = []

    def line(self, stroke: Stroke, *points: tuple[float, float]) -> None:
        """Line through some points."""
        self.under.append((stroke, list(points)))

    def shape(self, path: str, x: float, y: float, *, edge: Stroke, fill: str = PAPER) -> None:
        """Closed or open path about a place, in units."""
        look = {"edge": edge.colour, "weight": edge.weight, "fill": fill, "dash": list(edge.dash)}
        self.shapes.append({"x": x, "y": y, "path": path, **look})

    def write(
        self, text: str, kind: Type, x: float, middle: float, *, anchor: str = "start", colour: str = INK, turned: bool = False
    ) -> None:  # fmt: skip
        """One line of text, its middle at a height."""
        look = {
            "size": kind.size,
            "weight": kind.weight,
            "colour": colour,
            "align": ALIGN[anchor],
            "angle": 270 if turned else 0,
        }
        self.letters.append({"text": text, "x": x, "y": middle, **look})
        self.labels.append(
            (text, upright(text, kind, x, middle) if turned else box_of(text, kind, x, middle, anchor=anchor))
        )

    def svg(self, width: float, height: float) -> str:
        """SVG of everything, in our face; the specification is ours and the same each time, so its schema is not checked at each part."""
        with debug_mode(False):
            chart = self._chart(width, height)
            specification = chart.to_dict(validate=False)
        vlc.register_font_directory(str(font_folder()))
        svg: str = vlc.vegalite_to_svg(specification, allowed_base_urls=[])
        return svg

    def _chart(self, width: float, height: float) -> alt.LayerChart:
        """Every layer, in one chart without margins."""
        x, y = (alt.X("x:Q", scale=alt.Scale(domain=[0, width], nice=False), axis=None), alt.Y("y:Q", scale=alt.Scale(domain=[height, 0], nice=False), axis=None))  # fmt: skip
        layers = [
            *self._ground_layers(x, y),
            *self._line_layers(x, y),
            *self._plates(x, y),
            *self._shape_layers(x, y),
            *self._text_layers(x, y),
        ]
        chart: alt.LayerChart = (
            alt.layer(*layers)
            .properties(width=width, height=height)
            .configure(
                font=FAMILY,
                background=PAPER,
                view=alt.ViewConfig(stroke=None),
                padding=0,
                autosize=alt.AutoSizeParams(type="none"),
            )
        )
        return chart

    def _ground_layers(self, x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
        """Tinted ground."""
        for colour in dict.fromkeys(colour for _, colour in self.grounds):
            yield _filled([box for box, mine in self.grounds if mine == colour], colour, x, y)

    def _plates(self, x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
        """White under every word, over the lines."""
        yield _filled(
            [Box(box.left - 2, box.top + 0.5, box.right + 1, box.bottom - 0.5) for _, box in self.labels], PAPER, x, y
        )

    def _line_layers(self, x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
        """Lines, a layer or two a stroke, in the order the strokes were first used."""
        for stroke in dict.fromkeys(stroke for stroke, _ in self.under):
            lines = [points for mine, points in self.under if mine == stroke]
            rows = [
                {"x": a, "y": b, "line": i, "at": j}
                for i, points in enumerate(lines)
                for j, (a, b) in enumerate(points)
            ]
            coats = [(stroke.weight, stroke.colour)] + ([(stroke.inner, PAPER)] if stroke.inner else [])
            for weight, colour in coats:
                mark = _chart(rows).mark_line(
                    strokeWidth=weight, strokeDash=list(stroke.dash), strokeCap=stroke.cap, color=colour, opacity=1
                )
                yield mark.encode(x=x, y=y, detail=alt.Detail("line:N"), order=alt.Order("at:Q"))

    def _shape_layers(self, x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
        """Tags, crosses, drops."""
        plain: dict[str, Any] = {"scale": None, "legend": None}
        for dash in dict.fromkeys(tuple(shape["dash"]) for shape in self.shapes):
            rows = [shape for shape in self.shapes if tuple(shape["dash"]) == dash]
            yield _chart(rows).mark_point(size=4, opacity=1, filled=True, strokeDash=list(dash)).encode(
                x=x, y=y, shape=alt.Shape("path:N", **plain), stroke=alt.Stroke("edge:N", **plain), fill=alt.Fill("fill:N", **plain),
                strokeWidth=alt.StrokeWidth("weight:Q", **plain),
            )  # fmt: skip

    def _text_layers(self, x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
        """Words, a layer a size, weight and side; each is written once, so that a reader meets it once."""
        kinds = dict.fromkeys(tuple(row[key] for key in KIND) for row in self.letters)
        for kind in kinds:
            rows = [row for row in self.letters if tuple(row[key] for key in KIND) == kind]
            size, weight, align, angle = kind
            mark = _chart(rows).mark_text(
                fontSize=size, fontWeight=weight, align=align, baseline="middle", angle=angle, font=FAMILY
            )
            yield mark.encode(x=x, y=y, text=alt.Text("text:N"), color=alt.Color("colour:N", scale=None, legend=None))


def _filled(boxes: list[Box], colour: str, x: alt.X, y: alt.Y) -> alt.Chart:
    """Plain ground of some boxes."""
    rows = [{"x": box.left, "x2": box.right, "y": box.top, "y2": box.bottom} for box in boxes]
    chart: alt.Chart = (
        _chart(rows).mark_rect(color=colour, opacity=1).encode(x=x, y=y, x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q"))
    )
    return chart


def _chart(rows: list[dict[str, Any]]) -> alt.Chart:
    """Chart of some rows."""
    return alt.Chart(alt.InlineData(values=rows))


def box_of(text: str, kind: Type, x: float, middle: float, *, anchor: str = "start") -> Box:
    """Box of one line of text."""
    wide, half = kind.width(text), kind.height / 2
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
    return Box(left, middle - half, left + wide, middle + half)


def upright(text: str, kind: Type, x: float, middle: float) -> Box:
    """Box of one line of text turned upright about its middle."""
    half, tall = kind.height / 2, kind.width(text) / 2
    return Box(x - half, middle - tall, x + half, middle + tall)
