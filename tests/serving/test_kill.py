"""Twenty real ends of a real server while phones post: what was acknowledged is there, once."""

from __future__ import annotations

import pytest

from tests.serving.kills import Found, Told, judged, killed
from tests.serving.machine import Machine, note

KILLS = 20


@pytest.mark.parametrize("database", ["machine", "postgresql"])
def test_nothing_that_was_acknowledged_is_lost_or_doubled(database: str, request: pytest.FixtureRequest) -> None:
    machine: Machine = request.getfixturevalue(database)
    found = killed(machine, kills=KILLS, seed=len(database))
    print(database, found)
    assert (found.lost, found.doubled, found.changed) == (0, 0, 0)
    assert_it_was_busy(found)


def assert_it_was_busy(found: Found) -> None:
    """The server was killed in the midst of posts."""
    assert found.cut >= found.kills  # posts without an answer
    assert found.made > found.acknowledged > 10 * found.kills


def test_a_lost_a_doubled_a_changed_and_a_strange_entry_are_counted() -> None:
    entries = [note(f"{number}") for number in range(4)]
    told = Told(made={one["id"]: one for one in entries[:3]})
    there = [entries[0], entries[0], entries[1] | {"device": "another"}, entries[3]]
    found = judged(told, [{"entry": one} for one in there], Found(0, 0, 0, 0, 0, 0, 0))
    assert (found.lost, found.doubled, found.changed) == (1, 2, 2)
