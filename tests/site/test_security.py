"""The page on security: every requirement answered, every test it names there; and what no other test shows."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.contrib.sessions.backends.base import VALID_KEY_CHARS
from django.core.signing import Signer
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from hardpan.site import roles
from hardpan.site.accounts.people import invitation
from hardpan.site.api.shapes import MOST_ENTRIES
from hardpan.site.join import codes
from hardpan.site.photos.cleaned import MOST_PIXELS
from hardpan.site.roles import ENTRY_KINDS, RULES, Role
from hardpan.site.streets.folders import MOST_BYTES, MOST_FILES
from tests.site.conftest import Browser, Cast
from tests.site.test_roles import ADDRESSES

ROOT = Path(__file__).parents[2]
SITE = ROOT / "src" / "hardpan" / "site"
SECURITY = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
# ids of level 1 by section, OWASP Application Security Verification Standard 5.0.0
LEVEL_1 = {
    "1.2": "12345", "1.3": "12", "1.5": "1", "2.1": "1", "2.2": "12", "2.3": "1", "3.2": "12", "3.3": "1", "3.4": "12", "3.5": "123",
    "4.1": "1", "4.4": "1", "5.2": "12", "5.3": "12", "6.1": "1", "6.2": "12345678", "6.3": "12", "6.4": "12", "7.2": "1234", "7.4": "12",
    "8.1": "1", "8.2": "12", "8.3": "1", "9.1": "123", "9.2": "1", "10.4": "12345", "11.3": "12", "11.4": "1", "12.1": "1", "12.2": "12",
    "13.4": "1", "14.2": "1", "14.3": "1", "15.1": "1", "15.2": "1", "15.3": "1",
}  # fmt: skip
ROWS = re.findall(r"^\| (\d+\.\d+\.\d+) \| (.*?) \| (.*?) ?\|$", SECURITY, re.MULTILINE)


def test_every_requirement_is_answered() -> None:
    wanted = [f"{section}.{number}" for section, numbers in LEVEL_1.items() for number in numbers]
    assert len(wanted) == 70  # as many as the standard counts on level 1
    assert [row[0] for row in ROWS] == wanted
    unanswered = [row[0] for row in ROWS if not row[2] and not row[1].startswith(("does not apply: ", "by whoever "))]
    assert unanswered == []


def test_every_test_that_the_page_names_is_there() -> None:
    named = re.findall(r"`(tests/\S+\.py)::(\w+)`", SECURITY)
    assert len(named) > 80
    there = {path: defined(ROOT / path) for path, _ in named}
    assert [f"{path}::{name}" for path, name in named if name not in there[path]] == []


def defined(path: Path) -> set[str]:
    """Names of the functions of a file of tests."""
    return {
        node.name for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.FunctionDef)
    }


def test_limits_that_the_page_tells_are_those_of_the_code() -> None:
    told = {
        roles.FORM: "{} bytes for a form",
        roles.ENTRIES: "{} for a post",
        roles.PHOTO: "{} for a photo",
        roles.FOLDER: "{} for a folder",
        MOST_BYTES: "{} bytes unpacked",
        MOST_PIXELS: "{} pixels",
        MOST_FILES: "{} files",
        MOST_ENTRIES: "{} entries",
    }
    text = " ".join(SECURITY.split())
    for number, words in told.items():
        assert words.format(f"{number:,}".replace(",", " ")) in text
    assert settings.AXES_FAILURE_LIMIT == 5
    assert settings.AXES_COOLOFF_TIME.total_seconds() == 15 * 60
    assert "Five wrong passwords for one name from one address close the door to that pair for 15 minutes" in text
    assert f"its {RULES['join'].a_minute} requests a minute" in text


def table() -> str:
    """The table of roles as the page of the site prints it."""
    who = [role for role in Role if role is not Role.STRANGER]
    head = "| | " + " | ".join(who) + " | stranger |\n" + "|---" * 7 + "|"

    def marks(read: frozenset[Role], write: frozenset[Role]) -> str:
        words = {(True, True): "read, write", (True, False): "read", (False, True): "write", (False, False): ""}
        return " | ".join(words[role in read, role in write] for role in (*who, Role.STRANGER))

    pages = [
        f"| `{name}`{' (account)' if rule.account else ''} | {marks(rule.read, rule.write)} |"
        for name, rule in RULES.items()
    ]
    kinds = [
        f"| {kind} | " + " | ".join("enters" if role in allowed else "" for role in who) + " |"
        for kind, allowed in ENTRY_KINDS.items()
    ]
    head_of_kinds = "| entry | " + " | ".join(who) + " |\n" + "|---" * 6 + "|"
    return "\n".join([head, *pages, "", head_of_kinds, *kinds])


def test_the_page_of_the_site_prints_the_table_of_roles() -> None:
    page = (ROOT / "docs" / "site.md").read_text(encoding="utf-8")
    assert f"<!-- roles -->\n\n{table()}\n" in page, table()


# what no other test shows


def calls(path: Path) -> set[str]:
    """Dotted names that a file calls."""
    return {
        ast.unparse(node.func)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    }


# what serves a request; starting, backing up and the doctor are commands of whoever runs the machine
REQUESTS = sorted(
    path
    for folder in (".", "accounts", "api", "entries", "join", "photos", "streets")
    for path in (SITE / folder).glob("*.py")
    if path.name not in ("command.py", "demo.py")
)


def test_the_site_starts_no_program_and_runs_no_text() -> None:
    forbidden = re.compile(r"(^|\.)(eval|exec|compile|system|popen|Popen|run|check_output|spawn\w*|loads)$")
    found = {f"{path.name}: {name}" for path in REQUESTS for name in calls(path) if forbidden.search(name)}
    assert {one for one in found if not one.endswith((": json.loads", ": re.compile"))} == set()
    assert len(REQUESTS) > 30


def test_no_sql_is_put_together_from_what_comes_in() -> None:
    found = {
        f"{path.name}: {name}"
        for path in REQUESTS
        for name in calls(path)
        if re.search(r"(^|\.)(raw|extra|execute|RawSQL|executemany|cursor)$", name)
    }
    assert found == {"append_only.py: editor.execute"}  # the triggers, from names that stand in the file


def test_reading_changes_nothing(cast: Cast) -> None:
    code = codes.open_code(cast.street, "operator", by=cast.people["foreman"])
    parts = {
        "slug": "teal-crescent",
        "person": cast.people["tester"].pk,
        "code": code.pk,
        "token": code.token,
        "uidb64": "MQ",
        "sha256": "0",
        "file": "record.jsonl",
    }
    for address in ADDRESSES:
        path = reverse(address.name, kwargs={part: parts[part] for part in address.parts})
        for who in ("owner", "operator"):
            browser = cast.browser(who)
            with CaptureQueriesContext(connection) as asked:
                browser.get(path)
            writing = [one["sql"] for one in asked if re.match(r"(INSERT|UPDATE|DELETE)", one["sql"])]
            # an invitation's first page puts its token into the session, and the store learns its epoch when first asked
            assert [sql for sql in writing if "django_session" not in sql and "entries_epoch" not in sql] == [], path


def test_every_answer_says_its_type_and_its_letters(cast: Cast) -> None:
    kinds: dict[str, Any] = {
        "/streets/": "text/html; charset=utf-8",
        "/streets/teal-crescent/strip-map.svg": "image/svg+xml; charset=utf-8",
        "/api/me": "application/json; charset=utf-8",
        "/api/nowhere": "application/json",  # JSON is UTF-8 by its standard, RFC 8259 section 8.1
        "/api/streets/teal-crescent/folder": "application/zip",
        "/static/site.css": 'text/css; charset="utf-8"',
        "/static/fonts/SourceSansPro-Bold.otf": "font/otf",
    }
    for path, kind in kinds.items():
        answer = cast.browser("owner").get(path)
        assert answer.headers["Content-Type"] == kind, path
        assert b"".join(answer), path  # read to its end, a file is closed


def test_a_session_is_named_by_more_than_128_bits(cast: Cast) -> None:
    key = cast.browser("owner").cookies[settings.SESSION_COOKIE_NAME].value
    assert len(VALID_KEY_CHARS) ** len(key) > 2**128


def test_an_invitation_that_was_changed_is_worth_nothing(cast: Cast) -> None:
    link = invitation(cast.people["tester"])
    for changed in (
        link[:-2] + ("a" if link[-2] != "a" else "b") + "/",
        link.replace("/invitation/", "/invitation/MQ", 1),
    ):
        assert "This invitation is over" in Browser().get(changed, follow=True).content.decode()


def test_only_approved_hashes_sign() -> None:
    assert default_token_generator.algorithm == "sha256"
    assert Signer().algorithm == "sha256"
    named = {found for path in REQUESTS for found in re.findall(r"hashlib\.\w+", path.read_text(encoding="utf-8"))}
    assert named == {"hashlib.sha256"}
    salted = [
        path.read_text(encoding="utf-8") for path in REQUESTS if "salted_hmac(" in path.read_text(encoding="utf-8")
    ]
    assert all(text.count("salted_hmac(") == text.count('algorithm="sha256"') for text in salted)
