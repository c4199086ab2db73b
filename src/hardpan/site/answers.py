"""Answers that are no page: what was given, what is allowed, what to do; JSON under /api/, a page elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

SCHEMA = "hardpan.problems/1"


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing that is wrong: where, what was found, what is allowed, what to do."""

    where: str
    found: str
    allowed: str
    do: str


def is_api(request: HttpRequest) -> bool:
    """Whether a machine asked."""
    return request.path_info.startswith("/api/")


def refusal(request: HttpRequest, wrongs: Wrong | Sequence[Wrong], *, status: int) -> HttpResponse:
    """Answer that says what is wrong."""
    told = (wrongs,) if isinstance(wrongs, Wrong) else tuple(wrongs)
    if is_api(request):
        return JsonResponse({"schema": SCHEMA, "problems": [asdict(wrong) for wrong in told]}, status=status)
    page = render_to_string("problem.html", {"status": status, "wrongs": told}, request=request)
    return HttpResponse(page, status=status)


def sign_in_first(request: HttpRequest) -> HttpResponse:
    """Answer to a stranger."""
    if is_api(request):
        do = _("Sign in, or join the street by its code.")
        return refusal(request, Wrong("", _("nobody signed in"), _("people of this street"), do), status=401)
    return redirect_to_login(request.get_full_path())


def not_allowed(request: HttpRequest, role: str) -> HttpResponse:
    """Answer to somebody whose role may not do this."""
    wrong = Wrong("", role, _("another role"), _("Ask the foreman, or the owner of the account."))
    return refusal(request, wrong, status=403)


def no_such_method(request: HttpRequest, methods: list[str]) -> HttpResponse:
    """Answer to a method that this address does not know."""
    wrong = Wrong("", str(request.method), ", ".join(methods) or _("nothing"), _("Ask in one of these ways."))
    answer = refusal(request, wrong, status=405)
    answer.headers["Allow"] = ", ".join(methods)
    return answer


def too_often(request: HttpRequest, wait: int) -> HttpResponse:
    """Answer to a caller who asks too often."""
    wrong = Wrong("", _("too many requests in a minute"), _("fewer"), _("Wait %(wait)d s.") % {"wait": wait})
    answer = refusal(request, wrong, status=429)
    answer.headers["Retry-After"] = str(wait)
    return answer


def too_large(request: HttpRequest, length: int, most: int) -> HttpResponse:
    """Answer to a body that is too large."""
    allowed = _("at most %(most)d bytes") % {"most": most}
    return refusal(request, Wrong("", f"{length} bytes", allowed, _("Send less at a time.")), status=413)


def locked_out(request: HttpRequest, _response: HttpResponse, _credentials: object) -> HttpResponse:
    """Answer after too many wrong passwords."""
    do = _("Wait 15 minutes, or ask the owner of the account for a new invitation.")
    wrong = Wrong("", _("five wrong passwords for this name from here"), _("fewer"), do)
    return refusal(request, wrong, status=429)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:  # Django passes its reason by name
    """Answer to a form that did not come from one of our pages."""
    do = _("Load the page again and send it from there; cookies must be on.")
    wrong = Wrong("", _("a form without this site's own mark"), _("forms of this site"), do)
    return refusal(request, wrong, status=403)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:  # its message may quote what was sent
    """Answer 400."""
    wrong = Wrong("", _("a request that cannot be read"), _("whole requests"), _("Load the page again."))
    return refusal(request, wrong, status=400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 403."""
    return not_allowed(request, _("your role"))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 404: not there, or not yours."""
    wrong = Wrong(
        "", _("no such page"), _("your own streets and what belongs to them"), _("Start from the list of streets.")
    )
    return refusal(request, wrong, status=404)


def failed(request: HttpRequest) -> HttpResponse:
    """Answer 500."""
    do = _("What you sent may not be stored; send it again. Sending twice stores it once.")
    return refusal(request, Wrong("", _("a fault of this site"), "", do), status=500)
