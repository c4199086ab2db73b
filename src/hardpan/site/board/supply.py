"""Cement and water against what the ground needs, and the weather against its limits: rows of figures, and the bar of cement."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from hardpan.compare import Outlook, Progress
from hardpan.compare.happened import Happened
from hardpan.compare.loads_ahead import shortage
from hardpan.exchange.drawing.ink import INK, PAPER, STOP, Sheet, Type, n
from hardpan.exchange.drawing.placement import Box
from hardpan.ledger import Event
from hardpan.ledger.placed import of
from hardpan.ledger.supplying import GoNoGo
from hardpan.ledger.testing import Weather
from hardpan.site.board import words
from hardpan.street.model import PlainLimit

FIGURE = Type(14, 700)
HIGH = 30.0
READING_H = 12.0  # hours for which a reading of the weather is shown


@dataclass(frozen=True, slots=True)
class Row:
    """A figure of the board; ``short`` where it is one that wants doing something about."""

    name: str
    figure: str
    short: bool = False


def cement_rows(ahead: Outlook, progress: Progress) -> tuple[Row, ...]:
    """Cement: brought, laid, at hand, still to lay, not here yet, to order."""
    cement, order = ahead.cement, shortage(ahead.cement, ahead.loads)
    rows = [
        Row(_("delivered, by tickets"), words.kilograms(progress.delivered)),
        Row(_("in the hopper"), words.kilograms(cement.in_hopper)),
        Row(_("in the truck"), words.kilograms(cement.in_truck)),
        Row(_("still to lay"), words.kilograms(cement.to_lay)),
        Row(_("not at hand yet"), words.kilograms(cement.wanting)),
    ]
    for load in ahead.loads[:2]:
        name = load.ticket or _("load %(number)s") % {"number": load.number}
        told = {"load": name, "time": words.clock(load.due, ahead.now)}
        rows.append(Row(_("%(load)s, due %(time)s") % told, words.kilograms(load.cement), short=load.late_min > 0))
    if not ahead.loads:
        rows.append(Row(_("next load"), _("none is known")))
    if order.value > 1.0:
        rows.append(Row(_("to order"), words.kilograms(order), short=True))
    return tuple(rows)


def draw_cement(ahead: Outlook, *, width: float = 340.0) -> str:
    """Bar of cement: laid is solid, at hand has a solid edge, loads to come a dashed one, what is to be ordered crossed."""
    cement = ahead.cement
    coming = sum(load.cement.value for load in ahead.loads if not load.proposed)
    parts = (
        (_("laid"), cement.laid.value, "solid"),
        (_("in the hopper"), cement.in_hopper.value, "edge"),
        (_("in the truck"), cement.in_truck.value, "edge"),
        (_("to come"), coming, "dashed"),
        (_("to order"), shortage(cement, ahead.loads).value, "short"),
    )
    whole = sum(mass for _name, mass, _kind in parts)
    if whole <= 0:
        return ""
    about = ", ".join(f"{name} {words.number(mass)} kg" for name, mass, _kind in parts if mass > 0)
    sheet = Sheet(width, _("Cement"), about)
    for element, name in zip(sheet.root, ("cement-title", "cement-about"), strict=False):
        element.set("id", name)
    sheet.root.set("aria-labelledby", "cement-title cement-about")
    left = 2.0
    for name, mass, kind in parts:
        right = left + mass / whole * (width - 4)
        if mass > 0:
            _part(sheet, Box(left, 2, right, HIGH - 2), f"{name} {words.number(mass)}", kind)
        left = right
    return sheet.text(HIGH)


def _part(sheet: Sheet, box: Box, text: str, kind: str) -> None:
    """One part of the bar, its words where they have room."""
    colour = STOP if kind == "short" else INK
    dash = "5 3" if kind in ("dashed", "short") else ""
    sheet.frame(box, weight=2.0, colour=colour, fill=INK if kind == "solid" else PAPER, dash=dash)
    if kind == "short":
        sheet.path(f"M{n(box.left)} {n(box.top)} L{n(box.right)} {n(box.bottom)}", weight=1.4, colour=STOP)
        return
    fits = next((one for one in (text, text.rsplit(" ", 1)[-1]) if FIGURE.width(one) + 10 < box.right - box.left), "")
    sheet.write(
        box.left + 6, HIGH / 2 + FIGURE.above / 2 - 1, fits, FIGURE, colour=PAPER if kind == "solid" else INK
    )  # fmt: skip


def water_rows(happened: Happened, ahead: Outlook, progress: Progress) -> tuple[Row, ...]:
    """Water: the truck that is coupled and where it runs dry, then what the blocks take and what was metered."""
    rows: list[Row] = []
    truck = ahead.water_truck
    if truck is None:
        rows.append(Row(_("truck"), _("none is coupled")))
    else:
        rows.append(
            Row(_("%(truck)s, at coupling") % {"truck": truck.truck or _("truck")}, words.litres(truck.on_board))
        )
        where = words.spot(truck.station.value, happened.plan.street) if truck.station else ""
        cut = _("%(where)s, cut %(cut)s") % {"where": where, "cut": truck.cut}
        rows.append(Row(_("empty at"), cut) if where else Row(_("left over"), words.litres(truck.left)))
    for block in progress.blocks:
        if block.left["wet"] > 0:
            told = {"block": block.number}
            rows.append(Row(_("block %(block)s takes") % told, words.litres(block.water_planned)))
            if block.water_metered is not None:
                rows.append(Row(_("metered on it"), words.litres(block.water_metered)))
            break
    return tuple(rows)


def weather_rows(happened: Happened, now: dt.datetime) -> tuple[Row, ...]:
    """Last readings of wind and air, each against its limit."""
    limits = happened.plan.street.file.limits
    events = [one for one in happened.state.events if dt.timedelta() <= now - one.at <= dt.timedelta(hours=READING_H)]
    wind, air, gusts = _last(events, "wind_km_h"), _last(events, "air_c"), _last(events, "gust_km_h")
    name = _("wind, km/h")
    if gusts is not None and (wind is None or gusts[1] >= wind[1]):
        name, wind = _("wind gusts, km/h"), gusts
    return (
        _weather(name, wind, limits.wind_km_h, now, most=True),
        _weather(_("air, \u00b0C"), air, limits.air_temperature_c, now, most=False),
    )


def _last(events: Iterable[Event], key: str) -> tuple[float, dt.datetime] | None:
    """Last reading of one figure, and when."""
    told = [*of(Weather, events), *of(GoNoGo, events)]
    read = [(event.at, value) for event, said in told if (value := getattr(said, key, None)) is not None]
    return (max(read)[1], max(read)[0]) if read else None


def _weather(
    name: str, read: tuple[float, dt.datetime] | None, limit: PlainLimit | None, now: dt.datetime, *, most: bool
) -> Row:
    """One reading with its limit and who set it."""
    shown = _("not said today") if read is None else f"{words.number(read[0])} ({words.clock(read[1], now)})"
    if limit is None:
        return Row(name, f"{shown}, {_('no limit is written')}")
    owner = words.said(limit.owner or "owner not said")
    told = {"read": shown, "limit": words.number(limit.value), "owner": owner}
    beyond = read is not None and (read[0] > limit.value if most else read[0] < limit.value)
    return Row(name, _("%(read)s, limit %(limit)s (%(owner)s)") % told, short=beyond)
