"""One entry: something that somebody says happened, written once; and the entry as a store received it."""

from __future__ import annotations

import datetime as dt
from functools import cached_property
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, Field, SerializeAsAny, ValidationError, ValidationInfo, field_validator, model_validator

from hardpan.ledger.canonical import canonical
from hardpan.ledger.mending import KINDS, MENDINGS, PLAIN_KINDS, payload_of
from hardpan.ledger.moments import When
from hardpan.ledger.parts import EntryId, Payload, Place, Role, Said
from hardpan.ledger.problems import EntryProblem, LedgerError, explain
from hardpan.street.given import quoted, wrong

LATE = dt.timedelta(
    minutes=15
)  # entered later than that after it happened is "entered late"; common practice, no source
SLUG = r"^[a-z0-9]+(-[a-z0-9]+)*$"


Model = TypeVar("Model", bound=BaseModel)


class Entry(Said):
    """Something that somebody says happened; never changed, mended by a further entry."""

    id: EntryId
    street: Annotated[str, Field(pattern=SLUG, max_length=80, description="short name of the street, as kestrel-road")]
    kind: str = Field(description="one of the kinds of entry")
    place: Place | None = None
    happened_at: When
    entered_at: When
    role: Role
    name: Annotated[str, Field(max_length=80)] = ""
    device: Annotated[
        str, Field(pattern=r"^[A-Za-z0-9_-]{1,64}$", description="a name made on the device: letters, digits, - and _")
    ]
    payload: SerializeAsAny[Payload]
    photo: Annotated[str, Field(pattern="^[0-9a-f]{64}$", description="SHA-256 of the photo, 64 hex digits")] | None = (
        None
    )
    corrects: EntryId | None = None

    @field_validator("kind")
    @classmethod
    def _known_kind(cls, kind: str) -> str:
        """A kind that this version knows."""
        if kind not in KINDS:
            do = "Correct its spelling; a newer Hardpan may know it."
            raise wrong(quoted(kind), ", ".join(KINDS), do)
        return kind

    @field_validator("payload", mode="before")
    @classmethod
    def _read_payload(cls, value: object, info: ValidationInfo) -> object:
        """Typed by the kind."""
        return payload_of(KINDS, info.data.get("kind"), value)

    @model_validator(mode="after")
    def _mends_another(self) -> Entry:
        """A mending names the entry it mends; no other kind does."""
        if (self.corrects is not None) != (self.kind in MENDINGS):
            found = f"corrects with {self.kind}" if self.corrects else f"{self.kind} without corrects"
            raise wrong(found, "corrects with a correction or a withdrawal", "Name the entry that is mended there.")
        if self.corrects == self.id:
            raise wrong("its own id in corrects", "the id of another entry", "Name the entry that is mended.")
        return self

    @cached_property
    def late(self) -> bool:
        """Whether it was entered more than 15 minutes after it happened."""
        return self.entered_at.at - self.happened_at.at > LATE


class Received(Said):
    """An entry and its stamps: when it was sent and received, and what the device last heard of the store's clock."""

    entry: Entry
    received_at: When | None = None
    sent_at: When | None = None
    heard_at: When | None = None
    heard_said: When | None = None

    @model_validator(mode="after")
    def _heard_both(self) -> Received:
        """What was heard comes with when."""
        if (self.heard_at is None) != (self.heard_said is None):
            raise wrong("one of heard_at and heard_said", "both or neither", "Write both, or leave both out.")
        return self


def parse_entry(plain: object) -> Entry:
    """Entry of plain data, such as JSON gives.

    Raises
    ------
    LedgerError
        When anything in it cannot be taken; ``.problems`` lists every problem at once.
    """
    return _parsed(Entry, plain, "")


def parse_received(plain: object) -> Received:
    """Received entry of plain data; raises ``LedgerError`` with every problem at once."""
    return _parsed(Received, plain, "entry.")


def plain_entry(entry: Entry) -> dict[str, Any]:
    """Entry as plain data; what was not said is left out, times stand as they were written."""
    return entry.model_dump(mode="json", exclude_defaults=True)


def plain_received(received: Received) -> dict[str, Any]:
    """Received entry as plain data, with every stamp it has."""
    return received.model_dump(mode="json", exclude_defaults=True)


def entry_body(entry: Entry) -> bytes:
    """Canonical bytes of an entry: two entries are the same when their bodies are."""
    return canonical(plain_entry(entry))


def received_body(received: Received) -> bytes:
    """Canonical bytes of an entry and its stamps."""
    return canonical(plain_received(received))


def _parsed(model: type[Model], plain: object, before: str) -> Model:
    """Model of plain data, or every problem of it."""
    try:
        parsed = model.model_validate(plain)
    except ValidationError as error:
        raise LedgerError(explain(error, model, _typed_inside(plain, before))) from error
    if b"\\u0000" in canonical(parsed.model_dump(mode="json", exclude_defaults=True)):
        raise LedgerError([EntryProblem("", "a letter of code 0", "text", "Remove it: no keyboard writes it.")])
    return parsed


def _typed_inside(plain: object, before: str) -> dict[str, type[BaseModel]]:
    """Models of the payloads inside plain data, by key path."""
    entry = plain.get("entry") if before and isinstance(plain, dict) else plain
    if not isinstance(entry, dict):
        return {}
    found: dict[str, type[BaseModel]] = {}
    kind, payload = entry.get("kind"), entry.get("payload")
    if isinstance(kind, str) and kind in KINDS:
        found[f"{before}payload"] = KINDS[kind]
        inner = payload.get("kind") if isinstance(payload, dict) else None
        if kind == "correction" and isinstance(inner, str) and inner in PLAIN_KINDS:
            found[f"{before}payload.payload"] = PLAIN_KINDS[inner]
    return found
