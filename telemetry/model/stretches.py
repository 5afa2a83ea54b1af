"""Stretches of samples for which something holds."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from .arrays import Bools
from .motion import Stretch


def stretches(mask: Bools, segments: tuple[Stretch, ...] | None = None) -> tuple[Stretch, ...]:
    """Return the stretches [start, stop) in which `mask` holds throughout.

    Parameters
    ----------
    mask : bool array, shape (n,)
    segments : tuple of (start, stop), optional
        Gap-free segments; no stretch reaches across their bounds.

    Examples
    --------
    >>> import numpy as np
    >>> stretches(np.array([True, True, False, True]))
    ((0, 2), (3, 4))
    """
    change = np.flatnonzero(mask[1:] != mask[:-1]) + 1
    if segments is not None and len(segments) > 1:
        change = np.union1d(change, [start for start, _ in segments[1:]]).astype(np.int64)
    bounds = np.concatenate([[0], change, [mask.shape[0]]]).tolist()
    return tuple((start, stop) for start, stop in pairwise(bounds) if start < stop and mask[start])


def lasting(
    found: tuple[Stretch, ...], rate_hz: float, shortest_s: float, longest_s: float = np.inf
) -> tuple[Stretch, ...]:
    """Return the stretches that last from `shortest_s` to `longest_s`, both included.

    A stretch of k samples lasts k / rate; half a sample of slack is given.
    """
    slack = 0.5 / rate_hz
    return tuple(
        (start, stop) for start, stop in found if shortest_s - slack <= (stop - start) / rate_hz <= longest_s + slack
    )


def mask_of(found: tuple[Stretch, ...], count: int) -> Bools:
    """Return a mask of `count` samples that holds inside the stretches."""
    mask = np.zeros(count, dtype=bool)
    for start, stop in found:
        mask[start:stop] = True
    return mask
