"""The map of now in words: stages by name, and the whole map for whoever cannot see it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from hardpan.compare import Outlook
from hardpan.compare.happened import Happened
from hardpan.site.board import words
from hardpan.site.board.ground import Piece, Stage
from hardpan.street import Street


def stage_words(stage: Stage) -> str:
    """Stage in a word or two."""
    if stage.kind == "dry":
        return _("dry %(number)s") % {"number": stage.number}
    if stage.kind == "wet":
        return _("wet, water OFF") if stage.off else pgettext("mixing pass", "wet")
    return {
        "spread": pgettext("lies on the ground", "spread"),
        "feet": _("feet walked out"),
        "trimmed": _("trimmed"),
        "rolled": _("rolled"),
        "closed": pgettext("block", "closed"),
    }[stage.kind]


def work_words(stage: Stage) -> str:
    """What a machine does that leads to a stage."""
    if stage.kind == "dry":
        return _("dry %(number)s, now") % {"number": stage.number}
    return {
        "spread": _("spreading, now"),
        "wet": _("wet mix, now"),
        "feet": _("padfoot, now"),
        "trimmed": _("trimming, now"),
    }.get(stage.kind) or _("rolling, now")


def describe(happened: Happened, ahead: Outlook, lying: Iterable[Piece]) -> str:
    """The map in words."""
    street = happened.plan.street
    told = [*_lying(lying, street), *_bare(ahead, street)]
    told += [_("Ran out: %(where)s.") % {"where": words.place(area, street)} for _id, area in happened.state.run_outs]
    for out in ahead.cement.run_outs:
        where = f"{words.spot(out.station.value, street)}, {words.strips((out.strip,), street)}"
        told.append(_("Due to run out: %(where)s.") % {"where": where})
    return " ".join(told) or _("Nothing is spread.")


def _lying(lying: Iterable[Piece], street: Street) -> Iterator[str]:
    """What lies where."""
    for piece in lying:
        where = f"{words.stretch(piece.start_m, piece.end_m, street)}, {words.strips(piece.strips, street)}"
        yield f"{where}: {work_words(piece.stage) if piece.now else stage_words(piece.stage)}."


def _bare(ahead: Outlook, street: Street) -> Iterator[str]:
    """Strips that wait for cement."""
    for one in ahead.waiting:
        where = f"{words.stretch(one.start_m, one.end_m, street)}, {words.strips((one.strip,), street)}"
        yield _("%(where)s: bare, and its block is being mixed.") % {"where": where}
