"""The phone's queue: nothing that a phone called "here" is lost or doubled, whatever breaks; and the scripts one by one in node."""

from __future__ import annotations

import gzip
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from hardpan.ledger import read_ledger
from tests.phone.scripts import QUEUE, SCRIPTS, broken, node, played

SCHEDULES = 500
LONGEST = 300  # lines
MOST_BYTES = {  # compressed, comments and all
    ("queue", "sender", "register"): 9_000,
    ("queue", "sender", "register", "entry", "database", "turn"): 10_240,  # and what they import
}
WRONG = ("lost", "doubled", "stuck", "disordered", "changed", "failing")

# what a queue must not do: file, text of the real one, text of the broken one, what the simulator must find
BROKEN = {
    "calls an entry sent before the answer": (
        "sender.js",
        "  const entries = batch.map(({ entry }) => entry);\n",
        ("  const entries = batch.map(({ entry }) => entry);\n"
        '  const answers = entries.map(({ id }) => ({ id, answer: "stored" }));\n'
        '  await queue.settle({ epoch: (await queue.heard()).epoch, said_at: "", answers }, queue.now());\n'),
        "lost",
    ),
    "sends nothing again in a new epoch": (
        "queue.js",
        "  if (!same) await startAgain(entries, street, epoch);\n",
        "",
        "lost",
    ),
    "forgets what no backup holds": (
        "queue.js",
        ("    if (record.epoch !== epoch || !(told <= covered_until)) continue;\n"
        "    if (record.covered_at === undefined) await ask(entries.put({ ...record, covered_at: at }));\n"
        "    else if (at - record.covered_at > KEPT_AFTER_BACKUP) await ask(entries.delete(record.number));\n"),
        "    await ask(entries.delete(record.number));\n",
        "lost",
    ),
    "says here before the disk has it": (
        "database.js",
        "(value) => (result = value),",
        "(value) => resolve((result = value)),",
        "lost",
    ),
    "trusts a relaxed disk": ("database.js", '{ durability: "strict" }', "{}", "faults"),
    "makes a new id to send again": (
        "sender.js",
        "entries = batch.map(({ entry }) => entry);",
        "entries = batch.map(({ entry }) => ({ ...entry, id: entry.id.slice(0, -2) + (10 + Math.floor(queue.chance() * 90)) }));",
        "doubled",
    ),
    "sends the newest first": (
        "queue.js",
        'ask(entries.index("standing").getAll([street, "here"], most))',
        'ask(entries.index("standing").getAll([street, "here"])).then((all) => all.reverse().slice(0, most))',
        "disordered",
    ),
    "lets one entry hold up the rest": (
        "sender.js",
        'if (status === 413 || (ours && (status === 400 || status === 422))) throw new NotTaken',
        'if (status === 413) throw new NotTaken',
        "stuck",
    ),
    "takes another network's page for an answer": (
        "sender.js",
        "  if (!fits || typeof",
        ('  if (!answers.length) return { epoch: "", said_at: "", answers: body.entries.map(({ id }) => ({ id, answer: "stored" })) };\n'
        "  if (!fits || typeof"),
        "lost",
    ),
    "waits for ever for an answer": ("sender.js", "  }, TIMEOUT);", "  }, 1e12);", "stuck"),
    "waits for ever for a tab that sleeps": ("turn.js", "now() - waitingSince > PATIENCE", "false", "stuck"),
    "sends from every tab at once": ("turn.js", "return lock ? work(() => true) : BUSY;", "return work(() => true);", "faults"),
    "cannot use the database of a newer page": (
        "database.js",
        'if (error?.name !== "VersionError") throw error;',
        "throw error;",
        "faults",
    ),
}  # fmt: skip


def test_nothing_that_was_here_is_lost_or_doubled() -> None:
    half = SCHEDULES // 2
    with ThreadPoolExecutor(2) as pool:
        halves = list(pool.map(lambda first: played(first, half), (0, half)))
    print(*halves, sep="\n")
    for found in halves:
        assert {name: found[name] for name in WRONG} == dict.fromkeys(WRONG, 0), found["seeds"]
        assert found["schedules"] == half
        assert found["here"] > 40 * half  # something was at stake
        assert found["restores"] > half
        assert found["posts"] > 20 * half


def test_a_seed_plays_the_same_schedule_again() -> None:
    assert played(7, 3) == played(7, 3)
    assert played(7, 3)["trace"] != played(8, 3)["trace"]


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_queue_is_found(name: str, tmp_path: Path) -> None:
    file, before, after, symptom = BROKEN[name]
    found = played(0, 200, broken(tmp_path / "scripts", file, before, after), 1)
    print(found)
    assert found["failing"] == 1
    (told,) = found["seeds"]
    assert told[symptom], told


def test_the_scripts_by_themselves() -> None:
    done = node(QUEUE / "scripts.test.js")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "# pass 21\n# fail 0\n" in done.stdout


def test_an_exported_file_is_a_ledger(tmp_path: Path) -> None:
    file = tmp_path / "ledger.jsonl"
    file.write_text(node(QUEUE / "export.js").stdout, encoding="utf-8")
    ledger = read_ledger(file)
    assert ledger.problems == ()
    assert [one.entry.payload.note for one in ledger.received] == ["first", "second\nline", "\N{SNOWMAN}"]
    assert [one.entry.late for one in ledger.received] == [False, False, False]


@pytest.mark.parametrize("names", MOST_BYTES, ids=len)
def test_the_scripts_are_small(names: tuple[str, ...]) -> None:
    sizes = {name: len(gzip.compress((SCRIPTS / f"{name}.js").read_bytes(), 9, mtime=0)) for name in names}
    print(sizes, sum(sizes.values()))
    assert sum(sizes.values()) <= MOST_BYTES[names]


def test_no_script_is_long() -> None:
    scripts = [*SCRIPTS.glob("*.js"), *QUEUE.glob("*.js")]
    assert len(scripts) > 10
    assert [path.name for path in scripts if len(path.read_text(encoding="utf-8").splitlines()) > LONGEST] == []
