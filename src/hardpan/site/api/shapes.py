"""Shapes of what the API takes and gives."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from ninja import Schema
from pydantic import ConfigDict, Field, model_validator

from hardpan.ledger.moments import When

MOST_ENTRIES = 500


class Problem(Schema):
    """One thing that is wrong."""

    where: str
    found: str
    allowed: str
    do: str


class Problems(Schema):
    """Everything that is wrong."""

    model_config = ConfigDict(populate_by_name=True)

    schema_name: Annotated[Literal["hardpan.problems/1"], Field(alias="schema")]
    problems: list[Problem]


class Me(Schema):
    """Who asks, and of which life of the store."""

    role: str
    name: str
    streets: list[str]
    epoch: str
    most_entries: int


class FileOfStreet(Schema):
    """A file of a street's folder."""

    name: str
    size: int
    sha256: str


class StreetInList(Schema):
    """A street."""

    slug: str
    name: str
    entries: int


class StreetWhole(StreetInList):
    """A street with its files."""

    files: list[FileOfStreet]
    content: str


class PostedEntries(Schema):
    """Entries as phones send them; what the phone's clock said is told once for all of them."""

    model_config = ConfigDict(extra="forbid")

    entries: Annotated[list[dict[str, Any]], Field(min_length=1, max_length=MOST_ENTRIES)]
    sent_at: When | None = None
    heard_at: When | None = None
    heard_said: When | None = None

    @model_validator(mode="after")
    def _heard_both(self) -> PostedEntries:
        """What was heard comes with when."""
        if (self.heard_at is None) != (self.heard_said is None):
            raise ValueError("one of heard_at and heard_said: send both or neither")
        return self


class AnswerToEntry(Schema):
    """What became of one entry; "already have it" is a success."""

    id: str
    answer: Literal["stored", "already have it", "refused"]
    sequence: int | None
    reason: list[Problem]


Covered = Annotated[
    str | None, Field(description="what was stored in this life of the store before that time is in a backup")
]


class AnswersToEntries(Schema):
    """Answers in the order of the post, the store's clock and its life."""

    epoch: str
    said_at: str
    covered_until: Covered
    answers: list[AnswerToEntry]


class ReceivedEntry(Schema):
    """An entry with its stamps and its place in the order of arrival."""

    sequence: int
    entry: dict[str, Any]
    received_at: str | None
    sent_at: str | None
    heard_at: str | None
    heard_said: str | None
    brought_by: Annotated[str, Field(description="role of who carried it from another's phone; empty: nobody did")]


class Entries(Schema):
    """Entries after a sequence number; ``more`` says that there are further ones."""

    epoch: str
    said_at: str
    covered_until: Covered
    entries: list[ReceivedEntry]
    last: int
    more: bool


class StateNow(Schema):
    """What the ledger adds up to, and how far it was read."""

    epoch: str
    said_at: str
    last: int
    state: dict[str, Any]


RecordFile = Literal["record.pdf", "record.xlsx", "record.jsonl"]


class OutlookNow(Schema):
    """What lies ahead, and how far the ledger was read."""

    epoch: str
    said_at: str
    last: int
    outlook: dict[str, Any]


class RefusedOne(Schema):
    """An entry that was refused because another one has its id."""

    entry: dict[str, Any]
    received_at: str | None


class Refused(Schema):
    """Everything that was refused and kept."""

    refused: list[RefusedOne]


class FolderTaken(Schema):
    """A street that was taken in, and what became of its ledger's entries."""

    slug: str
    name: str
    answers: list[AnswerToEntry]


class PhotoKept(Schema):
    """A photo: hash of what was sent, which its entry names, and of what is kept."""

    sent_sha256: str
    sha256: str
    media_type: str
    size: int
