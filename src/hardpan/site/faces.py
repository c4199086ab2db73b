"""Which files of the type package the pages need: four upright faces, and its licence beside them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.contrib.staticfiles.finders import FileSystemFinder

UNUSED = ("*.ttf", "*It.otf", "*Light.otf")


class Files(FileSystemFinder):
    """Static files without the faces that no page is set in."""

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[Any]:
        """Files to be collected."""
        return iter(super().list([*(ignore_patterns or ()), *UNUSED]))
