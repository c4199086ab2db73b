"""The phone's pages in a real browser: the whole day tapped through, a lane driven, sizes, contrast, no signal, no script."""

from __future__ import annotations

import datetime as dt
import gzip
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Response, expect

from hardpan.compare import taps
from hardpan.ledger import fold, parse_received
from tests.compare.taps_days import plan_of
from tests.phone import served
from tests.phone.served import Site

TREMBLE = 360  # milliseconds in which a second tap is a thumb that trembles
LEAST_KEY = 94  # pixels: 15 mm
PAGES = ("", "far/", "drive/", "rates/", "tests/", "unsent/")
MOST_TAPS, MEAN_TAPS, LANE_TAPS = 2, 1.4, 12
CONTRAST = 7.0
FIRST_OPEN = 60_000  # bytes, compressed
SHOTS = os.environ.get("HARDPAN_SHOTS", "")  # a folder to look at the pages in
TEAL = "teal-crescent"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    with served.served(tmp_path_factory.mktemp("site")) as made:
        yield made


@pytest.fixture(scope="module")
def started() -> Iterator[Browser]:
    with served.chromium() as made:
        yield made


@pytest.fixture
def browser(started: Browser) -> Iterator[Browser]:
    yield started
    for context in started.contexts:
        context.close()


@pytest.fixture(scope="module")
def busy(site: Site) -> str:
    """Code of a street in the middle of its day; nothing is entered there that another test would miss."""
    return site.busy.pop()


def joined(browser: Browser, site: Site, code: str, **more: Any) -> BrowserContext:
    return served.phone(browser, site.address, code, **more)


def sent(page: Page, site: Site) -> list[dict[str, Any]]:
    """Entries that the site has, as it hands them out."""
    answer = page.request.get(f"{site.address}/api/streets/{TEAL}/entries")
    return [one["entry"] for one in answer.json()["entries"]]


def opened(context: BrowserContext, site: Site, path: str = "", *, time: str = "2026-06-04T06:00:00-06:00") -> Page:
    page = context.new_page()
    page.on("pageerror", lambda error: pytest.fail(f"{path}: {error}"))
    served.at_time(page, time)
    page.goto(f"{site.address}/phone/teal-crescent/{path}")
    page.wait_for_load_state("networkidle")
    expect(page.locator("#sent")).not_to_be_empty()
    return page


def typed(page: Page, number: float) -> None:
    """Type a number on the pad and save it."""
    for digit in f"{number:g}":
        page.locator(".digits button", has_text=re.compile(rf"^{digit}$" if digit != "." else ", \\.")).click()
    page.locator("#pad .keys .first").click()


def answer(page: Page, pad: dict[str, Any]) -> None:
    """Answer a pad as the plan has it."""
    if pad["kind"] == "choice":
        page.locator("#pad .key").first.click()
    elif pad["kind"] == "where":
        page.locator("#pad .key.first").click()
    else:
        for field in pad["fields"]:
            typed(page, field["typical"] or 450)


def test_a_whole_day_in_taps(browser: Browser, site: Site) -> None:
    context = joined(browser, site, site.new.pop())
    page = opened(context, site)
    midnight = dt.datetime.fromisoformat("2026-06-04T00:00:00-06:00")
    now, entries, counted = midnight + dt.timedelta(hours=6), list[dict[str, Any]](), dict[str, int]()
    day = taps.day_of(plan_of(TEAL), fold([], plan_of(TEAL).street), now=now, slug=TEAL)
    for _ in range(300):
        offer = taps.offers(day, entries, now=now.isoformat())[0]
        if not offer["first"]:
            break
        now = max(now + dt.timedelta(seconds=10), midnight + dt.timedelta(minutes=offer["minute"])).replace(
            microsecond=0
        )
        served.at_time(page, now.isoformat())
        first = page.locator("#keys > .key.first")
        assert first.get_attribute("data-key") == offer["key"]
        page.wait_for_timeout(TREMBLE)
        first.click()
        if offer["pad"] is not None:
            answer(page, offer["pad"])
        before = len(entries)
        expect(page.locator(f'#keys > .first[data-key="{offer["key"]}"]')).to_have_count(0)
        entries = here(page)
        made = entries[before:]
        assert [one["kind"] for one in made] == [one["kind"] for one in offer["entries"]], offer["key"]
        counted[offer["key"]] = 1 if offer["pad"] is None else 2  # a pad that is filled in counts one
    expect(page.locator("#here")).to_have_text("0 here", timeout=20_000)
    print({"taps": sum(counted.values()), "keys": len(counted), "mean": round(sum(counted.values()) / len(counted), 2)})
    assert max(counted.values()) <= MOST_TAPS
    assert sum(counted.values()) / len(counted) <= MEAN_TAPS
    assert_is_the_planned_day(sent(page, site))


