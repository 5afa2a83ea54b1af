"""The signs a log is written with: none may be part of a number, none may stand for two things."""

from __future__ import annotations

import string
import unicodedata
from collections.abc import Iterator, Mapping

BLANKS = "blanks"
"""Stands for cells parted by runs of blanks."""
USUAL_COMMENT = "#"
Stated = Mapping[str, tuple[str, str]]
"""What is in force by key, each with the path it is stated at; what isn't stated is left out."""
Wrong = tuple[str, str, str]

_DELIMITERS = frozenset(string.punctuation + "\t \x1f") - frozenset("\"'+-")
"""The parser takes ASCII only; an apostrophe groups digits or quotes text."""
_IN_NUMBERS = frozenset("+-\N{MINUS SIGN}\"'.,")
_IN_COUNTS = frozenset(string.hexdigits + "xX")
"""0x1F is written x1F as well."""
_WORDS_IN_CELLS = ("nan", "n/a", "na", "null", "none", "infinity")
"""Of readings that are none, as logs have them."""
_GROUPING = ("P", "S", "Zs")


def wrong_signs(stated: Stated) -> Iterator[Wrong]:
    """Yield key, what was found and what was expected of every sign that can't be.

    Parameters
    ----------
    stated : mapping of key to (value, path)
        ``delimiter``, ``decimal``, ``thousands`` and ``comment`` as far as they are stated.
    """
    yield from _delimiter(stated)
    yield from _thousands(stated)
    yield from _comment(stated)
    yield from _twice(stated)


def _value(stated: Stated, key: str) -> str | None:
    return stated[key][0] if key in stated else None


def _delimiter(stated: Stated) -> Iterator[Wrong]:
    if "delimiter" not in stated:
        return
    value, key = stated["delimiter"]
    point = value == "." and _value(stated, "decimal") != ","
    if (value not in _DELIMITERS and value != BLANKS) or point:
        yield key, repr(value), f"one sign that is part of no number, such as ';', '|' or '\\t', or {BLANKS!r}"


def _thousands(stated: Stated) -> Iterator[Wrong]:
    if "thousands" not in stated:
        return
    value, key = stated["thousands"]
    fits = len(value) == 1 and unicodedata.category(value).startswith(_GROUPING)
    if not fits or value in '+-\N{MINUS SIGN}"':
        yield key, repr(value), "one sign that groups digits, such as ' or a blank"


def _comment(stated: Stated) -> Iterator[Wrong]:
    if "comment" not in stated:
        return
    value, key = stated["comment"]
    first = value[:1]
    begins_rows = not first.strip() or first.isdigit() or first in _IN_NUMBERS
    if begins_rows or _begins_cells(value) or any(map(_steers, value)):
        expected = (
            "what lines that aren't rows begin with, and no row does: no digit, sign, quote or blank, no hexadecimal "
            "count, no word for a missing reading such as nan"
        )
        yield key, repr(value), expected


def _begins_cells(comment: str) -> bool:
    """Tell whether a cell of readings may begin so, though with a letter."""
    return _IN_COUNTS.issuperset(comment) or any(word.startswith(comment.lower()) for word in _WORDS_IN_CELLS)


def _steers(letter: str) -> bool:
    return unicodedata.category(letter) in ("Cc", "Zl", "Zp")


def _twice(stated: Stated) -> Iterator[Wrong]:
    """Yield what stands for two things at once."""
    delimiter, decimal = _value(stated, "delimiter"), _value(stated, "decimal")
    comment = _value(stated, "comment") or USUAL_COMMENT
    for key in ("delimiter", "thousands"):
        if decimal is not None and _value(stated, key) == decimal:
            yield stated[key][1], f"{decimal!r}, the decimal sign too", "another character"
    if delimiter is None:
        return
    if delimiter != BLANKS and comment.startswith(delimiter):
        key = stated["comment" if "comment" in stated else "delimiter"][1]
        yield key, f"comments that begin with {delimiter!r}, the delimiter", "another comment or delimiter"
    if "thousands" in stated:
        thousands, key = stated["thousands"]
        if thousands == delimiter or (thousands.isspace() and delimiter in (BLANKS, " ")):
            yield key, f"{thousands!r}, the delimiter too", "another character"
