"""The page of the file format says what the models take."""

from __future__ import annotations

import json
import re

from hardpan.ledger import KINDS, fold, parse_received
from tests.ledger.making import kestrel
from tests.ledger.page import PAGE, whole

TEXT = PAGE.read_text(encoding="utf-8")


def test_page_is_the_one_that_the_models_make() -> None:
    assert whole(TEXT) == TEXT, "run python -m tests.ledger.page"


def test_every_kind_has_its_table() -> None:
    assert re.findall(r"^### (.+)$", TEXT.partition("## Kinds\n")[2].partition("## Parts\n")[0], re.MULTILINE) == list(
        KINDS
    )


def test_every_number_ends_in_its_unit_or_counts() -> None:
    numbers = re.findall(r"^\| `(\w+)` \| ([^|]*) \| (?:a |whole )?(whole )?numbers?", TEXT, re.MULTILINE)
    bare = {key for key, unit, _ in numbers if not unit.strip()}
    assert bare == {"strips", "cuts", "number", "passes", "rounds", "blows"}


def test_the_line_on_the_page_is_an_entry() -> None:
    (block,) = re.findall(r"```json\n(.*?)```", TEXT, re.DOTALL)
    received = parse_received(json.loads(block))
    assert fold([received], kestrel()).events[0].area == (35, 35, (4,))
