"""What the hatches and marks of the map of now mean: only those that stand on it, and the marks that may come."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.utils.translation import gettext as _

from hardpan.exchange.drawing import happened_marks, marks
from hardpan.exchange.drawing.ink import CLAY, PAPER, STOP, Sheet, Type
from hardpan.exchange.drawing.placement import Box
from hardpan.site.board import textures
from hardpan.site.board.ground import MOST_UPRIGHTS, Stage
from hardpan.site.board.now_words import stage_words

Draw = Callable[[Sheet, Box], None]
STRAW = "#F7D774"
LETTERS = Type(13, 600)
HIGH, WIDE, WIDEST = 28.0, 34.0, 58.0
THIN = 8.0
_ORDER = ("spread", "dry", "wet", "feet", "trimmed", "rolled", "closed")


def draw_legend(sheet: Sheet, stages: Iterable[Stage], *, left: float, top: float) -> float:
    """Draw the legend in as many lines as it takes; gives its lower end."""
    x, y = left, top
    for draw, text in (*_stages(stages), *_marks()):
        box = WIDEST if draw is _next else THIN if draw is _edge else WIDE
        wide = box + 7 + LETTERS.width(text)
        if x > left and x + wide > sheet.width:
            x, y = left, y + HIGH
        draw(sheet, Box(x, y + 5, x + box, y + HIGH - 5))
        sheet.write(x + box + 7, y + HIGH / 2 + LETTERS.above / 2 - 1, text, LETTERS)
        x += wide + 16
    return y + HIGH + 4


def _stages(stages: Iterable[Stage]) -> list[tuple[Draw, str]]:
    """Stages that lie there, in the order of the day."""
    seen = {Stage(one.kind, min(one.number, MOST_UPRIGHTS)): one for one in stages if not one.off}
    order = sorted(seen.values(), key=lambda one: (_ORDER.index(one.kind), one.number))
    return [(_patch(stage), stage_words(stage)) for stage in order]


def _patch(stage: Stage) -> Draw:
    """A small piece of a stage's hatch."""

    def draw(sheet: Sheet, box: Box) -> None:
        textures.lay(sheet, box, stage)
        sheet.frame(box, weight=1.4)

    return draw


def _marks() -> list[tuple[Draw, str]]:
    """Marks, whether they stand there or not: the next may come any minute."""
    return [
        (_now, _("a machine is at work")),
        (_ran_out, _("ran out")),
        (_next, _("runs out next")),
        (lambda sheet, box: sheet.frame(box, weight=2.4, colour=STOP, dash="6 3", fill=PAPER), _("bare")),
        (lambda sheet, box: _in_middle(happened_marks.not_checked, sheet, box), _("not checked")),
        (_edge, _("painted edge of a rate")),
    ]


def _edge(sheet: Sheet, box: Box) -> None:
    """Clay line."""
    sheet.line(_middle(box), box.top, _middle(box), box.bottom, weight=3.5, colour=CLAY)


def _now(sheet: Sheet, box: Box) -> None:
    """Straw in a heavy edge."""
    sheet.frame(box, weight=3.0, fill=STRAW)


def _ran_out(sheet: Sheet, box: Box) -> None:
    """The solid cross, its tray told."""
    happened_marks.ran_out(sheet, _middle(box), _height(box), restart_told=True)


def _next(sheet: Sheet, box: Box) -> None:
    """The hollow cross, hook and tray."""
    marks.run_out(sheet, box.right - 15, _height(box), 0.0)


def _in_middle(mark: Callable[[Sheet, float, float], Box], sheet: Sheet, box: Box) -> None:
    """A mark in the middle of its box."""
    mark(sheet, _middle(box), _height(box))


def _middle(box: Box) -> float:
    """Middle across."""
    return (box.left + box.right) / 2


def _height(box: Box) -> float:
    """Middle down."""
    return (box.top + box.bottom) / 2
