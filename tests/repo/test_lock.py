"""The lock holds all that the project asks for, by version and hash, and no address."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from scripts.check import addresses

ROOT = Path(__file__).parents[2]
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PIN = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^\]]*\])?==([^\s;\\]+)", re.MULTILINE)


def group(name: str) -> Iterator[str]:
    """Requirements of a dependency group, included groups too."""
    for entry in PROJECT["dependency-groups"][name]:
        if isinstance(entry, str):
            yield entry
        else:
            yield from group(entry["include-group"])


def pins(lock: str) -> dict[str, set[str]]:
    """Versions by name; one name has two where Python versions ask for it."""
    found: dict[str, set[str]] = {}
    for name, version in PIN.findall((ROOT / lock).read_text(encoding="utf-8")):
        found.setdefault(canonicalize_name(name), set()).add(version)
    return found


RUNTIME = PROJECT["project"]["dependencies"]


@pytest.mark.parametrize(
    ("lock", "asked"),
    [
        ("requirements.txt", RUNTIME),
        ("requirements-build.txt", PROJECT["build-system"]["requires"]),
        ("requirements-dev.txt", [*RUNTIME, *PROJECT["build-system"]["requires"], *group("dev")]),
    ],
)
def test_lock_holds_every_dependency(lock: str, asked: list[str]) -> None:
    held = pins(lock)
    for requirement in map(Requirement, asked):
        versions = held.get(canonicalize_name(requirement.name), set())
        assert versions, f"{requirement.name} is not in {lock}; run make lock"
        assert all(requirement.specifier.contains(version) for version in versions), (
            f"{requirement} is not {versions}; run make lock"
        )


def test_shorter_locks_agree_with_the_longest() -> None:
    longest = pins("requirements-dev.txt")
    for lock in ("requirements.txt", "requirements-build.txt"):
        assert {name: longest.get(name) for name in pins(lock)} == pins(lock)


@pytest.mark.parametrize("lock", sorted(path.name for path in ROOT.glob("requirements*.txt")))
def test_every_pin_has_a_hash(lock: str) -> None:
    for pin in re.split(r"\n(?=\S)", (ROOT / lock).read_text(encoding="utf-8").strip()):
        assert PIN.match(pin), pin
        assert "--hash=sha256:" in pin, pin


def test_no_address_stands_in_the_lock(tmp_path: Path) -> None:
    assert addresses() == []
    (tmp_path / "requirements.txt").write_text("numpy==2.0\n--find-links ftp://somewhere\n", encoding="utf-8")
    assert addresses(tmp_path) == ["requirements.txt:2: --find-links ftp://somewhere"]


def test_every_import_of_the_source_is_declared() -> None:
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in (ROOT / "src").rglob("*.py")]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    used = {name.name for node in nodes if isinstance(node, ast.Import) for name in node.names}
    used |= {node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.module and not node.level}
    foreign = {name.partition(".")[0] for name in used} - sys.stdlib_module_names - {"hardpan"}
    assert {"numpy", "scipy", "pydantic"} <= foreign
    declared = {canonicalize_name(Requirement(asked).name) for asked in RUNTIME}
    providers = packages_distributions()
    missing = {name for name in foreign if not declared & set(map(canonicalize_name, providers.get(name, [])))}
    assert missing == set(), "name them under dependencies in pyproject.toml, then run make lock"
