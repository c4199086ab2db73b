"""The fold: entries in any order, one state."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from hardpan.ledger.clocks import held_strips, run_clocks
from hardpan.ledger.entry import Received
from hardpan.ledger.ground import Ground, lay_rules, rules_of
from hardpan.ledger.hopper import runs_of, walk_hopper
from hardpan.ledger.placed import Event, of, place_events
from hardpan.ledger.progress import walk_bays
from hardpan.ledger.reckoning import reckon
from hardpan.ledger.results import after_bad, results_of
from hardpan.ledger.skew import Skew, skews
from hardpan.ledger.standing import Kept, Standing, keep, stand
from hardpan.ledger.state import State
from hardpan.ledger.supplying import DeliveryTicket, RateInstruction, RunOut
from hardpan.ledger.water import reckon_water
from hardpan.street import Street
from hardpan.street.figure import Notice

_TOLD = ("waiting", "not counted")


def fold(received: Iterable[Received], street: Street) -> State:
    """State that entries add up to; pure, and the same for every order of the same entries."""
    return _fold(keep(received), street, Ground(street))


class Folding:
    """A fold that takes entries as they come; equal to the fold of the whole at every moment."""

    def __init__(self, street: Street) -> None:
        self._street, self._ground = street, Ground(street)
        self._received: list[Received] = []
        self._state: State | None = None

    def add(self, received: Received) -> None:
        """Take one more entry."""
        self._received.append(received)
        self._state = None

    @property
    def state(self) -> State:
        """State of all entries so far."""
        if self._state is None:
            self._state = _fold(keep(self._received), self._street, self._ground)
        return self._state


def _fold(kept: Kept, street: Street, ground: Ground) -> State:
    """State of one body an id."""
    standing = stand(kept.by_id)
    events, blocks = place_events(standing, ground)
    instructed = [one for one in standing if type(one.payload) is RateInstruction and one.counts]
    rules = rules_of(street, ground, instructed, blocks=blocks)
    laid = lay_rules(ground, rules)
    runs = runs_of(events)
    hopper = walk_hopper(events, runs)
    cement = reckon(events, runs, hopper, ground=ground, laid=laid)
    clock_skews = skews([*kept.by_id.values(), *kept.refused])
    return State(
        entries=standing,
        events=events,
        refused=kept.refused,
        blocks=blocks,
        instructions=rules,
        runs=runs,
        laid=hopper.laid,
        run_outs=tuple((event.id, event.area) for event, _ in of(RunOut, events) if event.area is not None),
        bays=walk_bays(events, runs, ground, laid=laid),
        clocks=run_clocks(street, events, ground, blocks=blocks),
        held=held_strips(events),
        cement=cement,
        water=reckon_water(events, ground, street),
        results=results_of(standing, street, ground, laid=laid, blocks=blocks),
        after_bad=after_bad(standing, street, ground, laid=laid, events=events, blocks=blocks),
        skews=clock_skews,
        notices=(
            *_notices(standing, kept, clock_skews),
            *_place_notices(events),
            *_ticket_notices(events),
            *cement.notices,
        ),
    )


def _notices(standing: tuple[Standing, ...], kept: Kept, clock_skews: dict[str, Skew]) -> Iterator[Notice]:
    """Notices about the entries themselves."""
    for refused in kept.refused:
        message = f"entry {refused.entry.id} came again with other content: the first that was received counts"
        yield Notice("conflict", message, value=refused.entry.kind)
    for one in standing:
        if one.conflicting or one.status in _TOLD or one.entry.happened_at.at > one.entry.entered_at.at:
            yield from _entry_notices(one)
    for skew in clock_skews.values():
        if skew.wrong:
            yield Notice("conflict", f"the clock of device {skew.device} is {_wrong_by(skew)}: both readings are shown")
    if len({one.entry.street for one in standing}) > 1:
        streets = Counter(one.entry.street for one in standing)
        told = ", ".join(f"{count} of {name}" for name, count in sorted(streets.items()))
        yield Notice("conflict", f"entries of more than one street: {told}")


def _entry_notices(one: Standing) -> Iterator[Notice]:
    """Notices about one entry."""
    if one.conflicting:
        yield Notice("conflict", f"two mendings of one entry disagree: {one.kind} {one.id}; the later counts")
    if one.status == "waiting":
        yield Notice("missing", f"{one.kind} {one.id} mends an entry that is not here: {one.entry.corrects}")
    if one.status == "not counted":
        yield Notice("conflict", f"{one.kind} {one.id} does not fit the entry that it mends: {one.entry.corrects}")
    if one.entry.happened_at.at > one.entry.entered_at.at:
        yield Notice("conflict", f"{one.kind} {one.id} is said to happen after it was entered")


def _wrong_by(skew: Skew) -> str:
    """How wrong a clock is, in words."""
    if skew.torn:
        return "wrong, or was set in between"
    least = "" if skew.at_least_s is None else f"at least {skew.at_least_s:.0f} s"
    most = "" if skew.at_most_s is None else f"at most {skew.at_most_s:.0f} s"
    return f"{' and '.join(part for part in (least, most) if part)} ahead of the store's"


def _place_notices(events: tuple[Event, ...]) -> Iterator[Notice]:
    """A notice for every entry whose place the street does not have."""
    for event in events:
        place = event.standing.place
        if event.area is None and place is not None and (place.start_m is not None or place.landmark):
            message = (
                f"{event.standing.kind} {event.id} lies off the street, or names a landmark or strip that it has not"
            )
            yield Notice("conflict", message, value=place.landmark or f"{place.start_m:g} m")


def _ticket_notices(events: tuple[Event, ...]) -> Iterator[Notice]:
    """A notice for every ticket whose weights do not add up, and for a number that came twice."""
    seen: Counter[str] = Counter()
    for _, ticket in of(DeliveryTicket, events):
        seen[ticket.ticket] += 1
        if ticket.gross_kg is not None and ticket.tare_kg is not None:
            net = ticket.gross_kg - ticket.tare_kg
            if abs(net - ticket.net_kg) > 1.0:
                message = f"ticket {ticket.ticket}: gross less tare is {net:.0f} kg, its net says {ticket.net_kg:.0f}"
                yield Notice("conflict", message)
    for number, count in seen.items():
        if count > 1:
            yield Notice("conflict", f"ticket {number} was entered {count} times: withdraw all but one")
