"""``make check`` is part of the gate."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_format_lint_and_types_are_clean() -> None:
    done = subprocess.run([sys.executable, "scripts/check.py"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.splitlines()[-1] == "all checks passed"


def test_ci_runs_the_gate_and_nothing_else() -> None:
    script = ROOT / ".ci" / "run"
    assert script.stat().st_mode & 0o111
    lines = [line for line in script.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    assert lines == ["set -eu", 'cd "$(dirname "$0")/.."', "exec make test"]
