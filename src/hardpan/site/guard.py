"""The one place that asks the table of roles, before any page or operation runs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from ninja.utils import check_csrf

from hardpan.site import answers, throttle
from hardpan.site.accounts.models import User
from hardpan.site.join.models import CrewMember
from hardpan.site.roles import NOBODY, RULES, Role, Roles, Rule
from hardpan.site.streets.models import Street

READING = frozenset({"GET", "HEAD"})


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks: somebody with an account, a member of a crew, or a stranger."""

    role: Role
    key: str
    name: str = ""
    user: User | None = None
    member: CrewMember | None = None

    @property
    def streets(self) -> QuerySet[Street]:
        """Streets that the caller may know of."""
        if self.member is not None:
            return Street.objects.filter(pk=self.member.street_id)
        if self.user is None:
            return Street.objects.none()
        company = Street.objects.filter(company=self.user.company_id)
        return company if self.role is Role.OWNER else company.filter(people=self.user)


class SiteRequest(HttpRequest):
    """A request that the guard let through; ``street`` is there where the address names one."""

    caller: Caller
    street: Street


def find_caller(request: HttpRequest) -> Caller:
    """Caller of a request; an account comes before a crew's code."""
    if isinstance(request.user, User):
        return Caller(Role(request.user.role), f"user-{request.user.pk}", request.user.name, user=request.user)
    member = CrewMember.objects.of_token(request.COOKIES.get(settings.CREW_COOKIE_NAME, ""))
    if member is not None:
        return Caller(Role(member.role), f"crew-{member.pk}", member.name, member=member)
    return Caller(Role.STRANGER, f"at-{throttle.masked_address(request)}")


class Guard:
    """Middleware: nothing runs that the table of roles does not allow."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass on; the checks wait until it is known which page was asked for."""
        return self.get_response(request)

    def process_view(
        self, request: SiteRequest, _view: object, _args: object, kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        """Answer in place of the page, or let it run."""
        name = request.resolver_match.view_name if request.resolver_match else ""
        rule = RULES.get(name)
        if rule is None:
            raise Http404
        request.caller = find_caller(request)
        return _refuse_traffic(request, name, rule) or _refuse_role(request, rule, kwargs) or _refuse_foreign(request)


def _refuse_traffic(request: SiteRequest, name: str, rule: Rule) -> HttpResponseBase | None:
    """Answer to a caller who asks too often or too much."""
    if wait := throttle.too_often(f"{name}:{request.caller.key}", a_minute=rule.a_minute):
        return answers.too_often(request, wait)
    length = int(request.META.get("CONTENT_LENGTH") or 0)
    if length > rule.most_bytes:
        return answers.too_large(request, length, rule.most_bytes)
    return None


def _refuse_role(request: SiteRequest, rule: Rule, kwargs: dict[str, Any]) -> HttpResponseBase | None:
    """Answer to a stranger (sign in), about what is not theirs (404), to another role (403)."""
    allowed = _allowed(request, rule)
    if not allowed:
        return answers.no_such_method(request, [m for m, who in (("GET", rule.read), ("POST", rule.write)) if who])
    caller = request.caller
    if caller.role is Role.STRANGER and caller.role not in allowed:
        return answers.sign_in_first(request)
    _find_own(request, kwargs)
    if caller.role not in allowed or (rule.account and caller.user is None):
        return answers.not_allowed(request, caller.role)
    return None


def _allowed(request: SiteRequest, rule: Rule) -> Roles:
    """Roles that may use this method here."""
    if request.method in READING:
        return rule.read
    return rule.write if request.method == "POST" else NOBODY


def _find_own(request: SiteRequest, kwargs: dict[str, Any]) -> None:
    """Street or person that the address names; 404 where it is not the caller's."""
    if "slug" in kwargs:
        street = request.caller.streets.filter(slug=kwargs["slug"]).first()
        if street is None:
            raise Http404
        request.street = street
    if "person" in kwargs:
        user = request.caller.user
        if user is None or not User.objects.filter(pk=kwargs["person"], company=user.company_id).exists():
            raise Http404


def _refuse_foreign(request: SiteRequest) -> HttpResponseBase | None:
    """Answer to a write of the API that another site's page caused; pages are Django's own care."""
    if answers.is_api(request) and request.method not in READING:
        return check_csrf(request)
    return None
