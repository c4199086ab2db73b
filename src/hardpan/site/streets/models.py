"""A street and the files of its folder, byte for byte."""

from __future__ import annotations

import hashlib
from typing import ClassVar

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models

from hardpan.site.accounts.models import Company

SLUG = r"[a-z0-9]+(?:-[a-z0-9]+)*"


class Street(models.Model):
    """A street of a company; two companies may each have a Main Street."""

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="streets")
    slug = models.CharField(max_length=60, validators=[RegexValidator(rf"\A{SLUG}\Z")])
    name = models.CharField(max_length=200)
    people = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="streets", blank=True)
    last_sequence = models.PositiveBigIntegerField(default=0)  # of its entries; the row is their lock too

    class Meta:
        """One name a company."""

        ordering: ClassVar[list[str]] = ["slug"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["company", "slug"], name="street_slug_of_company"),
        ]

    def __str__(self) -> str:
        return self.name

    def folder(self) -> dict[str, bytes]:
        """Files of the folder by name."""
        return {file.name: bytes(file.content) for file in self.files.all()}


class StreetFile(models.Model):
    """One file of a street's folder, exactly as it came."""

    street = models.ForeignKey(Street, on_delete=models.CASCADE, related_name="files")
    name = models.CharField(max_length=100)
    content = models.BinaryField()

    class Meta:
        """One file a name."""

        ordering: ClassVar[list[str]] = ["name"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["street", "name"], name="street_file_name"),
        ]

    def __str__(self) -> str:
        return self.name


def content_hash(folder: dict[str, bytes]) -> str:
    """Hash of a folder's names and bytes."""
    told = hashlib.sha256()
    for name in sorted(folder):
        for part in (name.encode(), folder[name]):
            told.update(len(part).to_bytes(8, "big") + part)
    return told.hexdigest()
