"""Whether two columns of a log change places on the way: each goes on where the other was, from one row to the next."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats, Ints
from telemetry.model.finding import Finding
from telemetry.model.log import Log
from telemetry.model.sensor import ColumnName

LEAST_SHARE, BENDS, TIMES = 0.01, 3.0, 3.0
MOST, ROWS_LOOKED_AT = 0.9, 20_000
"""Own choices: how far columns step off their course, in shares of what the livelier spans and in bends that a tenth of
the rows exceeds, and how much better each fits the other's course."""


def _usual_bend(readings: Floats) -> float:
    """Return what most readings bend less than from one row to the next, looked at in rows all over the log."""
    rows = np.unique(np.linspace(1, readings.shape[0] - 2, ROWS_LOOKED_AT).astype(np.int64))
    return float(np.quantile(np.abs(readings[rows + 1] - 2 * readings[rows] + readings[rows - 1]), MOST))


def _errors(one: Floats, other: Floats, rows: Ints) -> tuple[Floats, Floats]:
    """Return by how much `one` misses, over a step into rows + 1, its own course and the course of `other`, shape (k,).

    Courses are straight on from before the step, and straight back from after it; the larger miss of the two of the
    other's course counts, the smaller of its own.
    """
    ahead_own = one[rows + 1] - (2 * one[rows] - one[rows - 1])
    ahead_other = one[rows + 1] - (2 * other[rows] - other[rows - 1])
    back_own = one[rows] - (2 * one[rows + 1] - one[rows + 2])
    back_other = one[rows] - (2 * other[rows + 1] - other[rows + 2])
    own = np.minimum(np.abs(ahead_own), np.abs(back_own))
    others = np.maximum(np.abs(ahead_other), np.abs(back_other))
    return np.asarray(own), np.asarray(others)


def find_changed_places(one: Floats, other: Floats) -> Ints:
    """Return the rows after which two columns go on in each other's place.

    Parameters
    ----------
    one, other : float array, shape (n,)
        Readings as logged, in one unit.
    """
    if one.shape[0] < 4:
        return np.empty(0, dtype=np.int64)
    least = LEAST_SHARE * max(float(np.ptp(one)), float(np.ptp(other)))
    above = one > other
    rows = np.flatnonzero(above[1:-2] != above[2:-1]) + 1  # what lay above lies below
    rows = rows[np.abs(one[rows + 1] - one[rows]) > least / 2]
    if rows.size == 0:
        return rows
    least = max(least, BENDS * max(_usual_bend(one), _usual_bend(other)))
    first_own, first_other = _errors(one, other, rows)
    second_own, second_other = _errors(other, one, rows)
    own, others = np.minimum(first_own, second_own), np.maximum(first_other, second_other)
    return rows[(own > least) & (own > TIMES * others)]


def changed_places(name: str, log: Log, columns: tuple[ColumnName, ColumnName]) -> tuple[Finding, ...]:
    """Return what a run is told whose columns change places.

    Parameters
    ----------
    name : str
        The run.
    log : Log
    columns : (column, column)
        Of the two ends' sensors.
    """
    rows = find_changed_places(log.columns[columns[0]], log.columns[columns[1]])
    if rows.size == 0:
        return ()
    second, last = (float(log.time_s[row + 1]) for row in (rows[0], rows[-1]))
    again = "" if rows.size == 1 else f", and {rows.size - 1} times more, last at {last:.2f} s"
    message = (
        f"{name}: columns {columns[0]!r} and {columns[1]!r} change places at {second:.2f} s{again}: each goes on where "
        "the other was, from one row to the next (0 times expected); front and rear are mixed up in a part of the run, "
        "no verdict; look at the logger's plugs and at how the log was written, then ride again"
    )
    return (
        Finding(
            code="ends_swapped",
            message=message,
            row=log.row_of(int(rows[0]) + 1),
            second=second,
            no_verdict=True,
        ),
    )
