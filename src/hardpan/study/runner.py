"""Many streets in processes, kept line by line: a stopped study goes on where it was, a killed worker changes nothing."""

from __future__ import annotations

import json
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from importlib import import_module
from multiprocessing.connection import wait
from pathlib import Path
from textwrap import shorten
from typing import Any

from hardpan.errors import HardpanError
from hardpan.study.decided import ZoneOutcome, decide, outcomes
from hardpan.study.natures import NATURES
from hardpan.study.rules import Worth, worths
from hardpan.study.simulated import simulate

KIND = "hardpan.study/1"
"""Of every line that is kept; another kind is done again."""

_BATCH = 4  # streets that a worker is given at a time
_FRUITLESS = 5  # pools that may break one after the other without one new street
_LONGEST = 300  # letters of a message
_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


class StudyError(RuntimeError):
    """The study cannot go on."""


@dataclass(frozen=True, slots=True, order=True)
class Task:
    """One street to be: nature by name, seed."""

    nature: str
    seed: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """One street as it turned out: its zones as planned, and what every rule did."""

    task: Task
    zones: tuple[ZoneOutcome, ...]
    worth: dict[str, Worth]

    def line(self) -> str:
        """As one line of JSON."""
        plain = {
            "kind": KIND,
            "nature": self.task.nature,
            "seed": self.task.seed,
            "zones": [asdict(one) for one in self.zones],
            "worth": {rule: asdict(one) for rule, one in self.worth.items()},
        }
        return json.dumps(plain, separators=(",", ":"))


def one_street(task: Task) -> Outcome:
    """Simulate, plan, and see what happens."""
    try:
        made = simulate(task.seed, NATURES[task.nature])
        decided = decide(made.street)
        return Outcome(task, outcomes(decided, made), worths(decided, made))
    except HardpanError as error:
        message = (
            f"street {task.seed} of nature {task.nature} cannot be planned or tested: {shorten(str(error), _LONGEST)}"
        )
        raise StudyError(message) from None  # its cause may not travel between processes


def tasks_of(natures: tuple[str, ...], streets: int) -> list[Task]:
    """Streets of a study: every nature with the same seeds."""
    return [Task(nature, seed) for nature in natures for seed in range(streets)]


def run_study(
    tasks: list[Task],
    kept: Path,
    *,
    workers: int = 2,
    scheduler: str = "",
    progress: Callable[[int], None] = lambda _: None,
) -> list[Outcome]:
    """Outcomes of some streets.

    Parameters
    ----------
    tasks
        Streets wanted.
    kept
        File of lines; what stands in it is not done again, what comes is added to it.
    workers
        Processes.
    scheduler
        Address of a Dask scheduler in place of processes.
    progress
        Called with the number of streets known, as it grows.

    Returns
    -------
    list of Outcome
        In the order of the tasks; the same whatever the workers.

    Raises
    ------
    StudyError
        Where workers die again and again, or Dask is asked for and not installed.
    """
    known = read_kept(kept)
    wanted = [task for task in tasks if task not in known]
    progress(len(tasks) - len(wanted))
    source = _on_dask(wanted, scheduler) if scheduler else _in_processes(wanted, workers)
    kept.parent.mkdir(parents=True, exist_ok=True)
    with kept.open("a", encoding="utf-8") as file:
        if kept.stat().st_size and not kept.read_bytes().endswith(b"\n"):
            file.write("\n")  # a line that was cut short stays alone and is not counted
        for outcome in source:
            file.write(outcome.line() + "\n")
            file.flush()
            known[outcome.task] = outcome
            progress(sum(task in known for task in tasks))
    return [known[task] for task in tasks]


def read_kept(kept: Path) -> dict[Task, Outcome]:
    """Outcomes that a file holds; lines cut short or of another kind are passed over."""
    lines = kept.read_text(encoding="utf-8", errors="replace").splitlines() if kept.exists() else []
    found = (_outcome(line) for line in lines)
    return {one.task: one for one in found if one}


def _outcome(line: str) -> Outcome | None:
    """Outcome of a line, None where it is none."""
    try:
        plain: dict[str, Any] = json.loads(line)
        if plain["kind"] != KIND:
            return None
        return Outcome(
            Task(plain["nature"], plain["seed"]),
            tuple(ZoneOutcome(**one) for one in plain["zones"]),
            {rule: Worth(**one) for rule, one in plain["worth"].items()},
        )
    except (ValueError, KeyError, TypeError):
        return None


def _in_processes(wanted: list[Task], workers: int) -> Iterator[Outcome]:
    """Outcomes as they come; a pool that breaks is built again and what is missing done again."""
    missing, fruitless = dict.fromkeys(wanted), 0
    while missing:
        before = len(missing)
        try:
            for outcome in _one_pool(list(missing), workers):
                del missing[outcome.task]
                yield outcome
        except BrokenProcessPool as error:
            fruitless = fruitless + 1 if len(missing) == before else 0
            if fruitless >= _FRUITLESS:
                message = f"workers died {fruitless} times without finishing a street; is there memory enough? Try fewer workers."
                raise StudyError(message) from error


def _one_pool(wanted: list[Task], workers: int) -> Iterator[Outcome]:
    """Outcomes as they come from one pool of fresh processes."""
    with (
        _one_thread_each(),
        ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), initializer=_end_with_the_parent) as pool,
    ):
        batches = [wanted[start : start + _BATCH] for start in range(0, len(wanted), _BATCH)]
        futures: list[Future[list[Outcome]]] = [pool.submit(_some_streets, batch) for batch in batches]
        try:
            for future in as_completed(futures):
                yield from future.result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _end_with_the_parent() -> None:
    """A worker whose parent was killed would wait for ever: it ends instead."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_watch, args=(parent.sentinel,), daemon=True).start()


def _watch(sentinel: int) -> None:
    """End this process when its parent has."""
    wait([sentinel])
    os._exit(1)


def _some_streets(tasks: list[Task]) -> list[Outcome]:
    """A worker's batch."""
    return [one_street(task) for task in tasks]


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Processes that start here do algebra in one thread: no fight for the cores, the same sums on every machine's count of them."""
    before = {key: os.environ.get(key) for key in _ONE_THREAD}
    os.environ.update(dict.fromkeys(_ONE_THREAD, "1"))
    try:
        yield
    finally:
        for key, value in before.items():
            if value is None:
                os.environ.pop(key, None)
            else:
                os.environ[key] = value


def _on_dask(wanted: list[Task], scheduler: str) -> Iterator[Outcome]:
    """Outcomes as they come from a Dask scheduler, which does a lost worker's streets again by itself."""
    try:
        dask = import_module("dask.distributed")  # an optional extra
    except ImportError as error:
        message = (
            'Dask is not installed: pip install "hardpan[cluster]", or leave --scheduler out to use processes here'
        )
        raise StudyError(message) from error
    with dask.Client(scheduler) as client:
        for _, outcome in dask.as_completed(client.map(one_street, wanted, pure=False), with_results=True):
            yield outcome
