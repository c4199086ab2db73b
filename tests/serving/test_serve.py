"""``hardpan serve`` as a program: certificates, what it refuses, how it stops."""

from __future__ import annotations

import datetime as dt
import http.client
import os
import re
import signal
import socket
import ssl
import stat
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import trustme

from hardpan.site.serving import addresses, certificates, lock
from hardpan.site.serving.run import Serving
from hardpan.site.serving.start import ServingError
from tests.serving.machine import ROOT, SLUG, Machine, Phone, free_port


def answer_by_tls(port: int, authority: Path, host: str = "localhost") -> int:
    """Status of the sign-in page for a browser that trusts an authority, and nobody else."""
    trusting = ssl.create_default_context(cafile=authority)
    with closing(http.client.HTTPSConnection(host, port, timeout=30, context=trusting)) as line:
        return asked(line, "/sign-in/")


def asked(line: http.client.HTTPConnection, path: str, **headers: str) -> int:
    """Status of an answer, read to its end."""
    line.request("GET", path, headers=headers)
    answer = line.getresponse()
    answer.read()
    return answer.status


def told_at_start(machine: Machine) -> str:
    """What a server says before it serves, until it is stopped."""
    assert machine.process is not None
    assert machine.process.stdout is not None
    machine.process.terminate()
    said = machine.process.communicate(timeout=60)[0]
    machine.process = None
    return said


def test_a_first_start_makes_a_certificate_and_says_what_it_will_not_do(machine: Machine) -> None:
    machine.start("--host", "127.0.0.1")
    authority = machine.folder / "certificate" / "authority.pem"
    assert answer_by_tls(machine.port, authority) == 200
    distrusting = http.client.HTTPSConnection("localhost", machine.port, context=ssl.create_default_context())
    with (
        closing(distrusting),
        pytest.raises(ssl.SSLCertVerificationError, match="unable to get local issuer certificate"),
    ):
        distrusting.connect()
    said = told_at_start(machine)
    assert f"https://localhost:{machine.port}" in said
    assert "phones refuse to keep the page" in said
    assert str(authority) in said
    assert 'hardpan owner "COMPANY" SIGN-IN-NAME' in said
    made = [machine.folder / "secret-key", *(machine.folder / "certificate").iterdir()]
    assert {stat.S_IMODE(path.stat().st_mode) for path in made} == {0o600}
    assert sorted(path.name for path in made) == ["authority.pem", "chain.pem", "key.pem", "secret-key"]


def test_a_real_certificate_is_shown_as_it_is(machine: Machine, tmp_path: Path) -> None:
    authority, files = given_certificate(tmp_path)
    machine.start("--certificate", str(files[0]), "--key", str(files[1]))
    assert answer_by_tls(machine.port, authority) == 200
    assert "nobody vouches" not in told_at_start(machine)
    assert not (machine.folder / "certificate").exists()


def given_certificate(folder: Path) -> tuple[Path, tuple[Path, Path]]:
    """An authority, and a certificate for localhost with its key."""
    authority = trustme.CA()
    leaf = authority.issue_cert("localhost")
    paths = folder / "authority.pem", folder / "chain.pem", folder / "key.pem"
    authority.cert_pem.write_to_path(paths[0])
    leaf.cert_chain_pems[0].write_to_path(paths[1])
    leaf.private_key_pem.write_to_path(paths[2])
    return paths[0], paths[1:]


def test_a_certificate_with_another_key_is_refused(tmp_path: Path) -> None:
    _, (chain, _) = given_certificate(tmp_path)
    other = tmp_path / "other"
    other.mkdir()
    _, (_, key) = given_certificate(other)
    with pytest.raises(ServingError, match=r"KEY_VALUES_MISMATCH.* Name both files that belong together\."):
        certificates.given(chain, key)
    with pytest.raises(ServingError, match="No such file"):
        certificates.given(tmp_path / "none.pem", key)


