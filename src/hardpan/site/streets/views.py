"""Pages of streets."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe

from hardpan.errors import StreetError
from hardpan.site.guard import SiteRequest
from hardpan.site.roles import RULES
from hardpan.site.streets import known


def home(request: SiteRequest) -> HttpResponse:
    """Where everybody begins: the list of their streets, or the sign-in page before it."""
    return redirect("streets")


def streets(request: SiteRequest) -> HttpResponse:
    """Streets of the caller."""
    caller = request.caller
    may_import = caller.user is not None and caller.role in RULES["import"].write
    return render(request, "streets.html", {"streets": caller.streets, "may_import": may_import})


def street(request: SiteRequest, slug: str) -> HttpResponse:
    """One street: its map, what the map says in words, or why there is no plan."""
    caller = request.caller
    told: dict[str, object] = {
        "street": request.street,
        "may_show_codes": caller.user is not None and caller.role in RULES["join-codes"].read,
    }
    try:
        svg, told["words"] = known.strip_map(request.street)
        told["drawing"] = mark_safe(
            svg.decode()
        )  # our own drawing, in which words of a street are escaped; the page's type reaches it
    except StreetError as error:
        told["problems"] = error.problems
    return render(request, "street.html", told)


def strip_map(request: SiteRequest, slug: str) -> HttpResponse:
    """The strip map as a drawing."""
    try:
        svg, _words = known.strip_map(request.street)
    except StreetError:
        return HttpResponse(status=204)
    return HttpResponse(svg, content_type="image/svg+xml; charset=utf-8")
