"""What a chassis sensor's acceleration tells about flight."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.units import STANDARD_GRAVITY_M_S2

from .lowpass import lowpass

CUTOFF_HZ = 15.0


def specific_force_g(
    axes: tuple[Floats, Floats, Floats],
    unit: str,
    rate_hz: float,
    segments: tuple[tuple[int, int], ...],
) -> Floats:
    """Return the length of the specific force, low-passed at 15 Hz (or 0.4 x a slower rate).

    Parameters
    ----------
    axes : three float arrays, shape (n,)
        Accelerations along the sensor's axes.
    unit : {"g", "m/s2"}
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free stretches of 16 samples or more.

    Returns
    -------
    float array, shape (n,)
        In g: 1 at rest, near 0 in free flight, whichever way the sensor is turned.
    """
    scale = 1.0 if unit == "g" else 1.0 / STANDARD_GRAVITY_M_S2
    cutoff = min(CUTOFF_HZ, 0.4 * rate_hz)
    force = np.empty_like(axes[0])
    for start, stop in segments:
        smooth = [lowpass(axis[start:stop] * scale, rate_hz, cutoff) for axis in axes]
        force[start:stop] = np.sqrt(sum(axis**2 for axis in smooth))
    return force
