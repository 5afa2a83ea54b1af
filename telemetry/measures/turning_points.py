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
    last = signal.shape[0] - 1
    rising, falling = signal[1:] > signal[:-1], signal[1:] < signal[:-1]
    if not np.all(rising | falling):
        moving = np.flatnonzero(rising | falling)
        rising = rising[moving]
        turns = moving[1:][rising[1:] != rising[:-1]]  # the sample before the first step the other way
        return np.concatenate([moving[:1], turns, [last]]).astype(np.int64)
    turns = np.flatnonzero(rising[1:] != rising[:-1]) + 1
    return np.concatenate([[0] if last else [], turns, [last]]).astype(np.int64)


def without_chatter(signal: Floats, places: Ints, gate: float, passes: int = 64) -> Ints:
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
    extreme sample between confirmations, the last one where several are equal. Where chatter leaves no swing
    narrower than the gate but at the ends, every extreme is confirmed by the one after it, and nothing is walked.
    """
    places = without_chatter(signal, local_extremes(signal), gate)
    swing = np.diff(signal[places])
    wide = np.abs(swing) >= gate
    if wide.size < 2 or not wide[1:-1].all():
        return _walked(signal, places, gate)
    first = 0 if wide[0] else 1
    return TurningPoints(samples=places[first : -1 if wide[-1] else -2], starts_high=bool(swing[first] < 0))


def _walked(signal: Floats, places: Ints, gate: float) -> TurningPoints:
    """Return the turning points among these extremes by walking the gate over them one by one."""
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
