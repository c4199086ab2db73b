"""Failed places: what was different by the rule, the repair, the re-test."""

from __future__ import annotations

from hardpan.exchange.record.failures import failures
from hardpan.ledger import read_ledger
from hardpan.street import example
from tests.ledger.making import Diary, place
from tests.record.recorded import of_entries, recorded


def test_the_failed_stretch_of_the_worked_days() -> None:
    (failed,) = failures(recorded("kestrel-road"))
    assert failed.check.place == "0+146 to 0+152, strip 4"
    assert failed.found.words == "axle test 18 mm, limit at most 13 mm, engineer, job limits 9."
    first = failed.different[0]
    assert first.words.startswith("restart after run-out at 26 m past no. 14 (0+146), strip 4, no tray: there, ")
    assert first.entries == ("019ead28-1610-75d7-b933-fd72f25dedbb",)
    work = [one.words for one in failed.repair]
    assert len(work) == 3
    # 6 m x 2.25 m = 13.5 m2 at 24 kg/m2 is 324 kg; 13 bags of 25 kg were emptied
    assert "325 kg, hand" in work[0]
    assert work[0].endswith("; 24 kg/m\u00b2 over 13.5 m\u00b2 is 324 kg.")
    assert work[1].startswith("mixing pass, 0+146 to 0+152, strip 4, R1: dry, pass 1")
    assert work[2].startswith("rolling, 0+146 to 0+152, strip 4, R1: final")
    assert failed.again is not None
    assert failed.retest.words == "re-test: 7 mm, limit at most 13 mm, engineer, job limits 9: inside."


def test_before_the_repair_neither_repair_nor_retest_is_recorded() -> None:
    received = [
        one for one in read_ledger(example("kestrel-road")).received if one.entry.entered_at.written < "2026-06-15T00"
    ]
    (failed,) = failures(of_entries(received))
    assert [one.words for one in failed.repair] == ["repair: not recorded."]
    assert failed.again is None
    assert failed.retest.words == "re-test: not recorded."


def test_where_nothing_differs_nothing_is_claimed() -> None:
    diary = Diary()
    where = place(160, 240, (1, 2, 3, 4), "B3")
    diary.say(0, "spread run", where, rate_kg_m2=24)
    diary.say(60, "rolling", where, rolled="final")
    axle = {"vehicle": "loaded tandem", "limit_mm": 13}
    moved = [{"start_m": 190, "end_m": 192, "strips": [1], "moved_mm": 15}, {"start_m": 160, "end_m": 240, "strips": [2, 3, 4], "moved_mm": 3}]  # fmt: skip
    diary.say(600, "axle test", where, **axle, movements=moved)
    (failed,) = failures(of_entries(diary.received))
    assert [one.words for one in failed.different] == ["nothing in the record tells."]
