"""Machines with a data folder of their own, and a store within the tests that restores may empty."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.core.cache import cache
from django.db import transaction

from hardpan.site.keeping import restore
from tests.serving.machine import Machine
from tests.site.cluster import cluster, programs


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    """A machine whose server is stopped at the end."""
    made = Machine(tmp_path / "data")
    yield made
    if made.process is not None:
        made.kill()


@pytest.fixture
def postgresql(tmp_path: Path) -> Iterator[Machine]:
    """A machine with a PostgreSQL server of its own."""
    if programs() is None:
        pytest.skip("no PostgreSQL server on this machine")
    with cluster(durable=True) as url:
        made = Machine(tmp_path / "data", url)
        yield made
        if made.process is not None:
            made.kill()


@pytest.fixture
def store(transactional_db: None) -> Iterator[Path]:  # noqa: ARG001  # a fixture asks for another by its name
    """An empty store of this process, with real commits; gives its data folder."""
    cache.clear()
    yield Path(settings.HARDPAN_DATA)
    cache.clear()
    with transaction.atomic():
        restore._empty()  # the database refuses it to anybody else
