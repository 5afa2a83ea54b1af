"""Turning points of travel, with a gate so that chatter makes none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class TurningPoints:
    """Confirmed turning points in order, and whether the first is a high; highs and lows alternate."""

    samples: Ints
    starts_high: bool


def local_extremes(signal: Floats) -> Ints:
    """Return the first and last sample and every local extreme, the last sample of a plateau.

    Parameters
    ----------
    signal : float array, shape (n,)

    Returns
    -------
    int array
        Increasing.

    Examples
    --------
    >>> import numpy as np
    >>> local_extremes(np.array([0.0, 2.0, 2.0, 1.0, 3.0]))
    array([0, 2, 3, 4])
    """
    step = np.diff(signal)
    moving = np.flatnonzero(step)
    if moving.size == 0:
        return np.array([0], dtype=np.int64)
    rising = step[moving] > 0
    turns = moving[1:][rising[1:] != rising[:-1]]  # the sample before the first step the other way
    return np.concatenate([[0], turns, [signal.shape[0] - 1]]).astype(np.int64)


def turning_points(signal: Floats, gate: float) -> TurningPoints:
    """Return the turning points of one gap-free stretch that a hysteresis gate confirms.

    Parameters
    ----------
    signal : float array, shape (n,)
        Filtered wheel travel, mm.
    gate : float
        Gate, in the signal's unit, > 0.

    Returns
    -------
    TurningPoints

    Notes
    -----
    A high (low) is confirmed once the signal has since fallen (risen) by the gate; the turning point is the
    extreme sample between confirmations, the last one where several are equal.
    """
    places = local_extremes(signal)
    values = signal[places].tolist()
    found: list[int] = []
    high = low = values[0]
    high_at = low_at = 0
    direction = 0  # +1: looking for a high, -1: looking for a low, 0: not known yet
    starts_high = False
    for at, value in enumerate(values):
        if direction >= 0:
            if value >= high:
                high, high_at = value, at
            elif high - value >= gate:
                starts_high = starts_high or direction == 0
                found.append(high_at)
                direction, low, low_at = -1, value, at
                continue
        if direction <= 0:
            if value <= low:
                low, low_at = value, at
            elif value - low >= gate:
                found.append(low_at)
                direction, high, high_at = 1, value, at
    return TurningPoints(samples=places[np.array(found, dtype=np.int64)], starts_high=starts_high)
