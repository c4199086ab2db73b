"""Data flows one way, up through the floors: a module imports only from floors below its own, and from its own folder."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "src" / "hardpan"
FLOORS = {
    "errors": 0,
    "laws": 1,
    "street": 2,
    "plan": 3,
    "ledger": 3,
    "compare": 4,
    "exchange": 5,
    "study": 6,
    "__init__": 6,  # what `import hardpan` offers; the shells stand on it
    "site": 7,
    "cli": 8,  # its commands serve the site
    "__main__": 9,
}
LAWS_MAY_IMPORT = {"numpy", "scipy", "hardpan"} | sys.stdlib_module_names


def room(parts: tuple[str, ...]) -> str:
    """Floor's name of a module, from its dotted parts below ``hardpan``."""
    return parts[0] if parts else "__init__"


def imported(path: Path, package: Path) -> Iterator[tuple[int, str]]:
    """Line and full dotted name of everything that a module imports, wherever in the module it does."""
    here = ("hardpan", *path.relative_to(package).with_suffix("").parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, name.name) for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            start = ".".join(here[: -node.level]) + ("." if node.module else "") if node.level else ""
            base = f"{start}{node.module or ''}"
            # `from hardpan import plan` names a module, `from hardpan.plan import make_plan` does not: both are told by the base
            yield from ((node.lineno, f"{base}.{name.name}" if base == "hardpan" else base) for name in node.names)


def wrong_imports(package: Path) -> list[str]:
    """Every upward, sideways or foreign import below ``package``, as file:line and what is wrong."""
    found = []
    for path in sorted(package.rglob("*.py")):
        inside = path.relative_to(package)
        own = room(inside.with_suffix("").parts)
        if own not in FLOORS:
            found.append(f"{inside}: {own} has no floor")
            continue
        for line, name in imported(path, package):
            top, *below = name.split(".")
            if own == "laws" and top not in LAWS_MAY_IMPORT:
                found.append(f"{inside}:{line}: laws import {top}")
            if top != "hardpan":
                continue
            other = room(tuple(below))
            if other not in FLOORS:
                other = "__init__"  # a name of the top, such as hardpan.__version__
            if other != own and FLOORS[other] >= FLOORS[own]:
                found.append(f"{inside}:{line}: {own} imports {other}")
    return found


def test_every_import_goes_down() -> None:
    assert wrong_imports(PACKAGE) == []


def test_the_walker_reads_the_package() -> None:
    assert "hardpan.plan" in {name for _, name in imported(PACKAGE / "__init__.py", PACKAGE)}


@pytest.mark.parametrize(
    ("file", "line", "told"),
    [
        ("laws/rise.py", "import hardpan.street.figure", "laws imports street"),
        ("laws/rise.py", "from hardpan.plan import make_plan", "laws imports plan"),
        ("laws/rise.py", "import pint", "laws import pint"),
        ("street/folder.py", "from ..plan import zones", "street imports plan"),
        ("street/folder.py", "from .. import exchange", "street imports exchange"),
        ("street/deep/folder.py", "from ...ledger import entry", "street imports ledger"),
        ("plan/zones.py", "from hardpan.ledger import fold", "plan imports ledger"),
        ("ledger/fold.py", "def late():\n    import hardpan.plan", "ledger imports plan"),
        ("compare/next.py", "from hardpan import exchange", "compare imports exchange"),
        ("exchange/table.py", "from hardpan import make_plan", "exchange imports __init__"),
        ("site/views.py", "from hardpan import cli", "site imports cli"),
        ("__init__.py", "from .cli import main", "__init__ imports cli"),
        ("attic/box.py", "", "attic has no floor"),
    ],
)
def test_an_upward_import_is_found(tmp_path: Path, file: str, line: str, told: str) -> None:
    module = tmp_path / file
    module.parent.mkdir(parents=True, exist_ok=True)
    module.write_text(line, encoding="utf-8")
    (found,) = wrong_imports(tmp_path)
    assert found.startswith(file)
    assert found.endswith(told)


@pytest.mark.parametrize(
    ("file", "line"),
    [
        (
            "laws/rise.py",
            "import numpy as np\nfrom scipy.special import betainc\nimport math\nfrom hardpan.errors import LawError",
        ),
        ("laws/rise.py", "from .depth import rolled_from_original\nfrom hardpan.laws.phases import air_voids"),
        ("street/units.py", "import pint\nfrom hardpan.errors import StreetError\nfrom ..laws import rise"),
        ("cli.py", "from hardpan.exchange import sheet\nimport hardpan\nhardpan.make_plan"),
        ("__init__.py", "from hardpan.plan import make_plan\nfrom hardpan.street import read_street"),
    ],
)
def test_a_downward_import_is_left_alone(tmp_path: Path, file: str, line: str) -> None:
    module = tmp_path / file
    module.parent.mkdir(parents=True, exist_ok=True)
    module.write_text(line, encoding="utf-8")
    assert wrong_imports(tmp_path) == []
