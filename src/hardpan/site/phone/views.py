"""Pages of the phone. Each is guard, form, one call, render; their scripts work on from there with no signal."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.urls import reverse

from hardpan.compare import taps
from hardpan.errors import StreetError
from hardpan.site.entries import post
from hardpan.site.guard import SiteRequest
from hardpan.site.phone.driving import plan_with
from hardpan.site.phone.forms import Instruction, Tap
from hardpan.site.phone.owed import owed
from hardpan.site.phone.page import Page, new_id, people, places, rates_in_force, zone_lines
from hardpan.site.phone.worker import kept_by_worker


@kept_by_worker
def day(request: SiteRequest, slug: str) -> HttpResponse:
    """The day in taps."""
    page = Page(request)
    try:
        told = page.told("day")
    except StreetError as error:
        return render(request, "phone/no_plan.html", {"street": request.street, "problems": error.problems}, status=422)
    chosen = request.GET.get("key", "")
    told["chosen"] = next((one for one in page.offers if one["key"] == chosen), None)
    if request.method == "POST":
        form = Tap(request.POST)
        if form.is_valid() and _entered(page, form):
            return redirect("phone-day", slug=slug)
        told["chosen"] = next((one for one in page.offers if one["key"] == request.POST.get("key")), None)
        told["form"] = form
    told["tap"] = new_id()
    return render(request, "phone/day.html", told, status=422 if "form" in told else 200)


def _entered(page: Page, form: Tap) -> bool:
    """Enter what a form taps; false where it cannot be, and the form says why."""
    offer = next((one for one in page.offers if one["key"] == form.cleaned_data["key"]), None)
    if offer is None:
        return True  # it was entered already, or another phone did: the page shows what is next now
    answers = form.answers(offer)
    if form.errors:
        return False
    tap = str(form.cleaned_data["tap"])
    ids = iter([tap, *(new_id() for _ in offer["entries"])])
    made = taps.entered(
        page.day, page.entries, taps.filled(offer, answers), now=page.now.isoformat(), role=page.role,
        device=page.device, new_id=lambda: next(ids),
    )  # fmt: skip
    return _taken(page, made, form)


def _taken(page: Page, made: list[dict[str, Any]], form: Tap | Instruction) -> bool:
    """Store entries; false where one is refused, and the form says why."""
    caller = page.request.caller
    for one in post.take(page.request.street, post.Post(made), role=caller.role, name=caller.name):
        for wrong in one.reason:
            form.add_error(None, f"{wrong.where}: {wrong.found}. {wrong.do}")
    return not form.errors


def _shown(request: SiteRequest, name: str) -> HttpResponse:
    """A page that its script fills."""
    try:
        told = Page(request).told(name)
    except StreetError as error:
        return render(request, "phone/no_plan.html", {"street": request.street, "problems": error.problems}, status=422)
    return render(request, f"phone/{name}.html", told)


@kept_by_worker
def far(request: SiteRequest, slug: str) -> HttpResponse:
    """What is read from two metres."""
    return _shown(request, "far")


@kept_by_worker
def drive(request: SiteRequest, slug: str) -> HttpResponse:
    """The slow drive, and what it says."""
    page = Page(request)
    try:
        told = page.told("drive")
        plan = plan_with(request.street.folder(), page.state)
    except StreetError as error:
        return render(request, "phone/no_plan.html", {"street": request.street, "problems": error.problems}, status=422)
    told["zones"] = zone_lines(plan, page) if plan is not None else []
    return render(request, "phone/drive.html", told)


@kept_by_worker
def rates(request: SiteRequest, slug: str) -> HttpResponse:
    """Rate instructions in force, and a new one."""
    page = Page(request)
    form = Instruction(request.POST or None)
    try:
        told = page.told("rates")
    except StreetError as error:
        return render(request, "phone/no_plan.html", {"street": request.street, "problems": error.problems}, status=422)
    if request.method == "POST" and form.is_valid() and _agreed(page, form):
        return redirect("phone-rates", slug=slug)
    told |= {
        "form": form,
        "tap": new_id(),
        "in_force": rates_in_force(page),
        "places": places(page),
        "people": people(page),
    }
    return render(request, "phone/rates.html", told, status=422 if form.errors else 200)


def _agreed(page: Page, form: Instruction) -> bool:
    """Enter an instruction; false where it cannot be, and the form says why."""
    entry = page.made("rate instruction", str(form.cleaned_data["tap"])) | form.entry(page.plan.street)
    return _taken(page, [entry], form)


@kept_by_worker
def tests(request: SiteRequest, slug: str) -> HttpResponse:
    """What a tester owes."""
    page = Page(request)
    try:
        told = page.told("tests")
        told["data"]["owed"] = owed(page)
    except StreetError as error:
        return render(request, "phone/no_plan.html", {"street": request.street, "problems": error.problems}, status=422)
    return render(request, "phone/tests.html", told)


@kept_by_worker
def unsent(request: SiteRequest, slug: str) -> HttpResponse:
    """What is still on this phone."""
    return _shown(request, "unsent")


def manifest(request: SiteRequest) -> JsonResponse:
    """Manifest, so that a phone keeps the page as it keeps a program, and its storage with it."""
    told = {
        "name": "Hardpan",
        "short_name": "Hardpan",
        "start_url": reverse("streets"),
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#000000",
        "icons": [{"src": static("mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
    }
    return JsonResponse(told, content_type="application/manifest+json")
