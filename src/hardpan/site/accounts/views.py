"""Signing in and out, passwords, people."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth import views as auth
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse_lazy

from hardpan.site.accounts.forms import ChangedPerson, NewPerson
from hardpan.site.accounts.models import User
from hardpan.site.accounts.people import invitation
from hardpan.site.guard import SiteRequest


class SignIn(auth.LoginView):
    """The door; whoever comes in gets a new session, also when they were in already."""

    template_name = "sign_in.html"

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Let somebody in."""
        answer = super().form_valid(form)
        self.request.session.cycle_key()
        return answer


sign_in = SignIn.as_view()
password = auth.PasswordChangeView.as_view(template_name="password.html", success_url=reverse_lazy("streets"))
take_up_invitation = auth.PasswordResetConfirmView.as_view(
    template_name="invitation.html", success_url=reverse_lazy("sign-in")
)


def sign_out(request: SiteRequest) -> HttpResponse:
    """Sign out of an account, or leave a crew; nothing of either stays in the browser's cache."""
    if request.caller.member is not None:
        request.caller.member.leave()
    logout(request)
    answer = redirect("sign-in")
    answer.delete_cookie(settings.CREW_COOKIE_NAME, samesite="Lax")
    answer.headers["Clear-Site-Data"] = '"cache"'  # not "storage": entries that were not sent yet lie there
    return answer


def people(request: SiteRequest) -> HttpResponse:
    """People of the company, and a form for one more."""
    owner = get_object_or_404(User, pk=request.user.pk)
    form = NewPerson(request.POST or None, company=owner.company)
    if request.method == "POST" and form.is_valid():
        return _show_invitation(request, form.save())
    everybody = owner.company.people.order_by("name", "pk").prefetch_related("streets")
    return render(request, "people.html", {"company": owner.company, "people": everybody, "form": form})


def person(request: SiteRequest, person: int) -> HttpResponse:
    """One person: name, role, streets, whether they may sign in."""
    user = get_object_or_404(User, pk=person)
    form = ChangedPerson(request.POST or None, instance=user)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("people")
    return render(request, "person.html", {"person": user, "form": form})


def invite(request: SiteRequest, person: int) -> HttpResponse:
    """A new invitation, shown once; an older one for the same person goes on until it is taken up or three days are over."""
    return _show_invitation(request, get_object_or_404(User, pk=person))


def _show_invitation(request: SiteRequest, user: User) -> HttpResponse:
    """Page with the link that the owner hands on."""
    link = request.build_absolute_uri(invitation(user))
    return render(request, "person_link.html", {"person": user, "link": link})
