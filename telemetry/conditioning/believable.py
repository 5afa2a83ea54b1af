"""What no bike does: a ground speed or an acceleration beyond it is no reading, and is left out with a word."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.ride import GroundSpeed

FASTEST_M_S, MEAN_OVER_S = 100.0, 1.0
"""Own choice: 360 km/h. Counting sensors tell speed in single samples, so that only its means are meant."""
LARGEST_G = 1000.0
"""Own choice: what is sold for bikes measures up to 400 g."""


def believable_speed(
    name: str, ground: GroundSpeed | None, rate_hz: float
) -> tuple[GroundSpeed | None, Sequence[Finding]]:
    """Return ground speed where a bike may have it, else None and why.

    Parameters
    ----------
    name : str
        The run's name, for messages.
    ground : GroundSpeed or None
    rate_hz : float
    """
    if ground is None:
        return None, ()
    metres = np.concatenate([[0.0], np.cumsum(np.abs(ground.speed_m_s))]) / rate_hz
    over = min(max(1, round(MEAN_OVER_S * rate_hz)), metres.shape[0] - 1)
    fastest = float((metres[over:] - metres[:-over]).max()) * rate_hz / over
    if 0 < fastest <= FASTEST_M_S:
        return ground, ()
    told = (
        f"{fastest:.4g} m/s over a second ({FASTEST_M_S:.0f} at most are believed)" if fastest else "no movement at all"
    )
    message = (
        f"{name}: the ground-speed sensor tells {told}: it is left out; check its column, unit, magnet or reception"
    )
    return None, (Finding(code="odd_ground_speed", message=message),)


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
