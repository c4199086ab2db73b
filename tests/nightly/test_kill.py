"""A thousand real ends of a real server while phones post, half of them on each database."""

from __future__ import annotations

import pytest

from tests.serving.conftest import machine, postgresql
from tests.serving.kills import killed
from tests.serving.machine import Machine

__all__ = ["machine", "postgresql"]

KILLS = 500


@pytest.mark.nightly
@pytest.mark.parametrize("database", ["machine", "postgresql"])
def test_nothing_that_was_acknowledged_is_lost_or_doubled(database: str, request: pytest.FixtureRequest) -> None:
    there: Machine = request.getfixturevalue(database)
    found = killed(there, kills=KILLS, seed=0)
    print(database, found)
    assert (found.lost, found.doubled, found.changed) == (0, 0, 0)
    assert found.cut >= found.kills
