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
    """Return the first level, every local extreme and the last sample; of a plateau its last sample.

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
        return np.array([signal.shape[0] - 1], dtype=np.int64)
    rising = step[moving] > 0
    turns = moving[1:][rising[1:] != rising[:-1]]  # the sample before the first step the other way
    return np.concatenate([moving[:1], turns, [signal.shape[0] - 1]]).astype(np.int64)


def without_chatter(signal: Floats, places: Ints, gate: float, passes: int = 8) -> Ints:
    """Return local extremes without neighbouring pairs that no gate could confirm.

    Parameters
    ----------
    signal : float array, shape (n,)
    places : int array, shape (k,)
        Local extremes, increasing.
    gate : float
    passes : int
        Most rounds; what is left is settled by the gate itself.

    Returns
    -------
    int array

    Notes
    -----
    A swing smaller than the gate and strictly smaller than both its neighbours lies inside a larger one: it neither
    confirms a turn nor is the extreme between two that do. Two such swings never touch.
    """
    for _ in range(passes):
        swing = np.abs(np.diff(signal[places]))
        if swing.shape[0] < 3:
            return places
        inner = swing[1:-1]
        small = np.flatnonzero((inner < gate) & (inner < swing[:-2]) & (inner < swing[2:])) + 1
        if small.size == 0:
            return places
        keep = np.ones(places.shape[0], dtype=bool)
        keep[small] = keep[small + 1] = False
        places = places[keep]
    return places


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
    places = without_chatter(signal, local_extremes(signal), gate)
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
