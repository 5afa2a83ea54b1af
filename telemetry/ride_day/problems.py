"""Everything wrong with a ride day, collected in one form."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import ValidationError

from telemetry.errors import Problem, clean_text
from telemetry.units import IMPERIAL

from .tables import known_keys

_EXPECTED = {
    "float_type": "a number",
    "int_type": "a whole number",
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "date_type": "a date, 2026-05-16",
    "datetime_type": "a date and time, 2026-05-16T09:12:00",
    "list_type": "a list in brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "missing": "a value: the key is required",
    "none_required": "nothing",
    "date_from_datetime_inexact": "a date without a time, 2026-05-16",
}


def shown(value: object) -> str:
    """Return a value from the file as a message shows it, short."""
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dt.date | dt.datetime):
        return value.isoformat()
    if isinstance(value, str):
        return repr(clean_text(value, longest=60))
    return clean_text(str(value), longest=60)


def path_of(parts: Iterable[str | int]) -> str:
    """Return a key's path as messages show it; entries of a list count from 1.

    Examples
    --------
    >>> path_of(["runs", 0, "setup"])
    'runs[1].setup'
    """
    text = ""
    for part in parts:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text


def nearest(word: str, known: Iterable[str], what: str) -> str:
    """Return what was expected, with the nearest known word where there is one."""
    names = sorted(known)
    near = difflib.get_close_matches(word, names, n=1, cutoff=0.6)
    if near:
        return f"{what}; nearest: {near[0]!r}"
    if names and len(names) <= 12:
        return f"{what}: one of " + ", ".join(names)
    return what


def every_spelling() -> frozenset[str]:
    """Return every key in its metric and imperial spellings."""
    keys = set(known_keys())
    for spelling in IMPERIAL:
        keys |= {
            key.removesuffix(spelling.metric_suffix) + spelling.suffix
            for key in known_keys()
            if key.endswith(spelling.metric_suffix)
        }
    return frozenset(keys)


class Problems:
    """Collects problems, in the order found; a key is reported once."""

    def __init__(self) -> None:
        self._found: dict[str, Problem] = {}

    def add(self, key: str, found: str, expected: str) -> None:
        """Add one problem."""
        self._found.setdefault(key, Problem(key=key, found=found, expected=expected))

    def add_validation(self, error: ValidationError, prefix: tuple[str | int, ...] = ()) -> None:
        """Add everything a validation found."""
        for item in error.errors(include_url=False):
            parts = [*prefix, *_without_union_tags(item["loc"])]
            kind = item["type"]
            value = item["input"]
            if kind == "extra_forbidden":
                key = str(parts[-1])
                self.add(path_of(parts), f"unknown key {key!r}", nearest(key, every_spelling(), "a key that is known"))
            elif kind in {"union_tag_invalid", "union_tag_not_found"}:
                tag = repr(item["ctx"]["tag"]) if "tag" in item.get("ctx", {}) else "nothing"
                self.add(path_of([*parts, "kind"]), tag, _expectation(kind, item))
            elif kind == "missing":
                self.add(path_of(parts), "nothing", _EXPECTED["missing"])
            else:
                self.add(path_of(parts), shown(value), _expectation(kind, item))

    @property
    def found(self) -> tuple[Problem, ...]:
        """Everything found."""
        return tuple(self._found.values())

    def __bool__(self) -> bool:
        return bool(self._found)


_TAGS = frozenset(
    {
        "str",
        "int",
        "float",
        "bool",
        "TwoLogsTable",
        "displacement",
        "inertial",
        "ground_speed",
        "wheel_pulses",
        "distance",
        "position_fix",
        "marker",
        "[key]",
    }
)


def _without_union_tags(parts: tuple[str | int, ...]) -> list[str | int]:
    """Drop the marks a validator adds for the branches of a union."""
    kept = [part for place, part in enumerate(parts) if not (part in _TAGS and place > 0)]
    return kept or list(parts)


def _expectation(kind: str, item: Mapping[str, Any]) -> str:
    if kind == "range":
        return str(item["ctx"]["words"])
    if kind == "literal_error":
        return "one of " + str(item["ctx"]["expected"]).replace(" or ", ", ")
    if kind in {"union_tag_invalid", "union_tag_not_found"}:
        kinds = "displacement, inertial, ground_speed, wheel_pulses, distance, position_fix, marker"
        return f"one of {kinds}"
    return _EXPECTED.get(kind, str(item["msg"]).removeprefix("Input should be ").lower())
