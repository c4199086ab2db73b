"""Every error that Hardpan raises on purpose.

::

    ValueError
    └── HardpanError
        ├── LawError       impossible input to a law (a negative density, air of one and more)
        ├── StreetError    a street that cannot be read or planned; ``.problems`` lists every problem at once
        └── LedgerError    an entry that cannot be taken (``ledger/problems.py``); ``.problems`` lists every problem at once

A message says what was given, what is allowed and what to do next.
"""

from __future__ import annotations

from dataclasses import dataclass


class HardpanError(ValueError):
    """Parent of every error of this package."""


class LawError(HardpanError):
    """Input that no soil, machine or street can have."""

    def __init__(self, name: str, given: object, allowed: str) -> None:
        super().__init__(f"{name}: given {given}; allowed: {allowed}")
        self._said = (name, given, allowed)

    def __reduce__(self) -> tuple[type[LawError], tuple[str, object, str]]:
        """Travel between processes by what it was made of."""
        return type(self), self._said


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with a street folder, and what to do about it.

    ``row`` counts lines of the file from 1, the header included; it is None for TOML, where ``column`` holds the key path.
    """

    file: str
    row: int | None
    column: str
    found: str
    allowed: str
    do: str

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column:
            place += f", {self.column}"
        return f"{place}: found {self.found}; allowed: {self.allowed}. {self.do}"


class StreetError(HardpanError):
    """A street with problems: all of them, never only the first."""

    def __init__(self, problems: tuple[Problem, ...] | list[Problem]) -> None:
        self.problems = tuple(problems)
        count = len(self.problems)
        head = f"{count} problem{'' if count == 1 else 's'} in the street"
        super().__init__("\n".join([head, *(f"  {problem}" for problem in self.problems)]))

    def __reduce__(self) -> tuple[type[StreetError], tuple[tuple[Problem, ...]]]:
        """Travel between processes by what it was made of."""
        return type(self), (self.problems,)
