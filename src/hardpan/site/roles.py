"""Who may do what: the one table of roles, for every address of the site and every kind of entry.

``guard`` asks it before any page or API operation runs; an address that is not listed here answers nobody. What a caller may do is always within
their own company, and within the streets they are put on (owner: all of the company's; crew: the one street they joined).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a caller is on a street."""

    OPERATOR = "operator"
    FOREMAN = "foreman"
    TESTER = "tester"
    REVIEWER = "reviewer"
    OWNER = "owner"  # of the company's account: people and streets
    STRANGER = "stranger"  # nobody signed in, nobody joined


Roles = frozenset[Role]

NOBODY: Roles = frozenset()
EVERYBODY: Roles = frozenset(Role)
KNOWN = EVERYBODY - {Role.STRANGER}
OFFICE: Roles = frozenset({Role.FOREMAN, Role.TESTER, Role.REVIEWER, Role.OWNER})  # may have an account
BY_CODE: Roles = frozenset({Role.OPERATOR, Role.TESTER})  # may join by a code
STREET_KEEPERS: Roles = frozenset({Role.FOREMAN, Role.OWNER})
OWNER: Roles = frozenset({Role.OWNER})

FORM = 100_000
ENTRIES = 2_000_000
PHOTO = 8_000_000
FOLDER = 10_000_000
WRAPPING = 20_000  # of a file in a form


@dataclass(frozen=True, slots=True)
class Rule:
    """Who may read and write at one address, how often, and how much a body may hold."""

    read: Roles = NOBODY
    write: Roles = NOBODY
    account: bool = False  # only with an account, not by a crew's code
    a_minute: int = 300
    most_bytes: int = FORM


RULES: dict[str, Rule] = {
    # pages
    "home": Rule(read=EVERYBODY),
    "sign-in": Rule(read=EVERYBODY, write=EVERYBODY, a_minute=60),
    "sign-out": Rule(write=KNOWN),
    "invitation": Rule(read=EVERYBODY, write=EVERYBODY, a_minute=60),
    "password": Rule(read=OFFICE, write=OFFICE, account=True, a_minute=30),
    "join": Rule(read=EVERYBODY, write=EVERYBODY, a_minute=60),
    "streets": Rule(read=KNOWN),
    "street": Rule(read=KNOWN),
    "strip-map": Rule(read=KNOWN, a_minute=60),
    "import": Rule(read=STREET_KEEPERS, write=STREET_KEEPERS, account=True, a_minute=20, most_bytes=FOLDER + WRAPPING),
    "join-codes": Rule(read=STREET_KEEPERS, write=STREET_KEEPERS, account=True, a_minute=60),
    "join-code": Rule(read=STREET_KEEPERS, account=True, a_minute=60),
    "join-code-cancel": Rule(write=STREET_KEEPERS, account=True, a_minute=60),
    "people": Rule(read=OWNER, write=OWNER, account=True, a_minute=60),
    "person": Rule(read=OWNER, write=OWNER, account=True, a_minute=60),
    "person-invite": Rule(write=OWNER, account=True, a_minute=60),
    # the phone
    "worker": Rule(read=EVERYBODY),
    "manifest": Rule(read=EVERYBODY),
    "phone-day": Rule(read=KNOWN, write=KNOWN),
    "phone-far": Rule(read=KNOWN),
    "phone-drive": Rule(read=KNOWN, write=KNOWN),
    "phone-rates": Rule(read=KNOWN, write=KNOWN),
    "phone-tests": Rule(read=KNOWN, write=KNOWN),
    "phone-unsent": Rule(read=KNOWN),
    "board": Rule(read=KNOWN, a_minute=120),
    # API
    "api:openapi-json": Rule(read=KNOWN, a_minute=60),
    "api:api-root": Rule(),
    "api:me": Rule(read=KNOWN),
    "api:streets": Rule(read=KNOWN, write=STREET_KEEPERS, a_minute=60, most_bytes=FOLDER + WRAPPING),
    "api:street": Rule(read=KNOWN),
    "api:folder": Rule(read=KNOWN, write=STREET_KEEPERS, a_minute=60, most_bytes=FOLDER + WRAPPING),
    "api:plan": Rule(read=KNOWN, a_minute=60),
    "api:entries": Rule(read=KNOWN, write=KNOWN, most_bytes=ENTRIES),
    "api:refused": Rule(read=KNOWN),
    "api:state": Rule(read=KNOWN, a_minute=120),
    "api:outlook": Rule(read=KNOWN, a_minute=120),
    "api:record": Rule(read=KNOWN, a_minute=30),
    "api:photos": Rule(write=KNOWN, a_minute=120, most_bytes=PHOTO + WRAPPING),
    "api:photo": Rule(read=KNOWN),
}

CREW: Roles = frozenset({Role.OPERATOR, Role.FOREMAN})
CREW_AND_TESTER = CREW | {Role.TESTER}
ON_SITE = CREW_AND_TESTER | {Role.REVIEWER}
REVIEWER: Roles = frozenset({Role.REVIEWER})

# A tester records and never accepts; only a reviewer signs; anyone may stop the work, say that something is wrong, write a note.
# A labourer who joined as operator logs for the whole crew.
ENTRY_KINDS: dict[str, Roles] = {
    "slow drive": ON_SITE,
    "rate instruction": CREW | REVIEWER,
    "go/no-go": CREW,
    "delivery ticket": CREW,
    "pre-grade shots": CREW_AND_TESTER,
    "spreader fill": CREW,
    "spread run": CREW,
    "rate change": CREW,
    "run-out": CREW,
    "tray check": CREW_AND_TESTER,
    "mixing pass": CREW,
    "depth check": ON_SITE,
    "water truck coupled": CREW,
    "water truck empty": CREW,
    "squeeze": ON_SITE,
    "moisture": ON_SITE,
    "rolling": CREW,
    "walk-out": CREW,
    "levels": CREW_AND_TESTER,
    "curing": CREW_AND_TESTER,
    "density": frozenset({Role.TESTER, Role.REVIEWER}),
    "one-point": frozenset({Role.TESTER, Role.REVIEWER}),
    "penetrometer": ON_SITE,
    "axle test": ON_SITE,
    "weather": ON_SITE,
    "stop": KNOWN,
    "problem": KNOWN,
    "closed": CREW,
    "blade chatters": CREW,
    "machine ruts": CREW,
    "access": CREW,
    "note": KNOWN,
    "correction": ON_SITE,  # and of the corrected entry's own kind
    "withdrawal": ON_SITE,  # the same
    "signature": REVIEWER,
}


def enters_as(role: Role) -> str:
    """Role that stands in an entry of a caller; the ledger knows no owner of accounts, who speaks as the office's foreman."""
    return Role.FOREMAN.value if role is Role.OWNER else role.value
