"""Phrases of the phone: every language has all of them, with the same gaps to fill in; scripts and templates ask for none that is not there."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import hardpan.site.phone
from hardpan.compare.taps import ENGLISH
from hardpan.site.phone.speech import FOLDER, decimal_point, phrases

HERE = Path(hardpan.site.phone.__path__[0])
LANGUAGES = sorted(path.stem for path in FOLDER.glob("*.json") if path.stem != "en")


def gaps(text: str) -> list[str]:
    return sorted(re.findall(r"\{(\w+)\}", text))


def test_pages_and_engine_share_no_key() -> None:
    assert not ENGLISH.keys() & json.loads((FOLDER / "en.json").read_text(encoding="utf-8")).keys()


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_is_whole(language: str) -> None:
    english, told = phrases("en"), phrases(language)
    assert told.keys() == english.keys()
    assert not [key for key, text in told.items() if gaps(text) != gaps(english[key])]
    assert not [key for key, text in told.items() if not text.strip()]


def test_a_language_that_has_no_table_is_english_and_keeps_its_decimal_sign() -> None:
    assert phrases("de-at") == phrases("en")
    assert (decimal_point("fr-ca"), decimal_point("en"), decimal_point("es")) == (",", ".", ",")


def test_what_scripts_and_templates_ask_for_is_there() -> None:
    asked: set[str] = set()
    for path in (HERE / "static" / "phone").glob("*.js"):
        text = path.read_text(encoding="utf-8")
        asked |= set(re.findall(r"""\b(?:say|tell)\("(\w+)\"""", text))
        asked |= set(re.findall(r"""\b(?:told|page)?\.?w\.(\w+)\b""", text))
    for path in (HERE / "templates" / "phone").glob("*.html"):
        asked |= set(re.findall(r"\bw\.(\w+)", path.read_text(encoding="utf-8")))
    assert len(asked) > 100
    assert not asked - phrases("en").keys()
