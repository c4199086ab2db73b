"""What is known of a photo; its bytes lie in the data folder under their hash."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from hardpan.site.streets.models import Street


class Photo(models.Model):
    """A photo of a street: hash of the bytes as stored, and of the bytes as the phone sent them, which its entry names."""

    street = models.ForeignKey(Street, on_delete=models.PROTECT, related_name="photos")
    sha256 = models.CharField(max_length=64)
    sent_sha256 = models.CharField(max_length=64)
    media_type = models.CharField(max_length=20)
    size = models.PositiveIntegerField()
    stored_at = models.DateTimeField(default=timezone.now)

    class Meta:
        """Sent again, it is the same photo."""

        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["street", "sent_sha256"], name="photo_once"),
        ]

    def __str__(self) -> str:
        return self.sha256
