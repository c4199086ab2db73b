"""What a phone's page is made of: the day's digest, the entries that the site has, the keys and rows as they stand now."""

from __future__ import annotations

import datetime as dt
import json
import uuid
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.urls import reverse
from django.utils import timezone, translation

from hardpan.compare import taps
from hardpan.ledger import State
from hardpan.plan import Plan
from hardpan.plan.zones import Zone
from hardpan.site.entries import store
from hardpan.site.entries.state import state_of
from hardpan.site.guard import SiteRequest
from hardpan.site.phone.speech import decimal_point, phrases
from hardpan.site.roles import ENTRY_KINDS, enters_as
from hardpan.site.streets import known
from hardpan.street import Street

PAGES = ("phone-day", "phone-far", "phone-drive", "phone-rates", "phone-tests", "phone-unsent")
MOST_ENTRIES = 5_000  # of one street on one page; older ones are in the record


@dataclass(frozen=True)
class Page:
    """A page of one street for one phone."""

    request: SiteRequest

    @cached_property
    def words(self) -> dict[str, str]:
        """Phrases in the language of the phone."""
        return phrases(translation.get_language() or "en")

    @cached_property
    def plan(self) -> Plan:
        """The street's plan."""
        return known.plan(self.request.street)

    @cached_property
    def state(self) -> State:
        """What the entries add up to."""
        return state_of(self.request.street)[1]

    @cached_property
    def entries(self) -> list[dict[str, Any]]:
        """Entries that the site has, as the ledger writes them, in order of arrival."""
        rows = store.rows_since(self.request.street, 0, most=MOST_ENTRIES)
        return [json.loads(bytes(row.body)) for row in rows]

    @cached_property
    def now(self) -> dt.datetime:
        """The instant, by the site's clock, in the offset that the street's entries are written in."""
        written = [one["happened_at"] for one in self.entries[-1:]]
        offset = dt.datetime.fromisoformat(written[0]).tzinfo if written else dt.UTC
        return timezone.now().astimezone(offset).replace(microsecond=0)

    @cached_property
    def role(self) -> str:
        """Role that stands in the entries of this phone."""
        return enters_as(self.request.caller.role)

    @cached_property
    def day(self) -> taps.Day:
        """Digest of the day."""
        role = self.request.caller.role
        may = [kind for kind, roles in ENTRY_KINDS.items() if role in roles]
        day = taps.day_of(self.plan, self.state, now=self.now, slug=self.request.street.slug, words=self.words, may=may)
        day["point"] = decimal_point(translation.get_language() or "en")
        return day

    @cached_property
    def offers(self) -> tuple[taps.Offer, ...]:
        """What can be tapped now."""
        return taps.offers(self.day, self.entries, now=self.now.isoformat())

    @property
    def device(self) -> str:
        """Device of entries that a form makes: they come from no phone's queue, but from the member's own page."""
        return f"page-{self.request.caller.key}"

    def made(self, kind: str, name: str) -> dict[str, Any]:
        """Envelope of an entry that happens now."""
        now = self.now.isoformat()
        return {
            "id": name, "street": self.request.street.slug, "kind": kind, "happened_at": now, "entered_at": now, "role": self.role,
            "device": self.device,
        }  # fmt: skip

    def told(self, name: str) -> dict[str, Any]:
        """Everything that a page's template and its script need."""
        slug = self.request.street.slug
        addresses = {page.removeprefix("phone-"): reverse(page, args=[slug]) for page in PAGES}
        now = self.now.isoformat()
        data = {
            "day": self.day,
            "entries": self.entries,
            "last": self.request.street.last_sequence,
            "role": self.role,
            "name": self.request.caller.name,
            "pages": [address for page, address in addresses.items() if page != "rates"],
            "addresses": addresses,
        }
        return {
            "street": self.request.street,
            "page": name,
            "w": self.words,
            "data": data,
            "addresses": addresses,
            "offers": self.offers,
            "rows": taps.rows(self.day, self.entries, now=now),
            "seen": taps.look(self.day, self.entries, now=now),
        }


def zone_lines(plan: Plan, page: Page) -> list[dict[str, str]]:
    """Zones of a plan in words: rate, how low, and where."""
    point, street = page.day["point"], plan.street
    found = []
    for zone, balance in zip(plan.zones, plan.balance, strict=True):
        rate = taps.amount(zone.rate.value, 1, point=point)
        low = taps.amount(balance.low.value * 1000, point=point)
        words = page.words["zone_line"].format(zone=zone.name, rate=rate, mm=low)
        found.append({"words": words, "where": "; ".join(_where(street, zone))})
    return found


def _where(street: Street, zone: Zone) -> list[str]:
    """Stretches of a zone: strips of the same ends are told together."""
    strips: dict[tuple[float, float], list[int]] = {}
    for piece in zone.pieces:
        strips.setdefault((piece.start_m, piece.end_m), []).append(piece.strip)
    return [street.place(start, end, tuple(numbers)) for (start, end), numbers in strips.items()]


def rates_in_force(page: Page) -> list[dict[str, str]]:
    """Instructions in force, the latest of every zone: zone, rate, words and ground."""
    point, street = page.day["point"], page.plan.street
    latest = {rule.zone: rule for rule in page.state.instructions}
    found = []
    for rule in latest.values():
        rate = taps.amount(rule.rate_kg_m2, 1, point=point)
        words = f"{rule.zone}: {page.words['rate'].format(rate=rate)}"
        where = page.words["elsewhere"] if rule.elsewhere else street.place(*rule.area)
        found.append({"zone": rule.zone, "rate": rate, "words": words, "where": where})
    return found


def places(page: Page) -> list[tuple[str, str]]:
    """Places that an instruction may start or end at: landmarks, painted edges, both ends; nobody types a station."""
    stationing = page.plan.street.stationing
    edges = {edge for zone in page.plan.zones for piece in zone.pieces for edge in (piece.start_m, piece.end_m)}
    marks = {mark.station for mark in stationing.landmarks} | edges | {stationing.first, stationing.last}
    return [(repr(station), stationing.place(station)) for station in sorted(marks)]


def people(page: Page) -> list[tuple[str, str]]:
    """Roles that may be present, as the ledger writes them and as the phone says them."""
    return [(role, page.words[role]) for role in ("engineer", "owner's rep", "foreman", "operator", "tester")]


def new_id() -> str:
    """Id as a device makes it: version 7 of the instant and of chance."""
    milliseconds = int(timezone.now().timestamp() * 1000)
    chance = uuid.uuid4().int & ((1 << 74) - 1)
    high, low = chance >> 62, chance & ((1 << 62) - 1)
    return str(uuid.UUID(int=(milliseconds << 80) | (7 << 76) | (high << 64) | (2 << 62) | low))
