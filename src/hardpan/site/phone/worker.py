"""The worker that keeps the phone's pages: one script at the root of the site, named by the content of what it keeps."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable
from functools import wraps
from pathlib import Path
from typing import Concatenate, ParamSpec

from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpResponse
from django.template.loader import render_to_string

from hardpan.site.guard import SiteRequest

HERE = Path(__file__).parent
VERSION = "Hardpan-Worker"  # header by which the worker knows pages that fit what it keeps
SITE_FILES = ("site.css", "mark.svg")

Parameters = ParamSpec("Parameters")
View = Callable[Concatenate[SiteRequest, Parameters], HttpResponse]


def kept_files() -> tuple[str, ...]:
    """Names of the static files that a phone's pages need: every file of this feature, and the two of every page."""
    folder = HERE / "static"
    ours = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    return (*SITE_FILES, *ours)


def addresses(names: Iterable[str]) -> list[str]:
    """Addresses of static files, hashed by their content; raises ``ValueError`` where the manifest lacks one."""
    return [staticfiles_storage.url(name) for name in names]


def version(kept: Iterable[str]) -> str:
    """Hash of what is kept, the worker itself included: other content is another worker."""
    told = hashlib.sha256((HERE / "templates" / "phone" / "worker.js").read_bytes())
    for address in kept:
        told.update(b"\n" + address.encode())
    return told.hexdigest()[:16]


def script() -> str:
    """The worker."""
    kept = addresses(kept_files())
    told = {"version": json.dumps(version(kept)), "kept": json.dumps(kept, indent=2)}
    return render_to_string("phone/worker.js", told)


def worker(_request: SiteRequest) -> HttpResponse:
    """Answer with the worker."""
    return HttpResponse(script(), content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"})


def kept_by_worker(view: View[Parameters]) -> View[Parameters]:
    """Mark a view's page with the worker that it fits, so that no older one keeps it beside older scripts."""

    @wraps(view)
    def marked(request: SiteRequest, /, *args: Parameters.args, **kwargs: Parameters.kwargs) -> HttpResponse:
        """Page with its mark."""
        answer = view(request, *args, **kwargs)
        answer.headers[VERSION] = version(addresses(kept_files()))
        return answer

    return marked
