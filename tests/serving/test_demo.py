"""The site of the demo, as a program."""

from __future__ import annotations

import http.client
import re
import shutil
import signal
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from hardpan.street import EXAMPLES, example
from tests.serving.machine import ROOT, Machine, free_port

SERVE = "import sys; from pathlib import Path; from hardpan.site.demo import serve_demo; serve_demo(Path(sys.argv[1]), port=int(sys.argv[2]))"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Folder of a demo, with what its plans leave beside."""
    for name in EXAMPLES:
        shutil.copytree(example(name), tmp_path / "demo" / name)
        (tmp_path / "demo" / name / "plan").mkdir()
    return tmp_path / "demo"


def test_the_demo_has_both_streets_and_a_way_in_for_everybody_and_leaves_nothing(folder: Path, tmp_path: Path) -> None:
    machine = Machine(tmp_path / "data")
    port, kept = free_port(), tmp_path / "temporary"
    kept.mkdir()
    told = machine.environment | {"TMPDIR": str(kept), "PYTHONUNBUFFERED": "1", "HARDPAN_DATA": str(tmp_path / "real")}
    command = [sys.executable, "-c", SERVE, str(folder), str(port)]
    machine.port = port
    machine.process = subprocess.Popen(
        command, cwd=ROOT, env=told, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True
    )
    machine.wait()
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=30)) as line:
        line.request("GET", "/sign-in/")
        assert line.getresponse().read().count(b"<form") == 1
    assert [path.name[:13] for path in kept.iterdir()] == ["hardpan-demo-"]
    machine.process.send_signal(signal.SIGINT)  # Ctrl-C
    said, _ = machine.process.communicate(timeout=60)
    assert machine.process.returncode == 0
    assert said.splitlines()[:2] == ["Teal Crescent: 55 entries", "Kestrel Road: 111 entries"]
    accounts = re.findall(r"^  (\w+) +([\w-]{12})$", said, re.MULTILINE)
    assert {role for role, _ in accounts} == {"owner", "foreman", "tester", "reviewer"}
    assert len({password for _, password in accounts}) == 4
    links = re.findall(rf"^  (\w+): http://localhost:{port}/join/[\w-]{{43}}/$", said, re.MULTILINE)
    assert links == ["operator", "tester"]
    assert "█" in said
    assert list(kept.iterdir()) == []
    assert not (tmp_path / "real").exists()  # the store of real streets is never touched


def test_a_taken_port_stops_the_demo_before_it_makes_anything(folder: Path, machine: Machine) -> None:
    machine.start()
    done = subprocess.run(
        [sys.executable, "-c", SERVE, str(folder), str(machine.port)],
        cwd=ROOT, env=machine.environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert f"port {machine.port}: 127.0.0.1:{machine.port} is taken by another program" in done.stderr
    assert done.stdout == ""
