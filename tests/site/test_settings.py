"""Settings as a server starts with them, each start in a process and a data folder of its own."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection

from hardpan.site import home
from hardpan.site.headers import POLICY

ROOT = Path(__file__).parents[2]


def start(data: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command of Django's with the settings of a real start."""
    told = {
        name: value for name, value in os.environ.items() if not name.startswith(("HARDPAN_", "DJANGO_", "DATABASE"))
    }
    told |= {"HARDPAN_DATA": str(data), "DJANGO_SETTINGS_MODULE": "hardpan.site.settings", **environment}
    command = [sys.executable, "-W", "error", "-m", "django", *words]
    return subprocess.run(command, cwd=data.parent, env=told, capture_output=True, text=True, check=False)


def test_the_check_before_deployment_has_nothing_to_say(tmp_path: Path) -> None:
    done = start(tmp_path / "data", "check", "--deploy", "--fail-level", "DEBUG")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "System check identified no issues (0 silenced).\n"


def test_models_and_migrations_agree_in_one_migration_a_feature(tmp_path: Path) -> None:
    done = start(tmp_path / "data", "makemigrations", "--check", "--dry-run")
    assert (done.returncode, done.stdout) == (0, "No changes detected\n"), done.stderr
    made = sorted((ROOT / "src" / "hardpan" / "site").glob("*/migrations/0*.py"))
    assert [path.name for path in made] == ["0001_initial.py"] * 5


def test_debug_is_off_whatever_the_environment_says(tmp_path: Path) -> None:
    told = {"DEBUG": "1", "DJANGO_DEBUG": "True", "HARDPAN_DEBUG": "1"}
    done = start(
        tmp_path / "data", "shell", "-v", "0", "-c", "from django.conf import settings; print(settings.DEBUG)", **told
    )
    assert done.stdout == "False\n", done.stderr


def test_the_secret_key_is_made_once_for_its_owner_only(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    first = start(folder, "check")
    assert first.returncode == 0, first.stderr
    path = folder / "secret-key"
    assert (stat.S_IMODE(path.stat().st_mode), stat.S_IMODE(folder.stat().st_mode)) == (0o600, 0o700)
    key = path.read_text(encoding="ascii")
    assert len(set(key)) > 20
    assert len(key) == 86  # 64 bytes, written six bits a letter
    start(folder, "check")
    assert path.read_text(encoding="ascii") == key
    assert [one.name for one in folder.iterdir()] == ["secret-key"]


def test_two_starts_at_once_have_one_key(tmp_path: Path) -> None:
    assert len({home.secret_key(tmp_path) for _ in range(5)}) == 1
    other = tmp_path / "other"
    other.mkdir()
    assert home.secret_key(other) != home.secret_key(tmp_path)


def test_the_database_is_sqlite_in_the_data_folder_unless_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("DATABASE_URL", raising=False)
    told = home.database(tmp_path)
    assert (told["ENGINE"], told["NAME"]) == ("django.db.backends.sqlite3", str(tmp_path / "hardpan.sqlite3"))
    monkeypatch.setenv("DATABASE_URL", "postgres://crew@db.example:5433/streets")
    told = home.database(tmp_path)
    assert (told["ENGINE"], told["HOST"], told["PORT"]) == ("django.db.backends.postgresql", "db.example", 5433)
    assert "OPTIONS" not in told


@pytest.mark.django_db
@pytest.mark.skipif(settings.DATABASES["default"]["ENGINE"] != "django.db.backends.sqlite3", reason="of SQLite only")
def test_sqlite_keeps_what_it_acknowledged_through_a_power_cut() -> None:
    wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 20_000}  # 2: FULL
    with connection.cursor() as cursor:
        assert {name: cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in wanted} == wanted
    options: dict[str, Any] = settings.DATABASES["default"]["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert settings.DATABASES["default"]["CONN_MAX_AGE"] is None


@pytest.mark.parametrize(
    ("told", "names", "origins"),
    [
        ("", [], []),
        ("box.example", ["box.example"], ["https://box.example"]),
        (
            " box.example:8443 , 192.0.2.7 ",
            ["box.example", "192.0.2.7"],
            ["https://box.example:8443", "https://192.0.2.7"],
        ),
    ],
)
def test_hosts_are_what_the_environment_says_and_this_machine(
    tmp_path: Path, told: str, names: list[str], origins: list[str]
) -> None:
    code = "from django.conf import settings as s; print(s.ALLOWED_HOSTS); print(s.CSRF_TRUSTED_ORIGINS)"
    done = start(tmp_path / "data", "shell", "-v", "0", "-c", code, HARDPAN_HOSTS=told)
    local = ["localhost", "127.0.0.1", "[::1]"]
    assert done.stdout.splitlines() == [str(names + local), str(origins + [f"https://{name}" for name in local])]


def test_no_secret_stands_in_the_settings() -> None:
    text = (ROOT / "src" / "hardpan" / "site" / "settings.py").read_text(encoding="utf-8")
    assert settings.SECRET_KEY not in text
    assert "SECRET_KEY = home.secret_key(HARDPAN_DATA)" in text


def test_argon2_hashes_and_nothing_weaker_is_read() -> None:
    assert settings.PASSWORD_HASHERS == ["django.contrib.auth.hashers.Argon2PasswordHasher"]


def test_cookies_belong_to_this_host_over_tls_only() -> None:
    names = (settings.SESSION_COOKIE_NAME, settings.CREW_COOKIE_NAME, settings.CSRF_COOKIE_NAME)
    assert all(name.startswith("__Host-") for name in names)
    assert (settings.SESSION_COOKIE_SECURE, settings.CSRF_COOKIE_SECURE, settings.SESSION_COOKIE_HTTPONLY) == (
        True,
        True,
        True,
    )
    assert settings.SESSION_COOKIE_SAMESITE == "Lax"


def test_the_policy_allows_nothing_from_elsewhere_and_nothing_inline() -> None:
    allowed = dict(part.split(" ", 1) for part in POLICY.split("; "))
    assert allowed.pop("img-src") == "'self' data:"
    nothing = {name for name, source in allowed.items() if source == "'none'"}
    assert nothing == {"default-src", "base-uri", "frame-ancestors"}
    assert set(allowed.values()) == {"'none'", "'self'"}


def test_the_three_languages_are_offered(client: Any) -> None:
    assert [code for code, _ in settings.LANGUAGES] == ["en", "fr", "es"]
    told = [
        client.get("/sign-in/", secure=True, headers={"host": "testserver", "accept-language": code}).headers[
            "Content-Language"
        ]
        for code in ("fr-CA", "es", "de")
    ]
    assert told == ["fr", "es", "en"]
