"""The board's words: what the engine says in English, in the reader's language; numbers and times as that language writes them."""

from __future__ import annotations

import datetime as dt

from django.utils.formats import get_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from hardpan.exchange.figures_in_words import number as plain_number
from hardpan.ledger.ground import Area
from hardpan.street import Figure, Street
from hardpan.street.units import factor

# words that plan and ledger keep in English; marked here, said by ``said``
KNOWN = frozenset(
    {
        # machines
        gettext_noop("spreader"),
        gettext_noop("mixer"),
        gettext_noop("padfoot"),
        gettext_noop("grader"),
        gettext_noop("smooth drum"),
        # kinds of work
        gettext_noop("spread"),
        gettext_noop("wet pass"),
        gettext_noop("trim, cut only"),
        gettext_noop("final rolling"),
        # what starts a clock
        gettext_noop("cement on the ground"),
        gettext_noop("first mix"),
        gettext_noop("water"),
        # tests
        gettext_noop("tray at the restart"),
        gettext_noop("tray check"),
        gettext_noop("pre-grade shots"),
        gettext_noop("depth check"),
        gettext_noop("density"),
        gettext_noop("axle test"),
        # settings of the water bar
        gettext_noop("full"),
        gettext_noop("half"),
        gettext_noop("off"),
        gettext_noop("target"),
        # roles
        gettext_noop("operator"),
        gettext_noop("foreman"),
        gettext_noop("tester"),
        gettext_noop("reviewer"),
        # problems
        gettext_noop("soft place"),
        gettext_noop("depth"),
        gettext_noop("cement"),
        gettext_noop("machine"),
        gettext_noop("service"),
        gettext_noop("dust"),
        gettext_noop("rain"),
        gettext_noop("person hurt"),
        gettext_noop("other"),
        # lanes of the map
        gettext_noop("station"),
        gettext_noop("left edge"),
        gettext_noop("right edge"),
        # owners of a limit
        gettext_noop("owner not said"),
        gettext_noop("engineer"),
        gettext_noop("owner"),
    }
)


def said(word: str) -> str:
    """Word of the engine in the reader's language; a word of people stays as they wrote it."""
    return _(word) if word in KNOWN else word


def number(value: float, decimals: int = 0) -> str:
    """Number with thin spaces between thousands and the decimal sign of the language."""
    return plain_number(value, decimals).replace(".", str(get_format("DECIMAL_SEPARATOR")))


def rate(kg_m2: float) -> str:
    """Rate in three figures: ``28``, ``12.5``."""
    return f"{kg_m2:.3g}".replace(".", str(get_format("DECIMAL_SEPARATOR")))


def kilograms(figure: Figure) -> str:
    """Cement in whole kilograms."""
    return f"{_about(figure)}{number(figure.value)}"


def litres(figure: Figure) -> str:
    """Water in whole litres."""
    return f"{_about(figure)}{number(figure.value)} L"


def _about(figure: Figure) -> str:
    """``about`` and a blank where a figure rests on a default."""
    return f"{_('about')} " if figure.basis.value == "default" else ""


def clock(at: dt.datetime, now: dt.datetime) -> str:
    """Time of day, with its date where that is another than today's."""
    at = at.astimezone(now.tzinfo)
    return f"{at:%H:%M}" if at.date() == now.date() else f"{at:%Y-%m-%d %H:%M}"


def minutes(count: float) -> str:
    """Elapsed time: ``45 min``, ``2 h 55``, ``3 d 04 h``."""
    whole = round(count)
    if whole < 60:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest:02d}" if hours < 48 else f"{hours // 24} d {hours % 24:02d} h"


def strips(numbers: tuple[int, ...], street: Street) -> str:
    """Strips in words."""
    if len(numbers) == len(street.strips) > 1:
        return _("all strips")
    if len(numbers) == 1:
        return _("strip %(strip)s") % {"strip": numbers[0]}
    first, last = numbers[0], numbers[-1]
    if numbers == tuple(range(first, last + 1)):
        return _("strips %(first)s to %(last)s") % {"first": first, "last": last}
    return _("strips %(list)s") % {"list": ", ".join(map(str, numbers))}


def stretch(start: float, end: float, street: Street) -> str:
    """``0+080 to 0+160``."""
    show = street.stationing.show
    return _("%(start)s to %(end)s") % {"start": show(start), "end": show(end)}


def spot(station: float, street: Street) -> str:
    """Nearest landmark, then the station in brackets."""
    stationing = street.stationing
    unit = factor(stationing.unit, "m")
    station = round(station / unit) * unit  # as a crew paints it
    shown = stationing.show(station)
    ends = {"start": _("start"), "end": _("end")}
    if (word := stationing.words(station)) in ends:
        return f"{ends[word]} ({shown})"
    if not stationing.landmarks:
        return shown
    nearest = min(stationing.landmarks, key=lambda one: (round(abs(one.station - station), 6), one.station))
    away = (station - nearest.station) / unit
    told = {"far": number(abs(away)), "unit": stationing.unit, "name": nearest.name, "station": shown}
    if round(abs(away)) == 0:
        return f"{nearest.name} ({shown})"
    if away > 0:
        return _("%(far)s %(unit)s past %(name)s (%(station)s)") % told
    return _("%(far)s %(unit)s before %(name)s (%(station)s)") % told


def place(area: Area | None, street: Street) -> str:
    """Place of an entry; one that was not said is said so."""
    if area is None:
        return _("spot not recorded")
    along = spot(area.start_m, street) if area.point else stretch(area.start_m, area.end_m, street)
    return f"{along}, {strips(area.strips, street)}"
