"""What a bike does, as continuous signals: what sensors are put on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats, read_only

from .body import BodyMotion

EVEN = 1e-6


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
    body : BodyMotion or None
        How the frame moves, of the same times: what inertial sensors feel; None where there are none.

    Raises
    ------
    ValueError
        If a length differs, time isn't even, or a number isn't finite.
    """

    time_s: Floats
    fork_travel_mm: Floats
    shock_stroke_mm: Floats
    ground_speed_m_s: Floats | None = None
    body: BodyMotion | None = None

    def __post_init__(self) -> None:
        for name, array in self.named().items():
            if array.shape != self.time_s.shape or array.ndim != 1:
                raise ValueError(f"signal {name}: found shape {array.shape}; expected that of time, one axis")
            if not np.all(np.isfinite(array)):
                raise ValueError(f"signal {name}: found a value that is no finite number at {self._first_bad(array)}")
        step = np.diff(self.time_s)
        if step.shape[0] == 0 or step[0] <= 0 or np.ptp(step) > EVEN * step[0] + 4e-16 * abs(self.time_s[-1]):
            raise ValueError("signal time_s: found uneven, standing or too few times; expected even steps forward")
        for name in ("time_s", "fork_travel_mm", "shock_stroke_mm", "ground_speed_m_s"):
            array = getattr(self, name)
            object.__setattr__(self, name, None if array is None else read_only(array))
        if self.body is not None and self.body.pitch_rad.shape != self.time_s.shape:
            raise ValueError(f"signal body: found {self.body.pitch_rad.shape[0]} samples; expected those of time")

    def named(self) -> dict[str, Floats]:
        """Return every signal there is by its name."""
        found = {
            "time_s": self.time_s,
            "fork_travel_mm": self.fork_travel_mm,
            "shock_stroke_mm": self.shock_stroke_mm,
            "ground_speed_m_s": self.ground_speed_m_s,
        }
        return {name: array for name, array in found.items() if array is not None}

    @property
    def rate_hz(self) -> float:
        """Samples a second."""
        return float((self.time_s.shape[0] - 1) / (self.time_s[-1] - self.time_s[0]))

    def _first_bad(self, array: Floats) -> str:
        place = int(np.argmin(np.isfinite(array)))
        return f"sample {place} ({self.time_s[place]:.3f} s)"
