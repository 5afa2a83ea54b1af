"""Stretches of samples for which something holds."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from .arrays import Bools, Floats
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


def samples_within(time_s: Floats, start_s: float, end_s: float) -> slice:
    """Return the samples from one moment to another, both counted in.

    Examples
    --------
    >>> import numpy as np
    >>> samples_within(np.arange(5.0), 1.0, 3.0)
    slice(1, 4, None)
    """
    first, last = np.searchsorted(time_s, [start_s - 1e-9, end_s + 1e-9]).tolist()
    return slice(first, max(first, last))


def segments_within(segments: Iterable[Stretch], samples: slice) -> tuple[Stretch, ...]:
    """Return what of segments lies in a range of samples.

    Examples
    --------
    >>> segments_within(((0, 4), (6, 9)), slice(3, 6))
    ((3, 4),)
    """
    cut = ((max(start, samples.start), min(stop, samples.stop)) for start, stop in segments)
    return tuple((start, stop) for start, stop in cut if stop > start)


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
