"""Triggers by which the database itself refuses to change or delete an entry."""

from __future__ import annotations

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

TABLES = ("entries_storedentry", "entries_refusedentry")
SAID = "entries are added, never changed"

_SQLITE = """CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{said}'); END"""
_POSTGRESQL = """CREATE FUNCTION {table}_refuse() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{said}' USING ERRCODE = 'integrity_constraint_violation'; END $$;
CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION {table}_refuse()"""


def statements(vendor: str) -> list[str]:
    """SQL of the triggers for a kind of database."""
    if vendor == "sqlite":
        return [_SQLITE.format(table=table, verb=verb, said=SAID) for table in TABLES for verb in ("UPDATE", "DELETE")]
    return [_POSTGRESQL.format(table=table, said=SAID) for table in TABLES]


def protect(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Create the triggers."""
    for statement in statements(editor.connection.vendor):
        editor.execute(statement)
