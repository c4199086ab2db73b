"""Depth holes against the depth that was asked: both as depth of original ground, whatever state was measured."""

from __future__ import annotations

from hardpan.compare.happened import Happened
from hardpan.compare.held import Bounds, Found, Verdict, bounds, verdict
from hardpan.errors import LawError
from hardpan.laws import depth as depths
from hardpan.ledger import Event
from hardpan.ledger.working import DepthCheck
from hardpan.plan.soils import soil_figures
from hardpan.plan.zones import Zone
from hardpan.street import Basis, Figure
from hardpan.street.defaults import default
from hardpan.street.figure import worked


def depth_check(happened: Happened, event: Event, said: DepthCheck) -> Found:
    """A hole's depth as depth of original ground, against the zone's; the reading itself stands beside it."""
    read = Figure(
        f"depth of {said.state} ground", said.depth_mm / 1000, "m", Basis.MEASURED, f"hole, {said.measured_from}"
    )
    names = happened.zones(event.area) if event.area else ()
    zones = [i for i, zone in enumerate(happened.plan.zones) if zone.name in names]
    if len(zones) != 1:
        return Found(None, None, "not comparable", "the record does not tell the zone", beside=(read,))
    asked = happened.plan.balance[zones[0]].original_depth
    value = _original(happened, happened.plan.zones[zones[0]], said, read=read)
    limit = _around(happened, asked)
    side: Verdict = verdict(value, limit)
    if limit is not None and said.untreated_below:
        side = "outside"
    return Found(value, limit, side, _remark(said), asked, (read,))


def _remark(said: DepthCheck) -> str:
    """What else the hole showed, and a state that does not go with the surface it was measured from."""
    parts = ["untreated ground showed above the wanted depth"] if said.untreated_below else []
    if not said.measured_from.startswith(said.state):
        parts.append(f"counted as {said.state} ground though measured from the {said.measured_from}")
    return "; ".join(parts)


def _around(happened: Happened, asked: Figure) -> Bounds | None:
    """Least and most depth of original ground; None where no tolerance is written."""
    written = happened.plan.street.file.limits.depth_tolerance
    if written is None:
        return None
    low = worked(
        "least depth", asked.value - written.value.value, "m", asked, written.value, formula="depth - tolerance"
    )
    high = worked(
        "most depth", asked.value + written.value.value, "m", asked, written.value, formula="depth + tolerance"
    )
    return bounds(written, low=low, high=high)


def _original(happened: Happened, zone: Zone, said: DepthCheck, *, read: Figure) -> Figure | None:
    """Reading as depth of original ground; None where the hole is too shallow to hold the cement spread on it."""
    if said.state == "original":
        return read
    if read.value <= 0:
        return None
    if said.state == "loose":
        factor = default("depth.loose_factor")
        value = depths.original_from_loose(read.value, loose_factor=factor.value)
        return worked("depth of original ground", float(value), "m", read, factor, formula="loose depth / loose factor")
    soil = soil_figures(happened.plan.street, zone)
    density = soil.final_dry_density or soil.treated_maximum
    try:
        value = depths.original_from_rolled(
            read.value,
            dry_density=soil.dry_density.value,
            cement=zone.rate.value,
            final_dry_density=density.value,
        )
    except LawError:
        return None
    return worked(
        "depth of original ground", float(value), "m", read, density, zone.rate, soil.dry_density,
        formula="(finished dry density x rolled depth - cement) / dry density before", source="mass balance",
    )  # fmt: skip
