"""What the logs say: the time, how grave, what was asked for by its name, how it went. No path, no person, no token, no body."""

from __future__ import annotations

import logging
import traceback
from typing import Any

from django.http import HttpRequest

QUIET = ("axes",)  # it would name people and addresses


class Discreet(logging.Formatter):
    """A record in one line; of an error the places in the code, not its message, which may quote what somebody typed."""

    def format(self, record: logging.LogRecord) -> str:
        """Line of a record."""
        request = getattr(record, "request", None)
        said = _asked(record, request) if isinstance(request, HttpRequest) else _plain(record)
        return f"{self.formatTime(record)} {record.levelname} {record.name}: {said}{_where(record)}"


def _asked(record: logging.LogRecord, request: HttpRequest) -> str:
    """Method, name of the page and status."""
    match = request.resolver_match
    return (
        f"{request.method} {match.view_name if match else 'no such page'} {getattr(record, 'status_code', '')}".rstrip()
    )


def _plain(record: logging.LogRecord) -> str:
    """The message; one of Django's security log quotes what was sent, so only its kind is told."""
    if record.name.startswith("django.security"):
        return record.name.rpartition(".")[2]
    if record.name.startswith("django."):
        return str(record.msg)  # the form, without what would be filled in
    return record.getMessage()


def _where(record: logging.LogRecord) -> str:
    """Class of an error and the places in the code it passed."""
    kind, _, trace = record.exc_info if record.exc_info else (None, None, None)
    if kind is None:
        return ""
    return f"\n{kind.__name__}\n" + "".join(traceback.format_tb(trace)).rstrip()


LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"discreet": {"()": "hardpan.site.logs.Discreet"}},
    "handlers": {"told": {"class": "logging.StreamHandler", "formatter": "discreet"}},
    "loggers": {
        "django": {"handlers": ["told"], "level": "WARNING", "propagate": False},
        "hardpan": {"handlers": ["told"], "level": "INFO"},
        **{name: {"handlers": [], "level": "CRITICAL", "propagate": False} for name in QUIET},
    },
}
