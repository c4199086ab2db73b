"""Whatever stands in a folder, a foreman is told in words: nothing but ``StreetError`` comes out."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hardpan.street import StreetError, read_street
from hardpan.street.rows import TABLES
from tests.street.streets import FILE

CELLS = st.one_of(
    st.sampled_from(
        [
            "0+000",
            "0+140",
            "1+40.5",
            "start",
            "elsewhere",
            "pole 1",
            "3 m past pole 1",
            "all",
            "1-3",
            "ruts",
            "sinks",
            "38",
            "1,234",
            "12 in",
            '12"',
            "2026-06-03 16:40",
            "yes",
            "-1",
            "1e400",
            "nan",
            "",
            " ",
            "#14",
            "# x",
            "\xa0",
            '"',
            "'",
        ]
    ),
    st.text(max_size=8),
)
HEADS = st.sampled_from(
    [info.alias or name for kind in TABLES.values() for name, info in kind.model_fields.items()]
    + ["depth [in]", "rut [mm]", "rate [x/y]", "level [", "colour", ""]
)
LONG = ["9" * 25, "9" * 5000, '"\\u0000"']
VALUES = st.sampled_from(
    [
        "true",
        "-1",
        "0",
        "1e400",
        "nan",
        "-inf",
        '""',
        '"x"',
        '"12 in"',
        '"1,234"',
        "[]",
        "[[1]]",
        "{}",
        "{ value = 1 }",
        '{ value = "x", basis = [] }',
        "06:30:00",
        "2026-06-04",
        "2026-06-04T06:30:00Z",
        "x",
        "'''",
        "[[",
        *LONG,
    ]
)
KEYS = st.sampled_from(
    [
        "name",
        "line.length",
        "line.width",
        "line.strips",
        "line.first_station",
        "line.station_style",
        "section.crossfall",
        "section.transition",
        "level.point",
        "level.down_from",
        "level.down_at_edge",
        "soil.word",
        "soil.firm",
        "cement.fill",
        "cement.delivery",
        "shift.start",
        "shift.date",
        "shift.blocks_by_day",
        "limits.clock",
        "limits.wind_km_h",
        "spreader.pan",
        "weather",
        "spreader",
        "line",
        "x.y.z",
    ]
)
quick = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def told(files: Mapping[str, str | bytes]) -> list[str]:
    """Lines of every problem; anything but a street or a ``StreetError`` fails the test."""
    with tempfile.TemporaryDirectory() as place:
        for name, text in {"street.toml": FILE, **files}.items():
            (Path(place) / name).write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "ignore"))
        try:
            read_street(place)
        except StreetError as error:
            return [f"{problem}" for problem in error.problems]
    return []


def reads_or_says(files: Mapping[str, str | bytes]) -> None:
    assert [line for line in told(files) if "\n" in line or not line.endswith((".", "?"))] == []


@quick
@given(name=st.sampled_from(sorted(TABLES)), raw=st.binary(max_size=200))
def test_random_bytes_in_a_table(name: str, raw: bytes) -> None:
    reads_or_says({name: raw})


@quick
@given(raw=st.binary(max_size=200))
def test_random_bytes_in_street_toml(raw: bytes) -> None:
    reads_or_says({"street.toml": raw})


@quick
@given(text=st.text(max_size=200))
def test_random_text_behind_a_good_street_toml(text: str) -> None:
    reads_or_says({"street.toml": FILE + text})


@quick
@given(
    name=st.sampled_from(sorted(TABLES)),
    header=st.lists(HEADS, min_size=1, max_size=6),
    rows=st.lists(st.lists(CELLS, max_size=7), max_size=4),
    separator=st.sampled_from(",;\t"),
)
def test_garbage_under_any_header(name: str, header: list[str], rows: list[list[str]], separator: str) -> None:
    text = "\n".join(separator.join(cells) for cells in [header, *rows])
    reads_or_says({name: text})


@quick
@given(data=st.data(), name=st.sampled_from(sorted(TABLES)), separator=st.sampled_from(",;\t"))
def test_garbage_under_the_right_header(data: st.DataObject, name: str, separator: str) -> None:
    header = [info.alias or field for field, info in TABLES[name].model_fields.items()]
    rows = data.draw(st.lists(st.lists(CELLS, min_size=len(header), max_size=len(header)), min_size=1, max_size=4))
    text = "\n".join(separator.join(cells) for cells in [header, *rows])
    marks = "name,station\npole 1,0+018\n"
    reads_or_says({"landmarks.csv": marks, name: text})


@quick
@given(swaps=st.dictionaries(KEYS, VALUES, min_size=1, max_size=4))
def test_odd_values_for_real_keys(swaps: dict[str, str]) -> None:
    good = {
        "name": '"Elm Street"',
        "line.length": "240",
        "line.width": "9",
        "section.crossfall": "0.02",
        "soil.word": '"silt"',
    }
    lines = [f"{key} = {value}" for key, value in {**good, **swaps}.items()]
    reads_or_says({"street.toml": "\n".join(lines), "readings.csv": "from,to,word\n0+000,0+100,ruts\n"})


@pytest.mark.parametrize("value", ["9" * 5000, "1" + "0" * 400, "[" * 5000, "1e999", "-nan"])
def test_numbers_and_brackets_without_end(value: str) -> None:
    reads_or_says({"street.toml": FILE.replace("240", value)})
