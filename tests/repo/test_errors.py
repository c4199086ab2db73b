"""Errors travel between processes whole."""

from __future__ import annotations

import pickle

from hardpan.errors import LawError, Problem, StreetError


def test_an_error_comes_back_as_it_went() -> None:
    law = LawError("depth", -1, "above 0")
    street = StreetError([Problem("street.toml", None, "line.length", "nothing", "0.5 to 60 m", "Fill it in.")])
    assert str(pickle.loads(pickle.dumps(law))) == str(law)
    back = pickle.loads(pickle.dumps(street))
    assert (str(back), back.problems) == (str(street), street.problems)
