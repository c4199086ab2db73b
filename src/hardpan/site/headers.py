"""Headers that every answer carries, errors and files too."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

SOURCES = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "worker-src": "'self'",
    "manifest-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
POLICY = "; ".join(f"{what} {source}" for what, source in SOURCES.items())
PERMISSIONS = "geolocation=(), microphone=(), payment=(), usb=()"  # nobody is tracked; the camera is for tickets


class Headers:
    """Middleware: the content policy, and no copy of a page in a shared cache."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer with the headers."""
        response = self.get_response(request)
        response.headers["Content-Security-Policy"] = POLICY
        response.headers["Permissions-Policy"] = PERMISSIONS
        response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        response.headers.setdefault("X-Content-Type-Options", "nosniff")  # answers that never reached Django's own
        response.headers.setdefault("Cache-Control", "no-store")
        return response
