"""Everything wrong with a ride day, collected in one form."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from telemetry.errors import MOST_LISTED, Problem, RideDayError, clean_text
from telemetry.toml_problems import Words

_STEP = re.compile(r"[.\[]")


class Problems:
    """Collects problems; a key is reported once, and nothing beneath a key that is itself wrong."""

    def __init__(self) -> None:
        self._found: dict[str, tuple[str, Words]] = {}
        self._above: set[str] = set()
        self._beneath: dict[str, set[str]] = {}
        self.told = 0
        """How often `add` was called, those left out as already reported included."""

    def add(self, key: str, found: str, expected: Words) -> None:
        """Add one problem; what was expected may be a call, made if the problem is listed."""
        self.told += 1
        key = clean_text(key)
        above = _above(key)
        if not any(path in self._found for path in above):
            self._found[key] = (found, expected)
            self._above.update(above)
            for holder, held in pairwise(["", *above]):
                self._beneath.setdefault(holder, set()).add(held[len(holder) :].lstrip("."))

    def any_beneath(self, path: str) -> bool:
        """Tell whether this key or one beneath it is wrong."""
        return clean_text(path) in self._above

    def is_wrong(self, path: str) -> bool:
        """Tell whether this very key is wrong."""
        return clean_text(path) in self._found

    def wrong_in(self, path: str) -> AbstractSet[str]:
        """Return which keys of a table are wrong or hold one that is; of the whole file for an empty path."""
        return self._beneath.get(clean_text(path), set())

    def error(
        self, file: str, document: Mapping[str, Any], written: Mapping[str, tuple[str, str]] = MappingProxyType({})
    ) -> RideDayError:
        """Return everything found as one error, in the order its keys stand in the parsed file.

        Parameters
        ----------
        file : str
            The file's name.
        document : mapping
            As TOML reads it.
        written : mapping of path to (path, words)
            Keys that the document spells otherwise: their path there, and the value as it was entered.
        """
        places = {clean_text(key): place for place, key in enumerate(self._walk(document, ""))}

        def place(key: str) -> int:
            own, _ = written.get(key, (key, ""))
            return next((places[path] for path in reversed(_above(own)) if path in places), -1)

        listed = sorted(self._found, key=place)[:MOST_LISTED]
        told = [self._problem(*written.get(key, (key, "")), *self._found[key]) for key in listed]
        return RideDayError(file, told, left_out=len(self._found) - len(listed))

    def _problem(self, key: str, entered: str, found: str, expected: Words) -> Problem:
        words = expected if isinstance(expected, str) else expected()
        found = f"{entered}, {found}" if entered else found
        return Problem(key=key, found=clean_text(found), expected=clean_text(words))

    def __bool__(self) -> bool:
        return bool(self._found)

    def _walk(self, value: object, path: str) -> Iterator[str]:
        """Yield the paths of all keys that problems stand at, beneath or beside."""
        if path and clean_text(path) not in self._above:
            return
        if isinstance(value, Mapping):
            for key, item in value.items():
                name = f"{path}.{key}" if path else str(key)
                yield name
                yield from self._walk(item, name)
        elif isinstance(value, list):
            for number, item in enumerate(value, 1):
                yield f"{path}[{number}]"
                yield from self._walk(item, f"{path}[{number}]")


def _above(key: str) -> list[str]:
    """Return a key's path and those of all that hold it, the shortest first.

    Examples
    --------
    >>> _above("runs[2].setup")
    ['runs', 'runs[2]', 'runs[2].setup']
    """
    return [*(key[: step.start()] for step in _STEP.finditer(key) if step.start()), key]
