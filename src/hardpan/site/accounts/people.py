"""Founding a company, and invitations by which people choose their password."""

from __future__ import annotations

from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from hardpan.site.accounts.models import Company, User
from hardpan.site.roles import Role


def found_company(company: str, *, sign_in_name: str, name: str) -> User:
    """New company and the owner of its account, who has no password until the invitation is taken up."""
    with transaction.atomic():
        founded = Company.objects.create(name=company)
        return User.objects.invite(founded, sign_in_name, name=name, role=Role.OWNER.value)


def invitation(user: User) -> str:
    """Path of a page on which a person chooses a password: once, within three days, and not after the next sign-in."""
    uid = urlsafe_base64_encode(force_bytes(user.pk))
    return reverse("invitation", args=[uid, default_token_generator.make_token(user)])
