"""The site's words in other languages: read out of the code and the templates into ``locale``, and compiled.

Without a word it brings the .po files up to what is marked and writes the .mo files beside them; what is no longer marked goes. Both are kept
in the repository, so that whoever installs Hardpan needs neither a compiler of messages nor this script.
"""

from __future__ import annotations

import ast
import datetime as dt
import io
import sys
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

ROOT = Path(__file__).resolve().parent.parent
SITE = ROOT / "src" / "hardpan" / "site"
LOCALE = SITE / "locale"
LANGUAGES = ("es", "fr")
ONE_DAY = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
HEAD = "# Words of the site. Trade terms wait for a native of the trade."
ONE = frozenset({"_", "gettext", "gettext_lazy", "gettext_noop"})
SEVERAL = frozenset({"ngettext", "ngettext_lazy"})
WITH_CONTEXT = frozenset({"pgettext", "pgettext_lazy"})
Marked = tuple[str | tuple[str, str], str | None]  # words, in the plural too where they are counted; context


def catalog_of(language: str | None = None) -> Catalog:
    """Empty catalogue; its head names nobody and no day, so that the same words have the same bytes."""
    return Catalog(
        locale=language, domain="django", project="Hardpan", version="1", charset="utf-8", fuzzy=False,
        header_comment=HEAD, msgid_bugs_address="Hardpan", last_translator="Hardpan", language_team="Hardpan",
        creation_date=ONE_DAY, revision_date=ONE_DAY,
    )  # fmt: skip


def marked(site: Path = SITE) -> Catalog:
    """Everything that is marked in the code and the templates of the site."""
    found = catalog_of()
    for path in sorted(site.rglob("*")):
        if path.suffix in (".py", ".html"):
            for words, context in _words(path):
                found.add(words, context=context, locations=[(path.relative_to(site).as_posix(), 1)])
    return found


def _words(path: Path) -> Iterator[Marked]:
    """Words marked in one file, each with its context."""
    text = path.read_text(encoding="utf-8")
    return _in_code(text) if path.suffix == ".py" else _in_template(text, str(path))


def _in_code(text: str) -> Iterator[Marked]:
    """Words of the calls that mark them, wherever they stand: a formatted string hides none."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            words = [arg.value for arg in node.args if isinstance(arg, ast.Constant) and isinstance(arg.value, str)]
            if name in ONE and words:
                yield words[0], None
            elif name in SEVERAL and len(words) > 1:
                yield (words[0], words[1]), None
            elif name in WITH_CONTEXT and len(words) > 1:
                yield words[1], words[0]


def _in_template(text: str, origin: str) -> Iterator[Marked]:
    """Words of a template: Django turns it into calls, which a reader of scripts finds between everything else."""
    source = io.BytesIO(templatize(text, origin=origin).encode())
    for _line, words, _comments, context in extract("javascript", source):
        yield (words if isinstance(words, str) else (words[0], words[1])), context


def kept(language: str, locale: Path = LOCALE) -> Catalog:
    """Catalogue of a language as it stands."""
    with (locale / language / "LC_MESSAGES" / "django.po").open("rb") as file:
        return read_po(file, locale=language, domain="django")


def compiled(catalog: Catalog) -> bytes:
    """Catalogue as gettext reads it."""
    made = io.BytesIO()
    write_mo(made, catalog)
    return made.getvalue()


def bring_up(language: str, locale: Path = LOCALE) -> list[str]:
    """Bring a language up to what is marked, and compile it; gives the words that it has no translation of."""
    folder = locale / language / "LC_MESSAGES"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "django.po"
    catalog = catalog_of(language)
    for one in kept(language, locale) if path.is_file() else ():
        if one.id:
            catalog[one.id] = one
    catalog.update(marked(), no_fuzzy_matching=True)
    for one in catalog:
        one.flags.discard("fuzzy")
    with path.open("wb") as file:
        write_po(file, catalog, width=120, sort_output=True, ignore_obsolete=True, include_lineno=False)
    (folder / "django.mo").write_bytes(compiled(kept(language, locale)))
    return [str(one.id) for one in catalog if one.id and "" in said(one)]


def said(one: Message) -> tuple[str, ...]:
    """What a message says in its language, one text a plural."""
    return (one.string or "",) if isinstance(one.string, str | None) else tuple(map(str, one.string))


def main() -> int:
    """Every language; exit 1 where words are missing."""
    missing = {language: bring_up(language) for language in LANGUAGES}
    for language, words in missing.items():
        print(f"{language}: {len(words)} without a translation", *words, sep="\n  ")
    return 1 if any(missing.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