def here(page: Page) -> list[dict[str, Any]]:
    """Entries that lie in the phone's own store, in order."""
    found: list[dict[str, Any]] = page.evaluate(
        """() => new Promise((resolve) => {
             const open = indexedDB.open("hardpan");
             open.onsuccess = () => {
               const all = open.result.transaction("entries").objectStore("entries").getAll();
               all.onsuccess = () => { open.result.close(); resolve(all.result.map(({ entry }) => entry)); };
             };
           })"""
    )
    return found


def assert_is_the_planned_day(entries: list[dict[str, Any]]) -> None:
    """What the site has adds up to the day that was planned."""
    planned = plan_of(TEAL)
    state = fold([parse_received({"entry": entry}) for entry in entries], planned.street)
    assert all(bay.closed and bay.rolled and bay.wet_passes == 1 and bay.dry_passes == 2 for bay in state.bays)
    cement = planned.supply.cement
    assert [(area.strips, area.start_m) for _, area in state.run_outs] == [
        ((one.strip,), round(one.station.value)) for one in cement.run_outs
    ]
    assert state.cement.delivered_kg == sum(load.cement.value for load in cement.loads)
    assert not state.notices


def test_a_lane_of_the_slow_drive_in_twelve_taps(browser: Browser, site: Site) -> None:
    page = opened(joined(browser, site, site.new.pop()), site, "drive/")
    words = [
        "right",
        "nothing",
        "at pole 1",
        "at pole 2",
        "ruts",
        "at pole 3",
        "at pole 4",
        "sinks",
        "at pole 5",
        "shows",
        "at pole 6",
        "at 0+240",
    ]
    for word in words:
        page.locator("#keys").get_by_text(word, exact=True).click()
        page.wait_for_timeout(60)
    expect(page.locator("#says .zone b")).to_have_count(2)
    assert len(words) <= LANE_TAPS
    driven = [
        (one["payload"]["word"], one["place"]["start_m"], one["place"]["end_m"], one["place"]["strips"])
        for one in here(page)
    ]
    assert driven == [
        ("nothing", 0, 58, [3, 4]),
        ("ruts", 58, 140, [3, 4]),
        ("sinks", 140, 181, [3, 4]),
        ("shows", 181, 240, [3, 4]),
    ]
    assert "28 kg/m\u00b2, 45 low" in page.locator("#says").inner_text()


def test_undo_takes_a_drive_back_tap_by_tap(browser: Browser, site: Site) -> None:
    page = opened(joined(browser, site, site.new.pop()), site, "drive/")
    for word in ("left", "nothing", "at pole 1", "ruts", "undo", "shows"):
        page.locator("#keys").get_by_text(word, exact=True).click()
        page.wait_for_timeout(100)
    kinds = [(one["kind"], one["payload"].get("word")) for one in here(page)]
    assert kinds == [("slow drive", "nothing"), ("withdrawal", None), ("slow drive", "nothing")]


