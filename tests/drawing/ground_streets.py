"""Streets for drawings of the ground: without readings, with one strip, counted in feet, with skins, long and wide; and what is read off a drawing."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path
from random import Random

import hardpan
from hardpan.exchange.drawing.placement import Box
from hardpan.exchange.drawing.strip_map import Drawn
from hardpan.plan import Plan

SVG = "{http://www.w3.org/2000/svg}"
REST = "zone,from,to,strips,rate,said_at\nrest,elsewhere,,all,12,2026-06-03 07:00\n"
LEVEL = (
    '[section]\ncrossfall = 0.02\n[level]\ndown_from = "lip"\ndown_at_edge = 0.4\n[soil]\nword = "fat clay"\n'
    "[shift]\nblock_length = 80\n"
)


def planned(folder: Path, length: float, strips: int, *, style: str = "0+000 m", **tables: str) -> Plan:
    """Plan of a street of strips of 2.25 m, with some tables; 12 kg/m2 everywhere unless it is said otherwise."""
    folder.mkdir()
    line = f'length = {length}\nwidth = {2.25 * strips}\nstrips = {strips}\nstation_style = "{style}"\n'
    (folder / "street.toml").write_text(f'name = "Ash Row"\n[line]\n{line}{LEVEL}', encoding="utf-8")
    for name, rows in {"instructions": REST, **tables}.items():
        (folder / f"{name}.csv").write_text(rows, encoding="utf-8")
    return hardpan.make_plan(hardpan.read_street(folder))


def unread(folder: Path) -> Plan:
    """Nothing was read; 30 kg/m2 in the middle."""
    return planned(folder, 180, 3, instructions=f"{REST}soft,60,100,all,30,2026-06-03 08:00\n")


def one_strip(folder: Path) -> Plan:
    """One strip, half of it soft."""
    return planned(folder, 60, 1, readings="from,to,strips,word,bounces\n0,30,1,shows,yes\n30,60,1,sinks,\n")


def in_feet(folder: Path) -> Plan:
    """200 m counted in feet, with landmarks."""
    read = "from,to,strips,word,bounces\n0+00,1+20,all,nothing,\n1+20,2+40,left,ruts,yes\n1+20,2+40,right,sinks,\n2+40,6+00,all,shows,\n"
    marks = "name,station,side\npole 1,0+60,left\nno. 7,2+00,right\n"
    rates = f"{REST}A,1+00,2+50,left,36,2026-06-03 08:00\n"
    return planned(folder, 200, 4, style="0+00 ft", readings=read, landmarks=marks, instructions=rates)


def with_a_skin(folder: Path) -> Plan:
    """Ground that showed nothing; a test found a skin over soft ground, another none, and a laboratory has a value."""
    rows = "test,station,strip,blows,depth [mm],note\n"
    for test, station, late in (("S1", 55, 1), ("F1", 105, 4)):
        rows += f"{test},{station},2,0,0,\n"
        rows += "".join(f"{test},{station},2,4,{depth},\n" for depth in (60, 120, 180))
        rows += "".join(f"{test},{station},2,{late},{depth},\n" for depth in (250, 320, 390, 460, 530, 600))
    laboratory = "test,station,strips,cbr [%]\nL1,140,3,4.0\n"
    return planned(
        folder, 160, 3, readings="from,to,strips,word\n0,160,all,nothing\n", penetrometer=rows, lab=laboratory
    )


def long_and_wide(folder: Path) -> Plan:
    """4 km of 13 strips: readings every 40 m, rates, landmarks, trenches across and one along."""
    chance = Random(4)
    read = "from,to,strips,word,bounces\n"
    for start in range(0, 4000, 40):
        for strips in ("1-4", "5-9", "10-13"):
            if chance.random() < 0.8:
                word = chance.choice(["nothing", "nothing", "shows", "ruts", "sinks"])
                read += f"{start},{start + 40},{strips},{word},{chance.choice(['', 'yes'])}\n"
    rates = REST + "".join(
        f"z{i},{i + 30},{i + 120},{chance.choice(['all', 'left', '3-5'])},{chance.choice([20, 28, 36])},2026-06-03 08:00\n"
        for i in range(0, 4000, 200)
    )
    marks = "name,station,side\n" + "".join(
        f"pole {i},{45 * i + 10},left\nno. {2 * i + 1},{45 * i + 30},right\n" for i in range(88)
    )
    trenches = "id,kind,from,to,side\n" + "".join(
        f"T{i},trench,{330 * i + 50},{330 * i + 51.2},{chance.choice(['left', 'right', 'full'])}\n" for i in range(12)
    )
    trenches += "T90,trench,1500,1580,left\n"
    return planned(folder, 4000, 13, readings=read, instructions=rates, landmarks=marks, structures=trenches)


def collisions(drawn: Drawn) -> list[tuple[str, str]]:
    """Pairs of labels whose boxes overlap, found by a sweep down the drawing."""
    found, open_labels = [], list[tuple[str, Box]]()
    for text, box in sorted(drawn.labels, key=lambda label: label[1].top):
        open_labels = [other for other in open_labels if other[1].bottom > box.top + 0.01]
        found += [(text, other) for other, taken in open_labels if box.hits(taken, -0.01)]
        open_labels.append((text, box))
    return found


def outside(drawn: Drawn) -> list[str]:
    """Labels that leave the drawing."""
    whole = Box(-0.5, -0.5, drawn.width + 0.5, drawn.height + 0.5)
    return [text for text, box in drawn.labels if not box.inside(whole)]


def texts(drawn: Drawn) -> list[str]:
    """All text of the drawing, in order."""
    return ["".join(element.itertext()) for element in ET.fromstring(drawn.svg).iter(f"{SVG}text")]


def elements(drawn: Drawn, tag: str, **attributes: str) -> list[ET.Element]:
    """Elements of the drawing with some attributes."""
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    return [one for one in ET.fromstring(drawn.svg).iter(f"{SVG}{tag}") if wanted.items() <= one.attrib.items()]
