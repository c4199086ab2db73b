"""Pages: their look by the numbers, usable without script, nothing inline, read by a machine that knows accessibility."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from functools import partial
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route, sync_playwright

from hardpan.site.accounts.people import invitation
from hardpan.site.join import codes
from hardpan.site.streets.models import StreetFile
from tests.site.conftest import Browser, Cast

SITE = Path(__file__).parents[2] / "src" / "hardpan" / "site"
TEMPLATES = sorted((SITE / "templates").glob("*.html"))
STYLE = (SITE / "static" / "site.css").read_text(encoding="utf-8")
CHROMIUM = Path("/usr/bin/chromium")
OPTIONS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip
SIZES = {"phone": (360, 740), "desk": (1280, 800)}
SEEN_ON = {"join": ("phone",), **dict.fromkeys(("sign in", "street", "codes", "people"), ("phone", "desk"))}
LEAST_KEY = 94  # a phone's 1/160 inch: 15 mm, for a thumb in a glove


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_is_short_and_holds_no_script_and_no_style(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) < 250
    assert re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=|javascript:", text) == []
    assert (
        re.findall(r"\|safe\b|autoescape off", text.replace("field.help_text|safe", "")) == []
    )  # Django's own help is HTML


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # WebAIM's much-quoted grey


def test_every_colour_of_text_stands_out_seven_to_one() -> None:
    root = re.search(r":root \{(.*?)\}", STYLE, re.DOTALL)
    assert root is not None
    tokens = dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", root[1]))
    assert set(tokens) == {"ink", "loam", "clay", "water", "stop", "straw", "bone", "rule", "paper"}
    for text in ("ink", "loam", "clay", "water", "stop"):
        for ground in ("#ffffff", tokens["bone"]):
            assert contrast(tokens[text], ground) >= 6.95, (text, ground)  # 7 as it is rounded
    assert contrast(tokens["ink"], tokens["straw"]) > 13


def test_the_style_fetches_nothing_from_elsewhere_and_has_no_shadow() -> None:
    assert set(re.findall(r"url\(\"([^\"]+)\"\)", STYLE)) == {
        f"fonts/SourceSansPro-{face}.otf" for face in ("Regular", "Semibold", "Bold", "Black")
    }
    assert re.findall(r"@import|shadow|gradient|opacity", STYLE) == []


# what the cast sees


def shown(cast: Cast) -> Iterator[tuple[str, str]]:
    """Pages by name, as HTML."""
    code = codes.open_code(cast.street, "operator", by=cast.people["foreman"])
    person = cast.people["tester"].pk
    pages = {
        "sign in": ("stranger", "/sign-in/"),
        "streets": ("owner", "/streets/"),
        "street": ("foreman", "/streets/teal-crescent/"),
        "codes": ("foreman", "/streets/teal-crescent/codes/"),
        "code": ("foreman", f"/streets/teal-crescent/codes/{code.pk}/"),
        "join": ("stranger", f"/join/{code.token}/"),
        "import": ("owner", "/new-street/"),
        "people": ("owner", "/people/"),
        "person": ("owner", f"/people/{person}/"),
        "password": ("reviewer", "/password/"),
        "invitation": ("stranger", invitation(cast.people["reviewer"])),
        "not there": ("owner", "/nowhere/"),
    }
    for name, (who, path) in pages.items():
        yield name, cast.browser(who).get(path, follow=True).content.decode()
    wrong = cast.browser("owner").post("/people/", {"name": "", "sign_in_name": "owner", "role": "operator"})
    yield "wrong form", wrong.content.decode()
    link = cast.browser("owner").post(f"/people/{person}/invite/")
    yield "link", link.content.decode()


class Outline(HTMLParser):
    """Elements of a page that people must be able to tell apart."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.labelled: set[str] = set()
        self.fields: list[dict[str, str]] = []
        self.tags: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self.tags.append(tag)
        if "id" in told:
            self.ids.append(told["id"])
        if tag == "label" and "for" in told:
            self.labelled.add(told["for"])
        if tag in ("input", "select", "textarea") and told.get("type") != "hidden":
            self.fields.append(told)


