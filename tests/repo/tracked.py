"""Files that belong to the repository."""

from __future__ import annotations

import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[2]
MADE = {".venv", ".git", "__pycache__", "dist", "build", "hardpan-demo"}


def tracked_files(root: Path = ROOT) -> list[Path]:
    """Tracked and new files of a clone, what .gitignore names left out; of a plain copy every file that no tool made."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=root,
        capture_output=True,
        check=False,
    )
    if listed.returncode == 0:
        names = listed.stdout.decode().split("\0")
        return sorted(path for name in names if name and (path := root / name).is_file())
    return sorted(
        path
        for path in root.rglob("*")
        if path.is_file() and not any(part in MADE or part.endswith("_cache") for part in path.relative_to(root).parts)
    )