def test_the_certificate_made_here_is_kept_until_its_end_nears_or_a_name_is_missing(tmp_path: Path) -> None:
    now = dt.datetime(2026, 6, 4, tzinfo=dt.UTC)
    made = certificates.own(tmp_path, ["localhost", "192.0.2.7"], now=now)
    first = made.chain.read_bytes()
    known = certificates.facts(made.chain)
    assert known.names == {"localhost", "192.0.2.7"}
    assert known.ends - (now - certificates.DAY) <= dt.timedelta(days=825)  # what phones take
    assert certificates.own(tmp_path, ["localhost"], now=now + dt.timedelta(days=700)).chain.read_bytes() == first
    assert certificates.own(tmp_path, ["localhost", "box.local"], now=now).chain.read_bytes() != first
    second = made.chain.read_bytes()
    certificates.own(tmp_path, ["box.local"], now=now + dt.timedelta(days=771))
    assert made.chain.read_bytes() != second
    made.chain.write_text("no certificate", encoding="ascii")
    certificates.own(tmp_path, ["localhost"], now=now)
    assert certificates.facts(made.chain).names == {"localhost"}


def test_the_key_of_the_authority_is_nowhere(tmp_path: Path) -> None:
    made = certificates.own(tmp_path, ["localhost"])
    keys = [path.name for path in (tmp_path / "certificate").iterdir() if b"PRIVATE KEY" in path.read_bytes()]
    assert keys == [made.key.name]


@pytest.mark.parametrize(
    ("name", "covered"),
    [("box.example.org", True), ("a.wild.example.org", True), ("a.b.wild.example.org", False), ("example.org", False)],
)
def test_a_certificate_covers_its_names_and_one_step_below_a_star(name: str, covered: bool) -> None:
    known = certificates.Facts(frozenset({"box.example.org", "*.wild.example.org"}), dt.datetime.now(dt.UTC))
    assert known.covers(name) is covered


@pytest.mark.parametrize(
    ("words", "exit_code", "said"),
    [
        (["--no-tls", "--host", "0.0.0.0"], 2, "--no-tls: given for 0.0.0.0; allowed: localhost, or behind a reverse"),
        (["--host", "192.0.2.1", "--no-tls"], 2, "--no-tls: given for 192.0.2.1"),
        (
            ["--certificate", "a.pem"],
            2,
            "certificate: one of --certificate and --key is missing; allowed: both or none.",
        ),
        (["--no-tls", "--certificate", "a.pem", "--key", "b.pem"], 2, "--no-tls: given together with a certificate"),
        (["--certificate", "a.pem", "--key", "b.pem"], 1, "certificate a.pem, key b.pem: [Errno 2] No such file"),
        (["--host", "192.0.2.1"], 1, "host 192.0.2.1: Cannot assign requested address; allowed: an address of this"),
        (["--host", "no such host"], 1, "host no such host: "),
    ],
)
def test_what_cannot_be_served_is_refused_in_one_line(
    machine: Machine, words: list[str], exit_code: int, said: str
) -> None:
    done = machine.run("serve", "--port", str(machine.port), *words)
    assert (done.returncode, done.stdout) == (exit_code, "")
    assert done.stderr.startswith(said)
    assert len(done.stderr.splitlines()) == 1


def test_a_taken_port_is_told(machine: Machine) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", machine.port))
        other.listen()
        done = machine.run("serve", "--port", str(machine.port))
    assert done.returncode == 1
    assert (
        done.stderr
        == f"port {machine.port}: 127.0.0.1:{machine.port} is taken by another program; allowed: a free one. Give another --port.\n"
    )


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", encoding="ascii")
    done = Machine(tmp_path / "file" / "data").run("serve")
    assert done.returncode == 1
    assert done.stderr.startswith("data folder ")
    assert "(Not a directory); allowed: a folder of this user." in done.stderr


def test_one_server_a_data_folder(machine: Machine) -> None:
    machine.start()
    assert lock.address(machine.folder) == f"http://localhost:{machine.port}"
    done = machine.run("serve", "--port", str(free_port()))
    assert (done.returncode, done.stdout) == (1, "")
    assert f"a server or a restore is at work on it (http://localhost:{machine.port})" in done.stderr
    machine.kill()
    assert lock.address(machine.folder) == ""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the worker is no fork, and has the lock not")
def test_a_worker_that_outlives_its_parent_keeps_the_folder(machine: Machine) -> None:
    machine.start()
    assert machine.process is not None
    os.kill(machine.process.pid, signal.SIGKILL)
    group = machine.process.pid
    machine.process.wait(timeout=30)
    assert machine.run("restore", __file__).stderr.startswith("backup ")  # no backup: refused before the lock
    assert lock.address(machine.folder) == f"http://localhost:{machine.port}"
    os.killpg(group, signal.SIGKILL)


