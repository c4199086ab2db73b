"""Sizes, signatures and docstrings of the source, read from the source itself."""

from __future__ import annotations

import ast
import csv
import hashlib
import re
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "hardpan"
OURS = sorted(path for folder in ("src", "tests", "scripts", "benchmarks") for path in (ROOT / folder).rglob("*.py"))
LONGEST_FUNCTION = 60  # lines, its docstring apart
LONGEST_FILE = 600
MOST_POSITIONAL = 3
# names that stay as they are because others call them by position
POSITIONAL_BY_CONTRACT = {"classification.aashto", "classification.uscs", "evaporation.uno"}
NUMERIC = re.compile(r"\b(float|int|ArrayLike|Floats|NDArray)\b")
UNIT = re.compile(r"\[[^\]]+\]")
RAISING_HELPERS = {"positive", "not_negative", "fraction"}
GUARDED = {
    # rows and SHA-256 of tables that carry numbers: a change shows up here, and its reason in the commit
    "street/defaults.csv": (169, "4f3fe9158f00f479a62d9fc0b0f43418d36e701dbb6e6eb371cfb67d6a52602e"),
    "street/wheels.csv": (6, "8674121f37f3a651764a56e8e3d4be1a363496f4aac68147c15a237aa9f1fada"),
    "laws/data/adhesion.csv": (6, "7bf640174055a0d79b69b93a8a3844a88749cb479ec5ed3a941748ebbbe14342"),
    "laws/data/m145.csv": (12, "08b569a89df2a3cd1f26e1804e61188350f109f75ca01495c2fc81553ba052ca"),
}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(tree: ast.AST) -> Iterator[Function]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def code_lines(function: Function) -> int:
    """Lines from ``def`` to the end, the docstring left out."""
    lines = (function.end_lineno or function.lineno) - function.lineno + 1
    if ast.get_docstring(function, clean=False) is not None:
        said = function.body[0]
        lines -= (said.end_lineno or said.lineno) - said.lineno + 1
    return lines


def place(path: Path, node: ast.stmt | ast.expr | ast.excepthandler) -> str:
    return f"{path.relative_to(ROOT)}:{node.lineno}"


# sizes


def long_functions(path: Path, tree: ast.Module) -> list[str]:
    return [
        f"{path.name}:{function.lineno} {function.name}: {code_lines(function)} lines"
        for function in functions(tree)
        if code_lines(function) > LONGEST_FUNCTION
    ]


def test_no_function_is_long() -> None:
    assert [told for path in OURS for told in long_functions(path, parsed(path))] == []


def test_no_file_is_long() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in OURS}
    assert [f"{path.relative_to(ROOT)}: {lines}" for path, lines in lengths.items() if lines > LONGEST_FILE] == []


def test_length_leaves_the_docstring_out() -> None:
    body = "\n".join(["    x = 0"] * LONGEST_FUNCTION)
    long = f'def f():\n    """One\n    two\n    three."""\n{body}\n'
    (function,) = functions(ast.parse(long))
    assert code_lines(function) == LONGEST_FUNCTION + 1
    assert long_functions(Path("a.py"), ast.parse(long)) == [f"a.py:1 f: {LONGEST_FUNCTION + 1} lines"]


# errors


def test_input_is_never_checked_by_assert() -> None:
    found = [
        place(path, node)
        for path in SOURCE.rglob("*.py")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Assert)
    ]
    assert found == []


def broad_excepts(path: Path) -> list[int]:
    """Lines that catch everything and say no reason beside it."""
    with path.open("rb") as source:
        explained = {token.start[0] for token in tokenize.tokenize(source.readline) if token.type == tokenize.COMMENT}
    handlers = [node for node in ast.walk(parsed(path)) if isinstance(node, ast.ExceptHandler)]
    return [node.lineno for node in handlers if catches_everything(node.type) and node.lineno not in explained]


def catches_everything(caught: ast.expr | None) -> bool:
    if caught is None:
        return True
    names = {node.id for node in ast.walk(caught) if isinstance(node, ast.Name)}
    return bool(names & {"Exception", "BaseException"})


def test_a_broad_except_says_why() -> None:
    assert [f"{path.relative_to(ROOT)}:{line}" for path in OURS for line in broad_excepts(path)] == []


@pytest.mark.parametrize(
    ("caught", "count"),
    [
        ("except:", 1),
        ("except Exception:", 1),
        ("except (ValueError, BaseException) as e:", 1),
        ("except Exception:  # a plug-in may raise anything", 0),
        ("except ValueError:", 0),
    ],
)
def test_a_broad_except_is_found(tmp_path: Path, caught: str, count: int) -> None:
    module = tmp_path / "a.py"
    module.write_text(f"try:\n    pass\n{caught}\n    pass\n", encoding="utf-8")
    assert len(broad_excepts(module)) == count


# laws


@dataclass(frozen=True, slots=True)
class Law:
    """A public function of a module of laws."""

    module: str
    function: Function

    @property
    def name(self) -> str:
        return f"{self.module}.{self.function.name}"


def laws_of(path: Path) -> list[Law]:
    public = [node for node in parsed(path).body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]
    return [Law(path.stem, function) for function in public]


# `ranges` says how laws declare where they hold; it holds no law
MODULES = sorted(path for path in (SOURCE / "laws").glob("*.py") if path.stem not in {"__init__", "ranges"})
LAWS = [law for path in MODULES for law in laws_of(path)]


def raising_names() -> set[str]:
    """Functions of the laws that raise, by themselves or through another; a name counts wherever it is called."""
    known = [function for path in MODULES for function in functions(parsed(path))]
    raising = set(RAISING_HELPERS)
    while True:
        more = {function.name for function in known if raises(function, raising)} - raising
        if not more:
            return raising
        raising |= more


