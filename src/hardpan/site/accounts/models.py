"""Companies and the people who have an account with one."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils.translation import gettext_lazy as _

from hardpan.site.roles import OFFICE


class Company(models.Model):
    """Who owns streets and accounts."""

    name = models.CharField(max_length=100, unique=True)

    def __str__(self) -> str:
        return self.name


class People(BaseUserManager["User"]):
    """Makes people."""

    def invite(self, company: Company, sign_in_name: str, **told: Any) -> User:
        """Add a person without a password; an invitation lets them choose one."""
        user = self.model(company=company, sign_in_name=self.model.normalize_username(sign_in_name), **told)
        user.set_unusable_password()
        user.save()
        return user


class User(AbstractBaseUser):
    """A person with an account; crew have none, they join by a code."""

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="people")
    sign_in_name = models.CharField(_("sign-in name"), max_length=100, unique=True)
    name = models.CharField(_("name"), max_length=80)
    role = models.CharField(_("role"), max_length=10, choices=sorted((role.value, role.value) for role in OFFICE))
    is_active = models.BooleanField(_("may sign in"), default=True)

    objects: ClassVar[People] = People()

    USERNAME_FIELD = "sign_in_name"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]

    class Meta:
        """Roles are those of the table, in the database too."""

        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=models.Q(role__in=sorted(role.value for role in OFFICE)), name="user_role_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name