def test_a_request_in_flight_is_answered_before_the_server_stops(machine: Machine) -> None:
    (token,) = machine.people(1)
    machine.start()
    answers: list[Any] = []
    phone = Phone(machine, token)
    asking = threading.Thread(target=lambda: answers.append(phone.ask("GET", f"/api/streets/{SLUG}/plan")))
    asking.start()
    time.sleep(0.3)  # the first plan of a server takes more than a second
    assert answers == []
    assert machine.stop() == 0
    asking.join(timeout=60)
    phone.close()
    assert answers[0]["street"]["name"] == "Teal Crescent"


def test_an_owner_chooses_a_password_by_a_link_and_a_second_one_is_refused(machine: Machine) -> None:
    machine.start()
    done = machine.run("owner", "Norvale Streets", "kim", "--name", "Kim")
    link = done.stdout.splitlines()[0]
    assert re.fullmatch(rf"http://localhost:{machine.port}/invitation/\w+/[\w-]+/", link)
    with closing(http.client.HTTPConnection("127.0.0.1", machine.port, timeout=30)) as line:
        # Django keeps the token out of the address from here on
        assert asked(line, link.partition(str(machine.port))[2]) == 302
    again = machine.run("owner", "Norvale Streets", "kim")
    assert again.stdout.startswith(f"http://localhost:{machine.port}/invitation/")
    other = machine.run("owner", "Norvale Streets", "lee")
    assert (other.returncode, other.stdout) == (1, "")
    assert other.stderr.startswith("company Norvale Streets: has an owner already")
    taken = machine.run("owner", "Elsewhere Ltd", "kim")
    assert taken.stderr.startswith("sign-in name kim: somebody else's")
    machine.stop()
    assert machine.run("owner", "Norvale Streets", "kim").stdout.startswith("https://localhost:8443/invitation/")
    machine.start()
    assert "No company has an account yet" not in told_at_start(machine)


def test_a_server_for_the_network_answers_to_the_names_of_the_machine(machine: Machine) -> None:
    machine.start("--host", "0.0.0.0")
    trusting = ssl.create_default_context(cafile=machine.folder / "certificate" / "authority.pem")
    with closing(http.client.HTTPSConnection("127.0.0.1", machine.port, timeout=30, context=trusting)) as line:
        for name in addresses.of_machine():
            assert asked(line, "/sign-in/", Host=f"{addresses.in_url(name)}:{machine.port}") == 200, name
        assert asked(line, "/sign-in/", Host="elsewhere.example") == 400
    assert "for others: https://" in told_at_start(machine)
    known = certificates.facts(machine.folder / "certificate" / "chain.pem")
    assert set(addresses.of_machine()) <= known.names


def test_behind_a_reverse_proxy_the_proxy_says_how_the_request_came(machine: Machine) -> None:
    machine.told = {"HARDPAN_PROXY": "1", "HARDPAN_HOSTS": "streets.example.org"}
    machine.start("--no-tls", "--host", "0.0.0.0")
    with closing(http.client.HTTPConnection("127.0.0.1", machine.port, timeout=30)) as line:
        host = {"Host": "streets.example.org"}
        assert asked(line, "/sign-in/", **host, **{"X-Forwarded-Proto": "https"}) == 200
        assert asked(line, "/sign-in/", **host) == 301  # to https
    assert not (machine.folder / "certificate").exists()
    assert "nobody vouches" not in told_at_start(machine)


def test_files_of_the_pages_are_collected_once(machine: Machine) -> None:
    machine.start()
    machine.stop()
    sheet = next((machine.folder / "static").glob("site.*.css"))
    before = sheet.stat().st_mtime_ns
    machine.start()
    machine.stop()
    assert sheet.stat().st_mtime_ns == before
    (machine.folder / "static" / "collected").write_text("of another Hardpan", encoding="ascii")
    sheet.unlink()
    machine.start()
    assert sheet.is_file()


def test_the_port_below_1024_and_ipv6_are_told_as_they_are() -> None:
    assert Serving("::1", 8443).address == "https://[::1]:8443"
    assert Serving("0.0.0.0", 8000, tls=False).address == "http://localhost:8000"
    assert [addresses.is_local(host) for host in ("localhost", "127.0.0.1", "::1", "0.0.0.0", "192.0.2.7", "box")] == [
        True, True, True, False, False, False,
    ]  # fmt: skip


def test_the_commands_load_django_only_when_they_run() -> None:
    told = "import sys, hardpan.site.command; print({'django', 'granian', 'trustme'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", told], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == "set()\n"
