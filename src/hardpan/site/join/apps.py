"""Django's record of this feature."""

from django.apps import AppConfig


class Join(AppConfig):
    """Codes by which a crew joins."""

    name = "hardpan.site.join"
    label = "join"
