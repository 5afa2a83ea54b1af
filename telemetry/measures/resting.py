"""What recordings made off the trail tell: sag, the friction band."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.ride import EndSignal, Ride

REST_S = 1.0


def static_sag_pct(signal: EndSignal) -> float:
    """Return median filtered travel of a sag recording, % of full travel."""
    return 100.0 * float(np.median(signal.travel_mm)) / signal.full_travel_mm


def resting_travel_mm(ride: Ride, signal: EndSignal) -> float:
    """Return where an end came to rest: median filtered travel of the last second, mm."""
    return float(np.median(last_second(ride, signal)))


def last_second(ride: Ride, signal: EndSignal) -> Floats:
    """Return filtered travel of a recording's last second, mm."""
    last: Floats = signal.travel_mm[ride.time_s >= ride.time_s[-1] - REST_S]
    return last


def friction_band_mm(from_compressed_mm: list[float], from_extended_mm: list[float]) -> float:
    """Return mean resting travel let go from compressed minus from extended, mm.

    Parameters
    ----------
    from_compressed_mm, from_extended_mm : list of float
        Resting travel of each recording, one or more of either.

    Returns
    -------
    float
        Zero or positive on a bike; negative means the recordings are mixed up.
    """
    return float(np.mean(from_compressed_mm) - np.mean(from_extended_mm))
