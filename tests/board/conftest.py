"""The cast of the site comes to the board; every test begins in English, whatever language was asked for last."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.utils import translation

from tests.site.conftest import _collected, _no_rates_left_over, cast

__all__ = ["_collected", "_no_rates_left_over", "cast"]


@pytest.fixture(autouse=True)
def _english() -> Iterator[None]:
    """A request leaves its language behind in the thread."""
    with translation.override("en"):
        yield
