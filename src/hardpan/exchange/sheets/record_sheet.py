"""The hand-over record as a PDF that stands alone: what is proposed, what failed, the map, ten answers, tables, every entry; the chain inside."""

from __future__ import annotations

import json
from typing import Any

from hardpan.compare.lots import AWAITS
from hardpan.exchange.drawing.happened import draw_happened
from hardpan.exchange.drawing.happened_legend import happened_legend
from hardpan.exchange.drawing.street_frame import Drawn
from hardpan.exchange.figures_in_words import number
from hardpan.exchange.record.answers import ten_answers
from hardpan.exchange.record.failures import RULE, Failure
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.record.proof_answers import entry_words, mendings
from hardpan.exchange.record.record_tables import Told
from hardpan.exchange.record.sentences import Answer, Said, squared
from hardpan.exchange.record.words import NOT_RECORDED, when
from hardpan.exchange.sheets.pdf import Paper, alt_text, make_pdf
from hardpan.exchange.sheets.phrases import date_parts
from hardpan.exchange.sheets.record_letters import printable
from hardpan.exchange.tables import Cell
from hardpan.plan import CAUTION

CHAIN_FILE = "record.jsonl"
HASH_WORDS = "last hash of the chain"  # stands before the hash in the file's description
FIRST_PAGE = 9  # lines of corrections and late work that the first page holds; question 10 has them all
MOST_NOTICES = 8  # the table of conflicts has them all
MOST_FAILED = 4  # failed places that the first page holds; the table has them all
MOST_REFERRED = 6  # entries named behind a sentence
NARROW = 20  # letters: a column of no longer text takes the room it needs
WIDEST = 70
LEVELS = ("found [m]", "wanted [m]", "level [m]")
LEVEL_DECIMALS = 3
CAUTION_LINE = CAUTION[CAUTION.index("Anyone may stop") :]  # the page's foot holds one line


def record_pdf(
    record: Gathered, failed: tuple[Failure, ...], tables: tuple[Told, ...], *, paper: Paper = "a4"
) -> bytes:
    """PDF of the record, with the chain and the street folder's files attached.

    Parameters
    ----------
    record
        What it rests on.
    failed
        Places outside their limits.
    tables
        Every table, the entries last.
    paper
        ``a4`` or ``us-letter``.
    """
    shown = printable(shown_record(record, failed, tables))
    return make_pdf("record", shown | {"attached": _attached(record)}, record.plan, paper=paper)


def shown_record(record: Gathered, failed: tuple[Failure, ...], tables: tuple[Told, ...]) -> dict[str, Any]:
    """What the record shows."""
    name = record.plan.street.name
    count = len(record.state.entries)
    return {
        "title": f"{name}: hand-over record",
        "about": f"What happened on {name}, by its ledger of {count} entries; {HASH_WORDS} {record.last_hash}",
        "name": name,
        "date": date_parts(record.plan),
        "under": f"{record.days} \u00b7 {count} entr{'y' if count == 1 else 'ies'}" if count else "nothing was entered",
        "right": ["the tool proposes,", "the reviewer signs"],
        "caution_line": CAUTION_LINE,
        "empty": record.empty,
        "boxes": _boxes(record),
        "figures": _figures(record),
        "after_bad": _first_lines(record),
        "rule": RULE,
        "failed": [_failed(record, one) for one in failed[:MOST_FAILED]],
        "more_failed": f"{len(failed) - MOST_FAILED} more failed places are in the table of tests." if len(failed) > MOST_FAILED else "",
        "notices": [*_disagreed(record), *(str(one) for one in (*record.acceptance.notices, *record.state.notices))][:MOST_NOTICES],
        "hash": record.last_hash,
        "lines": len(record.lines) - 1,
        "maps": [_drawing(one) for one in draw_happened(record.happened, record.acceptance)],
        "legend": _drawing(happened_legend()),
        "answers": [_answer(record, one) for one in ten_answers(record)],
        "tables": [_table(one) for one in tables],
    }  # fmt: skip


def _drawing(drawn: Drawn) -> dict[str, str]:
    """A drawing with its words."""
    return {"svg": drawn.svg, "words": alt_text(drawn.words)}


# --- the first page -------------------------------------------------------------------------------------------------------


