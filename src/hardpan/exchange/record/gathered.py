"""Everything that a record rests on, gathered once: plan, ledger, state, acceptance, the chain over the ledger, the folder's files."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from hardpan.compare import Acceptance, propose_acceptance
from hardpan.compare.happened import Happened
from hardpan.exchange.record.words import Telling, days, place_words, when
from hardpan.ledger import Event, Ledger, Standing, State, chain, fold, read_ledger
from hardpan.ledger.lines import FILE as LEDGER_FILE
from hardpan.plan import Plan, make_plan
from hardpan.street import read_street
from hardpan.street.rows import TABLES

STREET_FILE = "street.toml"


@dataclass(frozen=True)
class Gathered:
    """A street's plan and ledger with what follows from them; ``files`` are the street folder's, as they are."""

    plan: Plan
    ledger: Ledger
    state: State
    acceptance: Acceptance
    lines: tuple[str, ...]
    files: tuple[tuple[str, bytes], ...] = ()

    @cached_property
    def telling(self) -> Telling:
        """Entries of this record in words."""
        return Telling(self.plan.street, [one.id for one in self.state.entries])

    @cached_property
    def happened(self) -> Happened:
        """Plan and state side by side."""
        return Happened(self.plan, self.state)

    @cached_property
    def standing(self) -> dict[str, Standing]:
        """Entries by id."""
        return {one.id: one for one in self.state.entries}

    @property
    def last_hash(self) -> str:
        """Last hash of the chain, in full."""
        found = json.loads(self.lines[-1])["hash"]
        return str(found)

    @property
    def empty(self) -> bool:
        """Whether nothing was entered."""
        return not self.state.entries

    @cached_property
    def days(self) -> str:
        """Days that the entries tell of: ``8 to 17 June 2026``; empty where there are none."""
        dates = [one.at.date() for one in self.state.entries]
        return days(min(dates), max(dates)) if dates else ""

    def event(self, name: str) -> Event | None:
        """Event of an entry; None where it does not count."""
        return self.happened.events.get(name)

    def place(self, one: Standing) -> str:
        """Place of an entry as it stands."""
        return place_words(self.plan.street, one.place)

    def refer(self, names: Iterable[str]) -> tuple[str, ...]:
        """Entries as they are referred to: ``c1c1e4 operator 9 June 07:45``."""
        found = [self.standing[name] for name in dict.fromkeys(names) if name in self.standing]
        return tuple(
            f"{self.telling.id(one.id)} {one.entry.role}{f', {one.entry.name},' if one.entry.name else ''} {when(one.happened_at)}"
            for one in found
        )


def gather(plan: Plan, ledger: Ledger, files: tuple[tuple[str, bytes], ...] = ()) -> Gathered:
    """Gather a record from a plan and a ledger."""
    state = fold(ledger.received, plan.street)
    return Gathered(plan, ledger, state, propose_acceptance(plan, state), tuple(chain(ledger.received)), files)


def gather_folder(folder: Path) -> Gathered:
    """Gather a record from a street folder.

    Raises
    ------
    StreetError
        When the folder cannot be read or planned.
    """
    ledger = read_ledger(folder)
    # the ledger is in the chain; its file comes along only where some of its lines cannot be read and so are in no chain
    names = [STREET_FILE, *TABLES, *([LEDGER_FILE] if ledger.problems else [])]
    files = tuple((name, (folder / name).read_bytes()) for name in names if (folder / name).is_file())
    return gather(make_plan(read_street(folder)), ledger, files)
