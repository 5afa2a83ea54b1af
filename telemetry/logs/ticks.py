"""Whether a clock ticks at all, and how fast rows come by the ticks that several of them share."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Floats

from .numbering import Numbers, as_array

SHORTEST_RUN_S = 1e-9
FEWEST_TICKS, FEWEST_ROWS = 2, 16
"""Between two ticks there is a time; few rows may well lie within one."""


def check_running(seconds: Floats, where: str, other: str = "") -> None:
    """Refuse a clock that stands still or runs backwards throughout.

    Parameters
    ----------
    seconds : float array, shape (n,)
    where : str
        The log and the clock's column.
    other : str, optional
        Another column that runs like a clock.

    Raises
    ------
    LogError
    """
    look = "name the column that does in [log] time" + (f" ({other} runs like one)" if other else "")
    step = np.diff(seconds)
    if seconds.shape[0] < 2 or float(np.ptp(seconds)) < SHORTEST_RUN_S:
        raise LogError(where, "the same time in every row", "a clock that runs", f"{look}, or state rate_hz")
    ticks = int(np.count_nonzero(step))
    if ticks < FEWEST_TICKS and step.shape[0] >= FEWEST_ROWS:
        found = f"a time that changes once in {step.shape[0] + 1} rows"
        raise LogError(where, found, "a clock that runs", f"{look}, or state rate_hz")
    if np.all(step <= 0):
        raise LogError(where, "time that runs backwards throughout", "a clock that runs", f"{look}, or state rate_hz")


def ticked_rate(seconds: Floats, places: Numbers, segments: Sequence[tuple[int, int]]) -> float | None:
    """Return rows a second where several share a stamp: the slope of a line through the rows at which it ticks.

    The first and last tick are cut off by the log's ends: taken for whole, they'd count up to a tick too much or too
    little.

    Parameters
    ----------
    seconds : float array, shape (n,)
    places : range or int array, shape (n,)
        Places among all rows.
    segments : sequence of (start, stop)
        Gap-free stretches.

    Returns
    -------
    float or None
        None with fewer than two ticks in each stretch.
    """
    products = squares = 0.0
    for start, stop in segments:
        ticks = np.flatnonzero(np.diff(seconds[start:stop])) + start + 1
        if ticks.size > 1:
            from_mean = seconds[ticks] - seconds[ticks].mean()
            products += float(from_mean @ as_array(places)[ticks])
            squares += float(from_mean @ from_mean)
    return products / squares if squares > 0 else None
