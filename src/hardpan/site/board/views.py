"""The page of the board."""

from __future__ import annotations

import datetime as dt

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from hardpan.errors import StreetError
from hardpan.ledger import fold
from hardpan.site import answers
from hardpan.site.board.page import make_board
from hardpan.site.entries import store
from hardpan.site.entries.state import state_of
from hardpan.site.guard import SiteRequest
from hardpan.site.record.ahead import crew_time
from hardpan.site.roles import RULES
from hardpan.site.streets import known

AT = "%Y-%m-%dT%H:%M"
PHONE = "phone-day"


def board(request: SiteRequest, slug: str) -> HttpResponse:
    """The board of now, or as it was at ``?at=2026-06-04T12:40``, in the crew's time."""
    street, asked = request.street, request.GET.get("at")
    told: dict[str, object] = {"street": street, "stop_address": _stop_address(request), "replay": asked is not None}
    try:
        plan, (_last, state) = known.plan(street), state_of(street)
    except StreetError as error:
        return render(request, "board.html", {**told, "problems": error.problems})
    now = timezone.now().astimezone(crew_time(state))
    if asked is not None:
        try:
            now = dt.datetime.strptime(asked, AT).replace(tzinfo=now.tzinfo)
        except ValueError:
            wrong = answers.Wrong("at", asked[:40], "2026-06-04T12:40", _("Write date, T and time of day."))
            return answers.refusal(request, wrong, status=400)
        state = fold((one.received for one in state.entries if one.received.entry.happened_at.at <= now), plan.street)
    told["board"] = make_board(plan, state, now=now, refused=store.refused_rows(street))
    return render(request, "board.html", told)


def _stop_address(request: SiteRequest) -> str:
    """Where the caller calls STOP: the phone's page of the street; empty where there is none for them."""
    rule = RULES.get(PHONE)
    try:
        address = reverse(PHONE, args=[request.street.slug])
    except NoReverseMatch:
        return ""
    return address if rule is not None and request.caller.role in rule.write else ""
