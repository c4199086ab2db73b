"""Fifty phones for two minutes: nobody is turned away, and nobody waits."""

from __future__ import annotations

import pytest

from tests.serving.conftest import machine
from tests.serving.load import PHONES, loaded
from tests.serving.machine import Machine

__all__ = ["machine"]


@pytest.mark.nightly
def test_fifty_phones_post_for_two_minutes_without_an_error(machine: Machine) -> None:  # the fixture
    load = loaded(machine, seconds=120)
    print(f"{load.posts} posts, p50 {1000 * load.p50:.1f} ms, p95 {1000 * load.p95:.1f} ms")
    assert load.errors == ()
    assert load.posts == PHONES * 60
