"""A TOML file read within bounds: however it is written, it takes a moment and little memory, or is refused.

The standard library's reader takes quadratic time and memory over long dotted keys and calls itself for every bracket,
so a file is looked through before it is read: how deep keys and brackets go, how many keys and values there are, how
long the longest text or word is. What is sound but larger than the bounds isn't a file of this program's.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from .toml_problems import path_of

LARGEST_BYTES = 1_000_000
MOST_LEVELS = 20
"""Of keys and lists within each other. The handbook's deepest, a linkage's point of a setup, has 7."""
MOST_PARTS = 10_000
"""Keys and values; a day of 60 runs and 20 setups has about 1500."""
LONGEST_TEXT, LONGEST_KEY, LONGEST_WORD = 10_000, 200, 1000
"""Letters; a word is what stands without quotes: a number, a date, a key. Own choices, as the bounds above."""

TOKEN = re.compile(
    r'''
    (?P<text> """(?:[^"\\]++|\\.|"(?!""))*+(?:"{3,5}|\Z)
            | \'\'\'(?:[^']++|'(?!\'\'))*+(?:'{3,5}|\Z)
            | "(?:[^"\\\n]++|\\.)*+"?
            | '[^'\n]*+'? )
    | (?P<gap> (?:\s++|\#[^\n]*+)++ )
    | (?P<mark> [=,.\[\]{}] )
    | (?P<word> [^\s"'\#=,.\[\]{}]++ )
    ''',
    re.VERBOSE | re.DOTALL,
)
"""Every letter of a file belongs to one; where a text is never closed, the reader refuses the file from there on."""


class TomlError(ValueError):
    """What was found, and what was expected, in a file that isn't read."""

    def __init__(self, found: str, expected: str) -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"found {found}; expected {expected}")


def read_bytes(path: Path) -> bytes:
    """Return a file's bytes.

    Raises
    ------
    TomlError
        If it is larger than the bound; no more than that is read.
    OSError
    """
    with path.open("rb") as file:
        data = file.read(LARGEST_BYTES + 1)
    if len(data) > LARGEST_BYTES:
        size = path.stat().st_size
        raise TomlError(
            f"{max(size, len(data)) / 1e6:.3g} MB", f"a file of a few kB, {LARGEST_BYTES // 1_000_000} MB at most"
        )
    return data


VALID = "valid TOML: key = value, text in quotes"
_DECIMAL_COMMA = re.compile(r"\s*(\w{1,60}\s*=\s*-?\d{1,9}),(\d{1,9})\s*(?:#.*)?")


def parse(text: str) -> dict[str, Any]:
    """Return a text as TOML reads it.

    Parameters
    ----------
    text : str
        Without a byte order mark.

    Raises
    ------
    TomlError
        If it isn't TOML, or goes beyond a bound; the line or the key is named.
    """
    _look_through(text)
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TomlError(str(error), f"{VALID}{_comma_slip(text, str(error))}") from None
    except (ValueError, RecursionError, MemoryError) as error:
        raise TomlError(f"what can't be read ({error})", VALID) from None
    for path in _paths(document):
        _check_path(path)
    return document


def _comma_slip(text: str, error: str) -> str:
    """Return how the line is written on which an error was found, where it has a decimal comma."""
    at = re.search(r"at line (\d+),", error)
    lines = text.split("\n")
    line = lines[int(at[1]) - 1] if at is not None and int(at[1]) <= len(lines) else ""
    comma = _DECIMAL_COMMA.fullmatch(line)
    return "" if comma is None else f", decimals behind a point: {comma[1]}.{comma[2]}"


def _look_through(text: str) -> None:
    """Refuse a text that the reader would take long over."""
    if len(text) > LARGEST_BYTES:
        raise TomlError(f"{len(text)} letters", f"{LARGEST_BYTES} at most")
    counted = _Counted()
    for token in TOKEN.finditer(text):
        beyond = counted.beyond(token)
        if beyond is not None:
            line = text.count("\n", 0, token.start()) + 1
            raise TomlError(f"{beyond[0]} (at line {line})", beyond[1])


class _Counted:
    """How deep a text goes and how much it holds, as far as it was looked through."""

    def __init__(self) -> None:
        self._brackets = 0
        self._dots = 0
        self._parts = 0

    def beyond(self, token: re.Match[str]) -> tuple[str, str] | None:
        """Take one more token; return what was found and expected where a bound is passed."""
        kind = token.lastgroup
        if kind == "mark":
            return self._mark(token.group())
        if kind == "gap":
            if "\n" in token.group():
                self._dots = 0
            return None
        longest, what = (LONGEST_TEXT, "a text") if kind == "text" else (LONGEST_WORD, "a word")
        size = token.end() - token.start()
        return (f"{what} of {size} letters", f"{longest} at most") if size > longest else None

    def _mark(self, mark: str) -> tuple[str, str] | None:
        if mark == ".":
            self._dots += 1
            self._parts += self._dots > 1  # a number has one
        else:
            self._dots = 0
            self._brackets = max(0, self._brackets + (mark in "[{") - (mark in "]}"))
            self._parts += mark not in "]}"
        if max(self._brackets, self._dots + 1) > MOST_LEVELS:
            return f"more than {MOST_LEVELS} levels", "tables as the handbook shows them"
        if self._parts > MOST_PARTS:
            return f"more than {MOST_PARTS} keys and values", "a few hundred, as the handbook shows them"
        return None


def _paths(document: Mapping[str, Any]) -> Iterator[tuple[str | int, ...]]:
    """Yield the path of every key and of every entry of a list."""
    waiting: list[tuple[tuple[str | int, ...], Any]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        if path:
            yield path
        if isinstance(value, Mapping):
            waiting.extend(((*path, key), item) for key, item in value.items())
        elif isinstance(value, list):
            waiting.extend(((*path, place), item) for place, item in enumerate(value))


def _check_path(path: tuple[str | int, ...]) -> None:
    key = path[-1]
    if len(path) > MOST_LEVELS:
        raise TomlError(f"{len(path)} levels at {path_of(path[:3])} …", f"{MOST_LEVELS} at most")
    if isinstance(key, str) and len(key) > LONGEST_KEY:
        raise TomlError(f"a key of {len(key)} letters, {path_of(path)}", f"{LONGEST_KEY} letters at most")
