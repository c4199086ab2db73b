"""A throwaway PostgreSQL cluster: on a socket in a temporary folder, as the user ``postgres`` where root runs the tests."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

USER = "postgres"
FAST = "-c fsync=off -c full_page_writes=off"  # for tests that ask what is stored, not what a power cut leaves


def programs() -> Path | None:
    """Folder of the server's programs, the newest version; None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    if found:
        return found[-1].parent
    told = shutil.which("initdb")
    return Path(told).parent if told else None


@contextmanager
def cluster(*, durable: bool = False) -> Iterator[str]:
    """Cluster with an empty database; gives its DATABASE_URL. ``durable`` keeps the server's own flushing."""
    where = programs()
    if where is None:
        raise RuntimeError("no PostgreSQL server on this machine")
    folder = Path(tempfile.mkdtemp(prefix="hardpan-pg-"))
    if os.geteuid() == 0:
        shutil.chown(folder, USER)
    data = folder / "data"
    run(where / "initdb", "--auth=trust", f"--username={USER}", "--encoding=UTF8", "--no-sync", "-D", data)
    options = f"-c listen_addresses='' -k {folder} {'' if durable else FAST}"
    try:
        run(where / "pg_ctl", "-w", "-D", data, "-l", folder / "log", "-o", options, "start")
        run(where / "createdb", "-h", folder, "-U", USER, "hardpan")
        yield f"postgres://{USER}@{quote(str(folder), safe='')}/hardpan"
    finally:
        run(where / "pg_ctl", "-w", "-D", data, "-m", "immediate", "stop", check=False)
        shutil.rmtree(folder, ignore_errors=True)


def run(program: Path, *words: object, check: bool = True) -> None:
    """Run a program of the server as a user that it accepts."""
    command = [str(program), *map(str, words)]
    told = pwd.getpwnam(USER) if os.geteuid() == 0 else None
    rights = {"user": told.pw_uid, "group": told.pw_gid, "extra_groups": []} if told else {}
    done = subprocess.run(command, cwd="/", capture_output=True, text=True, check=False, **rights)  # type: ignore[call-overload]  # mypy does not unpack them
    if check and done.returncode:
        raise RuntimeError(f"{program.name}: {done.stdout}{done.stderr}")
