"""Fifty phones for ten seconds: nobody is turned away."""

from __future__ import annotations

from tests.serving.load import PHONES, loaded
from tests.serving.machine import Machine


def test_fifty_phones_post_without_an_error(machine: Machine) -> None:
    load = loaded(machine, seconds=10)
    print(f"{load.posts} posts, p50 {1000 * load.p50:.1f} ms, p95 {1000 * load.p95:.1f} ms")
    assert load.errors == ()
    assert load.posts == PHONES * 5