def test_with_no_signal_the_day_goes_on_and_is_sent_later(browser: Browser, site: Site) -> None:
    context = joined(browser, site, site.new.pop())
    page = opened(context, site)
    for _ in range(50):
        if page.evaluate("navigator.serviceWorker.controller !== null && caches.keys().then((all) => all.length)"):
            break
        page.wait_for_timeout(100)
    page.wait_for_timeout(1_000)  # the pages of the street are fetched one by one
    context.set_offline(True)
    page.reload()
    expect(page.locator("#here")).to_have_text("0 here")
    page.locator("#keys > .first").click()
    expect(page.locator("#here")).to_have_text("1 here")
    expect(page.locator("#rows li b").first).to_have_text("go")
    page.goto(f"{site.address}/phone/teal-crescent/far/")
    expect(page.locator("#what")).to_have_text("check shots")
    context.set_offline(False)
    page.goto(f"{site.address}/phone/teal-crescent/")
    expect(page.locator("#sent")).to_have_text("1 sent", timeout=20_000)
    assert [one["kind"] for one in sent(page, site)] == ["go/no-go"]


def test_without_script_the_same_page_posts_forms(browser: Browser, site: Site) -> None:
    page = joined(browser, site, site.new.pop(), scripts=False).new_page()
    page.goto(f"{site.address}/phone/teal-crescent/")
    page.locator("#keys > .first").click()
    assert "go" in page.locator("#rows li b").first.inner_text()
    page.locator("#keys > .first").click()
    page.locator("[name=not_checked]").click()
    page.locator("#keys > .first").click()
    page.locator("[name=number-0]").fill("39 940,5")
    page.locator(".plain .first").click()
    kept = sent(page, site)
    assert [one["kind"] for one in kept] == ["go/no-go", "pre-grade shots", "delivery ticket"]
    assert kept[2]["payload"]["net_kg"] == 39940.5


def test_a_strange_number_is_asked_about_in_place_of_saved(browser: Browser, site: Site) -> None:
    context = joined(browser, site, site.busy.pop())
    page = opened(context, site, time="2026-06-04T12:42:00-06:00")
    page.locator("details.more > summary").click()
    page.locator("[data-key=tray]").click()
    for digit in "100":
        page.locator(".digits button", has_text=re.compile(rf"^{digit}$")).click()
    page.locator("#pad .keys .first").click()
    question = page.locator(".question")
    assert question.locator("p").all_inner_texts() == ["100? 8.3 times the rate here, 12.", "Did you mean 10.0?"]
    assert question.locator(".key").all_inner_texts() == ["10.0\nyes, that", "100\nkeep it"]
    question.locator(".key").first.click()
    page.wait_for_selector("#taps:not([hidden])")
    assert here(page)[-1]["payload"]["tray_kg_m2"] == 10


def test_two_taps_at_one_place_within_five_seconds_are_one(browser: Browser, site: Site) -> None:
    page = opened(joined(browser, site, site.busy.pop()), site, time="2026-06-04T12:42:00-06:00")
    for time, word in (("12:42:10", "smears"), ("12:42:13", "holds")):
        served.at_time(page, f"2026-06-04T{time}-06:00")
        page.locator("details.more > summary").click()
        page.locator("[data-key=squeeze]").click()
        page.locator("#pad").get_by_text(word, exact=True).click()
        page.wait_for_selector("#taps:not([hidden])")
        page.wait_for_timeout(400)
    first, second = here(page)
    assert (first["kind"], second["kind"], second["corrects"]) == ("squeeze", "correction", first["id"])
    assert second["payload"]["payload"] == {"result": "holds"}


def keys(page: Page) -> list[Locator]:
    return [one for one in page.locator(".key, .digits button").all() if one.is_visible()]


@pytest.mark.parametrize("width", [360, 390, 430])
def test_keys_are_fifteen_millimetres_both_ways(browser: Browser, site: Site, busy: str, width: int) -> None:
    context = joined(browser, site, busy)
    for path in PAGES:
        page = opened(context, site, path, time="2026-06-04T12:42:00-06:00")
        page.set_viewport_size({"width": width, "height": 844})
        if path == "":
            page.locator("[data-key=problem]").click()
            page.locator("#pad .key").first.wait_for()
            small(page, path)
            page.locator("#pad .key", has_text="back").click()
        small(page, path)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        page.close()


def small(page: Page, path: str) -> None:
    for one in keys(page):
        box = one.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= LEAST_KEY - 0.5, (path, one.inner_text(), box)


