"""The files of the pages, collected once for as long as they stay the same."""

from __future__ import annotations

import hashlib
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command

from hardpan.site.serving import files

STAMP = "collected"


def _hash() -> str:
    """Hash of the names and bytes of every file that the pages may ask for."""
    told = hashlib.sha256()
    for finder in get_finders():
        for path, storage in sorted(finder.list([]), key=lambda found: found[0]):
            content = Path(storage.path(path)).read_bytes()
            told.update(f"{getattr(storage, 'prefix', '')}/{path} {len(content)}\n".encode() + content)
    return told.hexdigest()


def are_collected() -> bool:
    """Whether the files that the site serves are those of this Hardpan."""
    stamp = Path(settings.STATIC_ROOT) / STAMP
    return stamp.is_file() and stamp.read_text(encoding="ascii") == _hash()


def collect() -> None:
    """Collect them where they are not."""
    if not are_collected():
        (Path(settings.STATIC_ROOT) / STAMP).unlink(missing_ok=True)
        call_command("collectstatic", interactive=False, verbosity=0)
        files.write(Path(settings.STATIC_ROOT) / STAMP, _hash().encode())
