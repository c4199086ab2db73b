"""A program that restores a backup and is killed at a named step: ``python -m tests.serving.killed_restore FILE STEP``."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path
from typing import Any
from unittest.mock import patch

from hardpan.site.serving.start import load_site


def killed(*_: Any) -> Any:
    """As by a power cut."""
    os.kill(os.getpid(), signal.SIGKILL)


def main(file: Path, step: str) -> None:
    """Restore until the step."""
    load_site()
    from hardpan.site.keeping import restore  # noqa: PLC0415  # once the settings are there

    with patch.object(restore, step, killed):
        restore.restore(file)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
