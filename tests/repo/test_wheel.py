"""What people install: the wheel alone, with its locked dependencies, in an empty environment away from the repository."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
VERSION = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]


def run(*command: str | Path, cwd: Path) -> str:
    """Standard output of a command that must succeed; nothing of the repository is on its path."""
    clean = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "VIRTUAL_ENV"}}
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=clean, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    built = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", built, ROOT, cwd=built)
    (made,) = built.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of the programs of an environment that holds the wheel and what the lock names."""
    home = tmp_path_factory.mktemp("installed")
    run(sys.executable, "-m", "venv", home, cwd=home)
    python = home / "bin" / "python"
    run(python, "-m", "pip", "install", "-q", "--require-hashes", "-r", ROOT / "requirements.txt", cwd=home)
    run(python, "-m", "pip", "install", "-q", "--no-deps", wheel, cwd=home)
    run(python, "-m", "pip", "check", cwd=home)
    return python.parent


def test_wheel_holds_what_the_package_reads(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as content:
        names = set(content.namelist())
    expected = {
        path.relative_to(ROOT / "src").as_posix()
        for path in (ROOT / "src" / "hardpan").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert {"hardpan/py.typed", "hardpan/street/defaults.csv", "hardpan/laws/data/m145.csv"} <= expected
    assert {f"hardpan/street/examples/{street}/street.toml" for street in ("kestrel-road", "teal-crescent")} <= expected
    about = {name for name in names if name.startswith(f"hardpan-{VERSION}.dist-info/")}
    assert names - about == expected
    assert f"hardpan-{VERSION}.dist-info/licenses/LICENSE" in about


def test_installed_hardpan_is_the_wheel(installed: Path, tmp_path: Path) -> None:
    told = run(installed / "python", "-c", "import hardpan; print(hardpan.__version__, hardpan.__file__)", cwd=tmp_path)
    version, file = told.split(maxsplit=1)
    assert version == VERSION
    assert Path(file.strip()).is_relative_to(installed.parent)


def test_installed_demo_writes_a_plan(installed: Path, tmp_path: Path) -> None:
    run(installed / "hardpan", "demo", "--no-serve", "--out", "demo", cwd=tmp_path)
    written = [path for path in (tmp_path / "demo").rglob("*") if path.is_file()]
    assert {path.suffix for path in written} >= {".csv", ".json"}
    assert [path for path in written if not path.stat().st_size] == []


def test_installed_hardpan_plans_a_street_of_its_own(installed: Path, tmp_path: Path) -> None:
    street = run(
        installed / "python", "-c", "import hardpan; print(hardpan.example('kestrel-road'))", cwd=tmp_path
    ).strip()
    plan = json.loads(run(installed / "hardpan", "plan", street, "--json", cwd=tmp_path))
    assert plan["street"]["name"] == "Kestrel Road"
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(AssertionError):
        run(installed / "hardpan", "plan", "nowhere", cwd=tmp_path)


def test_command_line_tells_its_version_and_commands(installed: Path, tmp_path: Path) -> None:
    assert VERSION in run(installed / "hardpan", "--version", cwd=tmp_path)
    told = run(installed / "hardpan", "--help", cwd=tmp_path)
    assert all(command in told for command in ("new", "check", "plan", "demo", "schema"))


def test_record_of_the_wheel_is_whole(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as content:
        assert content.testzip() is None
        listed = content.read(f"hardpan-{VERSION}.dist-info/RECORD").decode()
        assert {row[0] for row in csv.reader(io.StringIO(listed))} == set(content.namelist())
