"""The page on which a street comes in."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from hardpan.errors import StreetError
from hardpan.site.accounts.models import User
from hardpan.site.entries import folders
from hardpan.site.guard import SiteRequest
from hardpan.site.streets.folders import FolderError, folder_of_zip
from hardpan.site.streets.forms import Folder


def bring_in(request: SiteRequest) -> HttpResponse:
    """Store a street from a zip of its folder, or say everything that is wrong with it."""
    form = Folder(request.POST or None, request.FILES or None)
    told: dict[str, object] = {"form": form}
    if request.method == "POST" and form.is_valid():
        by = get_object_or_404(User, pk=request.user.pk)
        try:
            street, _answers = folders.bring_in(
                by, folder_of_zip(form.cleaned_data["folder"].read())[1], slug=form.cleaned_data["slug"]
            )
        except StreetError as error:
            told["problems"] = error.problems
        except FolderError as error:
            told["wrongs"] = error.wrongs
        else:
            return redirect("street", slug=street.slug)
    return render(request, "import.html", told, status=422 if len(told) > 1 else 200)
