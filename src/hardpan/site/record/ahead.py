"""What lies ahead of a stored street's crew."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from hardpan.compare.outlook import Outlook, look_ahead
from hardpan.ledger import State
from hardpan.site.entries.state import state_of
from hardpan.site.streets.known import plan
from hardpan.site.streets.models import Street


def outlook_of(street: Street) -> tuple[int, Outlook]:
    """Sequence number of the last entry, and the outlook after it; raises ``StreetError`` where the street cannot be planned."""
    last, state = state_of(street)
    return last, look_ahead(plan(street), state, now=timezone.now().astimezone(crew_time(state)))


def crew_time(state: State) -> dt.tzinfo:
    """Time that the crew's watches show: that of the last entry, UTC where there is none."""
    return (state.entries[-1].at.tzinfo if state.entries else None) or dt.UTC
