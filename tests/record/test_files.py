"""The files of a record: archivable and tagged, the same bytes twice, everything attached, the hash on paper, odd ledgers on the paper."""

from __future__ import annotations

import io
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from hardpan.exchange.json_plan import plan_json
from hardpan.exchange.record import verify_file, write_record
from hardpan.exchange.record.gathered import gather
from hardpan.exchange.record.writing import record_files
from hardpan.exchange.sheets.record_letters import printable
from hardpan.exchange.sheets.record_sheet import CAUTION_LINE
from hardpan.ledger import Received, parse_received, read_ledger
from hardpan.street import example
from hardpan.street.rows import TABLES
from tests.ledger.making import PAYLOADS, Diary, number, place, plain
from tests.record.recorded import files, of_entries, recorded
from tests.sheets.odd_streets import strained
from tests.sheets.pdf_text import MARGIN, check_tagged, pages, planned, reader, written
from tests.sheets.pdf_text import plain as in_one

KESTREL = "kestrel-road"


def check_record(pdf: bytes, name: str = KESTREL) -> list[str]:
    """A tagged, archivable document, its pages within their margins, the caution on every foot; gives the text of its pages."""
    document = check_tagged(pdf, f"{planned(name).street.name}: hand-over record")
    assert document.attachments["plan.json"][0].decode("utf-8") == plan_json(planned(name))
    told = pages(pdf)
    for i, (page, text) in enumerate(zip(document.pages, told, strict=True), start=1):
        assert text.count(in_one(CAUTION_LINE)) == 1
        assert f"page {i} of {len(told)}" in text
        pieces, high, wide = written(page), float(page.mediabox.height), float(page.mediabox.width)
        assert [piece for piece in pieces if not MARGIN - 4 < piece.height < high - MARGIN + 4] == []
        assert [piece for piece in pieces if piece.left < MARGIN or piece.left > wide - MARGIN] == []
    return told


@pytest.mark.parametrize(("name", "count"), [(KESTREL, 111), ("teal-crescent", 55)])
def test_a_record_stands_alone_with_everything_inside(name: str, count: int) -> None:
    made = files(name)
    told = check_record(made["record.pdf"], name)
    last = recorded(name).last_hash
    assert len(last) == 64
    assert last in told[0]
    assert last in told[-1]
    assert f"over {count} entries" in told[0]
    attached = reader(made["record.pdf"]).attachments
    assert attached["record.jsonl"][0] == made["record.jsonl"]


def test_the_first_page_reads_from_what_is_asked_first() -> None:
    first = pages(files(KESTREL)["record.pdf"])[0]
    order = [
        "Kestrel Road", "hand-over record", "8 to 17 June 2026", "wait 9",
        "corrections, and entries made after a bad result", "2036bb", "places that failed", "0+146 to 0+152, strip 4",
        "axle test 18 mm, limit at most 13 mm, engineer, job limits 9.", "restart after run-out at 26 m past no. 14 (0+146), strip 4, no tray",
        "24 kg/m\u00b2 over 13.5 m\u00b2 is 324 kg", "re-test: 7 mm", "93.62 t", "26.01 kg/m\u00b2, instructed 25.80", "last hash of the chain",
        "the reviewer signs", "signature of the reviewer",
    ]  # fmt: skip
    at = 0
    for words in order:
        assert words in first[at:], words
        at = first.index(words, at)
    assert "accepted by reviewer, 17 June 16:30: \u201chand-over of the treated subgrade\u201d (91f3ed)" in first
    assert "9 lots accepted by a reviewer though the tool does not propose it" in first


def test_every_entry_stands_on_the_paper_with_its_short_id() -> None:
    record = recorded(KESTREL)
    text = " ".join(pages(files(KESTREL)["record.pdf"]))
    assert len(record.telling.short) == 111
    assert [name for name in record.telling.short.values() if name not in text] == []


