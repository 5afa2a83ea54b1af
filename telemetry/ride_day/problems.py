"""Everything wrong with a ride day, collected in one form."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from telemetry.errors import Problem, clean_text

MOST_NAMES = 12
"""With no near name, so many known ones are listed in full."""


def shown(value: object) -> str:
    """Return a value from the file as a message shows it, short."""
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, str):
        return repr(clean_text(value, longest=60))
    if isinstance(value, list) and any(isinstance(item, list | Mapping) for item in value):
        return f"a list of {len(value)}"
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
    if names and len(names) <= MOST_NAMES:
        return f"{what}: one of " + ", ".join(names)
    return what


class Problems:
    """Collects problems; a key is reported once, and nothing beneath a key that is itself wrong."""

    def __init__(self) -> None:
        self._found: dict[str, Problem] = {}
        self.told = 0
        """How often `add` was called, those left out as already reported included."""

    def add(self, key: str, found: str, expected: str) -> None:
        """Add one problem."""
        self.told += 1
        key = clean_text(key)
        if not any(_beneath(key, reported) for reported in self._found):
            self._found[key] = Problem(key=key, found=clean_text(found), expected=clean_text(expected))

    def any_beneath(self, path: str) -> bool:
        """Tell whether this key or one beneath it is wrong."""
        return any(_beneath(key, clean_text(path)) for key in self._found)

    def in_file_order(self, document: Mapping[str, Any]) -> tuple[Problem, ...]:
        """Return everything found, in the order its keys stand in the parsed file."""
        places = {clean_text(key): place for place, key in enumerate(_walk(document, ""))}

        def place(problem: Problem) -> int:
            key = problem.key
            while key and key not in places:
                key = key[: max(key.rfind("."), key.rfind("["), 0)]
            return places.get(key, -1)

        return tuple(sorted(self._found.values(), key=place))

    @property
    def found(self) -> tuple[Problem, ...]:
        """Everything found, in the order found."""
        return tuple(self._found.values())

    def __bool__(self) -> bool:
        return bool(self._found)


def _beneath(key: str, path: str) -> bool:
    return key == path or key.startswith((f"{path}.", f"{path}["))


def _walk(value: object, path: str) -> Iterator[str]:
    if isinstance(value, Mapping):
        for key, item in value.items():
            name = f"{path}.{key}" if path else str(key)
            yield name
            yield from _walk(item, name)
    elif isinstance(value, list):
        for number, item in enumerate(value, 1):
            yield f"{path}[{number}]"
            yield from _walk(item, f"{path}[{number}]")
