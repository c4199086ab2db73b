"""A real server on a data folder of its own, and phones that post to it."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-m", "tests.serving.program"]
SLUG = "teal-crescent"
CSRF = "a" * 32
READY_WITHIN = 60  # s, on a busy machine


def free_port() -> int:
    """A port that nobody has."""
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


@dataclass
class Machine:
    """A data folder and the server on it."""

    folder: Path
    database_url: str = ""
    port: int = field(default_factory=free_port)
    told: dict[str, str] = field(default_factory=dict)  # further environment
    process: subprocess.Popen[str] | None = None

    @property
    def environment(self) -> dict[str, str]:
        """Environment of every program that works on the folder."""
        rest = {
            name: value
            for name, value in os.environ.items()
            if not name.startswith(("HARDPAN_", "DJANGO_", "DATABASE_URL"))
        }
        database = {"DATABASE_URL": self.database_url} if self.database_url else {}
        return rest | database | self.told | {"HARDPAN_DATA": str(self.folder)}

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a command of the site to its end."""
        return subprocess.run(
            [*PROGRAM, *words], cwd=ROOT, env=self.environment, capture_output=True, text=True, check=False, timeout=300
        )

    def people(self, count: int) -> list[str]:
        """Tokens of so many phones of a crew, on a new street."""
        command = [sys.executable, "-m", "tests.serving.crew", str(count)]
        done = subprocess.run(command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=True)
        return list(json.loads(done.stdout))

    def start(self, *words: str) -> None:
        """Start the server and wait until it answers."""
        self.process = subprocess.Popen(
            [*PROGRAM, "serve", "--port", str(self.port), *(words or ("--no-tls",))],
            cwd=ROOT, env=self.environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True,
        )  # fmt: skip
        self.wait()

    def wait(self) -> None:
        """Wait until the server answers."""
        ends = time.monotonic() + READY_WITHIN
        while not self.answers():
            if self.process is not None and self.process.poll() is not None and self.process.stdout is not None:
                raise AssertionError(f"the server ended: {self.process.stdout.read()}")
            assert time.monotonic() < ends, "the server did not answer"
            time.sleep(0.02)

    def answers(self) -> bool:
        """Whether anybody listens."""
        try:
            socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
        except OSError:
            return False
        return True

    def kill(self) -> None:
        """Kill the server and its worker, as a power cut would."""
        assert self.process is not None
        os.killpg(self.process.pid, signal.SIGKILL)
        self._end()
        while self.answers():  # the worker dies a moment after its parent
            time.sleep(0.01)

    def stop(self) -> int:
        """Ask the server to stop; gives its exit."""
        assert self.process is not None
        self.process.terminate()
        return self._end()

    def _end(self) -> int:
        """Wait for the end."""
        assert self.process is not None
        exit_code = self.process.wait(timeout=60)
        if self.process.stdout is not None:
            self.process.stdout.close()
        self.process = None
        return exit_code


class Phone:
    """A phone that joined; it asks over one connection, and opens another where that broke. ``close`` it at the end."""

    def __init__(self, machine: Machine, token: str) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", machine.port, timeout=30)
        self.headers = {
            "Cookie": f"hardpan-crew={token}; hardpan-csrf={CSRF}",
            "X-CSRFToken": CSRF,
            "Content-Type": "application/json",
        }

    def close(self) -> None:
        """Hang up."""
        self.line.close()

    def ask(self, method: str, path: str, body: object = None) -> Any:
        """Answer to a request; raises ``OSError`` or ``HTTPException`` where none came."""
        try:
            self.line.request(method, path, None if body is None else json.dumps(body), self.headers)
            answer = self.line.getresponse()
            told = answer.read()
        except (OSError, http.client.HTTPException):
            self.line.close()
            raise
        assert answer.status == 200, (answer.status, told)
        return json.loads(told)

    def post(self, entries: Sequence[dict[str, Any]]) -> dict[str, str]:
        """What became of entries, by id."""
        told = self.ask("POST", f"/api/streets/{SLUG}/entries", {"entries": list(entries)})
        return {one["id"]: one["answer"] for one in told["answers"]}

    def ledger(self) -> list[dict[str, Any]]:
        """Every entry of the street."""
        entries: list[dict[str, Any]] = []
        more = True
        while more:
            since = entries[-1]["sequence"] if entries else 0
            page = self.ask("GET", f"/api/streets/{SLUG}/entries?since={since}")
            entries, more = entries + page["entries"], page["more"]
        return entries


def note(said: str = "wet at the 4th pole") -> dict[str, Any]:
    """A note with an id of its own."""
    chosen = uuid.uuid4().int & ~((0xF << 76) | (0x3 << 62)) | (7 << 76) | (2 << 62)  # RFC 9562: version 7
    return {
        "id": str(uuid.UUID(int=chosen)),
        "street": SLUG,
        "kind": "note",
        "happened_at": "2026-06-04T08:05:00-06:00",
        "entered_at": "2026-06-04T08:05:20-06:00",
        "role": "operator",
        "device": "phone-1",
        "payload": {"note": said},
    }
