"""The phone's engine: the day in taps. What can happen next, what the far look shows; a browser computes the same.

``day_of`` digests a plan for phones, ``offers`` says what can be tapped, ``look`` what is read from two metres, ``rows`` what was
done. Entries are plain data, as the ledger writes them: those that the server has and those that are still on the phone, in any order.
"""

from __future__ import annotations

from hardpan.compare.taps_day import Day, day_of
from hardpan.compare.taps_entering import doubt, entered, filled
from hardpan.compare.taps_look import Look, look
from hardpan.compare.taps_offers import Offer, offers
from hardpan.compare.taps_rows import Row, rows
from hardpan.compare.taps_words import ENGLISH, amount

__all__ = [
    "ENGLISH",
    "Day",
    "Look",
    "Offer",
    "Row",
    "amount",
    "day_of",
    "doubt",
    "entered",
    "filled",
    "look",
    "offers",
    "rows",
]
