"""Every table of a record in the order of the sheet: the same rows for the workbook and for the paper, units in the headers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from hardpan.exchange.record import entry_rows, proof_rows, work_rows
from hardpan.exchange.record.failures import Failure
from hardpan.exchange.record.gathered import Gathered
from hardpan.exchange.tables import Cell, Table

Rows = Iterator[tuple[Cell, ...]]


@dataclass(frozen=True, slots=True)
class Told:
    """A table with its heading on the sheet, and what is said in its place where it has no rows."""

    heading: str
    table: Table
    empty: str


@dataclass(frozen=True, slots=True)
class _Kind:
    """How one table is made."""

    heading: str
    name: str
    columns: str
    rows: Callable[[Gathered], Rows]
    empty: str

    def told(self, record: Gathered) -> Told:
        """The table of a record."""
        return Told(
            self.heading, Table(self.name, tuple(self.columns.split(", ")), tuple(self.rows(record))), self.empty
        )


LOTS = _Kind("acceptance lots", "lots", "lot, ground [m2], proposed, because, reviewer", proof_rows.lots, "no cement was spread, so there is no lot")  # fmt: skip
TESTS = _Kind("tests against limits", "tests", "test, place, found, limit, owner, side, remark, entry", proof_rows.tests, "no test was entered")  # fmt: skip
REST = (
    _Kind("levels against design", "levels", "what, place, found [m], wanted [m], off [mm], tolerance, side, entry", proof_rows.levels, "no level was entered that can be held against the design"),
    _Kind("shots as they were entered", "shots", "stage, station, side offset [m], level [m], down [mm], entry", proof_rows.shots, "no shot was entered"),
    _Kind("the three that must agree: rise by levels, by density, by water", "rise", "zone, planned [mm], by levels [mm], by density [mm], by water [mm], apart", proof_rows.agreement, "the street has no zone"),
    _Kind("clocks", "clocks", "block, from, began, to, ended, elapsed, limit, side, entry", work_rows.clocks, "no clock was started"),
    _Kind("cement by three reckonings", "cement", "place, ground [m2], instructed [kg], tickets [kg], fills [kg], fills [kg/m2], trays [kg], trays over [m2], fills - tickets [kg], trays - fills [kg], remark", work_rows.cement, "no cement was spread"),
    _Kind("loads by stretch", "stretches", "stretch, ground [m2], laid [kg], laid [kg/m2], known by, entry", work_rows.stretches, "no mass that was laid is known"),
    _Kind("deliveries", "deliveries", "ticket, arrived, ordered [kg], net [kg], gross [kg], tare [kg], cement, note, entry", work_rows.deliveries, "no delivery ticket was entered"),
    _Kind("water", "water", "what, litres [L], how it is known", work_rows.water, "no water was entered"),
    _Kind("nights of the cure", "nights", "blocks, night, morning of, lowest [C], limit, side, entry", work_rows.nights, "no night is asked for, and none was entered"),
    _Kind("curing", "curing", "when, place, method, water [L], rounds, entry", work_rows.curing, "no curing was entered"),
    _Kind("weather, stops and problems", "events", "when, what, place, said, entry", work_rows.happenings, "no weather, stop or problem was entered"),
    _Kind("access and complaints", "access", "when, what, state, entry", work_rows.access, "no access and no complaint was entered"),
    _Kind("structures and services", "structures", "what, place, top below pre-grade [m], exposed, method", work_rows.structures, "the street folder names none"),
    _Kind("photos", "photos", "when, kind, place, SHA-256 of the photo, entry", entry_rows.photos, "no photo was entered"),
    _Kind("signatures", "signatures", "when, role, name, signed, decision, reason, entry", entry_rows.signatures, "nobody has signed"),
    _Kind("who entered what", "roles", "role, name, entries, first, last", entry_rows.roles, "nobody has entered anything"),
    _Kind("clocks of the devices", "devices", "device, entries, ahead of the store at least [s], at most [s], judged", entry_rows.devices, "no device has sent or heard anything"),
    _Kind("conflicts, refused entries, lines that cannot be read", "conflicts", "kind, what", entry_rows.conflicts, "none"),
)  # fmt: skip
ENTRIES = _Kind("every entry, in order of happening", "entries", "entry, happened, by, kind, place, said, became, received", entry_rows.entries, "nothing was entered")  # fmt: skip


def record_tables(record: Gathered, failed: tuple[Failure, ...]) -> tuple[Told, ...]:
    """Every table of a record; entries come last."""
    different = Table(
        "what_was_different",
        ("failed place", "what was so near it", "away [m]", "how rare", "entries"),
        tuple(proof_rows.different(record, failed)),
    )
    why = Told("what was different at the failed places", different, "no test was outside its limit")
    return (LOTS.told(record), TESTS.told(record), why, *(kind.told(record) for kind in REST), ENTRIES.told(record))
