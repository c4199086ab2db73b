"""Requests made from the API's own description, right and wrong ones, sent by everybody: no fault of the site, no answer that is not described."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
import requests
import schemathesis
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.core.result import Ok

from hardpan.site.api.operations import api
from hardpan.site.roles import RULES, Rule
from tests.site.conftest import Browser, Cast

EXAMPLES = 40
WHO = ("stranger", "operator", "foreman", "tester", "reviewer", "owner")
DESCRIBED = schemathesis.openapi.from_dict(json.loads(json.dumps(api.get_openapi_schema())))
FOUND: list[Any] = [found.ok() for found in DESCRIBED.get_all_operations() if isinstance(found, Ok)]
OPERATIONS = {f"{one.method.upper()} {one.path}": one for one in FOUND}


@pytest.fixture
def _nobody_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """As many requests as it takes."""
    for name, rule in RULES.items():
        monkeypatch.setitem(RULES, name, Rule(rule.read, rule.write, rule.account, 10**9, rule.most_bytes))


def prepared(case: Any, slug: str) -> requests.PreparedRequest:
    """A case as it goes over the wire; most of them to a street that is there."""
    if "slug" in case.path_parameters and slug:
        case.path_parameters["slug"] = slug
    told = case.as_transport_kwargs(base_url="https://testserver")
    return requests.Request(
        **{key: told[key] for key in ("method", "url", "headers", "params", "json", "data", "files") if key in told}
    ).prepare()


def send(browser: Browser, request: requests.PreparedRequest) -> Any:
    address = urlsplit(str(request.url))
    headers = {
        name: str(value)
        for name, value in request.headers.items()
        if name.lower() not in ("content-length", "content-type", "host", "cookie")
    }
    body = request.body.encode() if isinstance(request.body, str) else request.body or b""
    content_type = str(request.headers.get("content-type", "application/octet-stream"))
    path = f"{address.path}?{address.query}"
    return browser.generic(str(request.method), path, body, content_type=content_type, headers=headers)


@pytest.mark.usefixtures("_nobody_waits")
@pytest.mark.parametrize("name", OPERATIONS)
def test_no_request_breaks_the_site(cast: Cast, name: str) -> None:
    operation = OPERATIONS[name]
    browsers = {who: cast.browser(who, raise_request_exception=False) for who in WHO}
    described = {int(status) for status in operation.definition.raw["responses"]}
    seen: set[int] = set()

    @given(
        case=st.one_of(*strategies(operation)),
        slug=st.sampled_from(["teal-crescent", "teal-crescent", "other-crescent", ""]),
    )
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def sent(case: Any, slug: str) -> None:
        request = prepared(case, slug)
        for who, browser in browsers.items():
            before = transaction.savepoint()
            answer = send(browser, request)
            transaction.savepoint_rollback(before)
            seen.add(answer.status_code)
            assert answer.status_code in described, f"{who}: {answer.status_code}\n{request.url}\n{request.body!r}"
            if answer.status_code >= 400:
                told = answer.json()
                assert told["schema"] == "hardpan.problems/1"
                assert all(set(one) == {"where", "found", "allowed", "do"} for one in told["problems"])

    sent()
    assert seen - {401}, "nobody got in"


def strategies(operation: Any) -> Iterator[Any]:
    """Right requests, and wrong ones."""
    for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
        yield operation.as_strategy(generation_mode=mode)


def test_every_operation_is_tried() -> None:
    assert len(OPERATIONS) == 15
