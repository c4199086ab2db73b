"""Ten thousand schedules of phones, of which the gate plays five hundred."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.phone.scripts import played

SCHEDULES = 10_000
PART = 500
WRONG = ("lost", "doubled", "stuck", "disordered", "changed", "failing")


@pytest.mark.nightly
def test_nothing_that_was_here_is_lost_or_doubled_on_ten_thousand_schedules() -> None:
    first = 1_000_000  # none of those that the gate plays
    with ThreadPoolExecutor(2) as pool:
        parts = list(pool.map(lambda start: played(start, PART), range(first, first + SCHEDULES, PART)))
    total = {
        name: sum(part[name] for part in parts) for name in ("schedules", "taps", "here", "posts", "restores", *WRONG)
    }
    print(total)
    assert {name: total[name] for name in WRONG} == dict.fromkeys(WRONG, 0), [part["seeds"] for part in parts]
    assert total["schedules"] == SCHEDULES
