"""A clock in two columns: whole seconds, and a fraction of them (``sec,usec``)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise
from typing import Literal

import numpy as np

from telemetry.model.arrays import Floats

from .columns import STAMP_CELL, TIME_NAME
from .dialect import Dialect, is_number
from .stamps import Stamps, decimal_resolution
from .time_units import SECONDS_PER, named_unit

Unit = Literal["ms", "us", "ns"]
UNITS: tuple[Unit, ...] = ("ms", "us", "ns")


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitClock:
    """Places, from 0, of whole seconds and of their fraction, and the fraction's unit."""

    seconds: int
    fraction: int
    unit: Unit


def find_split_clock(dialect: Dialect, lines: Sequence[str]) -> SplitClock | None:
    """Return a clock in two columns, None where there is none.

    Parameters
    ----------
    dialect : Dialect
    lines : sequence of str
        The log's first rows of data.

    Notes
    -----
    The fraction's name, or a row of units, tells ms, us or ns; the other one's tells s or time. The fraction stays
    below a second, and falls where the seconds step, nowhere else: once or more within the lines.
    """
    told = [_told(dialect, place) for place in range(dialect.width)]
    fractions = [(place, unit) for place, unit in enumerate(told) if unit in UNITS]
    wholes = [p for p, unit in enumerate(told) if unit == "s" or TIME_NAME.search(dialect.names[p].replace("_", " "))]
    pairs = [
        (seconds, fraction, unit)
        for fraction, unit in fractions
        for seconds in sorted(wholes, key=lambda place: abs(place - fraction))
        if seconds != fraction
    ]
    rows = [cells for cells in map(dialect.cells_of, lines if pairs else []) if len(cells) == dialect.cells]
    for seconds, fraction, unit in pairs:
        if _belong(rows, seconds, fraction, 1 / SECONDS_PER[unit]):
            return SplitClock(seconds=seconds, fraction=fraction, unit=unit)
    return None


def _told(dialect: Dialect, place: int) -> str | None:
    unit = dialect.units[place] if place < len(dialect.units) else ""
    return named_unit(f"{dialect.names[place]} {unit}")


def _belong(rows: Sequence[Sequence[str]], seconds: int, fraction: int, a_second: float) -> bool:
    """Tell whether a column falls just where another, of whole seconds, steps."""
    known = [(cells[seconds], cells[fraction]) for cells in rows if max(seconds, fraction) < len(cells)]
    known = [(whole, part) for whole, part in known if whole and part]
    if not known or not all(_is_whole(whole) and part.isdecimal() for whole, part in known):
        return False
    parts = [float(part) for _, part in known]
    steps = [one != next_one for (one, _), (next_one, _) in pairwise(known)]
    falls = [later < part for part, later in pairwise(parts)]
    return max(parts) < a_second and any(steps) and steps == falls


def _is_whole(cell: str) -> bool:
    return cell.isdecimal() or (STAMP_CELL.search(cell) is not None and not is_number(cell[-3:]))


def with_fraction(stamps: Stamps, fraction: Floats, unit: Unit) -> Stamps:
    """Return stamps of whole seconds with their fraction, shape (n,), in its unit; NaN where either lacks."""
    known = np.flatnonzero(np.isfinite(stamps.seconds) & np.isfinite(fraction))
    parts = fraction * SECONDS_PER[unit]
    start_s = float(parts[known[0]]) if known.size else 0.0
    resolution_s, written_s = decimal_resolution(fraction, SECONDS_PER[unit])
    return replace(
        stamps,
        seconds=stamps.seconds + (parts - start_s),
        resolution_s=resolution_s,
        written_s=min(written_s, SECONDS_PER[unit]),
        first=None if stamps.first is None else stamps.first + timedelta(seconds=start_s),
        first_s=stamps.first_s + start_s,
        words=f"{stamps.words}, its fraction in {unit}",
    )
