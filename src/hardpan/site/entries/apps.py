"""Django's record of this feature."""

from django.apps import AppConfig


class Entries(AppConfig):
    """The store of the ledger."""

    name = "hardpan.site.entries"
    label = "entries"
