"""A sensor with a hole: a worn track or a loose joint jumps over part of its range."""

from __future__ import annotations

import math

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.stretches import stretches
from telemetry.words import figure

BIN_SHARE, LEAST_SHARE = 0.0025, 0.01
INNER = (0.05, 0.95)
WITHIN_PCT = (-100, 200)
FEWEST_BESIDE = 100
"""Own choices: travel passes every level many times; a hole of a per cent beside a hundred readings is no chance;
what lies beyond a whole travel outside is no level, and counting up to it could take all memory."""


def widest_hole(travel_pct: Floats) -> tuple[float, float] | None:
    """Return the widest stretch of travel that is jumped over, %; None where there is none of 1 % or more.

    Parameters
    ----------
    travel_pct : float array, shape (n,)

    Returns
    -------
    (from, to) or None
        Within what the middle nine tenths of readings span; a hundred readings or more lie in the 1 % either side.

    Examples
    --------
    >>> import numpy as np
    >>> widest_hole(np.concatenate([np.linspace(10, 30, 4000), np.linspace(32, 60, 5600)]))
    (30.0, 32.0)
    """
    if travel_pct.size and not (travel_pct.min() > WITHIN_PCT[0] and travel_pct.max() < WITHIN_PCT[1]):
        travel_pct = travel_pct[(travel_pct > WITHIN_PCT[0]) & (travel_pct < WITHIN_PCT[1])]
    if travel_pct.size == 0:
        return None
    wide = 100 * BIN_SHARE
    first = math.floor(travel_pct.min() / wide)
    counts = np.bincount((travel_pct * (1 / wide) - first).astype(np.int32))
    so_far = np.cumsum(counts)
    low, high = np.searchsorted(so_far, [share * so_far[-1] for share in INNER])
    near = round(LEAST_SHARE / BIN_SHARE)
    holes = [
        (start, stop)
        for start, stop in stretches(counts == 0)
        if low < start < high
        and stop - start >= near
        and min(counts[max(0, start - near) : start].sum(), counts[stop : stop + near].sum()) >= FEWEST_BESIDE
    ]
    if not holes:
        return None
    start, stop = max(holes, key=lambda hole: hole[1] - hole[0])
    below, above = travel_pct[travel_pct < (start + first) * wide], travel_pct[travel_pct >= (stop + first) * wide]
    return round(float(below.max()), 2), round(float(above.min()), 2)


def dead_band(ride: Ride, signal: EndSignal) -> tuple[Finding, ...]:
    """Find a stretch of travel that an end passes again and again on the ride without a reading in it.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    """
    full = signal.full_travel_mm
    if signal.noise.sensor_step_mm > LEAST_SHARE / 2 * full:  # a coarse converter is told as such
        return ()
    hole = widest_hole(100 * signal.cleaned_mm[ride.ridden] / full)
    if hole is None:
        return ()
    low_mm, high_mm = hole[0] * full / 100, hole[1] * full / 100
    message = (
        f"{ride.name}, {signal.end}: no reading from {figure(low_mm, 1)} to {figure(high_mm, 1)} mm of travel, "
        f"though many lie beside it (a hole of {figure(high_mm - low_mm, 1)} mm, limit "
        f"{figure(LEAST_SHARE * full, 1)} mm): the sensor's track is worn or its joint loose; depths and speeds near "
        "it are wrong: replace it"
    )
    return (Finding(code="dead_band", message=message, end=signal.end),)
