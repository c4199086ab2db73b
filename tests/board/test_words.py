"""The site in French and Spanish: nothing marked is left without words, the words keep what they were given, pages come in the language asked for."""

from __future__ import annotations

import gettext
import re
from html import unescape

import pytest
from babel.messages.catalog import Message
from django.utils import translation

from hardpan.ledger.clocks import STARTS
from hardpan.site.board import words
from hardpan.site.join import codes
from hardpan.street.places import say_strips
from scripts import messages
from tests.board.boards import ahead, board, happened, page, stored
from tests.compare.days import KESTREL, TEAL, street
from tests.site.conftest import Cast

PLACEHOLDER = re.compile(r"%\((\w+)\)(\w)")
INSTANTS = ((TEAL, "06-04 08:20"), (TEAL, "06-04 09:20"), (TEAL, "06-04 10:50"), (TEAL, "06-04 12:40"), (KESTREL, "06-09 10:18"), (KESTREL, "06-10 16:00"))  # fmt: skip
SAME = {
    "site",
    "machine",
    "Code",
    "Invitation",
    "air, \u00b0C",
    "%(event)s %(time)s",
}  # the same word in both languages


def of(language: str) -> dict[tuple[str | None, str], Message]:
    """Messages of a language by context and words."""
    return {key(one): one for one in messages.kept(language) if one.id}


def key(one: Message) -> tuple[str | None, str]:
    return one.context, one.id if isinstance(one.id, str) else one.id[0]


@pytest.mark.parametrize("language", messages.LANGUAGES)
def test_everything_that_is_marked_has_words_and_nothing_else_has(language: str) -> None:
    marked = {key(one) for one in messages.marked() if one.id}
    kept = of(language)
    assert len(marked) > 300
    assert marked - kept.keys() == set(), "run scripts/messages.py, and translate"
    assert kept.keys() - marked == set(), "run scripts/messages.py"
    assert [one.id for one in kept.values() if "" in messages.said(one) or one.fuzzy] == []


def test_words_are_found_in_code_and_in_templates() -> None:
    code = 'x = f"{_(\'inside\')} {ngettext(\'one\', \'many\', n)}"\ny = pgettext("where", "what")\nother("not this")'
    assert set(messages._in_code(code)) == {("inside", None), (("one", "many"), None), ("what", "where")}
    template = "{% load i18n %}{% translate 'plain' %}{{ x|default:_(\"odd\") }}{% blocktranslate with a=b %}of {{ a }}{% endblocktranslate %}"
    assert {one for one, _context in messages._in_template(template, "x.html")} == {"plain", "odd", "of %(a)s"}


@pytest.mark.parametrize("language", messages.LANGUAGES)
def test_words_keep_every_place_that_a_value_goes_to(language: str) -> None:
    wrong = []
    for one in of(language).values():
        wanted = sorted(PLACEHOLDER.findall(one.id if isinstance(one.id, str) else one.id[0]))
        wrong += [(one.id, text) for text in messages.said(one) if sorted(PLACEHOLDER.findall(text)) != wanted]
    assert wrong == []


@pytest.mark.parametrize("language", messages.LANGUAGES)
def test_what_is_compiled_is_what_is_written(language: str) -> None:
    with (messages.LOCALE / language / "LC_MESSAGES" / "django.mo").open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    for (context, text), one in of(language).items():
        if isinstance(one.id, tuple):
            for count in (0, 1, 2, 5):
                assert compiled.ngettext(one.id[0], one.id[1], count) in messages.said(one)
        else:
            said = compiled.pgettext(context, text) if context else compiled.gettext(text)
            assert (said,) == messages.said(one)


@pytest.mark.parametrize("language", messages.LANGUAGES)
def test_words_are_translated_not_copied(language: str) -> None:
    copied = {one.id for one in of(language).values() if messages.said(one)[0] == one.id}
    assert copied <= SAME


