"""Settings of the site under test: the same ones, in a folder that goes away."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from pathlib import Path

PREFIX = "hardpan-test-"


def sweep() -> None:
    """Remove folders of processes that ended without looking back, as workers and type checkers do."""
    for left in Path(tempfile.gettempdir()).glob(f"{PREFIX}*-*"):
        owner = left.name.removeprefix(PREFIX).split("-")[0]
        if owner.isdigit() and not Path("/proc", owner).exists() and Path("/proc/self").exists():
            shutil.rmtree(left, ignore_errors=True)


sweep()
HOME = Path(tempfile.mkdtemp(prefix=f"{PREFIX}{os.getpid()}-"))
atexit.register(shutil.rmtree, HOME, ignore_errors=True)
(HOME / "static").mkdir()  # where files are collected to before the first request
os.environ["HARDPAN_DATA"] = str(HOME)
os.environ.setdefault("HARDPAN_HOSTS", "testserver")

from hardpan.site.settings import *
from hardpan.site.settings import DATABASES

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {
        "NAME": str(HOME / "test.sqlite3")
    }  # a file, with the journal and the locks of a real one
