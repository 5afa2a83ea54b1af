"""What a bike does, as continuous signals: what sensors are put on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from telemetry.model.arrays import Floats, read_only

EVEN = 1e-6
CHASSIS, CHASSIS_FRONT, FRONT_WHEEL = "chassis", "chassis_front", "front_wheel"
"""Places an inertial sensor may sit in: the frame's centre of mass, above the front axle, on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signals:
    """A stretch of time on the bike, at an even rate well above any logger's.

    Attributes
    ----------
    time_s : float array, shape (n,)
        n >= 2; increasing in even steps.
    fork_travel_mm, shock_stroke_mm : float array, shape (n,)
        0 topped out, growing into the travel.
    ground_speed_m_s : float array, shape (n,), or None
        Forward, not negative.
    acceleration_m_s2 : mapping of place to float array, shape (n,)
        Upward acceleration of places a sensor may sit in (``"chassis"``, ``"front_wheel"``, ...): 0 at rest, minus
        one standard gravity in free fall. What an accelerometer reads has gravity added.
    pitch_rate_rad_s : float array, shape (n,), or None
        Positive nose down (about the axis that points left).

    Raises
    ------
    ValueError
        If a length differs, time isn't even, or a number isn't finite.
    """

    time_s: Floats
    fork_travel_mm: Floats
    shock_stroke_mm: Floats
    ground_speed_m_s: Floats | None = None
    acceleration_m_s2: Mapping[str, Floats] = field(default_factory=lambda: MappingProxyType({}))
    pitch_rate_rad_s: Floats | None = None

    def __post_init__(self) -> None:
        for name, array in self.named().items():
            if array.shape != self.time_s.shape or array.ndim != 1:
                raise ValueError(f"signal {name}: found shape {array.shape}; expected that of time, one axis")
            if not np.all(np.isfinite(array)):
                raise ValueError(f"signal {name}: found a value that is no finite number at {self._first_bad(array)}")
        step = np.diff(self.time_s)
        if step.shape[0] == 0 or step[0] <= 0 or np.ptp(step) > EVEN * step[0] + 4e-16 * abs(self.time_s[-1]):
            raise ValueError("signal time_s: found uneven, standing or too few times; expected even steps forward")
        for name in ("time_s", "fork_travel_mm", "shock_stroke_mm", "ground_speed_m_s", "pitch_rate_rad_s"):
            array = getattr(self, name)
            object.__setattr__(self, name, None if array is None else read_only(array))
        held = {place: read_only(array) for place, array in self.acceleration_m_s2.items()}
        object.__setattr__(self, "acceleration_m_s2", MappingProxyType(held))

    def named(self) -> dict[str, Floats]:
        """Return every signal there is by its name."""
        found = {
            "time_s": self.time_s,
            "fork_travel_mm": self.fork_travel_mm,
            "shock_stroke_mm": self.shock_stroke_mm,
            "ground_speed_m_s": self.ground_speed_m_s,
            "pitch_rate_rad_s": self.pitch_rate_rad_s,
            **{f"acceleration_m_s2[{place}]": array for place, array in self.acceleration_m_s2.items()},
        }
        return {name: array for name, array in found.items() if array is not None}

    @property
    def rate_hz(self) -> float:
        """Samples a second."""
        return float((self.time_s.shape[0] - 1) / (self.time_s[-1] - self.time_s[0]))

    def _first_bad(self, array: Floats) -> str:
        place = int(np.argmin(np.isfinite(array)))
        return f"sample {place} ({self.time_s[place]:.3f} s)"
