"""What a tester owes: every test that is due and was not made, as a key with the pad that it needs."""

from __future__ import annotations

from typing import Any

from hardpan.compare import look_ahead
from hardpan.compare.taps import Day, Offer
from hardpan.compare.tasks import Task
from hardpan.ledger.placed import of
from hardpan.ledger.testing import DensityTest
from hardpan.site.phone.page import Page

NOT_SAID = "not said"
TRAY_MOST, DEPTH_MOST, DENSITY_LEAST, DENSITY_MOST, MOVED_MOST = (
    120.0,
    1500.0,
    700.0,
    2800.0,
    1500.0,
)  # the ledger's own


def owed(page: Page) -> list[Offer]:
    """Keys of everything that is owed and that this phone's role may enter."""
    ahead = look_ahead(page.plan, page.state, now=page.now)
    makers = {"depth check": _depth, "density": _density, "axle test": _axle, "tray at the restart": _tray}
    found = [makers[task.what](page, task, at) for at, task in enumerate(ahead.of("tester")) if task.what in makers]
    found += _levels(page)
    may = page.day["may"] or []
    return [one for one in found if all(ready["kind"] in may for ready in one["entries"])]


def _key(
    page: Page,
    name: str,
    second: str,
    *,
    pad: dict[str, Any],
    kind: str,
    place: dict[str, Any] | None,
    payload: dict[str, Any],
) -> Offer:
    """A key of something owed."""  # fmt: skip
    block = next((one for one in page.day["blocks"] if one["name"] == (place or {}).get("block")), None)
    whole = {
        "kind": "number",
        "title": page.words[f"test_{name}"],
        "where": second,
        "photo": False,
        "text": "",
        "spot": None,
        "not_checked": None,
    }
    return Offer(
        key=f"{name} {second}", words=page.words[f"test_{name}"], second=second, icon={"trays": "tray", "depth": "hole"}.get(name, "shots"),
        machine="", rank=40, minute=0.0, main=False, first=False, now="", figure="", block=block["block"] if block else 0, strip=0,
        start_m=None, end_m=None, pad={**whole, **pad}, entries=[{"kind": kind, "place": place, "payload": payload}],
    )  # fmt: skip


def _field(
    path: list[Any], unit: str, *, label: str = "", typical: float | None = None, bounds: tuple[float, float]
) -> dict[str, Any]:
    """A number that a pad asks for."""  # fmt: skip
    return {"path": path, "unit": unit, "label": label, "typical": typical, "least": bounds[0], "most": bounds[1]}


def _place(page: Page, task: Task) -> dict[str, Any]:
    """Ground of a lot: its block, and the strips of its zone there."""
    name, _, zone = task.place.partition(", ")
    strips = sorted({bay.strip for bay in page.state.bays if (bay.block, bay.zone) == (name, zone)})
    return {"block": name, "strips": strips}


def _start(page: Page, place: dict[str, Any]) -> float | None:
    """Station at which a block starts."""
    return next((one["start_m"] for one in page.day["blocks"] if one["name"] == place["block"]), None)


def _tray(page: Page, task: Task, _at: int) -> Offer:
    """A tray that is owed where the spreader started again."""
    event = next(one for one in page.state.events if one.id == task.entry)
    said = event.standing.place
    place: dict[str, Any] = {"block": event.block, "strips": list(event.area.strips if event.area else ())}
    if said is not None and said.start_m is not None:
        place["start_m"] = said.start_m
    pad = {
        "fields": [_field(["tray_kg_m2"], "kg/m\u00b2", bounds=(0.0, TRAY_MOST))],
        "not_checked": {"checked": "not checked"},
    }
    return _key(page, "trays", task.place, pad=pad, kind="tray check", place=place, payload={"checked": "weighed"})


def _depth(page: Page, task: Task, _at: int) -> Offer:
    """A hole in mixed ground."""
    place = _place(page, task)
    pad = {"fields": [_field(["depth_mm"], "mm", bounds=(0.0, DEPTH_MOST))], "spot": _start(page, place)}
    payload = {"state": "loose", "measured_from": "loose surface"}
    return _key(page, "depth", task.place, pad=pad, kind="depth check", place=place, payload=payload)


def _density(page: Page, task: Task, at: int) -> Offer:
    """A density against the curve that was used last; where none was, its maximum is asked for."""
    place = _place(page, task)
    used = [said.reference for _, said in of(DensityTest, page.state.events)]
    fields = [
        _field(
            ["dry_density_kg_m3"], "kg/m\u00b3", label=page.words["dry_density"], bounds=(DENSITY_LEAST, DENSITY_MOST)
        )
    ]
    if used:
        reference = used[-1].model_dump(mode="json", exclude_defaults=True)
        fields[0]["typical"] = used[-1].maximum_kg_m3
    else:
        reference = {"curve": "treated", "proctor": NOT_SAID}
        path = ["reference", "maximum_kg_m3"]
        fields.append(
            _field(path, "kg/m\u00b3", label=page.words["reference_density"], bounds=(DENSITY_LEAST, DENSITY_MOST))
        )
    payload = {"test": f"{len(used) + at + 1}", "reference": reference}
    pad = {"fields": fields, "text": "test", "spot": _start(page, place)}
    return _key(page, "density", task.place, pad=pad, kind="density", place=place, payload=payload)


def _axle(page: Page, task: Task, _at: int) -> Offer:
    """The largest movement under the loaded axle on the ground of a lot."""
    place = _place(page, task)
    reach = page.state.blocks.get(place["block"], (0.0, 0.0))
    moved = {"start_m": reach[0], "end_m": reach[1], "strips": place["strips"]}
    pad = {"fields": [_field(["movements", 0, "moved_mm"], "mm", label=page.words["moved"], bounds=(0.0, MOVED_MOST))]}
    payload: dict[str, Any] = {"vehicle": NOT_SAID, "movements": [moved]}
    limit = page.plan.street.file.limits.axle_test_movement
    if limit is not None:
        payload["limit_mm"] = limit.value.value * 1000
    return _key(page, "axle", task.place, pad=pad, kind="axle test", place=place, payload=payload)


def _levels(page: Page) -> list[Offer]:
    """Levels of the finished ground at the points of the check shots, once a block is rolled."""
    day: Day = page.day
    rolled = any(bay.rolled for bay in page.state.bays)
    if not rolled or not day["shots"] or any(one.kind == "levels" for one in page.state.entries):
        return []
    unit, bounds = ("m", (-1000.0, 10000.0)) if day["shots_by"] == "level_m" else ("mm", (-500.0, 5000.0))
    fields = [
        _field(["shots", at, day["shots_by"]], unit, label=shot["words"], bounds=bounds) for at, shot in enumerate(day["shots"])
    ]  # fmt: skip
    shots = [{"station_m": shot["station_m"], "side_offset_m": shot["side_offset_m"]} for shot in day["shots"]]
    payload = {"stage": "after final rolling", "shots": shots}
    second = page.words["levels_second"].format(count=len(shots))
    return [_key(page, "levels", second, pad={"fields": fields}, kind="levels", place=None, payload=payload)]
