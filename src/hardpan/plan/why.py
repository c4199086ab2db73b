"""Open a figure of a plan to its working: the formula, what went in with its basis, the source, the notices."""

from __future__ import annotations

import dataclasses
import difflib
import re

from hardpan.errors import HardpanError
from hardpan.plan import Plan
from hardpan.street import Figure

_STEP = re.compile(r"\.?([A-Za-z_]\w*)|\[([^\]]+)\]")


class PathError(HardpanError):
    """A path that leads to no figure; the message says where it ends and what is there."""


def find(plan: Plan, path: str) -> Figure:
    """Figure at a path such as ``balance[0].rise`` or ``supply.cement.run_outs[1].station_m``.

    Parameters
    ----------
    plan
        The plan.
    path
        Attribute names joined by dots; an item of a list by its place from 0 or by its name in brackets; a unit at the end may be left out.

    Raises
    ------
    PathError
        When nothing is there, or more than one figure.
    """
    here: object = plan
    done, rest = "", path.strip()
    while rest:
        step = _STEP.match(rest)
        if not step:
            raise PathError(
                f"the path {path!r} cannot be read from {rest!r}; allowed: names joined by dots, places in brackets as in zones[0].area"
            )
        here = _attribute(here, step[1], done) if step[1] else _item(here, step[2], done)
        done, rest = done + step[0], rest[step.end() :]
    if isinstance(here, Figure):
        return here
    raise PathError(f"{done or 'the plan'} is not one figure; there are: {_some(below(here))}")


def _attribute(here: object, name: str, done: str) -> object:
    """Attribute by its name, with or without the unit."""
    names = _names(here)
    if name in names:
        return names[name]
    near = difflib.get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there are: {_some(sorted(names))}"
    raise PathError(f"{done or 'the plan'} has no {name!r}; {hint}")


def _names(here: object) -> dict[str, object]:
    """Names of what an object holds; figures under both spellings, without and with their unit."""
    if not dataclasses.is_dataclass(here) or isinstance(here, Figure):
        return {}
    names: dict[str, object] = {}
    for field in dataclasses.fields(here):
        value = getattr(here, field.name)
        names[field.name] = value
        if isinstance(value, Figure):
            names[field.name + value.unit_suffix] = value
    return names


def _item(here: object, key: str, done: str) -> object:
    """Item of a list by place or by name."""
    if not isinstance(here, tuple):
        raise PathError(f"{done or 'the plan'} is not a list: leave out [{key}]")
    if key.isdigit() and int(key) < len(here):
        return here[int(key)]
    named = {
        str(name): item
        for item in here
        for name in (getattr(item, "name", None), getattr(item, "zone", None))
        if name is not None
    }
    if key in named:
        return named[key]
    known = f", or {_some(sorted(named))}" if named else ""
    raise PathError(f"{done} has no [{key}]; allowed: 0 to {len(here) - 1}{known}")


def below(here: object, prefix: str = "") -> list[str]:
    """Paths of the figures under an object, first items of lists only."""
    if isinstance(here, tuple):
        return below(here[0], f"{prefix}[0]") if here else []
    if not dataclasses.is_dataclass(here):
        return []
    paths: list[str] = []
    for field in dataclasses.fields(here):
        value, joined = getattr(here, field.name), f"{prefix}.{field.name}" if prefix else field.name
        if isinstance(value, Figure):
            paths.append(joined)
        elif field.name != "street":
            paths.extend(below(value, joined))
    return paths


def _some(names: list[str]) -> str:
    """A dozen names, and how many more."""
    return ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
