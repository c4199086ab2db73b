"""Break the laws one small way at a time, and see whether their tests notice.

Every mutant is one change to one module of ``hardpan.laws``: an operator, a comparison, a number, min and max, and and or, a sign. It is
caught when a doctest of the module, a test of the laws or a published value fails. Exit 1 where one survives that
``equivalent_mutants.csv`` does not explain.
"""

from __future__ import annotations

import argparse
import ast
import copy
import csv
import multiprocessing
import os
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from multiprocessing.connection import wait
from multiprocessing.context import ForkProcess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LAWS = Path("src/hardpan/laws")
EXCUSES = Path(__file__).with_name("equivalent_mutants.csv")
PATIENCE = 120.0  # seconds; a mutant that hangs is caught
PROCESSES = 2
QUIETLY = [
    "-x",
    "-q",
    "-p",
    "no:cacheprovider",
    "-p",
    "no:xdist",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
    "--hypothesis-seed=0",
]

OPERATORS: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Div,),
    ast.Mod: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitOr: (ast.BitAnd,),
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
SWAPPED_NAMES = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "any": "all", "all": "any"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One changed module."""

    module: str
    line: int
    before: str
    after: str
    source: str

    def __str__(self) -> str:
        return f"{LAWS / self.module}.py:{self.line}: {self.before}  ->  {self.after}"


def changes(node: ast.AST) -> Iterator[tuple[str, object]]:
    """Attribute of a node and what to put there."""
    match node:
        case ast.BinOp(op=op) | ast.BoolOp(op=op):
            yield from (("op", other()) for other in OPERATORS.get(type(op), ()))
        case ast.Compare(ops=[first, *others]):
            yield from (("ops", [other(), *others]) for other in OPERATORS.get(type(first), ()))
            yield from (("ops", [first, other(), *others[1:]]) for op in others[:1] for other in OPERATORS[type(op)])
        case ast.UnaryOp(op=ast.USub()):
            yield "op", ast.UAdd()
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield "operand", ast.UnaryOp(ast.Not(), operand)
        case ast.Constant(value=bool(value)):
            yield "value", not value
        case ast.Constant(value=int(value)):
            yield "value", value + 1
        case ast.Constant(value=float(value)):
            yield "value", value * 1.01 if value else 0.01
        case ast.Name(id=name) if name in SWAPPED_NAMES:
            yield "id", SWAPPED_NAMES[name]
        case ast.Attribute(attr=name) if name in SWAPPED_NAMES:
            yield "attr", SWAPPED_NAMES[name]


def without_annotations(tree: ast.AST) -> Iterator[tuple[ast.stmt | None, ast.AST]]:
    """Nodes that run, each with the smallest statement (or the decorator's function) that holds it."""
    waiting: list[tuple[ast.stmt | None, ast.AST]] = [(None, tree)]
    while waiting:
        statement, node = waiting.pop()
        yield statement, node
        for field, value in ast.iter_fields(node):
            if field in {"annotation", "returns", "type_params"}:
                continue
            children = value if isinstance(value, list) else [value]
            for child in children:
                if isinstance(child, ast.AST):
                    waiting.append((child if isinstance(child, ast.stmt) else statement, child))


def mutants_of(path: Path) -> Iterator[Mutant]:
    """Every mutant of one module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for statement, node in without_annotations(tree):
        for attribute, changed in changes(node):
            kept = getattr(node, attribute)
            shown = smallest(node, statement)
            before = first_line(shown)
            setattr(node, attribute, changed)
            after, source = first_line(shown), ast.unparse(tree)
            setattr(node, attribute, kept)
            yield Mutant(path.stem, getattr(node, "lineno", 0), before, after, source)


def smallest(node: ast.AST, statement: ast.stmt | None) -> ast.AST:
    """What to show of a change: its statement, or the expression alone where the statement has a body."""
    if statement is None or hasattr(statement, "body"):
        return node
    return statement


def first_line(node: ast.AST) -> str:
    """A node as code, on one line; a body is left out."""
    return " ".join(ast.unparse(copy.copy(node)).split())


def plant(mutant: Mutant, tree: Path) -> None:
    """Copy the laws and their tests to ``tree``, with the mutant among them."""
    laws = tree / LAWS
    shutil.copytree(ROOT / LAWS, laws, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "src/hardpan/errors.py", laws.parent)
    (laws.parent / "__init__.py").touch()  # the laws need nothing of the floors above
    for tests in ("laws", "published"):
        shutil.copytree(ROOT / "tests" / tests, tree / "tests" / tests, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tree)
    (laws / f"{mutant.module}.py").write_text(mutant.source, encoding="utf-8")


def trial(mutant: Mutant, tree: Path) -> None:
    """Exit 0 where every test passes in ``tree``: the module's own first, then all of the laws."""
    import pytest  # noqa: PLC0415  # the parent has it loaded; a fork need not load it again

    os.chdir(tree)
    sys.path.insert(0, str(tree / "src"))
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    own = [f"{LAWS / mutant.module}.py"]
    if (tree / f"tests/laws/test_{mutant.module}.py").exists():
        own.append(f"tests/laws/test_{mutant.module}.py")
    for tests in ([*own, "tests/published"], ["tests/laws"]):
        if pytest.main([*QUIETLY, *tests]) != pytest.ExitCode.OK:
            os._exit(1)
    import hardpan  # noqa: PLC0415  # what the tests ran on

    os._exit(0 if Path(hardpan.__file__).is_relative_to(tree) else 2)


def survivors(mutants: list[Mutant]) -> list[Mutant]:
    """Try every mutant, two at a time; those that no test noticed, in the order given."""
    fork = multiprocessing.get_context("fork")
    alive: list[Mutant] = []
    running: dict[ForkProcess, tuple[Mutant, Path, float]] = {}
    todo, done = list(reversed(mutants)), 0
    while todo or running:
        while todo and len(running) < PROCESSES:
            mutant, tree = todo.pop(), Path(tempfile.mkdtemp(prefix="mutant-"))
            plant(mutant, tree)
            process = fork.Process(target=trial, args=(mutant, tree))
            process.start()
            running[process] = (mutant, tree, time.monotonic())
        wait([process.sentinel for process in running], timeout=5)
        for process, (mutant, tree, started) in list(running.items()):
            if process.is_alive() and time.monotonic() - started > PATIENCE:
                process.kill()
                process.join()
            if not process.is_alive():
                if process.exitcode == 0:
                    alive.append(mutant)
                elif process.exitcode == 2:
                    raise RuntimeError("the tests did not run on the mutant")
                shutil.rmtree(tree)
                del running[process]
                done += 1
                if done % 100 == 0:
                    print(f"{done} tried, {len(alive)} survived", flush=True)
    return [mutant for mutant in mutants if mutant in alive]


def excuses() -> dict[tuple[str, str, str], str]:
    """Reason by module, code before and code after, for mutants that were judged equivalent."""
    with EXCUSES.open(encoding="utf-8", newline="") as lines:
        return {(row["module"], row["before"], row["after"]): row["reason"] for row in csv.DictReader(lines)}


def main() -> int:
    """Draw mutants, try them, tell what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--mutants", type=int, default=240, help="how many to draw")
    parser.add_argument("--seed", type=int, default=0, help="of the draw")
    parser.add_argument("--module", help="draw from this module only")
    options = parser.parse_args()
    modules = sorted((ROOT / LAWS).glob(f"{options.module or '*'}.py"))
    every = [mutant for path in modules if path.stem != "__init__" for mutant in mutants_of(path)]
    drawn = random.Random(options.seed).sample(every, min(options.mutants, len(every)))
    began = time.monotonic()
    print(f"{len(drawn)} of {len(every)} mutants, seed {options.seed}", flush=True)
    control = Mutant("ranges", 0, "", "", (ROOT / LAWS / "ranges.py").read_text(encoding="utf-8"))
    if not survivors([control]):
        print("the tests fail on the laws as they are: mend that first")
        return 1
    alive, known = survivors(drawn), excuses()
    open_ones = [mutant for mutant in alive if (mutant.module, mutant.before, mutant.after) not in known]
    print(f"{len(drawn) - len(alive)} caught, {len(alive)} not, in {time.monotonic() - began:.0f} s")
    for mutant in alive:
        reason = known.get((mutant.module, mutant.before, mutant.after), "NOT EXPLAINED")
        print(f"{mutant}\n    {reason}")
    return 1 if open_ones else 0


if __name__ == "__main__":
    # loaded once, before the forks
    import hypothesis
    import numpy
    import pytest
    import scipy.special

    _ = (hypothesis, numpy, pytest, scipy.special)
    sys.exit(main())
