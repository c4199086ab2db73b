"""The checkout against the Scientific Python development guide; what does not apply is listed in pyproject.toml with its reason."""

from __future__ import annotations

import tomllib
from pathlib import Path

from repo_review.processor import process

ROOT = Path(__file__).parents[2]
IGNORED: dict[str, str] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["repo-review"][
    "ignore"
]


def test_what_fails_is_what_does_not_apply() -> None:
    results = process(ROOT, ignore={"none"}).results
    assert len(results) > 40
    failing = {result.name: result.err_msg for result in results if result.result is False}
    assert sorted(failing) == sorted(IGNORED), failing


def test_every_ignored_check_is_explained() -> None:
    told = (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
    assert [name for name, reason in IGNORED.items() if len(reason.split()) < 4 or name not in told] == []
