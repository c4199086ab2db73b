"""Words of the slow drive; the millimetres are common practice, no source."""

from __future__ import annotations

import pytest

from hardpan.street.words import heard, word_for


@pytest.mark.parametrize(
    ("millimetres", "word"),
    [(0, "nothing"), (14.9, "nothing"), (15, "shows"), (29.9, "shows"), (30, "ruts"), (74.9, "ruts"), (75, "sinks")],
)
def test_a_rut_has_a_word(millimetres: float, word: str) -> None:
    assert word_for(millimetres / 1000) == word


def test_ground_that_bounces_does_not_do_nothing() -> None:
    assert word_for(0.005, bounces=True) == "shows"
    assert word_for(0.040, bounces=True) == "ruts"
    assert (heard("nothing", bounces=False), heard("sinks", bounces=True)) == ("nothing", "sinks")
