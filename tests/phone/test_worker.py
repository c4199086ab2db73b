"""The worker: every address that it keeps is there, its name is the content's, and what it does in a browser's place."""

from __future__ import annotations

import json
import re
import shutil
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpResponse
from django.test import RequestFactory

from hardpan.site.guard import SiteRequest
from hardpan.site.phone import worker
from tests.phone.scripts import QUEUE, SCRIPTS, node
from tests.site.conftest import Browser, Cast, _collected, _no_rates_left_over, cast

__all__ = ["_collected", "_no_rates_left_over", "cast"]

LINES = 100


def script(browser: Browser) -> str:
    answer = browser.get("/worker.js")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert answer.headers["Cache-Control"] == "no-cache"
    return answer.content.decode()


def kept(text: str) -> list[str]:
    """Addresses in a worker."""
    found = re.search(r"const KEPT = (\[[^]]*\]);", text)
    assert found
    addresses: list[str] = json.loads(found[1])
    return addresses


def test_every_address_that_it_keeps_is_there_under_its_hash(cast: Cast) -> None:
    browser = cast.browser("operator")
    addresses = kept(script(browser))
    manifest = staticfiles_storage.hashed_files  # type: ignore[attr-defined]  # of the manifest storage
    assert addresses == ["/static/" + manifest[name] for name in worker.kept_files()]
    for address in addresses:
        with closing(browser.get(address)) as answer:
            assert (address, answer.status_code) == (address, 200)
            assert "immutable" in answer.headers["Cache-Control"], address


def test_it_keeps_every_file_of_the_phone() -> None:
    ours = {f"phone/{path.relative_to(SCRIPTS).as_posix()}" for path in SCRIPTS.rglob("*") if path.is_file()}
    assert set(worker.kept_files()) == ours | {"site.css", "mark.svg"}
    assert {"phone/queue.js", "phone/sender.js", "phone/register.js"} <= ours


def test_scripts_import_each_other_by_their_hashed_names(cast: Cast) -> None:
    browser = cast.browser("operator")
    addresses = kept(script(browser))
    folder = "/static/phone/"
    imported = 0
    for address in (one for one in addresses if one.startswith(folder) and one.endswith(".js")):
        with closing(browser.get(address)) as answer:
            text = b"".join(answer).decode()
        for name in re.findall(r"""\bfrom\s+["']\./([^"']+)["']""", text):
            assert folder + name in addresses, f"{address} imports {name}"
            imported += 1
    assert imported >= 7


def test_anybody_may_have_it_even_a_phone_that_has_not_joined(cast: Cast) -> None:
    assert script(cast.browser("stranger")) == script(cast.browser("operator"))


def test_its_name_changes_when_a_file_does_and_only_then(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    addresses = worker.addresses(worker.kept_files())
    before = worker.version(addresses)
    assert re.fullmatch(r"[0-9a-f]{16}", before)
    assert worker.version(list(addresses)) == before
    content = (SCRIPTS / "queue.js").read_bytes()
    other = staticfiles_storage.file_hash("queue.js", _Content(content + b"\n"))  # type: ignore[attr-defined]  # the same
    renamed = [re.sub(r"(phone/queue\.)[0-9a-f]{12}", rf"\g<1>{other}", one) for one in addresses]
    assert sum(one != new for one, new in zip(addresses, renamed, strict=True)) == 1
    assert worker.version(renamed) != before
    assert worker.version(addresses[1:]) != before
    shutil.copytree(worker.HERE / "templates", tmp_path / "templates")
    with (tmp_path / "templates" / "phone" / "worker.js").open("a") as file:
        file.write("// another worker\n")
    monkeypatch.setattr(worker, "HERE", tmp_path)
    assert worker.version(addresses) != before


class _Content:
    """Content of a file, for the storage's hash."""

    def __init__(self, content: bytes) -> None:
        self._content = content

    def chunks(self) -> list[bytes]:
        return [self._content]


def test_a_page_is_marked_with_the_worker_that_it_fits(cast: Cast) -> None:
    @worker.kept_by_worker
    def page(_request: SiteRequest, *, words: str) -> HttpResponse:
        return HttpResponse(words)

    request: Any = RequestFactory().get("/")
    answer = page(request, words="a page")
    assert answer.content == b"a page"
    assert f'const VERSION = "{answer.headers[worker.VERSION]}";' in script(cast.browser("operator"))


def test_it_is_short(cast: Cast) -> None:
    assert len((worker.HERE / "templates" / "phone" / "worker.js").read_text(encoding="utf-8").splitlines()) < LINES
    assert "{" + "{" not in script(cast.browser("operator"))


def test_what_it_does_in_a_browser(cast: Cast, tmp_path: Path) -> None:
    path = tmp_path / "worker.js"
    path.write_text(script(cast.browser("operator")), encoding="utf-8")
    done = node(QUEUE / "worker.test.js", path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "# pass 12\n# fail 0\n" in done.stdout
