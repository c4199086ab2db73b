"""Loading the site into a process; nothing else of Hardpan loads it, so that the other commands stay quick."""

from __future__ import annotations

import os
from pathlib import Path

import django
from django.apps import apps

from hardpan.errors import HardpanError
from hardpan.site import home

SETTINGS = "hardpan.site.settings"
LOCAL_SETTINGS = "hardpan.site.serving.local_settings"


class ServingError(HardpanError):
    """The site cannot start, be kept or be brought back as asked; the message says what to do."""


class UsageError(ServingError):
    """Options that do not go together."""


def data_folder() -> Path:
    """Data folder, made where it is not there; raises ``ServingError`` where it cannot be written."""
    try:
        folder = home.data_folder()
    except OSError as error:
        raise _unwritable(Path(error.filename or ""), error) from error
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        raise _unwritable(folder)
    return folder


def _unwritable(folder: Path, error: OSError | None = None) -> ServingError:
    """Nothing can be kept there."""
    why = f" ({error.strerror})" if error is not None and error.strerror else ""
    return ServingError(
        f"data folder {folder}: cannot be read and written by this user{why}; allowed: a folder of this user. "
        "Give it to this user, or name another one by HARDPAN_DATA."
    )


def load_site(*, local: bool = False) -> Path:
    """Load the site's settings and models, once a process; gives the data folder.

    ``local`` takes the settings for a browser on this machine, without TLS.
    """
    folder = data_folder()
    if not apps.ready:
        os.environ["DJANGO_SETTINGS_MODULE"] = LOCAL_SETTINGS if local else SETTINGS
        django.setup()
    return folder