def _boxes(record: Gathered) -> list[dict[str, str]]:
    """What the tool proposes, what a reviewer decided, what awaits one; lots by number and ground."""
    lots = record.acceptance.lots
    proposed = {word: sum(lot.proposal == word for lot in lots) for word in ("accept", "do not accept", "wait")}
    waiting = [lot for lot in lots if lot.signature is None]
    ground = f"{number(sum(lot.area_m2 for lot in waiting))} m\u00b2" if waiting else ""
    return [
        {"head": "the tool proposes", "value": ", ".join(f"{word} {count}" for word, count in proposed.items() if count) or "nothing", "note": _reasons(record), "foot": "planned"},
        {"head": "a reviewer decided", "value": _lots(len(lots) - len(waiting), "lot"), "note": _decided(record), "foot": "decided"},
        {"head": AWAITS, "value": _lots(len(waiting), "lot"), "note": ground, "foot": "planned"},
    ]  # fmt: skip


def _figures(record: Gathered) -> list[dict[str, str]]:
    """Ground, cement, water, clocks and tests as the ledger adds them up."""
    cement, water = record.state.cement.street, record.state.water
    wanted = (
        f", instructed {number(cement.instructed_kg / cement.area_m2, 2)}"
        if cement.instructed_kg and cement.area_m2
        else ""
    )
    placed = f"{number(cement.fills.kg / 1000, 2)} t" if cement.fills.kg is not None else NOT_RECORDED
    part = f" on {number(cement.fills.area_m2)} m\u00b2 of it" if cement.area_m2 - cement.fills.area_m2 > 1 else ""
    mean = f"{number(cement.fills.kg_m2, 2)} kg/m\u00b2{part}{wanted}" if cement.fills.kg_m2 is not None else ""
    limited = [clock for clock in record.state.clocks if clock.limit_min is not None]
    over = sum((clock.elapsed_min() or 0.0) > (clock.limit_min or 0.0) for clock in limited)
    sides = [check.verdict for check in record.acceptance.checks]
    return [
        {"head": "ground with cement", "value": f"{number(cement.area_m2)} m\u00b2", "note": "overlaps once"},
        {"head": "cement placed", "value": placed, "note": mean},
        {"head": "mixing water", "value": f"{number(water.metered_l)} L" if water.metered_l else NOT_RECORDED, "note": "by the meter" if water.metered_l else "no meter was read"},
        {"head": "clocks over a limit", "value": str(over) if limited else "no limit", "note": f"of {len(limited)} with a limit" if limited else "is written for a clock"},
        {"head": "tests outside", "value": str(sides.count("outside")), "note": f"of {len(sides)}; {sides.count('inside')} inside"},
    ]  # fmt: skip


def _disagreed(record: Gathered) -> list[str]:
    """Lots that a reviewer accepted though the tool proposes something else."""
    lots = [
        lot
        for lot in record.acceptance.lots
        if lot.signature is not None and lot.signature.decision == "accepted" and lot.proposal != "accept"
    ]
    if not lots:
        return []
    return [
        f"{_lots(len(lots), 'lot')} accepted by a reviewer though the tool does not propose it: what is missing stands under acceptance lots."
    ]


def _lots(count: int, noun: str) -> str:
    """``3 lots``, ``1 lot``, ``no lot``."""
    return f"{count or 'no'} {noun}{'' if count in (0, 1) else 's'}"


def _reasons(record: Gathered) -> str:
    """What most lots wait for or fail by."""
    counts: dict[str, int] = {}
    for lot in record.acceptance.lots:
        for reason in lot.reasons:
            counts[reason] = counts.get(reason, 0) + 1
    told = sorted(counts.items(), key=lambda one: -one[1])[:2]
    return (
        "; ".join(f"{reason} ({_lots(count, 'lot')})" for reason, count in told)
        or "every test that a limit asks for is recorded and inside"
    )


def _decided(record: Gathered) -> str:
    """Who accepted or refused, and when."""
    found = {lot.signature.entry: lot.signature for lot in record.acceptance.lots if lot.signature is not None}
    told = [
        f"{one.decision} by {one.role}, {when(record.standing[name].happened_at)}: \u201c{one.signed}\u201d ({record.telling.id(name)})"
        for name, one in found.items()
    ]
    return "; ".join(told) or "nobody has signed for a lot"


