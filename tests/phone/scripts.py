"""Node, and the phone's scripts whole or broken on purpose."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SCRIPTS = ROOT / "src" / "hardpan" / "site" / "phone" / "static" / "phone"
QUEUE = Path(__file__).parent / "queue"


def node(program: Path, *arguments: object, given: str = "", timeout: float = 900) -> subprocess.CompletedProcess[str]:
    """What a program of the tests did."""
    found = shutil.which("node")
    assert found, "node 18.13 or newer is not on the path; on Debian: apt-get install nodejs npm"
    assert (ROOT / "node_modules" / "fake-indexeddb").is_dir(), "npm ci has not been run"
    command = [found, str(program), *map(str, arguments)]
    return subprocess.run(command, input=given, capture_output=True, text=True, timeout=timeout, check=False, cwd=ROOT)


def played(first: int, count: int, *more: object) -> dict[str, Any]:
    """What the simulator found on schedules."""
    done = node(QUEUE / "simulate.js", first, count, *more)
    assert done.stdout, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    assert done.returncode == (1 if found["failing"] else 0), done.stderr
    return found


def broken(folder: Path, file: str, before: str, after: str) -> Path:
    """Copy of the scripts in which one text stands for another."""
    shutil.copytree(SCRIPTS, folder)
    (folder / "package.json").write_text('{"type": "module"}', encoding="utf-8")
    whole = (folder / file).read_text(encoding="utf-8")
    assert whole.count(before) == 1, f"{file} holds {whole.count(before)} of: {before}"
    (folder / file).write_text(whole.replace(before, after), encoding="utf-8")
    return folder
