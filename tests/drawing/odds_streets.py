"""Streets for drawings of odds: rates from none to over the curve, depths in every state, least odds that somebody wrote, laboratory strengths, no rate at all."""

from __future__ import annotations

import shutil
from pathlib import Path

import hardpan
from hardpan.plan import Plan
from hardpan.street import example
from tests.drawing.ground_streets import planned
from tests.sheets.odd_streets import changed

READ = "from,to,strips,word,bounces\n0,40,all,sinks,\n40,80,left,ruts,yes\n80,140,all,shows,\n"
LONG = "zone with a name as long as it can be"


def six_zones(folder: Path) -> Plan:
    """Rates 60, 5, 50, 35, 27.5 and 0; depths rolled, loose, without a state, original; how low from 10 high to 200 low."""
    rows = (
        "zone,from,to,strips,rate,depth [mm],depth_state,low [mm],said_at\nrest,elsewhere,,all,0,,,,2026-06-03 07:00\n"
    )
    said = [(60, 300, "rolled", 45), (5, 150, "loose", -10), (50, 350, "", 20), (35, 300, "original", ""), (27.5, 250, "original", 200)]  # fmt: skip
    for i, (rate, depth, state, low) in enumerate(said):
        strips = "left" if i % 2 else "all"
        rows += f"{LONG} {i},{20 * i + 10},{20 * i + 30},{strips},{rate},{depth},{state},{low},2026-06-03 08:0{i}\n"
    return planned(folder, 140, 4, instructions=rows, readings=READ)


def least_written(folder: Path) -> Plan:
    """Kestrel Road where the engineer wrote 9 in 10, and the test is on day 5."""

    def street(text: str) -> str:
        least = 'least_probability = { value = 0.9, owner = "engineer", source = "job limits 10" }\n'
        text = text.replace("[limits]\n", f"[limits]\n{least}")
        return text.replace("[[level.point]]", "[axle_test]\nday = 5\n\n[[level.point]]", 1)

    return changed(folder, "kestrel-road", street=street)


def with_strengths(folder: Path) -> Plan:
    """Teal Crescent with three laboratory strengths, cement at 300 a tonne."""
    shutil.copytree(example("teal-crescent"), folder)
    rows = "test,soil,treated,cement_content,strength [kPa],age_days\nU1,soft,yes,0.05,900,7\nU2,soft,yes,0.05,800,7\nU3,soft,yes,0.07,1500,7\n"
    (folder / "lab.csv").write_text(rows, encoding="utf-8")
    file = folder / "street.toml"
    file.write_text(file.read_text(encoding="utf-8") + '\n[prices]\ncement = { value = 300, basis = "stated", source = "quote" }\n', encoding="utf-8")  # fmt: skip
    return hardpan.make_plan(hardpan.read_street(folder))


def without_a_rate(folder: Path) -> Plan:
    """No instruction: every zone is proposed, the softest dug out."""
    return planned(folder, 140, 4, instructions="zone,from,to,strips,rate,said_at\n", readings=READ)


ODD = [six_zones, least_written, with_strengths, without_a_rate]
