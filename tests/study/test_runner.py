"""The runner: what is kept is not done again, a killed worker or a killed study changes nothing, workers do not matter."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import pytest

from hardpan.errors import LawError
from hardpan.study import runner
from hardpan.study.runner import Outcome, StudyError, Task, read_kept, run_study, tasks_of

STREETS = 10
TASKS = tasks_of(("as-modelled",), STREETS)
RUN = """
import sys
from pathlib import Path
from hardpan.study.runner import run_study, tasks_of
if __name__ == "__main__":
    run_study(tasks_of(("as-modelled",), {streets}), Path(sys.argv[1]), workers=2)
"""


@pytest.fixture(scope="module")
def alone() -> list[Outcome]:
    """The streets one after the other, in this process."""
    return [runner.one_street(task) for task in TASKS]


def started(folder: Path, kept: Path) -> subprocess.Popen[bytes]:
    script = folder / "run.py"
    script.write_text(RUN.format(streets=STREETS), encoding="utf-8")
    return subprocess.Popen([sys.executable, str(script), str(kept)], stderr=subprocess.DEVNULL)


def workers_of(parent: int) -> list[int]:
    """Processes that a study started for its streets."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                above = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
                if above == parent and b"spawn_main" in (entry / "cmdline").read_bytes():
                    found.append(int(entry.name))
            except (OSError, IndexError):
                continue
    return sorted(found)


def await_lines(kept: Path, lines: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + 120
    while not kept.exists() or kept.read_text(encoding="utf-8").count("\n") < lines:
        assert process.poll() is None, "the study ended too early"
        assert time.monotonic() < end, "the study is stuck"
        time.sleep(0.02)


needs_proc = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="finds workers by /proc")


@needs_proc
def test_a_killed_worker_changes_nothing(tmp_path: Path, alone: list[Outcome]) -> None:
    kept = tmp_path / "study.jsonl"
    process = started(tmp_path, kept)
    await_lines(kept, 1, process)
    killed = workers_of(process.pid)
    os.kill(killed[0], signal.SIGKILL)
    assert process.wait(180) == 0
    assert read_kept(kept) == {one.task: one for one in alone}


@needs_proc
def test_a_killed_study_goes_on_and_leaves_no_worker_behind(tmp_path: Path, alone: list[Outcome]) -> None:
    kept = tmp_path / "study.jsonl"
    process = started(tmp_path, kept)
    await_lines(kept, 1, process)
    workers = workers_of(process.pid)
    assert workers
    process.kill()
    process.wait(30)
    end = time.monotonic() + 60
    while any(Path(f"/proc/{worker}").exists() for worker in workers):
        assert time.monotonic() < end, "a worker outlived its study"
        time.sleep(0.05)
    before = read_kept(kept)
    assert 0 < len(before) < STREETS
    done: list[int] = []
    assert run_study(TASKS, kept, workers=1, progress=done.append) == alone
    assert done == [*range(len(before), STREETS + 1)]


def test_a_line_cut_short_or_of_another_kind_is_done_again(tmp_path: Path, alone: list[Outcome]) -> None:
    kept = tmp_path / "study.jsonl"
    lines = [one.line() for one in alone[:3]]
    kept.write_text("\n".join([lines[0], lines[1].replace(runner.KIND, "other/1"), lines[2][:200]]), encoding="utf-8")
    assert set(read_kept(kept)) == {TASKS[0]}
    assert run_study(TASKS[:3], kept, workers=1) == alone[:3]
    assert set(read_kept(kept)) == set(TASKS[:3])


def test_what_is_kept_is_not_done_again(tmp_path: Path, alone: list[Outcome], monkeypatch: pytest.MonkeyPatch) -> None:
    kept = tmp_path / "study.jsonl"
    kept.write_text("".join(f"{one.line()}\n" for one in alone), encoding="utf-8")
    monkeypatch.setattr(runner, "ProcessPoolExecutor", None)  # would fail if it were called
    assert run_study(TASKS, kept) == alone


def test_workers_that_die_again_and_again_end_the_study(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(runner, "_one_pool", _dies)
    with pytest.raises(StudyError, match="workers died 5 times without finishing a street"):
        run_study(TASKS, tmp_path / "study.jsonl")


def _dies(*_: object) -> list[Outcome]:
    raise BrokenProcessPool


def test_a_street_that_cannot_be_planned_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise LawError("thickness", 9.0, "at most 8")

    monkeypatch.setattr(runner, "decide", fails)
    with pytest.raises(StudyError, match=r"street 7 of nature maclaurin cannot be planned or tested: thickness"):
        runner.one_street(Task("maclaurin", 7))


def test_dask_that_is_not_installed_is_told_with_the_way_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "dask.distributed", None)
    with pytest.raises(StudyError, match="Dask is not installed"):
        run_study(TASKS[:1], tmp_path / "study.jsonl", scheduler="tcp://127.0.0.1:1")
