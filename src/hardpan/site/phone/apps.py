"""Django's record of this feature."""

from django.apps import AppConfig


class Phone(AppConfig):
    """Pages of the phone."""

    name = "hardpan.site.phone"
    label = "phone"
