"""How the API reads a body and says what is wrong with it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, NoReturn, cast

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from ninja.errors import HttpError, ValidationError
from ninja.parser import Parser
from ninja.types import DictStrAny

from hardpan.errors import Problem, StreetError
from hardpan.site import answers
from hardpan.site.answers import Wrong
from hardpan.site.photos.cleaned import PhotoError
from hardpan.site.streets.folders import FolderError


class StrictParser(Parser):
    """JSON as its standard has it: no NaN, no half characters, no NUL."""

    def parse_body(self, request: HttpRequest) -> DictStrAny:
        """Body of a request as plain data; anything wrong is answered with 400 by the caller."""
        try:
            read = json.loads(request.body.decode("utf-8"), parse_constant=_refuse)
            _check_text(read)
        except (ValueError, RecursionError) as error:
            raise HttpError(400, _("a body that is no JSON")) from error
        return cast("DictStrAny", read)


def _refuse(constant: str) -> NoReturn:
    """NaN and Infinity are no numbers."""
    raise ValueError(constant)


def _check_text(value: object) -> None:
    """Raise where a text holds what no database keeps; raises ``UnicodeEncodeError``, a ``ValueError``, for half characters."""
    if isinstance(value, str):
        if b"\0" in value.encode("utf-8"):
            raise ValueError(value)
    elif isinstance(value, dict):
        for key, inside in value.items():
            _check_text(key)
            _check_text(inside)
    elif isinstance(value, list):
        for inside in value:
            _check_text(inside)


def no_json(request: HttpRequest, error: HttpError) -> HttpResponse:
    """Answer to a body that cannot be read."""
    wrong = Wrong("body", str(error), _("JSON as the API describes it"), _("Correct it and send it again."))
    return answers.refusal(request, wrong, status=error.status_code)


def no_such_shape(request: HttpRequest, error: ValidationError) -> HttpResponse:
    """Answer to a body or a query of another shape."""
    return answers.refusal(request, [_wrong(detail) for detail in error.errors], status=422)


def _wrong(detail: dict[str, Any]) -> Wrong:
    """One of pydantic's findings in our words."""
    where = ".".join(str(part) for part in detail["loc"])
    context = {key: str(value) for key, value in (detail.get("ctx") or {}).items() if key != "error"}
    allowed = ", ".join(f"{key} {value}" for key, value in context.items())
    return Wrong(
        where, str(detail["msg"]), allowed, _("Correct it and send it again; the API describes itself in openapi.json.")
    )


def broken_street(request: HttpRequest, error: StreetError) -> HttpResponse:
    """Answer to a street that cannot be read or planned."""
    return answers.refusal(request, wrongs_of(error.problems), status=422)


def broken_folder(request: HttpRequest, error: FolderError) -> HttpResponse:
    """Answer to a folder that cannot be taken."""
    return answers.refusal(request, error.wrongs, status=422)


def broken_photo(request: HttpRequest, error: PhotoError) -> HttpResponse:
    """Answer to a file that is no photo."""
    return answers.refusal(request, error.wrong, status=422)


def wrongs_of(problems: Sequence[Problem]) -> list[Wrong]:
    """Problems of a street in the site's form."""
    return [Wrong(_place(one), one.found, one.allowed, one.do) for one in problems]


def _place(problem: Problem) -> str:
    """File, row and column of a problem."""
    row = "" if problem.row is None else f"row {problem.row}"
    return ", ".join(part for part in (problem.file, row, problem.column) if part)
