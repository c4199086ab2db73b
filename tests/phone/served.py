"""The site served to a real browser, and phones that look at it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, sync_playwright

ROOT = Path(__file__).parents[2]
CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
]  # fmt: skip
PHONE = ViewportSize(width=390, height=844)
STREETS = 12


@dataclass
class Site:
    """A site: its address, and codes of streets that nobody has joined yet."""

    address: str
    new: list[str]
    busy: list[str]


@contextmanager
def served(folder: Path) -> Iterator[Site]:
    """The site in a process of its own."""
    command = [sys.executable, "-m", "tests.phone.site", str(folder), str(STREETS)]
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("HARDPAN_", "DATABASE_"))}
    process = subprocess.Popen(
        command, cwd=ROOT, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        yield Site(**json.loads(process.stdout.readline()))
    finally:
        process.communicate(timeout=20)


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


def phone(
    browser: Browser, address: str, code: str, *, language: str = "en", night: bool = False, scripts: bool = True
) -> BrowserContext:
    """A phone that joins by a code."""
    context = browser.new_context(
        viewport=PHONE, device_scale_factor=2, has_touch=True, is_mobile=True, locale=language, java_script_enabled=scripts,
        color_scheme="dark" if night else "light", timezone_id="America/Edmonton",
    )  # fmt: skip
    page = context.new_page()
    page.goto(f"{address}/join/{code}/")
    page.locator("main form button").first.click()
    page.wait_for_load_state()
    page.close()
    return context


def at_time(page: Page, time: str) -> None:
    """Let the phone's clock stand at a time."""
    page.clock.set_fixed_time(time)
