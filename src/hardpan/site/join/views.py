"""Codes shown and cancelled by the foreman; the page that a code leads to."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from hardpan.site.accounts.models import User
from hardpan.site.guard import SiteRequest
from hardpan.site.join import codes
from hardpan.site.join.forms import Joining, NewCode
from hardpan.site.join.models import CrewMember, JoinCode


def join_codes(request: SiteRequest, slug: str) -> HttpResponse:
    """Codes of a street, who came by them, and a form for a new one."""
    form = NewCode(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = codes.open_code(
            request.street, form.cleaned_data["role"], by=get_object_or_404(User, pk=request.user.pk)
        )
        return redirect("join-code", slug=slug, code=made.pk)
    shown = request.street.codes.prefetch_related("members")
    return render(request, "join_codes.html", {"street": request.street, "codes": shown, "form": form})


def join_code(request: SiteRequest, slug: str, code: uuid.UUID) -> HttpResponse:
    """One code, large, to be scanned from the foreman's tablet."""
    shown = get_object_or_404(request.street.codes, pk=code)
    if not shown.is_open:
        return redirect("join-codes", slug=slug)
    link = request.build_absolute_uri(reverse("join", args=[shown.token]))
    return render(request, "join_code.html", {"street": request.street, "code": shown, "drawing": codes.drawn(link)})


def cancel(request: SiteRequest, slug: str, code: uuid.UUID) -> HttpResponse:
    """Cancel a code: all who came by it are out at once."""
    request.street.codes.filter(pk=code, cancelled_at=None).update(cancelled_at=timezone.now())
    return redirect("join-codes", slug=slug)


def join(request: SiteRequest, token: str) -> HttpResponse:
    """Join a street; looking at the page joins nobody, so that a preview of the link does not."""
    code = JoinCode.objects.of_token(token)
    if code is None:
        raise Http404
    form = Joining(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return render(request, "join.html", {"street": code.street, "code": code, "form": form})
    if request.caller.member is not None:
        request.caller.member.leave()
    member, kept = codes.come_in(code, **form.cleaned_data)
    answer = redirect("street", slug=code.street.slug)
    _remember(answer, member, kept)
    return answer


def _remember(answer: HttpResponse, member: CrewMember, token: str) -> None:
    """Give the phone its token."""
    answer.set_cookie(
        settings.CREW_COOKIE_NAME,
        token,
        expires=member.code.expires_at,
        secure=True,
        httponly=True,
        samesite="Lax",
    )
