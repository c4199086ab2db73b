"""What happened: entries, the ledger they make in order, and the state they add up to.

An entry is written once and never changed; a mistake is mended by a further entry. ``fold`` adds entries in any order up to one
``State``: clocks, cement by three reckonings, water, passes, results. ``read_ledger`` and ``append`` keep them in a street folder,
``chain`` makes a record whose every change shows.
"""

from hardpan.ledger.chaining import chain, verify_chain
from hardpan.ledger.clocks import Clock
from hardpan.ledger.entry import (
    Entry,
    Received,
    entry_body,
    parse_entry,
    parse_received,
    plain_entry,
    plain_received,
    received_body,
)
from hardpan.ledger.folding import Folding, fold
from hardpan.ledger.lines import Appended, Ledger, append, read_ledger
from hardpan.ledger.mending import KINDS, MENDINGS
from hardpan.ledger.moments import Moment
from hardpan.ledger.parts import Payload, Place
from hardpan.ledger.placed import Event
from hardpan.ledger.problems import EntryProblem, LedgerError
from hardpan.ledger.standing import Standing
from hardpan.ledger.state import State

__all__ = [
    "KINDS",
    "MENDINGS",
    "Appended",
    "Clock",
    "Entry",
    "EntryProblem",
    "Event",
    "Folding",
    "Ledger",
    "LedgerError",
    "Moment",
    "Payload",
    "Place",
    "Received",
    "Standing",
    "State",
    "append",
    "chain",
    "entry_body",
    "fold",
    "parse_entry",
    "parse_received",
    "plain_entry",
    "plain_received",
    "read_ledger",
    "received_body",
    "verify_chain",
]
