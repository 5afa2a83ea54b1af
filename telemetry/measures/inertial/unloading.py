"""How long a wheel hardly presses on the ground, from what it and the chassis above it do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.arrays import Floats
from telemetry.units import STANDARD_GRAVITY_M_S2

UNLOADED_SHARE = 0.3
"""Of the static load: below it a wheel is called unloaded."""
BIKE_SHARE = 0.25
"""Of bike and rider together that is bike, where their masses aren't stated: 20 to 25 kg under 70 to 80; motorcycles
have 0.55 and more. Common practice, no source."""
UNSPRUNG_OF_BIKE = 0.27
"""Of the bike that lies below its springs, at either end: wheels, tyres, brakes, lower legs and half a swing arm, 4 of
15 kg as 30 of 110. Common practice, no source."""
RIDER_HZ = 2.0
"""Up to here a rider moves with the frame; what is faster, legs and arms take. Own choice, from simulated riders."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadShares:
    """Of an end's static load: what lies below the spring, the frame, the rider; 1 together."""

    unsprung: float
    frame: float
    rider: float


def load_shares(bike_share: float | None) -> LoadShares:
    """Return what an end's static load is made of, by how much of bike and rider is bike; usual where not stated.

    Examples
    --------
    >>> load_shares(0.5)
    LoadShares(unsprung=0.135, frame=0.365, rider=0.5)
    """
    bike = BIKE_SHARE if bike_share is None else bike_share
    return LoadShares(unsprung=UNSPRUNG_OF_BIKE * bike, frame=(1 - UNSPRUNG_OF_BIKE) * bike, rider=1 - bike)


def load_share(wheel_m_s2: Floats, chassis_m_s2: Floats, rider_m_s2: Floats, shares: LoadShares) -> Floats:
    """Return what a wheel carries, over its static load.

    Parameters
    ----------
    wheel_m_s2, chassis_m_s2, rider_m_s2 : float array, shape (n,)
        Upward acceleration, 0 at rest.
    shares : LoadShares

    Returns
    -------
    float array, shape (n,)
        1 at rest, 0 in free flight.

    Notes
    -----
    ``F = sum of m (a + g)`` over ``sum of m g``: what the ground gives has to lift and shake wheel, frame and rider.
    """
    shaken = shares.unsprung * wheel_m_s2 + shares.frame * chassis_m_s2 + shares.rider * rider_m_s2
    share: Floats = 1 + shaken / STANDARD_GRAVITY_M_S2
    return share


def unloaded_pct(shares: Sequence[Floats]) -> float:
    """Return the share of samples over stretches in which the load is under `UNLOADED_SHARE`, %; NaN without any.

    Parameters
    ----------
    shares : sequence of float arrays, each of shape (n,)
        From `load_share`.
    """
    count = sum(part.size for part in shares)
    under = sum(int((part < UNLOADED_SHARE).sum()) for part in shares)
    return 100.0 * under / count if count else float("nan")
