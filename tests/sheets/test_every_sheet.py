"""Every sheet on random streets: never a traceback, no page without its caution or over the edge of the paper."""

from __future__ import annotations

import io
import re

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from pypdf import PdfReader

from hardpan.exchange.sheets.shelf import SHEETS, Wishes
from tests.drawing.map_streets import MapStreet, map_plans

RANDOM = settings(deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])


def hold(street: MapStreet) -> None:
    """Make every sheet; each page of a PDF ends with the caution, but for the running list at the end of the 06:00 sheet."""
    for name, (file, make) in SHEETS.items():
        made = make(street.plan, Wishes())
        assert made
        if not file.endswith(".pdf") or name == "0600":  # the 06:00 sheet has tests of its own
            continue
        for page in PdfReader(io.BytesIO(made)).pages:
            text = re.sub(r"\s+", " ", page.extract_text())
            assert "engineer decide" in text, (name, text[:200])


@settings(RANDOM, max_examples=10)
@given(street=map_plans(longest=600))
def test_on_random_streets_every_sheet_is_made(street: MapStreet) -> None:
    hold(street)


@pytest.mark.nightly
@settings(RANDOM, max_examples=100)
@given(street=map_plans())
def test_on_100_random_streets_every_sheet_is_made(street: MapStreet) -> None:
    hold(street)