def test_a_folder_gives_the_same_bytes_twice_and_holds_its_files(tmp_path: Path) -> None:
    paths = write_record(example(KESTREL), tmp_path / "one")
    assert [path.name for path in paths] == ["record.pdf", "record.xlsx", "record.jsonl"]
    again = write_record(example(KESTREL), tmp_path / "two")
    assert [path.read_bytes() for path in paths] == [path.read_bytes() for path in again]
    with zipfile.ZipFile(paths[1]) as book:
        assert {entry.date_time for entry in book.infolist()} == {(2026, 6, 9, 0, 0, 0)}
        assert b"2026-06-09T00:00:00Z</dcterms:modified>" in book.read("docProps/core.xml")
    attached = reader(paths[0].read_bytes()).attachments
    for name in ("street.toml", *TABLES):
        if (example(KESTREL) / name).exists():
            assert attached[name][0] == (example(KESTREL) / name).read_bytes()
    assert "ledger.jsonl" not in attached
    assert all(one.good for path in (paths[0], paths[2]) for one in verify_file(path))


def test_lines_that_cannot_be_read_come_along_as_they_are(tmp_path: Path) -> None:
    folder = tmp_path / "s"
    shutil.copytree(example("teal-crescent"), folder)
    with (folder / "ledger.jsonl").open("ab") as ledger:
        ledger.write(b'{"entry":{"id":"019e')
    (folder / "landmarks.csv").write_bytes((folder / "landmarks.csv").read_text(encoding="utf-8").encode("utf-16"))
    pdf, _, _ = write_record(folder, tmp_path / "out")
    attached = reader(pdf.read_bytes()).attachments
    assert attached["ledger.jsonl"][0] == (folder / "ledger.jsonl").read_bytes()
    assert attached["landmarks.csv"][0] == (folder / "landmarks.csv").read_bytes()
    assert "a line cut short" in " ".join(pages(pdf.read_bytes()))


def test_a_street_without_a_ledger_says_so(tmp_path: Path) -> None:
    folder = tmp_path / "s"
    shutil.copytree(example("teal-crescent"), folder)
    (folder / "ledger.jsonl").unlink()
    pdf, _, chain = write_record(folder, tmp_path / "out")
    told = check_record(pdf.read_bytes(), "teal-crescent")
    assert "nothing was entered: this record says nothing of what happened on this street" in told[0]
    assert "no cement recorded" in told[1]
    assert len(chain.read_text(encoding="utf-8").splitlines()) == 1
    assert all(one.good for one in verify_file(pdf))


def test_the_workbook_holds_the_same_rows_and_no_formula() -> None:
    diary = Diary()
    diary.say(0, "note", note='=HYPERLINK("http://example.invalid";"x")')
    diary.say(1, "problem", about="other", what="+1\u0007")
    book = load_workbook(io.BytesIO(record_files(of_entries(diary.received))["record.xlsx"]))
    assert book.sheetnames[:3] == ["lots", "tests", "what_was_different"]
    cells = [cell for sheet in book.worksheets for row in sheet.iter_rows() for cell in row]
    assert [cell.value for cell in cells if cell.data_type == "f"] == []
    assert "other, +1\u25a1" in {cell.value for cell in cells}
    lots = load_workbook(io.BytesIO(files(KESTREL)["record.xlsx"]))["lots"]
    assert [row[0].value for row in lots.iter_rows(min_row=2)] == ["B1, base", "B2, base", "B2, A", "B3, base", "B4, base", "B4, B", "B5, base", "B5, B", "R1, base"]  # fmt: skip
    assert [row[1].value for row in lots.iter_rows(min_row=2)] == [720, 315, 405, 720, 630, 90, 675, 45, 13.5]


@pytest.mark.parametrize("length", [1, 12, 31, 60])
def test_any_prefix_of_the_days_gives_a_record(length: int) -> None:
    record = of_entries(read_ledger(example(KESTREL)).received[:length])
    told = check_record(record_files(record)["record.pdf"])
    assert record.last_hash in told[0]


