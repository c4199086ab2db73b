"""Django's record of this feature."""

from django.apps import AppConfig


class Photos(AppConfig):
    """Pictures of tickets and ground."""

    name = "hardpan.site.photos"
    label = "photos"
