"""The commands record and verify: files that stand alone, and the first entry that was changed."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from typer.testing import CliRunner

import hardpan
from hardpan.cli import app

RUN = CliRunner()


def written(tmp_path: Path) -> Path:
    out = tmp_path / "record"
    done = RUN.invoke(app, ["record", str(hardpan.example("kestrel-road")), "--out", str(out)])
    assert done.exit_code == 0, done.output
    assert sorted(path.name for path in out.iterdir()) == ["record.jsonl", "record.pdf", "record.xlsx"]
    return out


def test_a_record_is_whole_as_pdf_and_as_lines(tmp_path: Path) -> None:
    out = written(tmp_path)
    for name in ("record.jsonl", "record.pdf"):
        done = RUN.invoke(app, ["verify", str(out / name)])
        assert done.exit_code == 0, done.output
        assert "111 entries, none changed" in done.stdout


def test_a_changed_byte_names_its_entry(tmp_path: Path) -> None:
    out = written(tmp_path)
    lines = (out / "record.jsonl").read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if '"net_kg":19460' in line)
    lines[at] = lines[at].replace('"net_kg":19460', '"net_kg":19461')
    (out / "record.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    done = RUN.invoke(app, ["verify", str(out / "record.jsonl"), "--json"])
    assert done.exit_code == 1
    told = json.loads(done.stdout)
    assert told["whole"] is False
    assert told["findings"][0]["entry"] == json.loads(lines[at])["entry"]["id"]
    assert told["findings"][0]["line"] == at + 1


def test_a_street_with_problems_has_no_record(tmp_path: Path) -> None:
    street = tmp_path / "street"
    shutil.copytree(hardpan.example("kestrel-road"), street)
    (street / "street.toml").write_text("[line]\nlength = 5\n", encoding="utf-8")
    done = RUN.invoke(app, ["record", str(street)])
    assert done.exit_code == 1
    assert "problems; nothing was written" in done.output
    assert not (street / "record").exists()
