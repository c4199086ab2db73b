"""Whether a caller may make an entry: asked for every entry, of the one table of roles."""

from __future__ import annotations

from django.utils.translation import gettext as _

from hardpan.ledger import Entry
from hardpan.site.answers import Wrong
from hardpan.site.roles import BY_CODE, ENTRY_KINDS, NOBODY, STREET_KEEPERS, Role, enters_as


def carried(entry: Entry, role: Role) -> bool:
    """Whether a keeper of the street brings an entry of the crew: from the file of a phone that cannot send."""
    return role in STREET_KEEPERS and entry.role in BY_CODE and entry.role != enters_as(role)


def wrongs(entry: Entry, role: Role, *, name: str, slug: str, mended: frozenset[str] = frozenset()) -> list[Wrong]:
    """Everything that keeps a caller from making an entry on a street.

    ``mended`` holds the kinds of what the entry mends: a mending needs the right to all of them. What is carried is judged by its own role.
    """
    if carried(entry, role):
        role = Role(entry.role)
    found = []
    if entry.street != slug:
        found.append(Wrong("street", entry.street, slug, _("Send it to its own street.")))
    if entry.role != enters_as(role):
        found.append(Wrong("role", entry.role, enters_as(role), _("Enter in the role in which you joined.")))
    kinds = {
        entry.kind,
        str(getattr(entry.payload, "kind", entry.kind)),
        *mended,
    }  # a correction has the kind it puts in place
    if not all(role in ENTRY_KINDS.get(kind, NOBODY) for kind in kinds):
        allowed = ", ".join(kind for kind, roles in ENTRY_KINDS.items() if role in roles)
        found.append(Wrong("kind", entry.kind, allowed, _("Leave it to somebody in a role that may.")))
    if entry.kind == "signature" and entry.name != name:
        found.append(Wrong("name", entry.name, name, _("Sign with the name of your account.")))
    return found
