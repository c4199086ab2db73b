"""The state that a street's ledger adds up to: folded once, then only the entries that came since."""

from __future__ import annotations

import threading
from collections import OrderedDict

from hardpan.ledger import Folding, State
from hardpan.site.entries import store
from hardpan.site.entries.models import epoch
from hardpan.site.streets.known import Files, known
from hardpan.site.streets.models import Street

MOST_KEPT = 16
PAGE = 1_000

_ONE_AT_A_TIME = threading.Lock()
_kept: OrderedDict[tuple[int, str, str], tuple[int, Folding]] = OrderedDict()


def state_of(street: Street) -> tuple[int, State]:
    """Sequence number of the last entry, and the state up to it."""
    key = (
        street.pk,
        Files(street.folder()).hash,
        str(epoch()),
    )  # other limits or another life of the store: folded anew
    with _ONE_AT_A_TIME:
        last, folding = _kept.pop(key) if key in _kept else (0, Folding(known(street)))
        while rows := store.rows_since(street, last, most=PAGE):
            for row in rows:
                folding.add(store.received(row))
            last = rows[-1].sequence
        _kept[key] = (last, folding)
        if len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
        return last, folding.state
