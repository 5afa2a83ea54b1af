"""When a signal crosses a level, by linear interpolation."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats


def crossing(signal: Floats, sample: int, level: float) -> float:
    """Return where the signal crosses `level` between samples `sample` - 1 and `sample`, in samples.

    Parameters
    ----------
    signal : float array, shape (n,)
    sample : int
        1 <= sample < n; the two samples differ and enclose the level.

    Examples
    --------
    >>> import numpy as np
    >>> crossing(np.array([0.0, 4.0]), 1, 1.0)
    0.25
    """
    before, after = float(signal[sample - 1]), float(signal[sample])
    return sample - 1 + (level - before) / (after - before)


def approach_s(signal: Floats, sample: int, level: float, way: float, rate_hz: float) -> float:
    """Return how long the last `way` before `level` took, s; inf where the stretch doesn't hold it.

    Parameters
    ----------
    signal : float array, shape (n,)
        One gap-free stretch, rising towards `level`.
    sample : int
        First sample at or past the level; the one before lies short of it.
    level, way : float
        In the signal's unit; the approach starts at ``level - way``.
    rate_hz : float
    """
    reach = 32
    stop = sample
    while stop > 0:  # look back in growing pieces: the approach is short, the ride is long
        start = max(0, stop - reach)
        short = np.flatnonzero(signal[start:stop] < level - way)
        if short.size:
            begin = crossing(signal, start + int(short[-1]) + 1, level - way)
            return (crossing(signal, sample, level) - begin) / rate_hz
        stop, reach = start, 4 * reach
    return float("inf")
