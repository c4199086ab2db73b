"""The tests of backup and restore once more, on PostgreSQL."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.serving.machine import ROOT, Machine
from tests.site.cluster import cluster, programs

FILES = ("test_backup.py", "test_keeping_machine.py")


def test_backups_and_restores_hold_on_postgresql(tmp_path: Path) -> None:
    if programs() is None:
        pytest.skip("no PostgreSQL server on this machine")
    files = [f"tests/serving/{name}" for name in FILES]
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-k", "not every_byte", *files]
    with cluster() as url:
        told = Machine(tmp_path, url).environment
        done = subprocess.run(command, cwd=ROOT, env=told, capture_output=True, text=True, check=False, timeout=600)
    assert done.returncode == 0, done.stdout[-5000:]
    assert "1 skipped" in done.stdout  # a file of SQLite: this ran on the other one
