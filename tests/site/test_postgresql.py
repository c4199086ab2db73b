"""The same store on PostgreSQL: the tests of this folder that touch the database, run once more on a throwaway cluster."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.site.cluster import cluster, programs

ROOT = Path(__file__).parents[2]
AGAIN = ("test_store.py", "test_store_machine.py", "test_join.py")


def test_a_gate_that_runs_by_itself_has_a_server() -> None:
    assert programs() is not None or "CI" not in os.environ, "install the package postgresql"


@pytest.mark.skipif(programs() is None, reason="no PostgreSQL server on this machine")
def test_the_store_holds_on_postgresql() -> None:
    with cluster() as address:
        told = {**os.environ, "DATABASE_URL": address}
        told.pop("PYTEST_XDIST_WORKER", None)
        files = [str(Path("tests") / "site" / name) for name in AGAIN]
        options = ["-p", "no:cacheprovider", "-p", "no:xdist", "-q", "--no-header", "--no-showlocals", "-W", "error"]
        command = [sys.executable, "-m", "pytest", "--ds", "tests.site.settings", *options, *files]
        done = subprocess.run(command, cwd=ROOT, env=told, capture_output=True, text=True, check=False)
    last = done.stdout.splitlines()[-1]
    assert done.returncode == 0, done.stdout[-5000:] + done.stderr[-2000:]
    passed = re.fullmatch(r"(\d+) passed in .*", last)
    assert passed is not None, last
    assert int(passed[1]) > 45