def _first_lines(record: Gathered) -> list[dict[str, Any]]:
    """Corrections, withdrawals and what was made after a bad result: before everything else."""
    made = {one.standing.id: one.bad for one in record.acceptance.after_bad}
    first = [*mendings(record), *(one.standing for one in record.acceptance.after_bad)]
    every = list({one.id: one for one in first}.values())
    told = [
        {
            "id": record.telling.id(one.id),
            "by": record.refer([one.id])[0].split(" ", 1)[1],
            "words": entry_words(record, one),
            "after": f"after {record.standing[made[one.id]].kind} {record.telling.id(made[one.id])}"
            if one.id in made
            else "",
        }
        for one in every[:FIRST_PAGE]
    ]
    if len(every) > FIRST_PAGE:
        told.append({"id": "", "by": "", "words": f"{len(every) - FIRST_PAGE} more: see question 10", "after": ""})
    return told


def _failed(record: Gathered, one: Failure) -> dict[str, Any]:
    """One failed place."""
    return {
        "place": one.check.place,
        "found": _said(record, one.found),
        "different": [_said(record, each) for each in one.different],
        "repair": [_said(record, each) for each in one.repair],
        "retest": _said(record, one.retest),
    }


# --- sentences and tables -------------------------------------------------------------------------------------------------


def _answer(record: Gathered, one: Answer) -> dict[str, Any]:
    """One of the ten questions."""
    return {"number": one.number, "question": one.question, "said": [_said(record, each) for each in one.said]}


def _said(record: Gathered, one: Said) -> dict[str, Any]:
    """A sentence with what it rests on."""
    refers = list(record.refer(one.entries))
    rests = refers[:MOST_REFERRED]
    if len(refers) > MOST_REFERRED:
        rests.append(f"and {len(refers) - MOST_REFERRED} more")
    if one.folder:
        rests.append(f"street folder, {one.folder}")
    return {"words": one.words, "rests": rests, "gap": one.gap}


def _table(told: Told) -> dict[str, Any]:
    """A table for the sheet: cells in words, columns with the room they need."""
    table = told.table
    across = [_column(name, [row[i] for row in table.rows]) for i, name in enumerate(table.columns)]
    rows = [[cells[row] for _, cells in across] for row in range(len(table.rows))]
    return {"heading": told.heading, "columns": [column for column, _ in across], "rows": rows, "empty": told.empty}


def _column(name: str, cells: list[Cell]) -> tuple[dict[str, Any], list[str]]:
    """One column: how it is set, and its cells in words, all numbers to the same decimals."""
    numbers = [float(cell) for cell in cells if not isinstance(cell, str)]
    decimals = LEVEL_DECIMALS if name in LEVELS else max((_decimals(value) for value in numbers), default=0)
    said = [cell if isinstance(cell, str) else number(float(cell), decimals) for cell in cells]
    longest = max((len(text) for text in said), default=0)
    alone = bool(numbers) and all(not isinstance(cell, str) or cell == "" for cell in cells)
    room = 0 if longest <= NARROW else min(longest, WIDEST)
    return {"name": squared(name), "room": room, "right": alone}, said


def _decimals(value: float) -> int:
    """Decimals of a rounded number, three at most."""
    text = f"{value:.3f}".rstrip("0")
    return len(text) - text.index(".") - 1


# --- attachments ----------------------------------------------------------------------------------------------------------


def _attached(record: Gathered) -> list[dict[str, str]]:
    """Files inside the PDF, each as JSON in plain ASCII: a text, or its bytes where it is none, so that nothing on the way changes it."""
    chain = "".join(f"{line}\n" for line in record.lines).encode()
    files = [(CHAIN_FILE, chain), *record.files]
    return [
        {"name": name, "json": _as_json(content), "mime": _MIMES[name.rsplit(".", 1)[-1]], "about": _ABOUT.get(name, "a file of the street folder, as it is")}
        for name, content in files
    ]  # fmt: skip


_MIMES = {"jsonl": "application/jsonl", "toml": "application/toml", "csv": "text/csv"}
_ABOUT = {
    CHAIN_FILE: "every entry of the ledger in a chain of hashes; its last hash is printed on the first page",
    "ledger.jsonl": "the ledger as it is, with lines that cannot be read and so are in no chain",
}


def _as_json(content: bytes) -> str:
    """JSON of a file's text, or of its bytes."""
    try:
        return json.dumps(content.decode("utf-8"))
    except UnicodeDecodeError:
        return json.dumps(list(content))
