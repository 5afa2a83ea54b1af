"""When a marker was pressed: a column comes to equal a value."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.day import LogOptions, MarkerSensor
from telemetry.model.log import Log

from .columns import find_column
from .dialect import is_number
from .reader import open_log
from .reading import read_table
from .table import Wanted, Words

BOUNCE_S = 0.5
"""Presses closer than so long are one: buttons bounce, thumbs too. Own choice."""


def pressed_cells(cells: Words, equals: float | str, decimal: str) -> Bools:
    """Tell which cells equal a value: a number however it is written, a text letter by letter.

    Examples
    --------
    >>> pressed_cells(Words(known=("0", "1", "1.0", "x"), codes=np.arange(4)), 1.0, ".").tolist()
    [False, True, True, False]
    """
    if isinstance(equals, str):
        return cells.among({equals})

    def number(cell: str) -> float:
        return float(cell.replace(decimal, ".")) if is_number(cell, decimal) else float("nan")

    pressed: Bools = cells.numbers(number) == equals
    return pressed


def presses_s(pressed: Bools, time_s: Floats) -> Floats:
    """Return when a press begins, s.

    Parameters
    ----------
    pressed : bool array, shape (n,)
    time_s : float array, shape (n,)
        Rising.

    Returns
    -------
    float array
        A marker that is down in the first row was pressed before the log: no press. Presses within 0.5 s of the one
        before are bounces of it.
    """
    found: list[float] = []
    for at_s in time_s[1:][pressed[1:] & ~pressed[:-1]].tolist():
        if not found or at_s - found[-1] >= BOUNCE_S:
            found.append(at_s)
    return np.array(found)


def read_presses(log: Log, path: Path, marker: MarkerSensor, options: LogOptions, shown_as: str) -> Floats:
    """Return when a log's marker was pressed, s on the log's clock.

    Parameters
    ----------
    log : Log
        The same file, read.
    path : Path
    marker : MarkerSensor
    options : LogOptions
    shown_as : str
        The log's name in messages.

    Raises
    ------
    LogError
        If the marker's column isn't there.
    """
    opened = open_log(path, shown_as, options)
    place = find_column(opened.dialect, marker.column, shown_as)
    beside = sorted({find_column(opened.dialect, column, shown_as) for column in log.columns} - {place})
    wanted = Wanted(numbers=tuple(beside), words=(place,))
    table = read_table(opened.source, opened.dialect, wanted)  # rows as the log's
    pressed = pressed_cells(table.words[place], marker.equals, opened.dialect.decimal)
    last = log.time_s.shape[0] - 1
    rows = log.first_row + np.arange(last + 1) if log.source_rows is None else log.source_rows
    samples = np.minimum(np.searchsorted(rows, table.rows), last)  # a row left out counts for the next that stands
    return presses_s(pressed, log.time_s[samples])
