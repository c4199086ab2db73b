"""Where photos lie: in the data folder, under the hash of their bytes."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

from django.conf import settings
from django.db.models import Q

from hardpan.site.photos.cleaned import clean
from hardpan.site.photos.models import Photo
from hardpan.site.streets.models import Street


def path_of(sha256: str) -> Path:
    """Path of a stored photo."""
    return Path(settings.PHOTOS) / sha256[:2] / sha256


def keep(street: Street, sent: bytes) -> tuple[Photo, bool]:
    """Keep a photo of a street; gives it and whether it is new. Raises ``PhotoError``."""
    sent_sha256 = hashlib.sha256(sent).hexdigest()
    have = Photo.objects.filter(street=street, sent_sha256=sent_sha256).first()
    if have is not None and path_of(have.sha256).is_file():
        return have, False
    cleaned = clean(sent)
    sha256 = hashlib.sha256(cleaned.content).hexdigest()
    _write(path_of(sha256), cleaned.content)  # before the row: what the database names is there
    if have is not None and have.sha256 == sha256:  # its file was gone, and is there again
        return have, False
    told = {"sha256": sha256, "media_type": cleaned.media_type, "size": len(cleaned.content)}
    return Photo.objects.get_or_create(street=street, sent_sha256=sent_sha256, defaults=told)


def find(street: Street, sha256: str) -> Photo | None:
    """Photo of a street by the hash of its bytes, as they were sent or as they are stored."""
    return Photo.objects.filter(Q(sha256=sha256) | Q(sent_sha256=sha256), street=street).order_by("pk").first()


def _write(path: Path, content: bytes) -> None:
    """Write a file whole or not at all, and onto the disk."""
    if path.exists():
        return
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as made:
        made.write(content)
        made.flush()
        os.fsync(made.fileno())
    Path(made.name).replace(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
