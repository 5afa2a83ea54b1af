"""What ends the stroke: a bump stop at the bottom, a spring at the top."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.model.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class BumpStop:
    """A rubber or foam stop before full travel.

    Attributes
    ----------
    touch_m : float
        Travel at which it is first touched, m, 0 or more.
    rate_n_m : float
        Rate at first touch, N/m, 0 or more.
    progression_n_m2 : float
        Half of what the rate gains per metre, N/m², 0 or more; one of the two is above 0.

    Notes
    -----
    k d + c d², d the travel beyond the touch. No loss of energy in the rubber.
    """

    touch_m: float
    rate_n_m: float
    progression_n_m2: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative(
            "bump stop", touch_m=self.touch_m, rate_n_m=self.rate_n_m, progression_n_m2=self.progression_n_m2
        )
        require_positive("bump stop", rate_or_progression=max(self.rate_n_m, self.progression_n_m2))

    def _pressed_m(self, travel_m: Floats) -> Floats:
        return np.maximum(np.asarray(travel_m, dtype=float) - self.touch_m, 0.0)

    def force_n(self, travel_m: Floats) -> Floats:
        """Return the force at each travel (m, from topped out), N, 0 or more: it resists compression."""
        pressed = self._pressed_m(travel_m)
        return np.asarray(pressed * (self.rate_n_m + self.progression_n_m2 * pressed), dtype=float)

    def energy_j(self, travel_m: Floats) -> Floats:
        """Return the integral of the force from topped out, J."""
        pressed = self._pressed_m(travel_m)
        return np.asarray(pressed**2 * (self.rate_n_m / 2 + self.progression_n_m2 / 3 * pressed), dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class TopOut:
    """A spring that is pressed at the top of the stroke and draws the part in.

    Attributes
    ----------
    length_m : float
        Travel below which it acts, m, 0 or more; 0 for a hard stop at the top.
    rate_n_m : float
        N/m, > 0.

    Notes
    -----
    −k (length − x) for x < length, also beyond topped out (x < 0). No loss of energy.
    """

    length_m: float
    rate_n_m: float

    def __post_init__(self) -> None:
        require_not_negative("top-out spring", length_m=self.length_m)
        require_positive("top-out spring", rate_n_m=self.rate_n_m)

    def _pressed_m(self, travel_m: Floats) -> Floats:
        return np.maximum(self.length_m - np.asarray(travel_m, dtype=float), 0.0)

    def force_n(self, travel_m: Floats) -> Floats:
        """Return the force at each travel (m, from topped out), N, 0 or less: it helps compression."""
        return np.asarray(-self.rate_n_m * self._pressed_m(travel_m), dtype=float)

    def energy_j(self, travel_m: Floats) -> Floats:
        """Return the integral of the force from topped out, J; 0 or less: it gives back what it holds there."""
        return np.asarray(self.rate_n_m / 2 * (self._pressed_m(travel_m) ** 2 - self.length_m**2), dtype=float)
