"""How long a wheel hardly presses on the ground, from what it and the chassis above it do."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.arrays import Floats
from telemetry.units import STANDARD_GRAVITY_M_S2

UNLOADED_SHARE = 0.3
"""Of the static load: below it a wheel is called unloaded."""
UNSPRUNG_SHARE = 0.10
"""Of an end's static load that lies below its spring, where it isn't stated: wheel, tyre, brake and lower leg or swing
arm of 4 to 5 kg under 40 to 50 kg of bike and rider; motorcycles 15 under 110. Common practice, no source."""


def load_share(wheel_m_s2: Floats, chassis_m_s2: Floats, unsprung_share: float) -> Floats:
    """Return what a wheel carries, over its static load.

    Parameters
    ----------
    wheel_m_s2, chassis_m_s2 : float array, shape (n,)
        Upward acceleration, 0 at rest.
    unsprung_share : float
        Of the static load, 0 to 1.

    Returns
    -------
    float array, shape (n,)
        1 at rest, 0 in free flight.

    Notes
    -----
    ``F = m_u (a_u + g) + m_s (a_s + g)`` over ``(m_u + m_s) g``: what the ground gives has to lift and shake both.
    """
    share: Floats = 1 + (unsprung_share * wheel_m_s2 + (1 - unsprung_share) * chassis_m_s2) / STANDARD_GRAVITY_M_S2
    return share


def unloaded_pct(shares: Sequence[Floats]) -> float:
    """Return the share of samples over stretches in which the load is under `UNLOADED_SHARE`, %; NaN without any."""
    count = sum(part.size for part in shares)
    under = sum(int((part < UNLOADED_SHARE).sum()) for part in shares)
    return 100.0 * under / count if count else float("nan")
