"""Rows of the store as plain data, and rows again: the same form on every database."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder

OURS = "hardpan.site."
PLAIN = (str, int, float, bool, type(None))


def kept_models() -> list[type[models.Model]]:
    """Every model of the site's own features, ties between two of them too."""
    ours = [config for config in apps.get_app_configs() if config.name.startswith(OURS)]
    return [model for config in ours for model in config.get_models(include_auto_created=True)]


def label(model: type[models.Model]) -> str:
    """Name of a model in a backup."""
    return model._meta.label_lower


def plain(row: models.Model) -> dict[str, Any]:
    """Row as plain data by column."""
    return {field.attname: _plain(field, row) for field in row._meta.concrete_fields}


def _plain(field: models.Field[Any, Any], row: models.Model) -> Any:
    """One value as JSON holds it."""
    value = getattr(row, field.attname)
    return value if isinstance(value, PLAIN) else field.value_to_string(row)


def row(model: type[models.Model], told: dict[str, Any]) -> models.Model:
    """Row of plain data; a column that the backup does not know has its default, raises ``ValueError`` where we do not know one."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    if unknown := sorted(set(told) - set(fields)):
        raise ValueError(f"{label(model)}: columns that this Hardpan does not have: {', '.join(unknown)}")
    return model(**{name: fields[name].to_python(value) for name, value in told.items()})


def all_rows(model: type[models.Model]) -> Iterator[dict[str, Any]]:
    """Rows of a model as plain data, in the order of their keys."""
    found = model._base_manager.order_by("pk")
    return (plain(one) for one in found.iterator(chunk_size=1_000))


def migrations() -> dict[str, tuple[str, ...]]:
    """Migrations of the site's own features that a store has had."""
    labels = {config.label for config in apps.get_app_configs() if config.name.startswith(OURS)}
    applied = sorted(MigrationRecorder(connection).applied_migrations())
    return {one: tuple(name for app, name in applied if app == one) for one in sorted(labels)}
