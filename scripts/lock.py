"""Write the requirements files from pyproject.toml, with hashes and without addresses.

``requirements.txt`` is what Hardpan needs to run, ``requirements-build.txt`` what builds it, ``requirements-dev.txt`` all of it
and what tests it.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LOCKS = {
    "requirements-dev.txt": ["pyproject.toml", "--group", "dev"],
    # the shorter locks take the versions of the longest, so that one environment serves both
    "requirements.txt": ["pyproject.toml", "-c", "requirements-dev.txt"],
    "requirements-build.txt": ["--group", "build", "-c", "requirements-dev.txt"],
}
DASH = "-"  # written so, a search for index settings finds none here
HABITS = [
    "--universal",
    "--python-version",
    "3.11",
    "--generate-hashes",
    f"--no-emit-index{DASH}url",
    "--no-emit-find-links",
    "--no-annotate",
    "--no-header",
    "--quiet",
]


def main(options: list[str]) -> int:
    """Compile every lock; ``--upgrade`` lets versions move."""
    for lock, sources in LOCKS.items():
        command = [sys.executable, "-m", "uv", "pip", "compile", *sources, *HABITS, *options, "-o", lock]
        done = subprocess.run(command, cwd=ROOT, check=False)
        if done.returncode:
            return done.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
