"""Nothing in the repository opens a door elsewhere: no package index, no machine's path, no token."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.repo.tracked import ROOT, tracked_files

DASH = "-"  # the patterns are put together here, or this file would be its own first finding
FORBIDDEN = {
    "address of a package index": re.compile(
        rf"[a-z]+:/{'/'}[^\s\"'<>)]*(?:/simple\b|\bpypi\b|pythonhosted|npmjs|/debian\b|goproxy)|(?<!emit{DASH})index{DASH}url[ =]+\S",
        re.IGNORECASE,
    ),
    "address with a password": re.compile(rf"[a-z]+:/{'/'}[^\s/:@\"'`]+:[^\s/@\"'`]+@", re.IGNORECASE),
    "path of one machine": re.compile(r"(?<![\w.~}\])-])/(?:root|work|home|Users|tmp|opt|mnt|srv)/[\w.~-]"),
    "private key": re.compile(rf"{DASH * 5}BEGIN [A-Z ]*PRIVATE KEY"),
    "token": re.compile(
        r"\b(?:gh[pousr]_[A-Za-z0-9]{20,}|github_pat_\w{20,}|glpat-[\w-]{18,}|AKIA[0-9A-Z]{16}|xox[abprs]-[\w-]{10,}"
        r"|npm_[A-Za-z0-9]{30,}|pypi-[\w-]{30,}|sk-[\w-]{20,}|eyJ[\w-]{10,}\.[\w-]{10,}\.)"
    ),
    "secret in plain": re.compile(
        r"(?i)\b\w*(?:secret|token|passwd|password|api_?key)\w*\b[\"']?\s*[:=]\s*[\"'](?=[^\"']*\d)[\w/+=.-]{12,}[\"']"
    ),
}


def findings(text: str) -> Iterator[tuple[int, str]]:
    """Line and kind of everything that must not be there."""
    for number, line in enumerate(text.splitlines(), start=1):
        for kind, pattern in FORBIDDEN.items():
            if pattern.search(line):
                yield number, kind


def readable(path: Path) -> str:
    """Text of a file; "" of a picture or another binary."""
    content = path.read_bytes()
    return "" if b"\0" in content else content.decode("utf-8", errors="replace")


def test_repository_holds_no_address_path_or_secret() -> None:
    files = tracked_files()
    assert ROOT / "pyproject.toml" in files
    found = [f"{path.relative_to(ROOT)}:{line}: {kind}" for path in files for line, kind in findings(readable(path))]
    assert found == []


@pytest.mark.parametrize(
    ("parts", "kind"),
    [
        (("--index", "-url https:", "//mirror.example/simple"), "address of a package index"),
        (("https:", "//files.python", "hosted.org/packages/x.whl"), "address of a package index"),
        (("deb https:", "//mirror.example/deb", "ian stable main"), "address of a package index"),
        (("postgres:", "//hardpan:letmein@", "db/streets"), "address with a password"),
        (('open("', "/root", '/notes.txt")'), "path of one machine"),
        (("cd ", "/home", "/somebody/hardpan"), "path of one machine"),
        (("---", "--BEGIN RSA PRIVATE", " KEY-----"), "private key"),
        (("ghp", "_0123456789abcdefghij0123"), "token"),
        (("AK", "IA0123456789ABCDEF"), "token"),
        (
            (
                "SECRET",
                '_KEY = "a1b2c3d4e5f6g7h8"',
            ),
            "secret in plain",
        ),
    ],
)
def test_what_must_not_be_there_is_found(parts: tuple[str, ...], kind: str) -> None:
    assert kind in {found for _, found in findings("first line\n" + "".join(parts))}


@pytest.mark.parametrize(
    "line",
    [
        f"uv pip compile --no-emit-index{DASH}url -o requirements.txt",
        "https://example.org/street",
        "#!/usr/bin/env python",
        "docs/home/page.md",
        "a/b/tmp/c",
    ],
)
def test_harmless_lines_are_left_alone(line: str) -> None:
    assert list(findings(line)) == []
