"""Django's record of this feature."""

from django.apps import AppConfig


class Streets(AppConfig):
    """Streets and their folders."""

    name = "hardpan.site.streets"
    label = "streets"