def raises(function: Function, raising: set[str]) -> bool:
    """Whether a function raises, or calls by its plain name one that does."""
    return any(
        isinstance(node, ast.Raise)
        or (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in raising)
        for node in ast.walk(function)
    )


RAISING = raising_names()


def sections(docstring: str) -> dict[str, list[str]]:
    """Lines of every section of a numpy docstring; the sentence before them under ""."""
    lines = docstring.splitlines()
    found: dict[str, list[str]] = {"": []}
    current = ""
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if below and set(below) == {"-"} and len(below) == len(line):
            current = line
            found[current] = []
        elif not (line and set(line) == {"-"}):
            found[current].append(line)
    return found


def documented(lines: list[str]) -> Iterator[tuple[list[str], str]]:
    """Names and description of every entry of a Parameters section."""
    names: list[str] = []
    said: list[str] = []
    for line in [*lines, "end"]:
        if line and not line.startswith(" "):
            if names:
                yield names, " ".join(said).strip()
            names, said = [name.strip() for name in line.partition(" : ")[0].split(",")], []
        else:
            said.append(line.strip())


def parameters(function: Function) -> list[ast.arg]:
    arguments = function.args
    return [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]


def docstring_faults(law: Law) -> list[str]:
    """What is wrong with a law's docstring."""
    docstring = ast.get_docstring(law.function)
    if docstring is None:
        return ["no docstring"]
    found = sections(docstring)
    faults = [
        f"no {name}"
        for name in ("Parameters", "Returns", "Notes", "Examples", "References")
        if not any(found.get(name, []))
    ]
    if not found[""] or not found[""][0].endswith("."):
        faults.append("its first line is no sentence")
    if raises(law.function, RAISING) and not any(found.get("Raises", [])):
        faults.append("raises and does not say so")
    if not any(line.startswith(">>> ") for line in found.get("Examples", [])):
        faults.append("no example that runs")
    entries = list(documented(found.get("Parameters", [])))
    signature = parameters(law.function)
    order = [name for names, _ in entries for name in names]
    if order != [argument.arg for argument in signature]:
        faults.append(f"documents {order}, takes {[argument.arg for argument in signature]}")
    numeric = {
        argument.arg
        for argument in signature
        if argument.annotation and NUMERIC.search(ast.unparse(argument.annotation))
    }
    faults.extend(
        f"{', '.join(names)}: no [unit]" for names, said in entries if numeric & set(names) and not UNIT.search(said)
    )
    return faults


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.name)
def test_law_has_the_one_docstring_shape(law: Law) -> None:
    assert docstring_faults(law) == []


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.name)
def test_law_takes_few_positional_arguments(law: Law) -> None:
    arguments = law.function.args
    if law.name not in POSITIONAL_BY_CONTRACT:
        assert len(arguments.posonlyargs + arguments.args) <= MOST_POSITIONAL
    assert arguments.vararg is None


def test_contract_names_are_there() -> None:
    assert {law.name for law in LAWS} >= POSITIONAL_BY_CONTRACT


GOOD = '''
def speed(length: ArrayLike, *, time: float, word: str) -> Floats:
    """Length over time.

    Parameters
    ----------
    length : array_like
        How far [m].
    time : float
        How long [s].
    word : str
        What to call it.

    Returns
    -------
    ndarray
        Speed [m/s].

    Raises
    ------
    LawError
        Time not above 0.

    Notes
    -----
    v = s / t.

    Examples
    --------
    >>> speed(1.0, time=1.0, word="")
    1.0

    References
    ----------
    Definition.
    """
    return length / positive("time", time)
'''


@pytest.mark.parametrize(
    ("before", "after", "fault"),
    [
        ("", "", None),
        ("How far [m].", "How far.", "length: no [unit]"),
        ("How long [s].", "How long (s).", "time: no [unit]"),
        ("Raises\n    ------\n    LawError\n        Time not above 0.\n", "", "raises and does not say so"),
        ("References\n    ----------\n    Definition.\n", "", "no References"),
        (">>> speed", "speed", "no example that runs"),
        ("Length over time.", "Length over time", "its first line is no sentence"),
        (
            "    length : array_like\n        How far [m].\n",
            "",
            "documents ['time', 'word'], takes ['length', 'time', 'word']",
        ),
    ],
)
def test_a_fault_of_a_docstring_is_found(before: str, after: str, fault: str | None) -> None:
    text = GOOD.replace(before, after) if before else GOOD
    (function,) = functions(ast.parse(text))
    assert docstring_faults(Law("kinematics", function)) == ([] if fault is None else [fault])


# tables


def tables() -> list[Path]:
    """Data files of the package; the example streets are folders of their own kind."""
    return sorted(path for path in SOURCE.rglob("*.csv") if "examples" not in path.parts)


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines, strict=True))


@pytest.mark.parametrize("path", tables(), ids=lambda path: path.name)
def test_every_row_of_a_table_has_a_source(path: Path) -> None:
    rows = read(path)
    assert rows
    assert [number for number, row in enumerate(rows, start=2) if not (row.get("source") or "").strip()] == []


@pytest.mark.parametrize("path", tables(), ids=lambda path: path.name)
def test_table_is_the_one_that_was_checked(path: Path) -> None:
    count, checksum = GUARDED[path.relative_to(SOURCE).as_posix()]
    rows = read(path)
    assert len(rows) == count
    content = "\n".join("\t".join(row.values()) for row in rows)
    assert hashlib.sha256(content.encode()).hexdigest() == checksum, (
        f"{path.name} changed; say why where you change its checksum"
    )


def test_keys_of_the_defaults_are_unique() -> None:
    keys = [row["key"] for row in read(SOURCE / "street" / "defaults.csv")]
    assert sorted(keys) == sorted(set(keys))
