"""The phone's scripts compute what compare/taps computes: a thousand days, cut by chance, on both sides."""

from __future__ import annotations

import itertools
import json
import math
import random
import subprocess
from pathlib import Path
from typing import Any

import pytest

import hardpan.site.phone
from hardpan.compare import taps
from hardpan.ledger import parse_entry
from tests.compare.taps_days import EXAMPLES, Entry, answers, date_of, day_of, example_entries, random_day

SCRIPTS = Path(hardpan.site.phone.__path__[0]) / "static" / "phone"
ANSWERS = Path(__file__).with_name("taps_answers.js")
CASES = 1_000
CUTS = 7
STREETS = [*EXAMPLES, *(f"chance {number}" for number in range(10))]
CLOSE = 1e-9


def cases() -> list[dict[str, Any]]:
    """Days cut by chance: seven moments of every random day, and of the examples' ledgers as many."""
    dice = random.Random(2026)  # a test's own dice
    found: list[dict[str, Any]] = []
    while len(found) < CASES:
        street = STREETS[len(found) // CUTS % len(STREETS)]
        by_chance = None if street in EXAMPLES and dice.random() < 0.5 else random_day(street, dice, most=90)
        for _ in range(CUTS):
            entries = _prefix(street, dice) if by_chance is None else by_chance[: dice.randrange(len(by_chance) + 1)]
            now = max((one["entered_at"] for one in entries), default=f"{date_of(street)}T05:50:00-06:00")
            dice.shuffle(entries)
            device = dice.choice(["", "phone-0", "phone-1"])
            found.append({"street": street, "entries": entries, "now": now, "device": device})
    return found[:CASES]


def _prefix(street: str, dice: random.Random) -> list[Entry]:
    """Some of a ledger's entries, in another order, some of them twice."""
    whole = example_entries(street)
    entries = whole[: dice.randrange(len(whole) + 1)]
    entries = [one for one in entries if dice.random() < 0.95]
    return entries + dice.sample(entries, len(entries) // 10)


def ours(case: dict[str, Any], day: taps.Day, dice: random.Random) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """What Python answers to a case, and the taps that were made in it."""
    told: dict[str, Any] = {"now": case["now"]}
    found = taps.offers(day, case["entries"], **told, device=case["device"])
    tapped: list[dict[str, Any]] = []
    for at in dice.sample(range(len(found)), min(3, len(found))):
        photo = "0" * 64 if dice.random() < 0.2 else None
        tapped.append({"offer": at, "answers": answers(found[at], dice), "photo": photo})
    count = itertools.count(1)
    made = [
        taps.entered(
            day, case["entries"], taps.filled(found[one["offer"]], one["answers"]), **told, role="operator", device=case["device"],
            new_id=lambda: f"id {next(count)}", photo=one["photo"],
        )
        for one in tapped
    ]  # fmt: skip
    seen = taps.look(day, case["entries"], **told)
    return {"offers": found, "look": seen, "rows": taps.rows(day, case["entries"], **told), "made": made}, tapped


def new_id(number: int) -> str:
    """An id of a number."""
    return f"019ead39-0000-7000-8000-{number:012x}"


def different(one: Any, other: Any, path: str = "") -> str:
    """First place at which two answers differ; empty where none does. Numbers may differ by 1e-9 of themselves."""
    if isinstance(one, dict) and isinstance(other, dict):
        if one.keys() != other.keys():
            return f"{path}: keys {sorted(one.keys() ^ other.keys())}"
        pairs = ((f"{path}.{key}", one[key], other[key]) for key in one)
    elif isinstance(one, list | tuple) and isinstance(other, list):
        if len(one) != len(other):
            return f"{path}: {len(one)} against {len(other)}"
        pairs = ((f"{path}[{at}]", *both) for at, both in enumerate(zip(one, other, strict=True)))
    elif isinstance(one, bool) or isinstance(other, bool) or not isinstance(one, int | float):
        return "" if one == other and type(one) is type(other) else f"{path}: {one!r} against {other!r}"
    else:
        close = isinstance(other, int | float) and math.isclose(one, other, rel_tol=CLOSE, abs_tol=CLOSE)
        return "" if close else f"{path}: {one!r} against {other!r}"
    return next((found for at, a, b in pairs if (found := different(a, b, at))), "")


@pytest.fixture(scope="module")
def shared() -> list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]:
    """Every case with the answers of both sides."""
    dice = random.Random(7)  # a test's own dice
    days: dict[str, taps.Day] = {}
    lines, wanted, told = [], [], cases()
    for case in told:
        name = case["street"]
        if name not in days:
            days[name] = day_of(name, [], case["now"])
            lines.append({"name": name, "day": days[name]})
        answer, tapped = ours(case, days[name], dice)
        wanted.append(answer)
        lines.append({**case, "day": name, "taps": tapped})
    done = subprocess.run(
        ["node", ANSWERS, SCRIPTS], input="\n".join(json.dumps(line) for line in lines), capture_output=True, text=True, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-3000:]
    said = [json.loads(line) for line in done.stdout.splitlines()]
    return list(zip(told, wanted, said, strict=True))


@pytest.mark.parametrize("part", ["offers", "look", "rows", "made"])
def test_both_sides_say_the_same(
    part: str, shared: list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]
) -> None:
    apart = [
        f"{case['street']} at {case['now']} with {len(case['entries'])} entries{found}"
        for case, want, said in shared
        if (found := different(want[part], said[part]))
    ]
    assert not apart, f"{len(apart)} of {len(shared)} differ: " + "; ".join(apart[:4])


