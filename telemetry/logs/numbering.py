"""Numbers of a log's rows: a range where none is left out, which takes no memory; an array elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints, joined

Numbers: TypeAlias = "range | Ints"
"""Ascending, of steps of 1 where it is a range."""


def as_array(numbers: Numbers) -> Ints:
    """Return numbers as an array, shape (n,)."""
    return np.arange(numbers.start, numbers.stop) if isinstance(numbers, range) else numbers


def as_floats(numbers: Numbers) -> Floats:
    """Return numbers as a new array of floats, shape (n,)."""
    if isinstance(numbers, range):
        return np.arange(numbers.start, numbers.stop, dtype=float)
    return numbers.astype(float)


def kept(numbers: Numbers, keep: Bools) -> Numbers:
    """Return some of the numbers.

    Examples
    --------
    >>> kept(range(5, 8), np.array([True, False, True])), kept(range(5, 8), np.ones(3, dtype=bool))
    (array([5, 7]), range(5, 8))
    """
    if not isinstance(numbers, range):
        return numbers[keep]
    return numbers if keep.all() else np.flatnonzero(keep) + numbers.start


def end_to_end(parts: Sequence[Numbers]) -> Numbers:
    """Return parts in one.

    Examples
    --------
    >>> end_to_end([range(3), range(3, 5)]), end_to_end([range(3), range(4, 6)])
    (range(0, 5), array([0, 1, 2, 4, 5]))
    """
    ranges = [part for part in parts if isinstance(part, range)]
    if len(ranges) == len(parts) and all(last.stop == then.start for last, then in pairwise(ranges)):
        return range(ranges[0].start, ranges[-1].stop)
    return joined([as_array(part) for part in parts])
