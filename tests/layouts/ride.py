"""One simulated ride, to be written down as many loggers write: counts of fork, shock and a crown's inertial sensor."""

from __future__ import annotations

import datetime as dt
import gzip
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Floats

LAP = Path(__file__).parents[2] / "sample_runs" / "lighter_damper_oil" / "run_1.csv.gz"
FIRST_ROW, ROWS, EVERY = 7000, 3100, 2
RATE_HZ = 250
STARTED = dt.datetime(2026, 5, 16, 9, 12, 0)
FORK, SHOCK = ((200, 0.0), (2325, 170.0)), ((230, 0.0), (3355, 62.5))
"""Points of the two sensors: steps of 0.08 and 0.02 mm, so that two decimals hold every reading."""
COUNTS_PER_G, COUNTS_PER_DEG_S = 1024.0, 16.384
G_M_S2 = 9.80665
AXES = ("ax", "ay", "az", "gx", "gy", "gz")

Cells: TypeAlias = Callable[[], Sequence[str]]
"""A column's cells, row by row."""


@cache
def _lap() -> Floats:
    rows = gzip.decompress(LAP.read_bytes()).decode("ascii").splitlines()[1:]
    return np.loadtxt(rows[FIRST_ROW : FIRST_ROW + EVERY * ROWS : EVERY], delimiter=",").T


def counts(channel: int) -> Floats:
    """Return a channel's counts: 0 fork, 1 shock, 2 to 7 the axes."""
    return _lap()[1 + channel]


def numbers(values: Callable[[], Floats], decimals: int = 0) -> Cells:
    """Return a column of numbers with so many decimals."""
    return lambda: [f"{value:.{decimals}f}" for value in values()]


def fork(scale: float = 1.0, offset: float = 0.0, decimals: int = 0) -> Cells:
    """Return the fork's counts, or what a line makes of them."""
    return numbers(lambda: offset + scale * counts(0), decimals)


def shock(scale: float = 1.0, offset: float = 0.0, decimals: int = 0) -> Cells:
    """Return the shock's counts, or what a line makes of them."""
    return numbers(lambda: offset + scale * counts(1), decimals)


def fork_mm(scale: float = 1.0, decimals: int = 2) -> Cells:
    """Return the fork's travel in mm, or so many units a mm."""
    return fork(0.08 * scale, -16.0 * scale, decimals)


def shock_mm(scale: float = 1.0, decimals: int = 2) -> Cells:
    """Return the shock's stroke in mm, or so many units a mm."""
    return shock(0.02 * scale, -4.6 * scale, decimals)


def axis(name: str, scale: float = 1.0, decimals: int = 0) -> Cells:
    """Return an axis' counts, or so many units a count."""
    return numbers(lambda: scale * counts(2 + AXES.index(name)), decimals)


def axes(form: str = "{}", acceleration: float = 1.0, rotation: float = 1.0, decimals: int = 0) -> dict[str, Cells]:
    """Return the columns of the inertial sensor; `form` makes a column's name of an axis'."""
    scales = {"a": acceleration, "g": rotation}
    return {form.format(name): axis(name, scales[name[0]], decimals) for name in AXES}


def clock(per_second: float = 1e3, decimals: int = 0, starts: float = 0.0, wraps_at: float = 0.0) -> Cells:
    """Return a clock's numbers, rounded down as a counter is."""

    def cells() -> Sequence[str]:
        ticks = np.floor((starts + np.arange(ROWS) * (per_second / RATE_HZ)) * 10**decimals + 1e-6)
        ticks = ticks % wraps_at if wraps_at else ticks
        return [f"{value:.{decimals}f}" for value in ticks / 10**decimals]

    return cells


def stamps(form: Callable[[dt.datetime], str]) -> Cells:
    """Return dates or clock times, each written by a function."""
    return lambda: [form(STARTED + dt.timedelta(seconds=place / RATE_HZ)) for place in range(ROWS)]


def drifting(level: float, swing: float, period_s: float, decimals: int = 2) -> Cells:
    """Return what moves slowly about a level: a temperature, a voltage, a place."""
    at_s = np.arange(ROWS) / RATE_HZ
    return numbers(lambda: level + swing * np.sin(2 * np.pi * at_s / period_s), decimals)
