"""How far the chassis goes down between two standstills, by acceleration: three pushes without a potentiometer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import End
from telemetry.model.inertial import InertialSignal

SHARES_OF_MM = 150.0
"""Own choice: what pushes are shares of where full travel doesn't count, so that one goes 15 mm down or more; and how
fast an end goes down, where two loggers are joined."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PushedChassis:
    """The chassis by its inertial sensors, one or more; of several their mean counts, so between them."""

    signals: tuple[InertialSignal, ...]
    still: Bools
    rate_hz: float

    @property
    def end(self) -> End:
        """The end that its first sensor lies above."""
        return self.signals[0].end

    @property
    def full_travel_mm(self) -> float:
        """What pushes are shares of, mm."""
        return SHARES_OF_MM

    def within(self, first: int, last: int) -> Floats:
        """Return how far it lies below where it stood, in samples [first, last), mm."""
        upward = [signal.attitude.upward_m_s2[first:last] for signal in self.signals]
        return way_down_mm(np.asarray(np.mean(upward, axis=0)), self.rate_hz)


def way_down_mm(upward_m_s2: Floats, rate_hz: float) -> Floats:
    """Return how far a place goes down between two moments at which it stands at one height, mm.

    Parameters
    ----------
    upward_m_s2 : float array, shape (n,)
        Upward acceleration without a gap; at rest at both ends.
    rate_hz : float

    Returns
    -------
    float array, shape (n,)
        Positive downward, as travel is; 0 at both ends.

    Notes
    -----
    Upward acceleration summed twice, each time without the straight line from end to end: speed and height are the
    same there. That takes out a constant error of acceleration, and hides that the place may have come to rest
    elsewhere.
    """
    speed = _from_rest_to_rest(upward_m_s2) / rate_hz
    return -1000.0 * _from_rest_to_rest(speed) / rate_hz


def _from_rest_to_rest(rate: Floats) -> Floats:
    """Return the sum of a rate by the trapezoidal rule, the line from its first to its last value taken out."""
    total = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2)])
    return np.asarray(total - np.linspace(0.0, total[-1], total.shape[0]), dtype=float)