def test_pages_are_whole_and_every_field_has_its_label(cast: Cast) -> None:
    for name, page in shown(cast):
        outline = Outline(re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL))
        assert outline.tags.count("h1") == 1, name
        assert [one for one in ("html", "title", "main", "header", "footer") if outline.tags.count(one) != 1] == [], (
            name
        )
        assert len(outline.ids) == len(set(outline.ids)), name
        assert [field for field in outline.fields if field["id"] not in outline.labelled] == [], name
        assert "script" not in outline.tags, name  # every page works without one
        assert page.startswith("<!doctype html>"), name
        assert '<html lang="en">' in page, name


def test_what_people_typed_is_shown_as_text(cast: Cast) -> None:
    words = "<script>alert('x')</script>"
    cast.people["tester"].name = words
    cast.people["tester"].save()
    page = cast.browser("owner").get("/people/").content.decode()
    assert "<script" not in page
    assert "&lt;script&gt;alert(&#x27;x&#x27;)&lt;/script&gt;" in page


def test_what_stands_in_a_street_is_shown_as_text_in_its_drawing(cast: Cast) -> None:
    file = StreetFile.objects.get(street=cast.street, name="landmarks.csv")
    changed = bytes(file.content).replace(b"pole 1,", b"<script>alert(1)</script>,")
    assert changed != bytes(file.content)
    StreetFile.objects.filter(pk=file.pk).update(content=changed)
    for path in ("/streets/teal-crescent/", "/streets/teal-crescent/strip-map.svg"):
        page = cast.browser("foreman").get(path).content.decode()
        assert "<script" not in page
        assert "&lt;script&gt;alert(1)" in page


def test_a_gate_that_runs_by_itself_has_a_browser() -> None:
    assert CHROMIUM.exists() or "CI" not in os.environ, "install the package chromium"


@pytest.mark.skipif(not CHROMIUM.exists(), reason="no Chromium on this machine")
def test_a_machine_that_knows_accessibility_finds_nothing(cast: Cast, tmp_path: Path) -> None:
    pages = dict(shown(cast))
    files = {
        path: b"".join(Browser().get(path)) for path in files_of(pages.values())
    }  # read before the browser has its loop
    with sync_playwright() as engine:
        chromium = engine.chromium.launch(executable_path=str(CHROMIUM), args=OPTIONS)
        for name, page in pages.items():
            for size in SEEN_ON.get(name, ("desk",)):
                width, height = SIZES[size]
                tab = chromium.new_page(viewport={"width": width, "height": height})
                tab.route("**/*", partial(answer, page=page, files=files))
                tab.goto("https://testserver/")
                found = Axe().run(tab, options={"rules": {"target-size": {"enabled": True}}})
                assert found.violations_count == 0, f"{name}, {size}: {found.generate_report()}"
                assert tab.evaluate("document.documentElement.scrollWidth") <= width, (
                    f"{name}, {size}: wider than the window"
                )
                measure(tab, name)
                tab.screenshot(path=tmp_path / f"{name}-{size}.png".replace(" ", "-"), full_page=True)
                tab.close()
        chromium.close()


def files_of(pages: Any) -> set[str]:
    """Static files that pages name, and those that the style names."""
    told = {found for page in pages for found in re.findall(r"\"(/static/[^\"]+)\"", page)}
    style = next(path for path in told if path.endswith(".css"))
    text = b"".join(Browser().get(style)).decode()
    return told | {f"/static/{found}" for found in re.findall(r"url\(\"([^\"]+)\"\)", text)}


def answer(route: Route, *, page: str, files: dict[str, bytes]) -> None:
    """Answer the browser from what was read before."""
    path = route.request.url.removeprefix("https://testserver").split("?")[0]
    if path == "/":
        route.fulfill(body=page, content_type="text/html; charset=utf-8")
    elif path in files:
        kind = "text/css" if path.endswith(".css") else "image/svg+xml" if path.endswith(".svg") else "font/otf"
        route.fulfill(body=files[path], content_type=kind)
    else:
        route.abort()


def measure(tab: Page, name: str) -> None:
    """A phone's key is as large as a gloved thumb; elsewhere as large as a finger."""
    sizes = tab.eval_on_selector_all(
        "button:not(.word), .key",
        "keys => keys.map(key => { const box = key.getBoundingClientRect(); return [box.width, box.height] })",
    )
    least = LEAST_KEY if name == "join" else 44
    assert [size for size in sizes if min(size) < least] == [], name
