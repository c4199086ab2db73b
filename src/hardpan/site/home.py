"""Where the site keeps what must not be lost, and what it is told by the environment."""

from __future__ import annotations

import contextlib
import os
import secrets
import tempfile
from pathlib import Path
from typing import Any

import dj_database_url
import platformdirs

LOCAL = ("localhost", "127.0.0.1", "[::1]")
# WAL and FULL: a ledger that was acknowledged outlives a power cut; IMMEDIATE: a writer waits instead of failing half-way
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA journal_size_limit=67108864;",
}


def data_folder() -> Path:
    """Folder of the database, the photos and the secret key; only its owner may enter."""
    told = os.environ.get("HARDPAN_DATA")
    folder = Path(told) if told else platformdirs.user_data_path("hardpan", appauthor=False)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def secret_key(folder: Path) -> str:
    """Key that signs sessions and codes: made at the first start, readable by its owner only, never in code."""
    path = folder / "secret-key"
    if not path.exists():
        with tempfile.NamedTemporaryFile("w", dir=folder, prefix=".secret-key-", encoding="ascii") as made:
            made.write(secrets.token_urlsafe(64))
            made.flush()
            os.fsync(made.fileno())
            with contextlib.suppress(FileExistsError):  # the first of two starts wins
                path.hardlink_to(made.name)  # whole or not at all
    return path.read_text(encoding="ascii").strip()


def database(folder: Path) -> dict[str, Any]:
    """Django's settings of the database: DATABASE_URL, or SQLite in the data folder."""
    url = os.environ.get("DATABASE_URL") or f"sqlite:///{folder / 'hardpan.sqlite3'}"
    told: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=600, conn_health_checks=True))
    if told["ENGINE"] == "django.db.backends.sqlite3":
        told |= {"CONN_MAX_AGE": None, "CONN_HEALTH_CHECKS": False, "OPTIONS": SQLITE_OPTIONS}
    return told


def hosts() -> list[str]:
    """Names that the site answers to: HARDPAN_HOSTS, separated by commas, and this machine's own."""
    told = [name.strip() for name in os.environ.get("HARDPAN_HOSTS", "").split(",")]
    return [*dict.fromkeys([*filter(None, told), *LOCAL])]


def host_name(told: str) -> str:
    """Name without its port, as Django's list of hosts wants it."""
    name, colon, port = told.rpartition(":")
    return name if colon and port.isdigit() else told
