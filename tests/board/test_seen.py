"""The board in a browser: on a tablet, at twice the text, read by a machine that knows accessibility; pictures for the eye."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser as Chromium
from playwright.sync_api import Page, sync_playwright

from tests.board.boards import page, stored
from tests.compare.days import KESTREL, TEAL
from tests.site.conftest import Browser, Cast
from tests.site.test_pages import CHROMIUM, OPTIONS, answer

DAY = ((TEAL, "06-04 08:20"), (TEAL, "06-04 09:20"), (TEAL, "06-04 10:50"), (TEAL, "06-04 12:40"), (KESTREL, "06-09 10:18"), (KESTREL, "06-10 16:00"))  # fmt: skip
LEAST_TEXT = 12.5  # px, an arm away
pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason="no Chromium on this machine")


def boards(cast: Cast) -> dict[str, str]:
    """Pages by name, as HTML; French and Spanish at noon."""
    found = {}
    for name, instant in DAY:
        street = stored(cast, name, instant)
        called = f"{name.split('-')[0]}-{instant[6:].replace(':', '')}"
        found[called] = page(cast, street, instant, who="owner")
        if instant == "06-04 12:40":
            found |= {f"{called}-{tongue}": page(cast, street, instant, language=tongue) for tongue in ("fr", "es")}
    return found


SMALLEST = """() => Math.min(...[...document.querySelectorAll("main *, header *")]
  .filter(one => [...one.childNodes].some(child => child.nodeType === 3 && child.textContent.trim()) && one.tagName !== "title" && one.tagName !== "desc")
  .map(one => { const svg = one.closest("svg"); const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
                return parseFloat(getComputedStyle(one).fontSize) * scale }))"""
BELOW = """() => ["figure.drawing svg", "#clocks-head", "#next-head", "#cement-head", "#waits-head", ".next li", ".risk"]
  .filter(what => { const one = document.querySelector(what); return one && one.getBoundingClientRect().top > 720 })"""
FACES = """() => Promise.all([400, 600, 700, 900].map(weight => document.fonts.load(`${weight} 17px "Source Sans Pro"`)))
  .then(faces => { if (faces.some(one => one.length === 0)) throw new Error("a face is missing") })"""
WHERE = "document.activeElement.className"
RULES = {"target-size": {"enabled": True}, "color-contrast-enhanced": {"enabled": True}}  # the last one: 7 to 1


def files_of(pages: Iterable[str]) -> dict[str, bytes]:
    """Static files that pages name, and those that their styles name; read before the browser has its loop."""
    named = {found for told in pages for found in re.findall(r"\"(/static/[^\"]+)\"", told)}
    files = {path: b"".join(Browser().get(path)) for path in named}
    styles = [content.decode() for path, content in files.items() if path.endswith(".css")]
    inner = {f"/static/{found}" for style in styles for found in re.findall(r"url\(\"([^\"]+)\"\)", style)}
    return files | {path: b"".join(Browser().get(path)) for path in inner}


@contextmanager
def shown(
    chromium: Chromium, told: str, files: dict[str, bytes], *, width: int = 1280, zoom: int = 1
) -> Iterator[Page]:
    """A page in the browser, its files read before; at twice the text a window is half as wide."""
    tab = chromium.new_page(viewport={"width": width // zoom, "height": 800 // zoom}, device_scale_factor=zoom)
    tab.route("**/*", partial(answer, page=told, files=files))
    tab.goto("https://testserver/")
    tab.evaluate(FACES)
    yield tab
    tab.close()


def check(tab: Page, name: str) -> None:
    """Nothing that a machine finds, nothing wider than the window, nothing too small to read."""
    found = Axe().run(tab, options={"rules": RULES})
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    assert tab.evaluate("document.documentElement.scrollWidth") <= tab.evaluate("innerWidth"), f"{name}: too wide"
    assert tab.evaluate(SMALLEST) >= LEAST_TEXT, name


def step(tab: Page) -> str:
    """What the next press of the tab key reaches."""
    tab.keyboard.press("Tab")
    return str(tab.evaluate(WHERE))


def test_a_tablet_shows_the_board_readable_and_accessible(cast: Cast, tmp_path: Path) -> None:
    pages = boards(cast)
    files = files_of(pages.values())
    noon = pages["teal-1240"]
    with sync_playwright() as engine:
        chromium = engine.chromium.launch(executable_path=str(CHROMIUM), args=OPTIONS)
        for name, told in pages.items():
            with shown(chromium, told, files) as tab:
                tab.screenshot(path=tmp_path / f"{name}.png")
                tab.screenshot(path=tmp_path / f"{name}-whole.png", full_page=True)
                check(tab, name)
                assert tab.evaluate(BELOW) == [], f"{name}: below the first screen"
        with shown(chromium, noon, files, zoom=2) as tab:
            tab.screenshot(path=tmp_path / "twice.png", full_page=True)
            check(tab, "twice the text")
        with shown(chromium, noon, files, width=390) as tab:
            tab.screenshot(path=tmp_path / "phone.png", full_page=True)
            check(tab, "a phone")
        with shown(chromium, noon, files) as tab:
            tab.keyboard.press("Tab")
            assert tab.evaluate("document.activeElement.className") == "skip"
            reached = [step(tab) for _ in range(5)]
            assert reached[:3] == ["stop", "drawing", "drawing"]
        chromium.close()


def test_the_board_renews_itself_in_place_and_says_when_it_cannot(cast: Cast) -> None:
    first = page(cast, stored(cast, TEAL, "06-04 12:40"), "06-04 12:40")
    later = page(cast, cast.street, "06-04 12:41")
    files = files_of([first])
    with sync_playwright() as engine:
        chromium = engine.chromium.launch(executable_path=str(CHROMIUM), args=OPTIONS)
        tab = chromium.new_page(viewport={"width": 1280, "height": 800})
        tab.clock.install()
        tab.route("**/*", partial(answer, page=first, files=files))
        tab.goto("https://testserver/")
        tab.focus(".stop")
        tab.unroute_all()
        tab.route("**/*", partial(answer, page=later, files=files))
        tab.clock.run_for(31_000)
        tab.wait_for_function("document.querySelector('.clock').textContent.trim() === '12:41'")
        assert tab.evaluate(WHERE) == "stop"
        assert tab.is_hidden("#old")
        tab.unroute_all()
        tab.route("**/*", lambda route: route.abort())
        tab.clock.run_for(31_000)
        tab.wait_for_selector("#old", state="visible")
        assert tab.inner_text("#old") == "No signal: this is the board of 12:41."
        chromium.close()


def test_a_board_weighs_little(cast: Cast) -> None:
    told = page(cast, stored(cast, KESTREL, "06-09 10:18"), "06-09 10:18", who="owner")
    assert len(gzip.compress(told.encode())) < 12_000  # every half minute over a phone's share of a mast