def test_figures_are_read_from_two_metres(browser: Browser, site: Site, busy: str) -> None:
    page = opened(joined(browser, site, busy), site, "far/", time="2026-06-04T12:42:00-06:00")
    for name in ("strip", "by", "setting", "low"):
        size = page.evaluate("id => parseFloat(getComputedStyle(document.getElementById(id)).fontSize)", name)
        assert 0.159 * 0.7 * size >= 10, name  # 1 px is 0.159 mm; figures are at least 0.7 of the type high


def test_words_stand_out_by_seven_to_one(browser: Browser, site: Site, busy: str) -> None:
    for night in (False, True):
        context = joined(browser, site, busy, night=night)
        for path in PAGES:
            page = opened(context, site, path, time="2026-06-04T12:42:00-06:00")
            pale = [one for one in page.evaluate(CONTRASTS) if one[1] < CONTRAST]
            assert not pale, (night, path, pale[:3])
            page.close()


CONTRASTS = """() => {
  const light = (text) => {
    const [r, g, b] = text.match(/[0-9.]+/g).map(Number).map((v) => v / 255).map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const { backgroundColor } = getComputedStyle(at);
      if (!/^rgba.*, 0\\)$|transparent/.test(backgroundColor)) return backgroundColor;
    }
    return "rgb(255, 255, 255)";
  };
  const words = [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility() && [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()) && !one.closest("svg, script"));
  return words.map((one) => {
    const [a, b] = [light(getComputedStyle(one).color), light(ground(one))];
    return [one.textContent.slice(0, 30), (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05)];
  });
}"""


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing(browser: Browser, site: Site, busy: str, path: str) -> None:
    page = opened(joined(browser, site, busy), site, path, time="2026-06-04T12:42:00-06:00")
    found = Axe().run(page, options={"rules": {"target-size": {"enabled": True}}})
    assert found.violations_count == 0, found.generate_report()


def test_the_first_open_is_light(browser: Browser, site: Site, busy: str) -> None:
    context = joined(browser, site, busy)
    page, sizes = context.new_page(), dict[str, int]()

    def weigh(answer: Response) -> None:
        if "/static/" in answer.url or answer.url.endswith(f"/phone/{TEAL}/"):
            sizes[answer.url.split("?")[0].rsplit("/", 1)[-1] or "page"] = len(gzip.compress(answer.body(), 9))

    page.on("response", weigh)
    page.goto(f"{site.address}/phone/{TEAL}/")
    expect(page.locator("#sent")).not_to_be_empty()
    scripts = sum(size for name, size in sizes.items() if name.endswith(".js"))
    print(
        {"scripts": scripts, "first open": sum(sizes.values()), **dict(sorted(sizes.items(), key=lambda one: -one[1]))}
    )
    assert sum(sizes.values()) <= FIRST_OPEN


def test_text_of_twice_the_size_is_whole(browser: Browser, site: Site, busy: str) -> None:
    context = joined(browser, site, busy)
    for path in PAGES:
        page = opened(context, site, path, time="2026-06-04T12:42:00-06:00")
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        page.evaluate("dispatchEvent(new Event('resize'))")
        page.wait_for_timeout(200)
        wide = page.evaluate(WIDER)
        assert not wide, (path, wide)
        page.close()


WIDER = """() => [...document.querySelectorAll(".key, .word, .second, h1, b, p")].filter(
  (one) => one.checkVisibility() && !one.closest(".rows, .unseen") && one.getBoundingClientRect().right > innerWidth + 1,
).map((one) => one.textContent.slice(0, 40))"""


@pytest.mark.skipif(not SHOTS, reason="HARDPAN_SHOTS names no folder to look at them in")
def test_pictures(browser: Browser, site: Site, busy: str) -> None:
    folder = Path(SHOTS)
    for language, night in (("en", False), ("en", True), ("fr", False)):
        context = joined(browser, site, busy, language=language, night=night)
        for path in PAGES:
            page = opened(context, site, path, time="2026-06-04T12:42:00-06:00")
            page.wait_for_timeout(300)
            page.screenshot(path=folder / f"{path.strip('/') or 'taps'}-{language}-{'night' if night else 'day'}.png")
            page.close()
