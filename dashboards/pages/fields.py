"""What a form asks: fields with what stands in them, and what is wrong with it; what was answered, out of a link."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal, TypeAlias

from telemetry.errors import CallError, RideDayError, TelemetryError, clean_text

Arguments: TypeAlias = Mapping[str, Sequence[bytes]]
"""What a request asks with, as it came."""
Fields: TypeAlias = tuple[tuple[str, str], ...]
Mistakes: TypeAlias = Mapping[str, str]
"""What is wrong, by the field's name; what is of no field stands under an empty one."""
TYPED = "v_"
"""What the names of fields begin with that hold a key's value."""
ASKED_BY = frozenset(
    {
        "what",
        "name",
        "start",
        "end",
        "reason",
        "focus",
        "setup_of",
        "kind",
        "rear_log",
        "place",
        "based_on",
        "label",
        "called",
    }
)


def one_of(arguments: Arguments, name: str) -> str:
    """Return the first value of a name; empty where there is none."""
    return next(iter(arguments.get(name, ())), b"").decode("utf-8", "replace")


def fields_of(arguments: Arguments) -> Fields:
    """Return what of a request's arguments asks for a change."""
    return tuple(
        (name, value.decode("utf-8", "replace"))
        for name, values in sorted(arguments.items())
        if name in ASKED_BY or name.startswith(TYPED)
        for value in values
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One answer that may be chosen."""

    value: str
    words: str
    note: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing that is asked.

    Attributes
    ----------
    name : str
        In the link.
    words : str
        Its label.
    kind : str
        ``"choice"`` has `options`; ``"position"`` asks for an adjuster's position, of how many, counted how.
    value, of, counted : str
        What stands in it.
    hint : str
        What is said beneath it: the unit, what is inherited, what was answered last.
    mistake : str
        What is wrong with what stands in it.
    """

    name: str
    words: str
    kind: Literal["text", "words", "date", "choice", "position"] = "text"
    value: str = ""
    of: str = ""
    counted: str = "clicks"
    hint: str = ""
    mistake: str = ""
    options: tuple[Option, ...] = ()


class FieldError(CallError):
    """What was answered in one field makes no sense.

    Parameters
    ----------
    field : str
        Its name in the link.
    found, expected : str
    """

    def __init__(self, field: str, found: str, expected: str) -> None:
        self.field = field
        super().__init__("this form", found, expected, "mend the field")

    def __reduce__(self) -> tuple[type[FieldError], tuple[str, str, str]]:
        return type(self), (self.field, self.found, self.expected)


def mistakes_of(error: TelemetryError, fields: Mapping[str, str]) -> dict[str, str]:
    """Return what is wrong, by field.

    Parameters
    ----------
    error : TelemetryError
        Of a form, or of the file as it would be.
    fields : mapping of path to field
        Which key of the file each field is of: ``{"setups.a.front.lever": "v_lever"}``.
    """
    if isinstance(error, FieldError):
        return {error.field: f"found {error.found}; expected {error.expected}"}
    if not isinstance(error, RideDayError):
        return {"": error.line}
    found: dict[str, str] = {}
    for problem in error.problems:
        paths = {path: field for path, field in fields.items() if within(problem.key, path)}
        field = paths[max(paths, key=len)] if paths else ""
        line = f"found {problem.found}; expected {problem.expected}" if field else problem.line
        found[field] = f"{found[field]}; {line}" if field in found else line
    return found


def within(key: str, path: str) -> bool:
    """Tell whether a key's path is that one, or one beneath it."""
    path = clean_text(path)
    return key == path or key.startswith((f"{path}.", f"{path}["))


def options(answers: Iterable[tuple[str, str]], chosen: str, note: str = "") -> tuple[Option, ...]:
    """Return answers to choose from; the chosen one has a note."""
    return tuple(
        Option(value=value, words=words, chosen=value == chosen, note=note if value == chosen else "")
        for value, words in answers
    )


def seconds_of(text: str, what: str) -> float | None:
    """Return the seconds that a field says; None where it says nothing.

    Raises
    ------
    CallError
    """
    if not text.strip():
        return None
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise CallError(what, repr(clean_text(text, longest=40)), "seconds, such as 12.5, or nothing", "mend the field")
    return round(value, 3)
