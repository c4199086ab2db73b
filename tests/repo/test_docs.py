"""Every fenced block of the README and of docs/ runs, in a folder that holds the example streets.

Blocks of ``python`` share one namespace a page, ``sh`` lines that start with ``hardpan`` run, ``make`` lines name targets,
``toml``, ``csv`` and ``json`` parse; anything that is only to be looked at is ``text``.
"""

from __future__ import annotations

import csv
import doctest
import io
import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from hardpan.street import EXAMPLES, example

ROOT = Path(__file__).parents[2]
LONGEST_README = 150
FENCE = re.compile(
    r"^(?P<indent> *)```(?P<language>[\w-]*)[^\n]*\n(?P<code>.*?)^(?P=indent)```\s*$", re.MULTILINE | re.DOTALL
)
TARGETS = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
SHOWN_ONLY = ("git ", "cd ")  # how to get and enter a clone


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block and its line in the page."""

    page: str
    line: int
    language: str
    code: str


def blocks(page: str, text: str) -> list[Block]:
    return [
        Block(page, text.count("\n", 0, found.start()) + 1, found["language"], dedented(found["code"], found["indent"]))
        for found in FENCE.finditer(text)
    ]


def dedented(code: str, indent: str) -> str:
    return "".join(line.removeprefix(indent) for line in code.splitlines(keepends=True))


def run_python(block: Block, names: dict[str, Any]) -> None:
    """Run a block: as a doctest where it shows a prompt, as a program otherwise."""
    if ">>>" in block.code:
        test = doctest.DocTestParser().get_doctest(block.code, names, block.page, block.page, block.line)
        told = io.StringIO()
        result = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(test, out=told.write, clear_globs=False)
        names.update(test.globs)
        assert result.failed == 0, told.getvalue()
    else:
        exec(compile(block.code, f"{block.page}:{block.line}", "exec"), names)  # noqa: S102  # the pages are ours


def commands(code: str) -> Iterator[str]:
    """Commands of a block; a line that ends in a backslash goes on, a prompt and a comment are no part of it."""
    for line in code.replace("\\\n", " ").splitlines():
        command = line.strip().removeprefix("$ ")
        if command and not command.startswith("#"):
            yield command


def run_sh(block: Block, folder: Path) -> None:
    """Run the ``hardpan`` commands of a block; ``# exit 1`` behind one says that it ends so."""
    for command in commands(block.code):
        words = command.split("#")[0].split()
        if words[0] == "make":
            assert set(words[1:]) <= TARGETS, f"{command}: no such target"
        elif not command.startswith(SHOWN_ONLY):
            assert words[0] == "hardpan", f"{command}: a page shows hardpan and make; a ```text block is not run"
            run_hardpan(command, words, folder)


def run_hardpan(command: str, words: list[str], folder: Path) -> None:
    if "serve" in words[1:2]:
        command = "hardpan serve --help"  # it would wait for a browser
    elif "demo" in words[1:2] and "--no-serve" not in words:
        command = command.replace("demo", "demo --no-serve", 1)
    programs = {**os.environ, "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"}
    done = subprocess.run(command, shell=True, cwd=folder, env=programs, capture_output=True, text=True, check=False)
    said = re.search(r"# exit (\d)", command)
    assert done.returncode == (int(said[1]) if said else 0), f"{command}\n{done.stdout}{done.stderr}"


def run_page(page: str, text: str, folder: Path) -> None:
    names: dict[str, Any] = {"__name__": "__main__"}
    for block in blocks(page, text):
        match block.language:
            case "python":
                run_python(block, names)
            case "sh":
                run_sh(block, folder)
            case "toml":
                tomllib.loads(block.code)
            case "json":
                json.loads(block.code)
            case "csv":
                widths = {len(row) for row in csv.reader(block.code.splitlines(), strict=True)}
                assert len(widths) == 1, f"{page}:{block.line}: rows of {sorted(widths)} cells"
            case language:
                assert language == "text", f"{page}:{block.line}: a block of {language or 'no language'} is not run"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the pages run."""
    for street in EXAMPLES:
        shutil.copytree(example(street), tmp_path / street)
    monkeypatch.chdir(tmp_path)
    return tmp_path


# docs/api is made from docstrings, which run as doctests of their own
PAGES = sorted(
    {ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").rglob("*.md")}
    - set((ROOT / "docs" / "api").glob("*"))
)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_what_a_page_shows_runs(page: Path, folder: Path) -> None:
    run_page(page.name, page.read_text(encoding="utf-8"), folder)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_of_a_page_lead_somewhere(page: Path) -> None:
    prose = FENCE.sub("", page.read_text(encoding="utf-8"))
    links = [
        link
        for link in re.findall(r"\]\(([^)#\s]+)[^)]*\)", prose)
        if "://" not in link and not link.startswith("mailto:")
    ]
    assert [link for link in links if not (page.parent / link).exists()] == []


def test_readme_is_short() -> None:
    assert len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()) < LONGEST_README


@pytest.mark.parametrize(
    ("language", "code", "raised"),
    [
        ("python", "1 / 0", ZeroDivisionError),
        ("python", ">>> 1 + 1\n3", AssertionError),
        ("sh", "hardpan check nowhere", AssertionError),
        ("sh", "make coffee", AssertionError),
        ("sh", "curl example.org", AssertionError),
        ("toml", "length = ", tomllib.TOMLDecodeError),
        ("json", "{", json.JSONDecodeError),
        ("csv", "from,to\n1,2,3", AssertionError),
        ("bash", "true", AssertionError),
        ("", "true", AssertionError),
    ],
)
def test_a_block_that_does_not_hold_is_found(language: str, code: str, raised: type[Exception], folder: Path) -> None:
    with pytest.raises(raised):
        run_page("page.md", f"# Page\n\n```{language}\n{code}\n```\n", folder)


def test_blocks_of_a_page_share_their_names_and_their_folder(folder: Path) -> None:
    page = """
```python
import hardpan
street = hardpan.read_street("kestrel-road")
```

1. A list:

   ```python
   >>> street.name
   'Kestrel Road'
   ```

```sh
# what a crew would type
$ hardpan check kestrel-road --json > told.json
hardpan check nowhere  # exit 1
hardpan plan kestrel-road \\
  --out plan
make test
```

```text
anything
```
"""
    assert [block.language for block in blocks("page.md", page)] == ["python", "python", "sh", "text"]
    run_page("page.md", page, folder)
    assert json.loads((folder / "told.json").read_text(encoding="utf-8"))["problems"] == []
    assert (folder / "plan" / "plan.json").is_file()
