"""What a chassis sensor's acceleration tells about flight."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch
from telemetry.units import STANDARD_GRAVITY_M_S2

from .lowpass import lowpass

CUTOFF_HZ = 15.0


def specific_force_g(signal: InertialSignal, rate_hz: float, segments: tuple[Stretch, ...]) -> Floats:
    """Return the length of the specific force, low-passed at 15 Hz (or 0.4 x a slower rate).

    Parameters
    ----------
    signal : InertialSignal
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free stretches of 16 samples or more.

    Returns
    -------
    float array, shape (n,)
        In g: 1 at rest, near 0 in free flight, whichever way the sensor is turned.
    """
    cutoff = min(CUTOFF_HZ, 0.4 * rate_hz)
    felt = signal.specific_force_m_s2
    force = np.empty(felt.shape[0])
    for start, stop in segments:
        smooth = [lowpass(axis[start:stop], rate_hz, cutoff) for axis in felt.T]
        force[start:stop] = np.sqrt(sum(axis**2 for axis in smooth)) / STANDARD_GRAVITY_M_S2
    return force
