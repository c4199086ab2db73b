"""Write the API pages from the docstrings: one for each module of laws, one each for errors, street and plan, and their list."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import hardpan
from hardpan import laws
from hardpan.laws.ranges import ranges_of

WIDEST = 100  # characters of a signature on one line


class _Bare(str):
    """An annotation that is shown as it was written."""

    __slots__ = ()
    __repr__ = str.__str__


def modules() -> dict[str, ModuleType]:
    """Module of every page, by the page's name."""
    names = [f"laws.{module.name}" for module in pkgutil.iter_modules(laws.__path__)]
    return {name: importlib.import_module(f"hardpan.{name}") for name in [*names, "errors", "street", "plan"]}


def members(module: ModuleType) -> Iterator[tuple[str, Callable[..., Any]]]:
    """Public functions and classes of a module in the order of its source; of a package those that it hands out."""
    handed_out = getattr(module, "__all__", None)
    for name, member in vars(module).items():
        if name.startswith("_") or not (inspect.isclass(member) or inspect.isfunction(member)):
            continue
        if name in handed_out if handed_out is not None else member.__module__ == module.__name__:
            yield name, member


def page(name: str, module: ModuleType) -> str:
    """One page of Markdown."""
    lines = [f"# hardpan.{name}", "", *told(module)]
    for member_name, member in members(module):
        lines += ["", f"## {member_name}", "", *told(member, shape(member_name, member)), *declared(member)]
    return "\n".join(lines) + "\n"


def told(thing: object, head: str = "") -> Iterator[str]:
    """First sentence of a docstring as prose, and below it the head and the rest as they are written."""
    first, _, rest = (inspect.getdoc(thing) or "").partition("\n")
    body = "\n\n".join(part for part in (head, rest.strip("\n")) if part)
    yield first
    if body:
        yield from ["", "```text", body, "```"]


def written(annotation: object) -> _Bare:
    """An annotation as it stands in the source, whatever the module's habit."""
    return _Bare(annotation.__name__ if isinstance(annotation, type) else annotation)


def shape(name: str, member: Callable[..., Any]) -> str:
    """Signature of a function, fields of a class."""
    if inspect.isclass(member):
        fields = {field: kind for field, kind in vars(member).get("__annotations__", {}).items() if field[0] != "_"}
        return "\n".join(f"{field}: {kind}" for field, kind in fields.items())
    signature = inspect.signature(member)
    bare = [given.replace(annotation=written(given.annotation)) for given in signature.parameters.values()]
    line = f"{name}{signature.replace(parameters=bare, return_annotation=written(signature.return_annotation))}"
    return line if len(line) <= WIDEST else line.replace(", ", ",\n    ")


def declared(member: Callable[..., Any]) -> Iterator[str]:
    """Ranges that a law declares."""
    for held in ranges_of(member) if inspect.isfunction(member) else ():
        yield from ["", f"Holds for `{held.argument}` {held.low:g} to {held.high:g} {held.unit}: {held.reason}."]


def pages() -> dict[str, str]:
    """Every page by its file's name, the list of them among them."""
    found = modules()
    rows = [
        f"- [{name}]({name}.md): {(inspect.getdoc(module) or '').splitlines()[0]}" for name, module in found.items()
    ]
    head = ["# API", "", f"Of Hardpan {hardpan.__version__}; `make docs` writes these pages from the docstrings.", ""]
    return {f"{name}.md": page(name, module) for name, module in found.items()} | {
        "README.md": "\n".join([*head, *rows, ""])
    }


def main(folder: Path) -> None:
    """Write every page, and take away those of modules that are gone."""
    folder.mkdir(parents=True, exist_ok=True)
    made = pages()
    for old in folder.glob("*.md"):
        if old.name not in made:
            old.unlink()
    for name, text in made.items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
