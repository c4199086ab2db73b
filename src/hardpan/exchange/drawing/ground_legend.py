"""What the marks of the ground's drawings mean, as rows of a mark, its name and a few words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hardpan.exchange.drawing import ground_marks, marks
from hardpan.exchange.drawing.ground_rows import WIDTH
from hardpan.exchange.drawing.ink import CLAY, INK, LOAM, MAP_PLAIN, MAP_STRONG, Sheet
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.street.words import RUT_MM

MARK = 38.0  # width that a mark stands in
ENTRY = 40.0  # height of an entry
APART = 18.0


@dataclass(frozen=True, slots=True)
class Entry:
    """One mark with its name and a few words; ``draw`` gets the box that the mark may fill."""

    draw: Callable[[Sheet, Box], object]
    name: str
    words: str

    @property
    def width(self) -> float:
        """Width of mark and words."""
        return MARK + 8 + max(MAP_STRONG.width(self.name), MAP_PLAIN.width(self.words))


def draw_legend(sheet: Sheet, entries: Sequence[Entry], top: float, labels: list[tuple[str, Box]]) -> float:
    """Entries in as many rows as they need under a line; gives the lower end."""
    sheet.line(0, top + 2, sheet.width, top + 2, weight=1.4)
    x, y = 2.0, top + 8
    for entry in entries:
        if x > 2 and x + entry.width > sheet.width:
            x, y = 2.0, y + ENTRY
        entry.draw(sheet, Box(x, y + 4, x + MARK, y + ENTRY - 6))
        text = x + MARK + 8
        name = sheet.write(text, y + MAP_STRONG.above + 3, entry.name, MAP_STRONG)
        words = sheet.write(text, name.bottom + MAP_PLAIN.above + 1, entry.words, MAP_PLAIN, colour=LOAM)
        labels += [(entry.name, name), (entry.words, words)]
        x += entry.width + APART
    return y + ENTRY


def legend_alone(entries: Sequence[Entry], name: str) -> Drawn:
    """The legend as a drawing of its own."""
    words = f"{name}: {'; '.join(f'{entry.name}, {entry.words}' for entry in entries)}."
    sheet, labels = Sheet(WIDTH, name, words), list[tuple[str, Box]]()
    height = draw_legend(sheet, entries, 0.0, labels)
    return Drawn(sheet.text(height), WIDTH, height, tuple(labels), words)


def word_entries() -> list[Entry]:
    """The hatch of every word."""

    def swatch(word: str) -> Callable[[Sheet, Box], object]:
        return lambda sheet, box: _swatch(sheet, box, word, read=True)

    entries = [Entry(swatch(word), word, f"a grader ruts {_rut(word)} mm") for word in RUT_MM]
    return [
        *entries,
        Entry(lambda sheet, box: _swatch(sheet, box, "ruts", read=False), "broken lines", "nothing was read here"),
    ]


def sum_entry() -> Entry:
    """What stands inside the street and what along its edges."""

    def draw(sheet: Sheet, box: Box) -> None:
        ground_marks.foot(sheet, sheet.write(_middle(box), box.bottom - 9, "ruts", MAP_STRONG, anchor="middle"))

    return Entry(draw, "our sum, on defaults", "what was read: along the edges")


def _swatch(sheet: Sheet, box: Box, word: str, *, read: bool) -> None:
    """Sample of a hatch."""
    ground_marks.ground_hatch(sheet, box, word, read=read)
    sheet.frame(box, weight=1.4)


def _rut(word: str) -> str:
    """Ruts of a word."""
    low, high = RUT_MM[word]  # type: ignore[index]
    return f"under {high:g}" if not low else f"over {low:g}" if high == float("inf") else f"{low:g} to {high:g}"


def edge_entry() -> Entry:
    """Painted edge of a rate."""
    return Entry(
        lambda sheet, box: sheet.line(_middle(box), box.top, _middle(box), box.bottom, weight=3.5, colour=CLAY),
        "painted edge",
        "the rate changes here",
    )


def lath_entries() -> list[Entry]:
    """Tests done and tests asked for."""
    return [
        Entry(
            lambda sheet, box: ground_marks.asked_lath(sheet, _middle(box), box.bottom - 6),
            "test asked for",
            "a penetrometer settles most here",
        ),
        Entry(
            lambda sheet, box: ground_marks.done_lath(sheet, _middle(box), box.bottom - 6),
            "tested",
            "with what it found",
        ),
    ]


def trench_entry(words: str) -> Entry:
    """Trench line."""
    return Entry(
        lambda sheet, box: marks.trench(sheet, Box(_middle(box) - 5, box.top, _middle(box) + 5, box.bottom)),
        "trench",
        words,
    )


def band_entries() -> list[Entry]:
    """Band, bar, what a skin hides, where a truck bogs."""
    return [
        Entry(_band, "8 times in 10", "the ground lies in the band; dotted: about, on defaults"),
        Entry(
            lambda sheet, box: ground_marks.trench_bar(
                sheet, _middle(box), high=box.top + 3, middle=box.top + 15, low=box.bottom - 3
            ),
            "the same, in a trench",
            "too narrow for a band",
        ),
        Entry(
            lambda sheet, box: ground_marks.hidden(
                sheet, box.left - 3, box.right + 3, _height(box), gap=(_middle(box), _middle(box))
            ),
            "under a skin",
            "no wheel feels it",
        ),
        Entry(
            lambda sheet, box: ground_marks.bogs(sheet, box.left, box.right, _height(box)),
            "bogs",
            "a loaded truck may stay",
        ),
    ]


def _band(sheet: Sheet, box: Box) -> None:
    """Sample of the band."""
    ground_marks.band(sheet, f"M{box.left} {box.top} H{box.right} V{box.bottom} H{box.left} Z")
    for y in (box.top, box.bottom):
        sheet.line(box.left, y, box.right, y, weight=1.0, colour=LOAM)
    sheet.line(box.left, _height(box), box.right, _height(box), weight=3.0, dash="3 4", colour=INK)


def _middle(box: Box) -> float:
    """Middle across."""
    return (box.left + box.right) / 2


def _height(box: Box) -> float:
    """Middle height."""
    return (box.top + box.bottom) / 2


def along_legend() -> list[Entry]:
    """Legend of the ground along the street."""
    band, bar, hidden, bog = band_entries()
    return [band, bar, trench_entry("its own place"), hidden, bog, *lath_entries(), edge_entry()]


def map_legend(hidden_odds: str) -> list[Entry]:
    """Legend of the ground map; ``hidden_odds`` of soft ground where nothing showed, empty where none is to fear."""
    entries = [*word_entries(), sum_entry(), *lath_entries(), trench_entry("its own place"), edge_entry()]
    if hidden_odds:
        entries.append(
            Entry(ground_marks.notice, "nothing may hide soft ground", f"{hidden_odds}, under a skin: a test tells")
        )
    return entries
