"""When a marker was pressed: a column comes to equal a value; and the marks that presses are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.day import Mark, RunEntry
from telemetry.model.finding import Finding, Step
from telemetry.model.log import Log
from telemetry.model.sensor import MarkerSensor, columns_of

from .columns import find_column
from .dialect import Dialect, is_number
from .table import Words

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


def marker_places(
    dialect: Dialect, markers: Sequence[MarkerSensor], where: str, *, one_of_two: bool
) -> dict[MarkerSensor, int]:
    """Return the places, from 0, of a log's markers; of one of two loggers, of those that are wired to it.

    Raises
    ------
    LogError
        If a marker's column isn't there.
    """
    found = {}
    for marker in markers:
        with suppress(*((LogError,) if one_of_two else ())):
            found[marker] = find_column(dialect, marker.column, where)
    return found


def presses_of(pressed: Bools, rows: Ints, log: Log) -> Floats:
    """Return when a marker was pressed, s on the log's clock.

    Parameters
    ----------
    pressed : bool array, shape (m,)
        Where it is down.
    rows : int array, shape (m,)
        File rows, from 1, of all the log's rows; one that was left out counts for the next that stands.
    log : Log
        Of the same file.
    """
    last = log.time_s.shape[0] - 1
    kept = log.first_row + np.arange(last + 1) if log.source_rows is None else log.source_rows
    return presses_s(pressed, log.time_s[np.minimum(np.searchsorted(kept, rows), last)])


def pressed_marks(
    entry: RunEntry, presses: Mapping[str, Floats]
) -> tuple[tuple[Mark, ...], list[Finding], tuple[Step, ...]]:
    """Return a run's presses as marks, what to say where a marker has none, and the step that tells them."""
    marks: list[Mark] = []
    findings, words = [], []
    for name, times in presses.items():
        own = [Mark(run=entry.name, at_s=at, name=f"{name} {n}", marker=name) for n, at in enumerate(times.tolist(), 1)]
        marks.extend(own)
        if own:
            words.append(f"{name} pressed at {', '.join(f'{mark.at_s:.2f}' for mark in own)} s")
        else:
            sensor = entry.sensors[name]
            message = (
                f"{entry.name}: marker {name!r} (column {columns_of(sensor)[0]!r}) was never pressed, so it marks "
                "nothing in this run; check its column and `equals` in ride_day.toml"
            )
            findings.append(Finding(code="marker_not_pressed", message=message))
    steps = (Step(stage="marks", words="; ".join(words)),) if words else ()
    return tuple(marks), findings, steps
