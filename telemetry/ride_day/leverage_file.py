"""The leverage file: two columns, ``stroke_mm`` and ``travel_mm``."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np

from telemetry.mechanics.leverage import LeverageCurve
from telemetry.model.day import LeverageTable

COLUMNS = ("stroke_mm", "travel_mm")
LARGEST_BYTES = 1_000_000
LARGEST_MM = 1000.0
START_MM = 0.05
HEAD_BYTES = 200
_TABLES = (".csv", ".txt", ".tsv")
_DELIMITERS = (";", "\t", ",")


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
        If it can't be read, lacks a column or a number, doesn't start at 0, 0, doesn't increase, or bends so sharply
        beside an end that the wheel would stand still there while the shock moves.
    """
    lines = [(number, line) for number, line in enumerate(_text(path).splitlines(), 1) if line.strip(" \t;,")]
    if not lines:
        raise LeverageFileError("an empty file", "columns stroke_mm and travel_mm")
    delimiter = next((mark for mark in _DELIMITERS if mark in lines[0][1]), ",")
    header = [cell.lower() for cell in _cells(lines[0][1], delimiter)]
    if not set(COLUMNS) <= set(header):
        raise LeverageFileError(f"columns {', '.join(header)}", "columns stroke_mm and travel_mm")
    places = [header.index(name) for name in COLUMNS]
    points = [(number, *_numbers(_cells(line, delimiter), places, number)) for number, line in lines[1:]]
    _check(points)
    table = LeverageTable(
        stroke_mm=tuple(stroke for _, stroke, _ in points),
        travel_mm=tuple(travel for _, _, travel in points),
        source=path.name,
    )
    _check_ends(table, points[0][0], points[-1][0])
    return table


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise LeverageFileError("a file over 1 MB", "a small table of stroke and travel")
        data = path.read_bytes()
    except OSError as error:
        raise LeverageFileError(f"a file that can't be read ({error.strerror})", "a readable file") from None
    if b"\x00" in data:
        raise LeverageFileError("binary data", "a table of stroke and travel as text")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
    except csv.Error:
        raise LeverageFileError("a cell of absurd length", "numbers") from None


def _numbers(row: list[str], places: list[int], number: int) -> tuple[float, float]:
    found = f"{'; '.join(row)!r} in row {number}"
    try:
        stroke, travel = (float(row[place].replace(",", ".").replace("_", "?")) for place in places)
    except (ValueError, IndexError):
        raise LeverageFileError(found, "a number for stroke_mm and one for travel_mm") from None
    if not (-LARGEST_MM <= stroke <= LARGEST_MM and -LARGEST_MM <= travel <= LARGEST_MM):
        raise LeverageFileError(found, "millimetres, from 0 to the shock's full stroke and the wheel's travel")
    return stroke, travel


def _check(points: list[tuple[int, float, float]]) -> None:
    if len(points) < 2:
        raise LeverageFileError(f"{len(points)} rows of numbers", "two rows or more")
    number, stroke, travel = points[0]
    if max(abs(stroke), abs(travel)) > START_MM:
        raise LeverageFileError(f"{stroke:g}, {travel:g} in row {number}", "0, 0 in the first row: topped out")
    for (_, before, low), (number, after, high) in pairwise(points):
        if after <= before or high <= low:
            raise LeverageFileError(
                f"{after:g}, {high:g} in row {number} after {before:g}, {low:g}",
                "stroke and travel that both increase from row to row",
            )


def _check_ends(table: LeverageTable, first_row: int, last_row: int) -> None:
    """Refuse a curve that is level at an end: no shaft speed could be told from the wheel's there."""
    ends = np.array([table.stroke_mm[0], table.stroke_mm[-1]])
    for ratio, row in zip(LeverageCurve(table).ratio(ends), (first_row, last_row), strict=True):
        if ratio <= 0:
            raise LeverageFileError(
                f"a leverage ratio that falls to 0 at row {row}: it grows too steeply from row to row there",
                "a ratio (travel gained over stroke gained) that less than doubles from row to row",
            )


def leverage_files(folder: Path) -> list[Path]:
    """Return the files of a folder whose first line names the columns of a leverage curve, in order."""
    return sorted(path for path in folder.iterdir() if path.suffix.lower() in _TABLES and _names_leverage(path))


def _names_leverage(path: Path) -> bool:
    if not path.is_file():
        return False
    try:
        with path.open("rb") as file:
            head = file.readline(HEAD_BYTES).lower()
    except OSError:
        return False
    return all(column.encode() in head for column in COLUMNS)
