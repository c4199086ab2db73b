"""Codes that let a crew in, and the members who came by one."""

from __future__ import annotations

import base64
import hashlib
import secrets
import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext_lazy as _

from hardpan.site.roles import BY_CODE
from hardpan.site.streets.models import Street

BY_CODE_ROLES = sorted((role.value, role.value) for role in BY_CODE)


def hashed(token: str) -> str:
    """What is stored of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def new_token() -> str:
    """Token of 256 random bits."""
    return secrets.token_urlsafe(32)


class Codes(models.Manager["JoinCode"]):
    """Makes and finds codes."""

    def open(self) -> models.QuerySet[JoinCode]:
        """Codes that let people in now."""
        return self.filter(cancelled_at=None, expires_at__gt=timezone.now())

    def of_token(self, token: str) -> JoinCode | None:
        """Open code of a token."""
        return self.open().select_related("street").filter(token_hash=hashed(token)).first()


class JoinCode(models.Model):
    """A way into one street for one role, until it is cancelled or the job is over."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    street = models.ForeignKey(Street, on_delete=models.CASCADE, related_name="codes")
    role = models.CharField(_("role"), max_length=10, choices=BY_CODE_ROLES)
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    expires_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar[Codes] = Codes()

    class Meta:
        """The newest first."""

        ordering: ClassVar[list[str]] = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.role}, {self.street}"

    @property
    def token(self) -> str:
        """The token: worked out from the site's key, so that it can be shown again and is never stored."""
        digest = salted_hmac("hardpan.join", self.id.hex, algorithm="sha256").digest()
        return base64.urlsafe_b64encode(digest).decode().rstrip("=")

    @property
    def is_open(self) -> bool:
        """Whether it lets people in now."""
        return self.cancelled_at is None and self.expires_at > timezone.now()


class Members(models.Manager["CrewMember"]):
    """Finds members."""

    def of_token(self, token: str) -> CrewMember | None:
        """Member of a phone's token, while the code by which they came is open."""
        if not token:
            return None
        found = self.select_related("code").filter(token_hash=hashed(token), left_at=None).first()
        return found if found is not None and found.code.is_open else None


class CrewMember(models.Model):
    """Somebody of the crew on one phone: a role, the name they chose, nothing else."""

    code = models.ForeignKey(JoinCode, on_delete=models.CASCADE, related_name="members")
    name = models.CharField(_("name"), max_length=80, blank=True)
    device = models.CharField(max_length=80, blank=True)
    token_hash = models.CharField(max_length=64, unique=True)
    joined_at = models.DateTimeField(default=timezone.now)
    left_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar[Members] = Members()

    def __str__(self) -> str:
        return f"{self.name} ({self.role})"

    @property
    def role(self) -> str:
        """Role that the code gave."""
        return self.code.role

    @property
    def street_id(self) -> int:
        """Street that the code leads to."""
        return self.code.street_id

    def leave(self) -> None:
        """Leave the crew: the phone's token is worth nothing from now on."""
        self.left_at = timezone.now()
        self.save(update_fields=["left_at"])
