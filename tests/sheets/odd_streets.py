"""Streets that strain a sheet: names of fifty letters from right to left, many instructions, a hopper that holds little, a day of many blocks."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import hardpan
from hardpan.plan import Plan
from hardpan.street import example

TOWER = "\u0628\u0631\u062c \u0627\u0644\u0645\u0627\u0621 "  # water tower
FIFTY = (TOWER * 6)[:50].strip()
LATIN = "corner of the old brickworks lane and second gates"


def changed(folder: Path, name: str, **changes: Callable[[str], str]) -> Plan:
    """Plan of an example with some of its files changed."""
    shutil.copytree(example(name), folder)
    for file, change in changes.items():
        path = next(folder.glob(f"{file}.*"))
        before = path.read_text(encoding="utf-8")
        assert change(before) != before, file
        path.write_text(change(before), encoding="utf-8")
    return hardpan.make_plan(hardpan.read_street(folder))


def strained(folder: Path) -> Plan:
    """Kestrel Road under long names from right to left and left to right, with long owners, tickets and notes."""
    assert len(FIFTY) >= 49
    assert len(LATIN) == 50

    def street(text: str) -> str:
        text = text.replace('name = "Kestrel Road"', f'name = "{FIFTY}"').replace(
            'owner = "engineer"', f'owner = "{LATIN}"'
        )
        return text.replace('ticket = "T1"', f'ticket = "{LATIN}"')

    def landmarks(text: str) -> str:
        head, *rows = text.splitlines()
        named = [f"{(FIFTY, LATIN)[i % 2]} {i},{row.split(',', 1)[1]}" for i, row in enumerate(rows)]
        return "\n".join([head, *named]) + "\n"

    def instructions(text: str) -> str:
        return (
            text.replace(",engineer,foreman,", f",{LATIN},{FIFTY},")
            .replace("on site", FIFTY)
            .replace("\nA,", f"\n{FIFTY[:40]},")
        )

    return changed(folder, "kestrel-road", street=street, landmarks=landmarks, instructions=instructions)


def many(folder: Path) -> Plan:
    """Teal Crescent in blocks of 15 m with a hopper of 1 500 kg, little cement, and a rate said anew for every 20 m."""

    def street(text: str) -> str:
        return text.replace("block_length = 80", "block_length = 15").replace("[mixer]", "[spreader]\nhopper = 1500\n\n[water_truck]\nvolume = 2000\n\n[mixer]").replace("cement = 40000", "cement = 9000")  # fmt: skip

    def instructions(text: str) -> str:
        rows = [
            f"z{i},0+{20 * i:03d},0+{20 * i + 20:03d},{'left' if i % 2 else 'all'},{18 + i % 3},,,,,tester,foreman,2026-06-04 0{i % 10}:00,by phone\n"
            for i in range(12)
        ]
        return text + "".join(rows)

    return changed(folder, "teal-crescent", street=street, instructions=instructions)
