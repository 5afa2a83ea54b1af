"""How far a wheel's sensor lies from the chassis' along its path, from what doesn't add up from rest to rest."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from telemetry.model.arrays import Floats

from .relative import Relative
from .rest_to_rest import Piece, slow_spectrum

USUAL_M = 1.0
"""How far they mostly are apart: holds back what a short or smooth ride can't tell. Own choice."""

LEAST = 1e-12
"""Power density, (m/s2)2/Hz: far below any sensor's; keeps a division from nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """How far sensors lie apart, and what is wrong with their slow acceleration then.

    Attributes
    ----------
    above_m : float or None
        How much further along the path than stated the chassis' sensor lies from the wheel's, at ride height; None
        without a gyroscope.
    density_m2_s4_hz : float
        One-sided power density of what is left in slow relative acceleration: error.
    rested : bool
        Whether it was found from rest to rest, not from a whole log.
    """

    above_m: float | None
    density_m2_s4_hz: float
    rested: bool


def _fitted(terms: Floats, turned: Floats) -> tuple[float, float]:
    """Return the distance by least squares, held back to its usual size, and the power density of what is left."""
    density = max(2 * float(np.mean(terms**2)), LEAST)
    above = 0.0
    for _ in range(3):  # the density that weighs the terms is that of what is left
        weight = 2 / density  # real and imaginary part share a term's power
        above = weight * float(turned @ terms) / (weight * float(turned @ turned) + USUAL_M**-2)
        left = terms - above * turned
        density = max(2 * float(left @ left) / max(left.size - 1, 1), LEAST)
    return above, density


def placing(found: Relative, parts: tuple[Piece, ...], rate_hz: float) -> Placing | None:
    """Return how far two sensors lie apart along the path; None where no piece of the ride is long enough to tell.

    Parameters
    ----------
    found : Relative
    parts : tuple of Piece
    rate_hz : float

    Notes
    -----
    Slow relative acceleration is no movement of the end (`slow_spectrum`). As the bike turns, two places a distance
    apart along the path differ always one way, `Relative.apart_m_s2_m` for each metre [TittertonWeston2004]: its
    least-squares fit to the slow Fourier terms is the distance. What is left is error, taken to be even up to the
    corner.
    """
    if not parts:
        return None

    def terms_of(acceleration: Floats, speed: Floats | None = None) -> Floats:
        terms = np.concatenate([slow_spectrum(acceleration, piece, rate_hz) for piece in parts])
        if speed is not None:
            terms += np.concatenate([slow_spectrum(speed, piece, rate_hz, of_speed=True) for piece in parts])
        return np.concatenate([terms.real, terms.imag])

    terms = terms_of(found.acceleration_m_s2, found.speed_m_s)
    if found.apart_m_s2_m is None:
        above, density = None, 2 * float(np.mean(terms**2))
    else:
        above, density = _fitted(terms, terms_of(found.apart_m_s2_m))
    return Placing(
        above_m=above,
        density_m2_s4_hz=max(density, found.density_m2_s4_hz),
        rested=all(piece.rests is not None for piece in parts),
    )


def placed(found: Relative, how: Placing) -> Relative:
    """Return relative motion without what the sensors' distance along the path adds to it."""
    if found.apart_m_s2_m is None or how.above_m is None:
        return found
    return replace(found, acceleration_m_s2=found.acceleration_m_s2 - how.above_m * found.apart_m_s2_m)