@pytest.mark.parametrize("language", messages.LANGUAGES)
def test_trade_terms_wait_for_a_native_of_the_trade(language: str) -> None:
    kept = of(language)
    for word in words.KNOWN:
        assert "to be checked by a native of the trade" in kept[None, word].user_comments, word


# words of the engine


def test_no_word_of_the_engine_reaches_the_board_untranslated() -> None:
    for name, until in INSTANTS:
        told = ahead(name, until)
        for task in (*told.of("operator"), *told.of("tester")):
            handled = task.machine == "spreader" or re.fullmatch(r"dry pass \d", task.what)
            assert handled or task.what in words.KNOWN, task.what
            assert task.machine in words.KNOWN | {""}
            assert task.waits_for.partition(" on block ")[0] in words.KNOWN | {""}
            assert task.setting in words.KNOWN | {""}
        assert {one.kind for one in told.not_checked} <= words.KNOWN
    assert set(STARTS) <= words.KNOWN


def test_places_are_said_as_the_street_says_them() -> None:
    for name in (TEAL, KESTREL):
        known = street(name)
        for station in (0, 17, 18, 35, 104.4, 130, 239.6):
            assert words.spot(station, known) == known.painted(station)
        for strips in ((1,), (2, 3), (1, 2, 3), (1, 2, 3, 4)):
            assert words.strips(strips, known) == say_strips(strips, 4).replace(" and ", " to ")


# the pages


def test_the_board_speaks_french_and_spanish_with_their_decimal_sign() -> None:
    french, spanish = (board(KESTREL, "06-09 10:18", language) for language in ("fr", "es"))
    assert french.next[1].what == "\u00e9pandeur: \u00e9pandre la bande 4, 24\u00a0kg/m\u00b2"
    assert dict(french.waits)["\u00e9pandeur"].startswith("14,0 m de la bande 4 nus")
    assert spanish.risks[0].by == "compactar antes de las 11:20"
    assert [one.time for one in french.next] == [one.time for one in board(KESTREL, "06-09 10:18").next]
    assert "14,0 m nus" in str(french.map)


def test_language_changes_no_value() -> None:
    def figures(language: str) -> list[str]:
        made = board(TEAL, "06-04 12:40", language)
        said = " ".join(row.figure for row in (*made.cement, *made.water))
        return re.findall(r"[\d\u2009]*\d", said.replace(",", "."))

    assert figures("fr") == figures("es") == figures("en")


@pytest.mark.parametrize("language", messages.LANGUAGES)
def test_every_page_comes_in_the_language_that_is_asked_for(cast: Cast, language: str) -> None:
    code = codes.open_code(cast.street, "operator", by=cast.people["foreman"])
    pages = [
        ("stranger", "/sign-in/"),
        ("stranger", f"/join/{code.token}/"),
        ("owner", "/people/"),
        ("owner", "/new-street/"),
    ]
    pages += [("foreman", path) for path in ("/streets/", "/streets/teal-crescent/codes/", "/password/", "/nowhere/")]
    told = [cast.browser(who).get(path, headers={"accept-language": language}).content.decode() for who, path in pages]
    told.append(page(cast, stored(cast, TEAL, "06-04 12:40"), "06-04 12:40", language=language))
    with translation.override(language):
        english = [
            one
            for _context, one in of(language)
            if len(one) > 11 and "%" not in one and translation.gettext(one) != one
        ]
    for (_who, path), page_ in zip([*pages, ("", "board")], told, strict=True):
        assert f'<html lang="{language}">' in page_, path
        seen = unescape(re.sub(r"<[^>]*lang=\"en\"[^>]*>.*?</li>", "", page_))
        assert [one for one in english if re.search(rf"(?<!\w){re.escape(one)}(?!\w)", seen)] == [], path


def test_events_of_the_ledger_stay_as_people_wrote_them() -> None:
    with translation.override("fr"):
        assert words.said("pole 4, the dog") == "pole 4, the dog"
        assert (
            words.place(happened(TEAL, "06-04 12:40").state.run_outs[0][1], street(TEAL))
            == "6 m avant no. 19 (0+130), bande 1"
        )
