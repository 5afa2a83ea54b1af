"""The leverage file: two columns, ``stroke_mm`` and ``travel_mm``."""

from __future__ import annotations

import csv
import io
from itertools import pairwise
from pathlib import Path

from telemetry.model.day import LeverageTable

COLUMNS = ("stroke_mm", "travel_mm")
LARGEST_BYTES = 1_000_000
START_MM = 0.05


class LeverageFileError(ValueError):
    """What was found and what was expected in a leverage file."""

    def __init__(self, found: str, expected: str) -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"found {found}; expected {expected}")


def read_leverage_file(path: Path) -> LeverageTable:
    """Read a leverage file.

    Parameters
    ----------
    path : Path
        Delimited text with a header that names both columns; comma, semicolon or tab, decimal point or comma.

    Returns
    -------
    LeverageTable

    Raises
    ------
    LeverageFileError
        If it can't be read, lacks a column or a number, doesn't start at 0, 0 or doesn't increase.
    """
    rows = list(csv.reader(io.StringIO(_text(path)), delimiter=_delimiter(_text(path))))
    header = [cell.strip().lower() for cell in rows[0]] if rows else []
    lacking = [name for name in COLUMNS if name not in header]
    if lacking:
        raise LeverageFileError(f"columns {', '.join(header) or 'none'}", "columns stroke_mm and travel_mm")
    places = [header.index(name) for name in COLUMNS]
    points = [_numbers(row, places, number) for number, row in enumerate(rows[1:], 2) if any(map(str.strip, row))]
    _check(points)
    return LeverageTable(
        stroke_mm=tuple(stroke for stroke, _ in points),
        travel_mm=tuple(travel for _, travel in points),
        source=path.name,
    )


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise LeverageFileError("a file over 1 MB", "a small table")
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise LeverageFileError(f"no file {path.name!r}", "the leverage file beside ride_day.toml") from None
    except (OSError, UnicodeDecodeError):
        raise LeverageFileError(f"{path.name!r}, which can't be read as text", "a table of stroke and travel") from None


def _delimiter(text: str) -> str:
    first = text.splitlines()[0] if text.strip() else ""
    return next((mark for mark in (";", "\t") if mark in first), ",")


def _numbers(row: list[str], places: list[int], number: int) -> tuple[float, float]:
    try:
        stroke, travel = (float(row[place].strip().replace(",", ".")) for place in places)
    except (ValueError, IndexError):
        raise LeverageFileError(f"{';'.join(row)!r} in row {number}", "two numbers") from None
    if not (abs(stroke) < 1e4 and abs(travel) < 1e4):
        raise LeverageFileError(f"{';'.join(row)!r} in row {number}", "millimetres")
    return stroke, travel


def _check(points: list[tuple[float, float]]) -> None:
    if len(points) < 2:
        raise LeverageFileError(f"{len(points)} rows", "two rows or more")
    if max(abs(points[0][0]), abs(points[0][1])) > START_MM:
        raise LeverageFileError(f"{points[0][0]:g}, {points[0][1]:g} in the first row", "0, 0: topped out")
    for number, (before, after) in enumerate(pairwise(points), 3):
        if after[0] <= before[0] or after[1] <= before[1]:
            raise LeverageFileError(
                f"{after[0]:g}, {after[1]:g} in row {number} after {before[0]:g}, {before[1]:g}",
                "stroke and travel that both increase from row to row",
            )
