"""Logs whose lines aren't bare cells: JSON lines, values with their names, a serial monitor's stamp before each."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .hexadecimal import HEX_COUNT

SAMPLE_LINES, LOOKED_AT = 400, 40
USUAL_SHARE = 0.8
"""Own choice: so many of a log's lines are of one form; a preface and broken lines aren't."""
_STAMP = r"((?:\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}[T ]+)?\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?)"
_STAMPED = (
    re.compile(rf"\s*{_STAMP}\s*->(.*)"),
    re.compile(rf"\s*\[{_STAMP}\][\s:,>-]*(.*)"),
    re.compile(rf"\s*{_STAMP}[\s,;|]+(?:\[?[A-Za-z]+\]?:?\s+)?(?=[^\W\d][^\s:=,;|]*\s*[:=])(.*)"),
)
"""As a serial monitor puts it before a line, or a program that logs before names and values."""
_PAIR = re.compile(
    r"""(?P<mark>["']?)(?P<name>[^\W\d][^\s:=,;|"'{}]*)(?P=mark)\s*[:=]\s*"""
    r"""(?:"(?P<quoted>[^"]*)"|(?P<bare>[+-]?\d+,\d+(?=[\s,;|]|$)|[^\s,;|"]*))(?:[\s,;|]+|$)"""
)
_WITH_UNIT = re.compile(r"([+-]?(?:\d+[.,])?\d+)\s?([^\W\d_]{1,3}(?:/[^\W\d_]{1,2}[²2]?)?|%)")
_BEFORE_PAIRS = re.compile(r"\A\s*(?:- |\[[A-Za-z]+\]:?)\s*")
"""A list's dash, or what a program that logs calls its line."""
_AROUND_PAIRS, _AROUND_OBJECT = " \t,;|{}", " \t,"
_READING = re.compile(r"(^|[\s,;|])[+-]?\.?\d")
_PARTED = re.compile(r"[^\s,][ \t]+[^\s,]")
_TAB = "\t"
_FORM_WORDS = {"json": "JSON lines", "array": "JSON lines", "pairs": "values with their names", "bare": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How a log's lines are turned into bare cells, a line each.

    Attributes
    ----------
    kind : str
        "json", "array", "pairs" or "bare".
    stamped : bool
        Whether a serial monitor's ``09:12:00.000 ->`` stands before each line.
    names : tuple of str
        Of the values, in the order they first stand; their numbers in arrays, empty where lines hold bare cells.
    delimiter : str
        What parts the cells.
    """

    kind: str
    stamped: bool
    names: tuple[str, ...] = ()
    delimiter: str = _TAB

    @property
    def words(self) -> str:
        """The form for a person."""
        stamped = "a serial monitor's stamps" if self.stamped else ""
        return ", ".join(filter(None, (_FORM_WORDS[self.kind], stamped)))

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of all cells, the stamp's first; empty where lines hold bare cells."""
        named = self.names and self.kind != "array"
        return (*(["received"] if self.stamped else []), *self.names) if named else ()

    def plain(self, lines: Sequence[str]) -> list[str]:
        """Return lines as bare cells; those of another form stay as they are."""
        return [self._plain(line) for line in lines]

    def _plain(self, line: str) -> str:
        stamp, rest = _unstamped(line) if self.stamped else ("", line)
        if not rest.strip():
            return ""
        if self.stamped and not stamp:
            return line
        if self.kind == "bare":
            return self._bare(stamp, rest)
        values = _READERS[self.kind](rest)
        if values is None:
            return "" if rest.strip(" \t,") in ("[", "]") else line.replace(_TAB, " ")
        cells = [values.get(name, "") for name in self.names]
        return _TAB.join([stamp, *cells] if self.stamped else cells)

    def _bare(self, stamp: str, rest: str) -> str:
        first = stamp if _READING.search(rest) else "received"  # a header comes with a stamp, too
        if self.delimiter == _TAB:
            rest = _TAB.join(rest.split())
        return f"{first}{self.delimiter}{rest}"


def find_form(lines: Sequence[str], comment: str) -> Form | None:
    """Return how lines that aren't bare cells become such, None where they are.

    Parameters
    ----------
    lines : sequence of str
        The log's first ones.
    comment : str
        What lines that aren't rows begin with.
    """
    written = [line for line in lines if line.strip() and not line.startswith(comment)][:SAMPLE_LINES]
    later = written[len(written) // 3 :]
    stamped = _usual([_unstamped(line)[0] for line in later[:: len(later) // LOOKED_AT + 1]])
    rests = [_unstamped(line)[1] for line in later] if stamped else later
    for kind, values_of in _READERS.items():
        if _usual([values_of(rest) for rest in rests[:: len(rests) // LOOKED_AT + 1]]):
            found = [values_of(rest) for rest in rests]
            names = dict.fromkeys(name for values in found if values for name in values)
            return Form(kind=kind, stamped=stamped, names=tuple(names))
    return Form(kind="bare", stamped=True, delimiter=_delimiter_of(rests)) if stamped else None


def _usual(found: Sequence[object]) -> bool:
    return bool(found) and sum(map(bool, found)) >= USUAL_SHARE * len(found)


def _unstamped(line: str) -> tuple[str, str]:
    """Return a serial monitor's stamp, empty where there is none, and what follows."""
    found = next((match for pattern in _STAMPED if (match := pattern.fullmatch(line))), None)
    return ("", line) if found is None else (found[1].replace(",", "."), found[2].strip())


def _delimiter_of(rests: Sequence[str]) -> str:
    """Return what parts bare cells; tab for blanks, which it replaces, and for one cell a line."""
    for sign in (";", "|"):
        if _usual([sign in rest for rest in rests]):
            return sign
    comma = _usual(["," in rest for rest in rests]) and not _usual([_PARTED.search(rest) for rest in rests])
    return "," if comma else _TAB


def _object(line: str) -> Mapping[str, str] | None:
    """Return what a line's JSON object holds, None where it is none; names of nested values are joined by points."""
    text = line.strip(_AROUND_OBJECT).removeprefix("[").removesuffix("]").strip(_AROUND_OBJECT)
    if not (text.startswith("{") and text.endswith("}")):
        return None
    try:
        return dict(_leaves(json.loads(text, parse_float=str, parse_int=str, parse_constant=str), ""))
    except (ValueError, RecursionError):
        return None


def _array(line: str) -> Mapping[str, str] | None:
    """Return what a JSON array, or numbers in parentheses, hold by their places from 1; None of any other line."""
    text = line.strip(_AROUND_OBJECT)
    if text.startswith("(") and text.endswith(")"):
        text = f"[{text[1:-1]}]"
    if not (text.startswith("[") and text.endswith("]") and text.count("[") == 1 and "{" not in text):
        return None
    try:
        return dict(_leaves(json.loads(text, parse_float=str, parse_int=str, parse_constant=str), ""))
    except ValueError:
        return None


def _leaves(value: Any, name: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, (dict, list)):
        within = value.items() if isinstance(value, dict) else enumerate(value, 1)
        for key, item in within:
            yield from _leaves(item, f"{name}.{key}" if name else str(key))
    else:
        yield name, "" if value is None else _cell(str(int(value) if isinstance(value, bool) else value))


def _pairs(line: str) -> Mapping[str, str] | None:
    """Return the values of a line by their names, None where it is anything else."""
    text, place = _BEFORE_PAIRS.sub("", line).strip(_AROUND_PAIRS), 0
    values: dict[str, str] = {}
    while place < len(text):
        pair = _PAIR.match(text, place)
        if pair is None:
            return None
        name, value = _without_unit(pair["name"], _cell(pair["quoted"] or pair["bare"] or ""))
        values[name] = value
        place = pair.end()
    return values or None


def _without_unit(name: str, cell: str) -> tuple[str, str]:
    """Return a value's name and cell, a unit behind its number with the name.

    Examples
    --------
    >>> _without_unit("fork", "103.2mm"), _without_unit("fork", "5dc"), _without_unit("fork", "1e3")
    (('fork [mm]', '103.2'), ('fork', '5dc'), ('fork', '1e3'))
    """
    found = None if HEX_COUNT.fullmatch(cell) else _WITH_UNIT.fullmatch(cell)
    return (name, cell) if found is None else (f"{name} [{found[2]}]", found[1])


def _cell(text: str) -> str:
    """Return a text without what parts or quotes cells, or ends lines."""
    return " ".join(text.replace('"', "'").split())


_READERS: Mapping[str, Callable[[str], Mapping[str, str] | None]] = {"json": _object, "array": _array, "pairs": _pairs}
