"""A street comes in as a folder and goes out byte for byte; what is no folder stays out."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import given
from hypothesis import strategies as st

from hardpan.ledger import parse_received, received_body
from hardpan.site.entries import store
from hardpan.site.streets.folders import MOST_FILES, FolderError, folder_of_files, folder_of_zip, zip_of
from hardpan.site.streets.models import Street
from tests.site.conftest import Browser, Cast, example_folder, new_id, note

TOML = b'schema = "hardpan.street/1"\n'


def zipped(members: dict[str, bytes], **told: Any) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", **told) as packed:
        for name, content in members.items():
            packed.writestr(name, content)
    return made.getvalue()


def send(browser: Browser, path: str, content: bytes | dict[str, bytes], **told: Any) -> Any:
    folder = {"street.zip": content} if isinstance(content, bytes) else content
    files = [SimpleUploadedFile(name, data) for name, data in folder.items()]
    return browser.post(path, {"files": files, **told})


def fetched(browser: Browser, slug: str) -> dict[str, bytes]:
    answer = browser.get(f"/api/streets/{slug}/folder")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/zip")
    top, folder = folder_of_zip(answer.content)
    assert top == slug
    return folder


def line(number: int, slug: str = "teal-crescent", **told: Any) -> bytes:
    stamps = {"received_at": "2026-06-09T14:05:21Z"}
    return received_body(parse_received({"entry": note(number, street=slug, **told), **stamps})) + b"\n"


AWKWARD = {
    "byte-order mark and other line ends": lambda content: b"\xef\xbb\xbf" + content.replace(b"\n", b"\r\n"),
    "no last line end": lambda content: content.rstrip(b"\n"),
    "spaces behind": lambda content: content + b"\n   \n\n",
}


@pytest.mark.parametrize("change", AWKWARD)
def test_a_folder_goes_out_exactly_as_it_came_in(cast: Cast, change: str) -> None:
    made: Callable[[bytes], bytes] = AWKWARD[change]
    folder = {name: made(content) for name, content in example_folder("kestrel-road").items()} | {"NOTES.txt": b"\xe9"}
    answer = send(cast.browser("foreman"), "/api/streets", zipped(folder), slug="as-it-came")
    assert (answer.status_code, answer.json()) == (201, {"slug": "as-it-came", "name": "Kestrel Road", "answers": []})
    assert fetched(cast.browser("foreman"), "as-it-came") == folder


@pytest.mark.parametrize("wrapped", ["kestrel-road/", ""])
def test_a_zip_may_hold_the_folder_or_its_files(cast: Cast, wrapped: str) -> None:
    folder = example_folder("kestrel-road")
    packed = zipped({f"{wrapped}{name}": content for name, content in folder.items()})
    assert send(cast.browser("owner"), "/api/streets", packed).json()["slug"] == "kestrel-road"
    assert fetched(cast.browser("owner"), "kestrel-road") == folder


def test_files_may_come_one_by_one(cast: Cast) -> None:
    folder = example_folder("kestrel-road")
    assert send(cast.browser("owner"), "/api/streets", folder).status_code == 201
    assert fetched(cast.browser("owner"), "kestrel-road") == folder


def test_whoever_brings_a_street_in_is_on_it(cast: Cast) -> None:
    send(cast.browser("foreman"), "/api/streets", example_folder("kestrel-road"))
    assert [who for who in ("foreman", "owner", "reviewer", "outsider") if reaches(cast, who)] == ["foreman", "owner"]


def reaches(cast: Cast, who: str) -> bool:
    return bool(cast.browser(who).get("/api/streets/kestrel-road").status_code == 200)


def test_a_broken_street_is_told_with_every_problem_and_not_stored(cast: Cast) -> None:
    broken = example_folder() | {"street.toml": b"[line]\nlength = -5\n", "readings.csv": b"from,to,word\n0,240,soup\n"}
    answer = send(cast.browser("owner"), "/api/streets", broken, slug="broken")
    assert answer.status_code == 422
    problems = answer.json()["problems"]
    assert len(problems) > 3
    assert {"street.toml, line.length", "readings.csv, row 2, word"} <= {problem["where"] for problem in problems}
    assert all(problem["found"] and problem["allowed"] and problem["do"] for problem in problems)
    assert not Street.objects.filter(slug="broken").exists()


def test_a_short_name_is_given_once_in_a_company(cast: Cast) -> None:
    answer = send(cast.browser("owner"), "/api/streets", example_folder())
    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (422, "slug")
    assert send(cast.browser("outsider"), "/api/streets", example_folder(), slug="other-crescent").status_code == 201


@pytest.mark.parametrize("slug", ["Teal", "teal_crescent", "../x", "a--b", "-a", "a-", "a" * 61, "é"])
def test_a_short_name_has_one_form(cast: Cast, slug: str) -> None:
    answer = send(cast.browser("owner"), "/api/streets", example_folder(), slug=slug)
    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (422, "form.slug")


# the ledger inside


def test_a_ledger_comes_in_with_its_folder_and_grows(cast: Cast) -> None:
    ledger = line(1) + b'{"entry": cut sho'
    folder = example_folder() | {"ledger.jsonl": ledger}
    owner = cast.browser("owner")
    answer = send(owner, "/api/streets", folder, slug="")
    assert answer.status_code == 422  # the name is taken: give another, and then the entries are of another street
    answer = send(owner, "/api/streets", folder, slug="elsewhere")
    assert answer.json()["problems"][0]["where"] == "ledger.jsonl, entry.street"
    folder["ledger.jsonl"] = ledger.replace(b"teal-crescent", b"elsewhere")
    answer = send(owner, "/api/streets", folder)
    assert answer.json()["slug"] == "elsewhere"
    assert [(one["answer"], one["sequence"]) for one in answer.json()["answers"]] == [("stored", 1)]
    assert fetched(owner, "elsewhere") == folder
    posted = note(2, street="elsewhere", role="foreman", kind="stop", payload={"state": "stopped", "reason": "rain"})
    body = json.dumps({"entries": [posted]})
    assert (
        owner.post("/api/streets/elsewhere/entries", body, content_type="application/json").json()["answers"][0][
            "answer"
        ]
        == "stored"
    )
    grown = fetched(owner, "elsewhere")["ledger.jsonl"]
    assert grown.startswith(folder["ledger.jsonl"] + b"\n")
    (row,) = store.rows_since(Street.objects.get(slug="elsewhere"), 1, most=9)
    assert grown == folder["ledger.jsonl"] + b"\n" + received_body(store.received(row)) + b"\n"


def test_replacing_a_folder_adds_to_the_ledger_and_takes_nothing_away(cast: Cast) -> None:
    owner = cast.browser("owner")
    with_one = example_folder() | {"ledger.jsonl": line(1)}
    assert [one["answer"] for one in send(owner, "/api/streets/teal-crescent/folder", with_one).json()["answers"]] == [
        "stored"
    ]
    again = with_one | {"ledger.jsonl": line(1, payload={"note": "other"}) + line(2), "NOTES.txt": b"new"}
    again.pop("structures.csv")
    answer = send(owner, "/api/streets/teal-crescent/folder", again)
    assert [one["answer"] for one in answer.json()["answers"]] == ["refused", "stored"]
    out = fetched(owner, "teal-crescent")
    assert set(out) == set(again)
    assert out["ledger.jsonl"] == line(1) + line(2)
    rows = store.rows_since(cast.street, 0, most=9)
    assert [(str(row.entry_id), row.received_at) for row in rows] == [
        (new_id(1), "2026-06-09T14:05:21Z"),
        (new_id(2), "2026-06-09T14:05:21Z"),
    ]


def test_a_broken_replacement_changes_nothing(cast: Cast) -> None:
    owner = cast.browser("owner")
    before = fetched(owner, "teal-crescent")
    assert send(owner, "/api/streets/teal-crescent/folder", {"street.toml": b"x"}).status_code == 422
    assert fetched(owner, "teal-crescent") == before


# what is no folder


def bomb(size: int) -> bytes:
    return zipped({"street.toml": b" " * size}, compression=zipfile.ZIP_DEFLATED)


def lying(content: bytes) -> bytes:
    """A zip that says that its file is short, in both places where it says so."""
    real, said = len(content).to_bytes(4, "little"), (10).to_bytes(4, "little")
    packed = zipped({"street.toml": content}, compression=zipfile.ZIP_DEFLATED)
    assert packed.count(real) == 2
    return packed.replace(real, said)


def link() -> bytes:
    member = zipfile.ZipInfo("street.toml")
    member.external_attr = 0o120777 << 16
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        packed.writestr(member, "/etc/passwd")
    return made.getvalue()


def locked() -> bytes:
    """A zip whose flags say that it is encrypted."""
    packed = bytearray(zipped({"street.toml": TOML}))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        packed[packed.index(mark) + at] |= 1
    return bytes(packed)


def twice() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        packed.writestr("street.toml", TOML)
        with pytest.warns(UserWarning, match="Duplicate name"):
            packed.writestr("street.toml", b"")
    return made.getvalue()


REFUSED: dict[str, tuple[Callable[[], bytes], str]] = {
    "bomb": (lambda: bomb(31_000_000), "a folder that is too large"),
    "bomb in many files": (lambda: zipped({f"{i}.csv": b"0" * 10**6 for i in range(40)}, compression=zipfile.ZIP_DEFLATED), "a folder that is too large"),
    "too many files": (lambda: zipped({f"{i}.csv": b"" for i in range(MOST_FILES + 1)}), "a folder that is too large"),
    "lies about its size": (lambda: lying(b"0123456789" * 100_003), "no whole zip"),
    "upward path": (lambda: zipped({"../street.toml": TOML}), "a name that is not taken"),
    "upward path inside": (lambda: zipped({"a/../../street.toml": TOML}), "a name that is not taken"),
    "path of the machine": (lambda: zipped({"/etc/street.toml": TOML}), "a name that is not taken"),
    "other machine's path": (lambda: zipped({"C:\\street.toml": TOML}), "a name that is not taken"),
    "two folders": (lambda: zipped({"a/street.toml": TOML, "b/street.toml": TOML}), "a name that is not taken"),
    "program": (lambda: zipped({"street.toml": TOML, "run.py": b""}), "a name that is not taken"),
    "page": (lambda: zipped({"index.html": b"<script>"}), "a name that is not taken"),
    "hidden file": (lambda: zipped({".street.toml": TOML}), "a name that is not taken"),
    "zip as a table": (lambda: zipped({"levels.csv": zipped({"a.csv": b""})}), "no text"),
    "link": (link, "a locked file or a link"),
    "locked": (locked, "a locked file or a link"),
    "twice": (twice, "the same name twice"),
    "same name to some machines": (lambda: zipped({"street.toml": TOML, "STREET.toml": TOML}), "the same name twice"),
    "cut short": (lambda: zipped({"street.toml": TOML})[:-30], "no whole zip"),
    "no zip": (lambda: b"street.toml", "no whole zip"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_no_folder_is_refused_and_told_why(cast: Cast, case: str) -> None:
    made, found = REFUSED[case]
    count = Street.objects.count()
    answer = send(cast.browser("owner"), "/api/streets", made(), slug="new")
    assert answer.status_code == 422
    assert found in {problem["found"] for problem in answer.json()["problems"]}
    assert Street.objects.count() == count


def test_a_body_that_is_too_large_is_refused_before_it_is_read(cast: Cast) -> None:
    answer = send(cast.browser("owner"), "/api/streets", {"street.toml": b"#" * 10_100_000})
    assert answer.status_code == 413
    assert "at most" in answer.json()["problems"][0]["allowed"]


NAMES = st.from_regex(r"\A[a-z][a-z0-9_-]{0,8}\.(toml|csv|jsonl|md|txt)\Z")


@given(
    st.dictionaries(NAMES, st.binary(max_size=60).filter(lambda content: b"\0" not in content), min_size=1, max_size=6)
)
def test_a_zip_gives_back_the_folder_and_the_same_bytes_each_time(folder: dict[str, bytes]) -> None:
    packed = zip_of("street", folder)
    assert folder_of_zip(packed) == ("street", folder)
    assert zip_of("street", dict(reversed(folder.items()))) == packed


@given(st.binary(max_size=300))
def test_bytes_that_are_no_zip_are_refused_in_words(content: bytes) -> None:
    with pytest.raises(FolderError):
        folder_of_zip(content)


def test_every_wrong_file_is_named_at_once() -> None:
    with pytest.raises(FolderError) as told:
        folder_of_files([("a.py", b""), ("street.toml", b""), ("b.exe", b""), ("c.csv", b"\0")])
    assert [wrong.where for wrong in told.value.wrongs] == ["a.py", "b.exe", "c.csv"]
