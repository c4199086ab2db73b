"""Django's record of this feature."""

from django.apps import AppConfig


class Accounts(AppConfig):
    """Companies and people."""

    name = "hardpan.site.accounts"
    label = "accounts"
