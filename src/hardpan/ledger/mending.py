"""Payloads about other entries: correction, withdrawal, signature; and every kind by its word."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, SerializeAsAny, ValidationInfo, field_validator

from hardpan.ledger import supplying as s
from hardpan.ledger import testing as t
from hardpan.ledger import working as w
from hardpan.ledger.moments import When
from hardpan.ledger.parts import EntryId, Payload, Short
from hardpan.street.given import quoted, wrong

PLAIN_KINDS: dict[str, type[Payload]] = {
    "slow drive": t.SlowDrive,
    "rate instruction": s.RateInstruction,
    "go/no-go": s.GoNoGo,
    "delivery ticket": s.DeliveryTicket,
    "pre-grade shots": w.PreGradeShots,
    "spreader fill": s.SpreaderFill,
    "spread run": s.SpreadRun,
    "rate change": s.RateChange,
    "run-out": s.RunOut,
    "tray check": s.TrayCheck,
    "mixing pass": w.MixingPass,
    "depth check": w.DepthCheck,
    "water truck coupled": s.WaterTruckCoupled,
    "water truck empty": s.WaterTruckEmpty,
    "squeeze": t.Squeeze,
    "moisture": t.Moisture,
    "rolling": w.Rolling,
    "walk-out": w.WalkOut,
    "levels": w.Levels,
    "curing": s.Curing,
    "density": t.DensityTest,
    "one-point": t.OnePoint,
    "penetrometer": t.Penetrometer,
    "axle test": t.AxleTest,
    "weather": t.Weather,
    "stop": w.Stop,
    "problem": w.Problem,
    "closed": w.Closed,
    "blade chatters": w.BladeChatters,
    "machine ruts": w.MachineRuts,
    "access": t.Access,
    "note": t.Note,
}


def payload_of(kinds: dict[str, type[Payload]], kind: object, value: object) -> object:
    """Payload of a kind; what is wrong with it is told at its own keys."""
    if isinstance(value, Payload):
        return value
    if kind not in kinds:
        return Payload()  # the kind has a problem of its own; its keys cannot be judged
    if not isinstance(value, dict):
        raise wrong(quoted(value), "an object of keys", "Write the payload's keys in braces.")
    return kinds[str(kind)].model_validate(value)


class Correction(Payload):
    """A whole payload in place of the one that ``corrects`` names.

    A place given with the correction replaces the place too; ``happened_at`` in here replaces the time.
    """

    words: ClassVar[str] = "correction"

    kind: str = Field(description="kind of the entry that is corrected")
    payload: SerializeAsAny[Payload]
    happened_at: When | None = Field(None, description="when it really happened; not said: as the corrected entry says")
    reason: Short = ""

    @field_validator("kind")
    @classmethod
    def _can_be_corrected(cls, kind: str) -> str:
        """Mendings and signatures are not corrected but withdrawn."""
        if kind not in PLAIN_KINDS:
            raise wrong(quoted(kind), "a kind of entry", "Withdraw a mending or a signature, and enter it anew.")
        return kind

    @field_validator("payload", mode="before")
    @classmethod
    def _read_payload(cls, value: object, info: ValidationInfo) -> object:
        """Typed by the kind beside it."""
        return payload_of(PLAIN_KINDS, info.data.get("kind"), value)


class Withdrawal(Payload):
    """The entry that ``corrects`` names shall not count."""

    words: ClassVar[str] = "withdrawal"

    reason: Short = ""


class Signature(Payload):
    """What somebody accepts or refuses, in the role that the entry carries."""

    words: ClassVar[str] = "signature"

    signed: Annotated[str, Field(min_length=1, max_length=200, description="what is signed, such as lot B1 densities")]
    decision: Literal["accepted", "refused"]
    entries: Annotated[tuple[EntryId, ...], Field(max_length=2_000)] = Field(
        (), description="entries that the signature rests on"
    )
    reason: Short = ""


KINDS: dict[str, type[Payload]] = PLAIN_KINDS | {
    "correction": Correction,
    "withdrawal": Withdrawal,
    "signature": Signature,
}
MENDINGS = ("correction", "withdrawal")
