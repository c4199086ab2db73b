"""Places that were not checked: said so, or a restart after a run-out that no tray tells of."""

from __future__ import annotations

from dataclasses import dataclass

from hardpan.compare.happened import Happened
from hardpan.ledger import Event
from hardpan.ledger.placed import of
from hardpan.ledger.supplying import RunOut, TrayCheck
from hardpan.ledger.working import PreGradeShots

RESTART_M = 5.0  # metres along from a run-out within which a tray tells of the restart (common practice, no source)


@dataclass(frozen=True, slots=True)
class NotChecked:
    """A place without a measurement; ``said`` whether somebody said so, or the record is silent."""

    entry: str
    kind: str
    place: str
    role: str
    at: str
    said: bool


def not_checked(happened: Happened) -> tuple[NotChecked, ...]:
    """Places that were said to be not checked, and restarts of which no tray tells, in order of happening."""
    found = []
    for event in happened.state.events:
        said = event.payload
        if isinstance(said, TrayCheck | PreGradeShots) and said.checked == "not checked":
            found.append(_not_checked(happened, event, event.standing.kind, said=True))
        elif isinstance(said, RunOut) and event.area is not None and not trays_at_restart(happened, event):
            found.append(_not_checked(happened, event, "tray at the restart", said=False))
    return tuple(found)


def trays_at_restart(happened: Happened, run_out: Event) -> list[TrayCheck]:
    """Trays set on the strip of a run-out, near it and since; those said to be not checked too."""
    return [
        said
        for event, said in of(TrayCheck, happened.state.events)
        if event.area is not None
        and run_out.area is not None
        and event.area.point
        and event.at >= run_out.at
        and event.area.strips == run_out.area.strips
        and abs(event.area.start_m - run_out.area.start_m) <= RESTART_M
    ]


def _not_checked(happened: Happened, event: Event, kind: str, *, said: bool) -> NotChecked:
    """One place."""
    standing = event.standing
    return NotChecked(event.id, kind, happened.where(event), standing.entry.role, standing.happened_at.written, said)
