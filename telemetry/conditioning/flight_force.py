"""What a chassis sensor's acceleration tells about flight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.units import STANDARD_GRAVITY_M_S2

from .lowpass import lowpass

CUTOFF_HZ = 15.0
LARGEST_G = 1000.0
"""Own choice: what is sold for bikes measures up to 400 g."""


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


def believable_force(name: str, force_g: Floats | None) -> tuple[Floats | None, Sequence[Finding]]:
    """Return the specific force where a bike may have it, else None and why.

    Parameters
    ----------
    name : str
        The run's name, for messages.
    force_g : float array, shape (n,), or None
    """
    if force_g is None or float(force_g.max()) <= LARGEST_G:
        return force_g, ()
    message = (
        f"{name}: the chassis sensor tells {float(force_g.max()):.4g} g ({LARGEST_G:.0f} at most are believed): it is "
        "left out, and flights are found without it; check its columns and acceleration_unit"
    )
    return None, (Finding(code="odd_acceleration", message=message),)