def test_every_entry_that_a_tap_makes_is_one_of_the_ledger(
    shared: list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]],
) -> None:
    made = [entry for _, want, _ in shared for made in want["made"] for entry in made]
    for at, entry in enumerate(made):
        device = entry["device"] or "phone-0"
        parse_entry({**entry, "id": new_id(at), "device": device, "corrects": entry.get("corrects")})
    assert len(made) > CASES


def test_cases_are_of_every_sort(shared: list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]) -> None:
    kinds = {entry["kind"] for case, _, _ in shared for entry in case["entries"]}
    assert {
        "correction",
        "withdrawal",
        "stop",
        "run-out",
        "tray check",
        "closed",
        "curing",
        "water truck empty",
    } <= kinds
    keys = {offer["key"].split(" ")[0] for _, want, _ in shared for offer in want["offers"]}
    assert {
        "go",
        "rate",
        "run-out",
        "empty",
        "coupled",
        "dry",
        "wet",
        "walked_out",
        "trim",
        "final",
        "closed",
        "goes",
    } <= keys
    assert {"spreading", "padfoot_starts"} <= keys
    assert {offer["unit"] for offer in _fields(shared)} == {"kg", "kg/m\u00b2", "mm", "L", "m"}
    assert any(entry["kind"] == "correction" for _, want, _ in shared for made in want["made"] for entry in made)
    assert {clock["alarm"] for _, want, _ in shared for clock in want["look"]["clocks"]} == {-1.0, 0.0, 15.0}


def _fields(shared: list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]) -> list[dict[str, Any]]:
    pads = [offer["pad"] for _, want, _ in shared for offer in want["offers"] if offer["pad"]]
    return [one for pad in pads if pad["kind"] == "number" for one in pad["fields"]]


def test_questions_and_numbers_are_the_same() -> None:
    dice = random.Random(3)  # a test's own dice
    pairs = [
        (round(10 ** dice.uniform(-2, 5), dice.randrange(4)), dice.choice([24.0, 300.0, 40000.0, None]))
        for _ in range(500)
    ]
    pairs += [(0.25, None), (0.75, None), (-2.5, 24.0), (999.95, 1000.0), (0.0, 24.0)]
    sent = "\n".join(json.dumps({"doubt": pair}) for pair in pairs)
    done = subprocess.run(["node", ANSWERS, SCRIPTS], input=sent, capture_output=True, text=True, check=True)
    for (value, likely), line in zip(pairs, done.stdout.splitlines(), strict=True):
        said = json.loads(line)
        amounts = [taps.amount(value, decimals, point=",") for decimals in range(4)]
        assert not different({"doubt": taps.doubt(value, likely), "amounts": amounts}, said), (value, likely)
