"""Words and numbers of the phone: a table of phrases that a translation may replace, and rounding that a browser does alike."""

from __future__ import annotations

import math
from collections.abc import Mapping

THIN = "\u2009"
ENGLISH: dict[str, str] = {
    # places
    "strip": "strip {strip}",
    "block": "block {block}",
    "to": "to {end}",
    "to_end": "to {end}, end of block {block}",
    "from_to": "{start} to {end}",
    "spot": "{start}, strip {strip}",
    "past": "{far} {unit} past {name} ({station})",
    "before": "{far} {unit} before {name} ({station})",
    "at": "{name} ({station})",
    # the day's keys and rows
    "go": "go",
    "no_go": "no-go",
    "go_second": "{rules}",
    "no_go_second": "not today",
    "ticket": "ticket",
    "ticket_second": "net kg; ordered {kg} kg",
    "ticket_second_more": "net kg of one more load",
    "ticket_row": "ticket {ticket}",
    "shots": "check shots",
    "shots_second": "{count} shots before spreading",
    "shots_row": "check shots",
    "fill_starts": "fill {fill} started",
    "fill_second": "{kg} kg from {ticket}",
    "fill_in": "fill {fill} is in",
    "fill_row": "fill {fill} in",
    "spreading_starts": "spreading starts",
    "spread": "strip {strip} spread",
    "rate_change": "rate changed here",
    "rate_change_second": "{start}: {before} to {rate} kg/m\u00b2",
    "rate_change_row": "rate changed, strip {strip}",
    "run_out": "ran out here",
    "run_out_second": "due at {start} \u00b7 back up 3 m, tray",
    "run_out_second_not_due": "not due on this strip \u00b7 back up 3 m, tray",
    "run_out_row": "ran out, strip {strip}",
    "run_out_where": "ran out on strip {strip}",
    "tray": "tray",
    "tray_second": "kg on 1 m\u00b2",
    "tray_due": "at the restart, {start}",
    "tray_title": "tray on 1 m\u00b2, powder only",
    "tray_row": "tray, strip {strip}",
    "mixing_starts": "mixing starts",
    "dry": "dry {number}, strip {strip}",
    "dry_row": "dry {number}, strip {strip}",
    "wet": "wet, strip {strip}",
    "depth": "depth hole",
    "depth_second": "mm, loose",
    "depth_title": "depth hole, loose ground",
    "coupled": "coupled, {setting}",
    "coupled_second": "truck {truck} \u00b7 {litres} L/m\u00b2",
    "coupled_row": "truck {truck} coupled, {setting}",
    "empty": "truck empty here",
    "empty_second": "truck {truck} \u00b7 due at {start}",
    "empty_second_not_due": "truck {truck} \u00b7 not due on this strip",
    "empty_row": "truck empty, strip {strip}",
    "empty_where": "truck empty on strip {strip}",
    "squeeze": "squeeze",
    "squeeze_second": "a handful, what it does",
    "smears": "smears",
    "smears_second": "5 L/m\u00b2 less",
    "holds": "holds",
    "holds_second": "as it is",
    "crumbles": "crumbles",
    "crumbles_second": "5 L/m\u00b2 more",
    "padfoot_starts": "padfoot starts",
    "walked_out": "feet walked out",
    "trim": "trimmed",
    "final": "final roll done",
    "closed": "closed",
    "closed_second": "block {block} is done",
    "curing": "kept damp",
    "curing_second": "litres on block {block}",
    "curing_title": "water on finished ground",
    "chatters": "blade chatters",
    "chatters_second": "the ground sets",
    "ruts": "machine ruts",
    "ruts_second": "the spreader, in a word",
    "shows": "shows",
    "shows_second": "15 to 30 mm",
    "rut_ruts": "ruts",
    "rut_ruts_second": "30 to 75 mm",
    "sinks": "sinks",
    "sinks_second": "over 75 mm",
    "problem": "problem",
    "problem_second": "or closed",
    "stop": "STOP",
    "stop_second": "anyone may call it",
    "goes_on": "work goes on",
    "goes_on_second": "stopped {clock}",
    "stopped_row": "stopped",
    "undo": "undo",
    "undo_second": "{clock}, {words}",
    "not_checked": "not checked",
    "as_due": "at {start}, as due",
    "at_station": "at {start}",
    # problems, as the ledger names them
    "soft place": "soft place",
    "about_depth": "depth",
    "about_cement": "cement",
    "about_water": "water",
    "about_machine": "machine",
    "about_service": "service",
    "about_dust": "dust",
    "about_rain": "rain",
    "about_hurt": "person hurt",
    "about_other": "other",
    # what is now, and by when
    "now_go": "now: go or no-go",
    "now_other": "now: {words}",
    "now_spread": "now: spread strip {strip}, at",
    "now_dry": "now: dry pass {number}, strip {strip}",
    "now_wet": "now: wet mix strip {strip}, at",
    "next_spread": "next: spread",
    "next_dry": "next: dry pass {number}",
    "next_wet": "next: wet mix",
    "next_roll": "next: padfoot",
    "next_trim": "next: trim",
    "next_final": "next: final roll",
    "next_done": "nothing is next here",
    "rate": "{rate} kg/m\u00b2",
    "litres": "{litres} L/m\u00b2",
    "millimetres": "{mm} mm",
    "kilograms": "{kg} kg",
    "full": "FULL",
    "half": "HALF",
    "off": "OFF",
    "no_water": "no water here",
    "empties": "truck {truck} empties at {start}, strip {strip}",
    "reaches": "truck {truck} reaches the end",
    "no_truck": "no truck is coupled",
    "by_plan": "plan time. No limit is written for this street.",
    "by_limit": "{hours} from {event}, {owner}",
    "by_plan_limit": "plan time; the limit leaves until {clock}",
    "cement on the ground": "cement on soil",
    "first mix": "first mix",
    "water": "water",
    "hours": "{h} h {mm}",
    "minutes": "{m} min",
    "no_limit": "no limit is written",
    "owner_not_said": "owner not said",
    "no_cement": "no cement left, {start} to {end}",
}