def test_names_of_every_script_and_long_words_stay_on_the_paper() -> None:
    diary = Diary()
    diary.say(0, "note", note="\u0628\u0631\u062c \u6c34\u5854 \u0432\u043e\u0434\u0430 \x07\x1b e\u0301 \U0001f6a7")
    diary.say(1, "note", note="w" * 400)
    diary.say(2, "water truck empty", place(50, strips=(2,)), truck='\u6c34\x07 <1> & "2"')
    diary.say(3, "signature", signed="s" * 200, decision="refused", reason="\u6c34" * 40)
    pdf = record_files(of_entries(diary.received))["record.pdf"]
    told = " ".join(check_record(pdf))
    assert "\u0432\u043e\u0434\u0430" in told
    for page in reader(pdf).pages:
        for piece in written(page):
            assert piece.left < float(page.mediabox.width) - MARGIN


def test_letters_without_a_face_are_squares_and_hashes_stay_whole() -> None:
    shown = {"words": "\u6c34 \u2009\n" + "x" * 31, "hash": "0" * 64, "rows": [["\x07"]]}
    assert printable(shown) == {"words": "\u25a1 \u202f " + "x" * 30 + "\u200bx", "hash": "0" * 64, "rows": [[" "]]}


def test_long_names_stay_on_letter_paper(tmp_path: Path) -> None:
    plan = strained(tmp_path / "s")
    record = gather(plan, read_ledger(example(KESTREL)))
    pdf = record_files(record, paper="us-letter")["record.pdf"]
    for page in reader(pdf).pages:
        wide, high = float(page.mediabox.width), float(page.mediabox.height)
        assert (wide, high) == (612, 792)
        assert [piece.text for piece in written(page) if piece.left < MARGIN or piece.right > wide - 10] == []


def test_a_wrong_clock_and_a_refused_entry_are_told() -> None:
    """Received half an hour before it was sent: the device is ahead at least by that."""
    ahead = plain("note", {"note": "lids walked"}, id=number(1))
    wrong = parse_received(
        {"entry": ahead, "received_at": "2026-06-09T11:30:00Z", "sent_at": "2026-06-09T06:00:30-06:00"}
    )
    other = parse_received({"entry": ahead | {"payload": {"note": "no lids"}}, "received_at": "2026-06-09T12:30:00Z"})
    record = of_entries([wrong, other])
    text = " ".join(pages(record_files(record)["record.pdf"]))
    assert "wrong: both readings stand beside its entries" in text
    assert "store's clock not known to 11:29:30Z" in text
    assert "no lids" in text
    assert "another body came first under its id" in text


@st.composite
def ledgers(draw: st.DrawFn) -> list[Received]:
    """A few entries of any kind, anywhere, some of them mending others."""
    diary = Diary()
    for _ in range(draw(st.integers(1, 14))):
        kind = draw(st.sampled_from(sorted(PAYLOADS)))
        start = draw(st.integers(-20, 410))
        end = draw(st.one_of(st.none(), st.integers(start, start + 90)))
        strips = tuple(sorted(draw(st.sets(st.integers(1, 4), max_size=4))))
        where = place(start, end, strips, draw(st.sampled_from(["", "B1", "B2", "R1", "b \u6c34"])))
        said = dict(PAYLOADS[kind])
        envelope: dict[str, Any] = {"role": draw(st.sampled_from(["operator", "foreman", "tester", "reviewer"]))}
        if kind in ("correction", "withdrawal"):
            envelope["corrects"] = number(draw(st.integers(1, 14)) + 100 * draw(st.booleans()))
        if kind == "note" or draw(st.booleans()):
            said["note"] = draw(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=30).filter(str.strip))  # fmt: skip
        minute = draw(st.integers(0, 3000))
        if envelope.get("corrects") != number(len(diary.received) + 1):
            diary.say(minute, kind, draw(st.sampled_from([None, where])), envelope=envelope, **said)
    return diary.received


@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
@given(ledgers())
def test_no_ledger_breaks_the_record(received: list[Received]) -> None:
    record = of_entries(received)
    made = record_files(record)
    assert record.last_hash in pages(made["record.pdf"])[0]
    assert reader(made["record.pdf"]).attachments["record.jsonl"][0] == made["record.jsonl"]
    assert len(load_workbook(io.BytesIO(made["record.xlsx"])).sheetnames) == len(set(load_workbook(io.BytesIO(made["record.xlsx"])).sheetnames))  # fmt: skip
