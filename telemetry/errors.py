"""What goes wrong because of the input, in one form: where, what was found, what was expected, what to do."""

from __future__ import annotations

import re
from dataclasses import dataclass

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]+")
"""What steers a terminal or turns the direction of writing, and halves of letters, which can't be written out."""


def clean_text(text: str, *, longest: int = 400) -> str:
    """Return `text` on one line, without control characters and no longer than `longest`.

    Everything that comes from a file passes through here before it reaches a terminal.
    """
    line = _CONTROL.sub(" ", text).strip()
    return line if len(line) <= longest else line[: longest - 1] + "…"


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


class RideDayError(TelemetryError):
    """A ride day's TOML file is wrong, or a scenario's; `problems` holds everything found, in file order.

    `if_more` is said where there is more than one.
    """

    def __init__(self, file: str, problems: tuple[Problem, ...], if_more: str = "`telemetry check` lists them") -> None:
        self.file = file
        self.problems = problems
        self.if_more = if_more
        first = problems[0]
        more = len(problems) - 1
        rest = f"{more} more: {if_more}" if more else ""
        super().__init__(f"{file}, {first.key}", first.found, first.expected, rest)

    def __reduce__(self) -> tuple[type[RideDayError], tuple[str, tuple[Problem, ...], str]]:  # type: ignore[override]
        return type(self), (self.file, self.problems, self.if_more)
