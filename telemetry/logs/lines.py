"""Rows among a log's lines: blank lines and comments left out, stray quotes harmless, every row as wide as usual."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import compress
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from telemetry.model.arrays import Bools, Ints

from .dialect import BLANKS, Dialect, split
from .numbering import Numbers, kept
from .text import LONGEST_LINE, LineTooLongError, with_single_ends

Bytes: TypeAlias = npt.NDArray[np.uint8]
_LF, _SPACE, _TAB = 10, 32, 9
_QUOTE, _HARMLESS = b'"', b"'"
_QUOTED = re.compile(rb'"[^"\n]*"')
_BLANK_RUN = re.compile(rb"[ \t]+")
_MINUS = re.compile(r"\N{MINUS SIGN}(?=[0-9.,])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Rows of a log, a line each that ends in LF.

    Attributes
    ----------
    data : bytes
        ASCII or UTF-8.
    places : range or int array, shape (n,)
        Which of the lines they were taken from each is, from 0.
    count : int
        Lines they were taken from.
    """

    data: bytes
    places: Numbers
    count: int

    def only(self, which: Bools) -> list[bytes]:
        """Return some of the rows, without their ends."""
        return list(compress(self.data.split(b"\n"), which.tolist()))


def plain_minus(text: str) -> str:
    """Return a text whose negative numbers have the minus of keyboards; some spreadsheets write the typographic one.

    Examples
    --------
    >>> plain_minus("a\N{MINUS SIGN}b;\N{MINUS SIGN}1,5")
    'a−b;-1,5'
    """
    return _MINUS.sub("-", text)


def delimiter_of(dialect: Dialect) -> str:
    """Return the character that parts the cells of `written_lines`."""
    return "\t" if dialect.delimiter == BLANKS else dialect.delimiter


def written_lines(data: bytes, dialect: Dialect, encoding: str) -> Lines:
    """Return the rows among some lines.

    Parameters
    ----------
    data : bytes
        Whole lines below the header.
    dialect : Dialect
    encoding : str
        Of the bytes; one that holds ASCII.

    Raises
    ------
    LineTooLongError
        Where a line is over 256 kB long.
    """
    if not data.isascii():
        data = plain_minus(data.decode(encoding, errors="replace")).encode("utf-8")
    data = _without_stray_quotes(with_single_ends(data))
    flat = np.frombuffer(data, dtype=np.uint8)
    stops = np.flatnonzero(flat == _LF)
    starts = np.concatenate([[0], stops[:-1] + 1])
    if int((stops - starts).max()) > LONGEST_LINE:
        raise LineTooLongError(int(np.argmax(stops - starts)))
    rows = ~_no_rows(flat, starts, stops, dialect.comment.encode("utf-8"))
    if not rows.all():
        data = flat[np.repeat(rows, stops - starts + 1)].tobytes()
    if dialect.delimiter == BLANKS:
        data = b"\n".join(line.strip(b"\t") for line in _BLANK_RUN.sub(b"\t", data).split(b"\n"))
    return Lines(data=data, places=kept(range(stops.shape[0]), rows), count=stops.shape[0])


def _no_rows(flat: Bytes, starts: Ints, stops: Ints, comment: bytes) -> Bools:
    """Tell which lines are empty, of blanks only, or comments."""
    first = flat[starts]
    commented: Bools = np.ones(starts.shape[0], dtype=bool)
    for place, letter in enumerate(comment):
        commented &= flat[np.minimum(starts + place, stops)] == letter
    blank: Bools = (first == _SPACE) | (first == _TAB)
    if blank.any():
        solid = (flat != _SPACE) & (flat != _TAB)
        blank &= np.add.reduceat(solid, starts, dtype=np.int64) == 1  # the line's end
    nothing: Bools = commented | blank | (starts == stops)
    return nothing


def _without_stray_quotes(data: bytes) -> bytes:
    """Return lines in which no quote swallows those after it: its cell holds no number, and that is all."""
    if _QUOTE not in data:
        return data
    flat = np.frombuffer(data, dtype=np.uint8)
    odd = np.flatnonzero(_counts(flat, ord(_QUOTE)) % 2)
    if odd.size == 0:
        return data
    lines = data.split(b"\n")
    for place in odd.tolist():
        lines[place] = lines[place].replace(_QUOTE, _HARMLESS)
    return b"\n".join(lines)


def _counts(flat: Bytes, letter: int) -> Ints:
    """Return how many of one letter each line holds."""
    stops = np.flatnonzero(flat == _LF)
    there = np.flatnonzero(flat == letter)
    return np.diff(np.searchsorted(there, stops), prepend=0)


def fitted(lines: Lines, dialect: Dialect) -> tuple[Lines, Bools]:
    """Return rows as wide as the usual one, and which had more or fewer cells: those beyond are cut, missing are empty.

    Parameters
    ----------
    lines : Lines
    dialect : Dialect
    """
    delimiter, cells = delimiter_of(dialect).encode("utf-8"), dialect.cells
    bare = _QUOTED.sub(b"", lines.data) if _QUOTE in lines.data else lines.data
    ragged: Bools = _counts(np.frombuffer(bare, dtype=np.uint8), delimiter[0]) != cells - 1
    if not ragged.any():
        return lines, ragged
    rows = lines.data.split(b"\n")
    for place in np.flatnonzero(ragged).tolist():
        rows[place] = _fitted(rows[place], delimiter, cells)
    return Lines(data=b"\n".join(rows), places=lines.places, count=lines.count), ragged


def _fitted(row: bytes, delimiter: bytes, cells: int) -> bytes:
    if _QUOTE in row:
        row = unquoted(row, delimiter)
    found = row.split(delimiter, cells)[:cells]
    return delimiter.join(found + [b""] * (cells - len(found)))


def unquoted(row: bytes, delimiter: bytes) -> bytes:
    """Return a row without quotes; a delimiter within a cell becomes a blank."""
    sign = delimiter.decode("utf-8")
    cells = [cell.replace(sign, " ").replace('"', "'") for cell in split(row.decode("utf-8"), sign)]
    return sign.join(cells).encode("utf-8")
