"""Variants of the example streets: a folder with lines of street.toml or rows of a table changed."""

from __future__ import annotations

import shutil
from pathlib import Path

import hardpan
from hardpan.plan import Plan

Edits = dict[str, list[tuple[str, str]]]


def variant(folder: Path, name: str, edits: Edits) -> Path:
    """Copy of an example street with text replaced, file by file; every text must be there."""
    shutil.copytree(hardpan.example(name), folder)
    for file, pairs in edits.items():
        path = folder / file
        text = path.read_text(encoding="utf-8")
        for old, new in pairs:
            if old not in text:
                raise ValueError(f"{file} of {name} holds no {old!r}; mend this test")
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
    return folder


def planned(folder: Path, name: str, edits: Edits) -> Plan:
    """Plan of a variant."""
    return hardpan.make_plan(hardpan.read_street(variant(folder, name, edits)))


def say(plan: Plan) -> str:
    """Every notice of a plan, one a line, with its place."""
    return "\n".join(f"{notice.place}: {notice.message}" for notice in plan.notices)
