"""``street.toml`` as text: every line that is not TOML, in words that name the usual slips."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from hardpan.street.problems import Problems

_MOST = 20  # after so many lines the file is something else
_AT = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_ONE_LINE = re.compile(r"(?!.*(?:\"\"\"|'''))[^\[\]{}]*")
_SLIPS = (  # what stands after the equals sign, and what to do about it
    (r"-?\d+,\d+", "A decimal sign is a dot here: write {dotted}."),
    (r"\d{1,2}:\d{2}", 'Put a time in quotes: "{value}".'),
    (r"-?[\d.,]+ *[A-Za-z%][^\"']*", 'Put a number with its unit in quotes: "{value}".'),
    (r"", 'Write a value after the equals sign, or "" where it is not known yet.'),
    (r"[A-Za-z][^\"']*", 'Put words in quotes: "{value}".'),
    (r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}", "Write the date as year-month-day, like 2026-06-04."),
    (r"-?0\d+", "Leave out the zeros before the number."),
)


def read_toml(text: str, file: str, problems: Problems) -> dict[str, Any] | None:
    """Tables of a TOML text; None, with a problem for each faulty line, where it is not TOML."""
    lines, faults = text.split("\n"), 0
    while faults < _MOST:
        try:
            table = tomllib.loads("\n".join(lines))
        except (
            ValueError,
            RecursionError,
        ) as error:  # the parser lets endless digits and brackets through as these two
            faults += 1
            number = _note(error, lines, file, problems)
            if number is None or not _ONE_LINE.fullmatch(lines[number]):
                return None  # what follows a broken bracket or head cannot be told
            lines[number] = ""
        else:
            return None if faults else table
    return None


def _note(error: Exception, lines: list[str], file: str, problems: Problems) -> int | None:
    """Note one fault; the index of its line where it is known."""
    message = str(error) if isinstance(error, tomllib.TOMLDecodeError) else "Too long or too deep"
    at = _AT.search(message)
    reason = (message[: at.start()] if at else message).rstrip(".").lower()
    if not at or not at["line"]:
        found, allowed = f"no TOML ({reason})", "key = value lines under [table] heads"
        problems.add(file, None, "", found=found, allowed=allowed, do="Look for a quote or a bracket left open.")
        return None
    number = int(at["line"]) - 1
    line = " ".join(lines[number].split())
    found = f"line {number + 1}, {line[:60]}{'...' if len(line) > 60 else ''}"
    do = _advice(lines[number]) or f"Mend that line: {reason}."
    problems.add(file, None, "", found=found, allowed="a line like key = value, or a [table] head", do=do)
    return number


def _advice(line: str) -> str:
    """What to do about the usual slips in a line of TOML; empty for any other."""
    key, equals, rest = line.partition("=")
    value = rest.split("#")[0].strip()
    if not equals and "[" in key:
        return "Write the name of the table in brackets, as in [line], and nothing behind it."
    if not equals:
        return "Write it as key = value; a remark starts with #."
    if not re.fullmatch(r"[\w.-]+", key.strip()):
        return "Write the key without blanks, as it stands in the list of keys."
    for slip, advice in _SLIPS:
        if re.fullmatch(slip, value):
            return advice.format(value=value, dotted=value.replace(",", "."))
    return ""
