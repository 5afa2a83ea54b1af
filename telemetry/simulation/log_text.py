"""Columns of a log written as text: the same columns always give the same bytes."""

from __future__ import annotations

import gzip
import io
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from telemetry.errors import CallError, clean_text
from telemetry.files import write_bytes
from telemetry.model.arrays import Floats

UNFIT = frozenset(',"\r\n')
FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes a cell that begins so for a formula: common practice, from memory."""
FIT_WORDS = "a name without comma, quotation mark, line end or blanks around it, that doesn't begin with = + - @"
PACKING_LEVEL = 6


def _cells(values: Floats, decimals: int) -> list[str]:
    if decimals == 0:
        return [str(value) for value in np.rint(values).astype(np.int64).tolist()]
    return [f"{value:.{decimals}f}" for value in (np.round(values, decimals) + 0.0).tolist()]  # no "-0.0"


def fit_name(name: str) -> bool:
    """Tell whether a column may be called so: a cell by itself, plain text, and no formula to a spreadsheet."""
    plain = bool(name.strip()) and clean_text(name, longest=len(name)) == name
    return plain and not UNFIT & set(name) and not name.startswith(FORMULA)


def log_text(columns: Mapping[str, Floats], decimals: Mapping[str, int]) -> str:
    """Return columns as comma-separated text with a header.

    Parameters
    ----------
    columns : mapping of column to float array, shape (n,)
        Finite; in the order of the file.
    decimals : mapping of column to int
        For each column, 0 to 9.

    Raises
    ------
    ValueError
        If lengths differ, a value isn't finite, or a name isn't `fit_name`.
    """
    if len({array.shape for array in columns.values()}) != 1:
        raise ValueError(f"log: found columns of lengths {[a.shape for a in columns.values()]}; expected one length")
    for name, array in columns.items():
        if not fit_name(name):
            raise ValueError(f"log: found column name {name!r}; expected {FIT_WORDS}")
        if not np.all(np.isfinite(array)):
            place = int(np.argmin(np.isfinite(array)))
            raise ValueError(f"log, column {name!r}, reading {place}: found {array[place]}; expected a finite number")
    rows = zip(*(_cells(array, decimals[name]) for name, array in columns.items()), strict=True)
    return "\n".join([",".join(columns), *map(",".join, rows), ""])


def packed(text: bytes) -> bytes:
    """Return gzip's bytes, with neither time nor file name in them."""
    buffer = io.BytesIO()
    with gzip.GzipFile(filename="", mode="wb", compresslevel=PACKING_LEVEL, fileobj=buffer, mtime=0) as file:
        file.write(text)
    return buffer.getvalue()


def write_columns(path: Path, columns: Mapping[str, Floats], decimals: Mapping[str, int]) -> None:
    """Write columns as a log, whole or not at all.

    Parameters
    ----------
    path : Path
        Ends in ``.csv``, or in ``.csv.gz`` for a packed one; an existing file is replaced.
    columns, decimals : mapping
        As `log_text`.

    Raises
    ------
    ValueError
        As `log_text`.
    CallError
        If the path ends otherwise or can't be written.

    Notes
    -----
    Packed bytes may differ between versions of zlib; what they unpack to doesn't.
    """
    name = path.name.lower()
    if not name.endswith((".csv", ".csv.gz")):
        raise CallError(str(path), f"a log named {path.name!r}", "a name in .csv or .csv.gz", "rename the log")
    text = log_text(columns, decimals).encode()
    write_bytes(path, packed(text) if name.endswith(".gz") else text)
