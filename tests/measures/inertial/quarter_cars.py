"""A linear quarter car over random ground: what wheel and chassis do, and the closed form of its answer."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.signal import StateSpace, cont2discrete, decimate, lfilter, ss2tf

FINER = 4
"""Times the log's rate at which the car is marched: what a log can't hold is filtered out, as loggers do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuarterCar:
    """Rates over the sprung mass: tyre and spring (1/s2), damper (1/s); `mass_ratio` unsprung over sprung."""

    tyre: float
    spring: float
    damper: float
    mass_ratio: float

    @classmethod
    def of(cls, body_hz: float, damping: float, hop_hz: float, mass_ratio: float) -> QuarterCar:
        spring = (2 * math.pi * body_hz) ** 2
        return cls(
            tyre=mass_ratio * (2 * math.pi * hop_hz) ** 2 - spring,
            spring=spring,
            damper=2 * damping * math.sqrt(spring),
            mass_ratio=mass_ratio,
        )

    @property
    def body_hz(self) -> float:
        return math.sqrt(self.spring) / (2 * math.pi)

    @property
    def damping(self) -> float:
        return self.damper / (2 * math.sqrt(self.spring))

    @property
    def hop_hz(self) -> float:
        return math.sqrt((self.tyre + self.spring) / self.mass_ratio) / (2 * math.pi)

    def wheel_to_chassis(self, hertz: np.ndarray) -> np.ndarray:
        """Closed form: c s + k over s^2 + c s + k."""
        s = 2j * np.pi * hertz
        return (self.damper * s + self.spring) / (s**2 + self.damper * s + self.spring)

    def ride(self, seconds: float, rate_hz: float, *, seed: int, rough: float = 0.3) -> tuple[np.ndarray, np.ndarray]:
        """Return upward acceleration of wheel and chassis, m/s2, over ground whose steepness is white noise."""
        k, c, m = self.spring, self.damper, self.mass_ratio
        rows = np.array(
            [
                [0, 1, 0, 0],
                [-k, -c, k, c],
                [0, 0, 0, 1],
                [k / m, c / m, -(k + self.tyre) / m, -c / m],
            ]
        )
        into = np.array([[0], [0], [0], [self.tyre / m]])
        whole = StateSpace(rows, into, rows[[3, 1]], into[[3, 1]])
        fine_hz = FINER * rate_hz
        stepped = cont2discrete((whole.A, whole.B, whole.C, whole.D), 1 / fine_hz, method="foh")
        steps = np.random.default_rng(seed).normal(size=round(seconds * fine_hz)) * rough / math.sqrt(fine_hz)
        ground = lfilter(
            [1.0], [1.0, -(1 - 0.5 / fine_hz)], steps
        )  # leans back to level over seconds, so that it doesn't wander
        upper, lower = ss2tf(*stepped[:4])
        wheel, chassis = (decimate(lfilter(row, lower, ground), FINER, ftype="fir") for row in upper)
        return wheel, chassis
