"""Format, lint, types and the lock, each told to the end; exit 1 where any of them fails."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TOOLS = (["ruff", "format", "--check", "."], ["ruff", "check", "."], ["mypy"])


def addresses(root: Path = ROOT) -> list[str]:
    """Lines of the locks that hold an address."""
    return [
        f"{lock.name}:{number}: {line.strip()}"
        for lock in sorted(root.glob("requirements*.txt"))
        for number, line in enumerate(lock.read_text(encoding="utf-8").splitlines(), start=1)
        if "://" in line
    ]


def main() -> int:
    """Run every check."""
    failed = []
    for tool in TOOLS:
        print(*tool, flush=True)
        if subprocess.run([sys.executable, "-m", *tool], cwd=ROOT, check=False).returncode:
            failed.append(" ".join(tool))
    found = addresses()
    if found:
        print("addresses in the lock:", *found, sep="\n")
        failed.append("lock")
    print(f"failed: {', '.join(failed)}" if failed else "all checks passed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