def say(words: Mapping[str, str], key: str, /, **told: object) -> str:
    """Phrase of a key with what it tells filled in."""
    text = words[key]
    for name, value in told.items():
        text = text.replace("{" + name + "}", str(value))
    return text


def amount(value: float, decimals: int = 0, *, point: str = ".") -> str:
    """Number with thin spaces between thousands, halves rounded up; trailing zeros of decimals are left out.

    Examples
    --------
    >>> amount(150.0), amount(24.35, 1), amount(24.0, 1), amount(-4.6)
    ('150', '24.4', '24', '-5')
    """
    scale = 10**decimals
    whole, rest = divmod(math.floor(abs(value) * scale + 0.5), scale)
    digits = str(whole)
    head = len(digits) % 3
    groups = [digits[:head]] if head else []
    groups += [digits[at : at + 3] for at in range(head, len(digits), 3)]
    fraction = str(rest).rjust(decimals, "0").rstrip("0") if decimals else ""
    sign = "-" if value < 0 and (whole or rest) else ""
    return sign + THIN.join(groups) + (point + fraction if fraction else "")


def elapsed(words: Mapping[str, str], minutes: float) -> str:
    """Elapsed time: ``2 h 27``, ``45 min``."""
    whole = math.floor(max(minutes, 0.0) + 0.5)
    if whole < 60:
        return say(words, "minutes", m=whole)
    return say(words, "hours", h=whole // 60, mm=str(whole % 60).rjust(2, "0"))


def clock(minute: float) -> str:
    """Time of day from minutes after midnight; past midnight it starts again."""
    whole = math.floor(minute + 0.5) % 1440
    return f"{whole // 60:02d}:{whole % 60:02d}"
