"""What goes wrong because of the input, in one form: where, what was found, what was expected, what to do."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]+")
"""What steers a terminal or turns the direction of writing, and halves of letters, which can't be written out."""
LOOKED_AT = 8
"""A text is looked at up to so many times its longest: whatever turns to one blank may be long."""
MOST_LISTED = 100
"""Problems of one file; who has more mends these first."""


def clean_text(text: str, *, longest: int = 400) -> str:
    """Return `text` on one line, without control characters and no longer than `longest`.

    Everything that comes from a file passes through here before it reaches a terminal.
    """
    read = text[: LOOKED_AT * longest]  # what is cut off needn't be cleaned: a text may have a million letters
    line = unsteered(read).strip()
    return line if len(line) <= longest and len(read) == len(text) else line[: longest - 1] + "…"


def unsteered(text: str) -> str:
    """Return `text` whole, with a blank where something steers a terminal or turns the direction of writing."""
    return _CONTROL.sub(" ", text)


def clean_json(text: str) -> str:
    """Return JSON with every control character written as its number: the same to a program, harmless to a terminal.

    Parameters
    ----------
    text : str
        JSON as `json.dumps` gives it; line ends between its parts stay.
    """
    return _CONTROL.sub(lambda found: "".join(map(_numbered, found.group())), text)


def _numbered(letter: str) -> str:
    return letter if letter == "\n" else f"\\u{ord(letter):04x}"


class TelemetryError(Exception):
    """The input's or the call's fault; the base of every error a caller should expect.

    Parameters
    ----------
    where : str
        File, and row or key where there is one: ``"run_1.csv, row 12"``.
    found, expected : str
        What stands there and what should.
    remedy : str, optional
        What to do about it.
    """

    def __init__(self, where: str, found: str, expected: str, remedy: str = "") -> None:
        self.where = clean_text(where)
        self.found = clean_text(found)
        self.expected = clean_text(expected)
        self.remedy = clean_text(remedy)
        super().__init__(self.line)

    @property
    def line(self) -> str:
        """The whole error on one line."""
        line = f"{self.where}: found {self.found}; expected {self.expected}"
        return f"{line}. {self.remedy[0].upper()}{self.remedy[1:]}" if self.remedy else line

    def __reduce__(self) -> tuple[type[TelemetryError], tuple[str, ...]]:
        return type(self), (self.where, self.found, self.expected, self.remedy)


class CallError(TelemetryError):
    """The call is wrong: an option, an output path, a setup that isn't in the day."""


class LogError(TelemetryError):
    """A log that can't be read: missing, empty, binary, a needed column absent, no running clock."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong in a ride day's TOML file.

    Attributes
    ----------
    key : str
        Path of the key: ``"bike.front.travel_mm"``, ``"runs[2].setup"``.
    found, expected : str
        What stands there and what should.
    """

    key: str
    found: str
    expected: str

    @property
    def line(self) -> str:
        """The problem on one line."""
        return f"{self.key}: found {self.found}; expected {self.expected}"


LISTS_THEM = "`telemetry check` lists them"


class RideDayError(TelemetryError):
    """A ride day's TOML file is wrong, or a scenario's.

    Parameters
    ----------
    file : str
    problems : sequence of Problem
        What was found, in file order; the first `MOST_LISTED` are kept.
    if_more : str
        Said where there is more than one.
    left_out : int
        How many were found beside `problems`.
    """

    def __init__(self, file: str, problems: Sequence[Problem], if_more: str = LISTS_THEM, left_out: int = 0) -> None:
        self.file = file
        self.problems = tuple(problems[:MOST_LISTED])
        self.left_out = left_out + len(problems) - len(self.problems)
        self.if_more = if_more
        first = problems[0]
        more = len(problems) - 1 + left_out
        if self.left_out and if_more == LISTS_THEM:
            if_more = f"`telemetry check` lists the first {len(self.problems)}"
        rest = f"{more} more: {if_more}" if more else ""
        super().__init__(f"{file}, {first.key}", first.found, first.expected, rest)

    def __reduce__(self) -> tuple[type[RideDayError], tuple[Any, ...]]:
        return type(self), (self.file, self.problems, self.if_more, self.left_out)
