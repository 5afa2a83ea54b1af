"""How a run's signals are smoothed where travel and acceleration are laid together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from telemetry import measures
from telemetry.conditioning import derivative, lowpass
from telemetry.model.arrays import Floats

from .low_pass import RATE_SHARE

WIDER = 2.5
"""How many times higher hardly smoothed travel's low-pass lies, where the rate leaves room: what a wheel does on sharp
edges passes, most of a sensor's noise of speed doesn't. Own choice."""


def smoothing_of(rate_hz: float, cutoff_hz: float) -> measures.Smoothing:
    """Return the low-pass that travel went through, and the higher one."""

    def low(signal: Floats) -> Floats:
        return lowpass(signal, rate_hz, cutoff_hz)

    def wide(cleaned_mm: Floats) -> tuple[Floats, Floats]:
        travel = lowpass(cleaned_mm, rate_hz, max(cutoff_hz, min(WIDER * cutoff_hz, RATE_SHARE * rate_hz)))
        return travel, derivative(travel, rate_hz)

    return measures.Smoothing(low=low, wide=wide)


@dataclass(frozen=True, kw_only=True)
class DayRider:
    """How the one rider of a day follows his bike, as all runs that can be measured show it together.

    Attributes
    ----------
    runs : tuple of (RunMotion, Smoothing)
    """

    runs: tuple[tuple[measures.RunMotion, measures.Smoothing], ...]

    @cached_property
    def body(self) -> measures.Rider | None:
        """What every run's forces rest on: maps of one day share their scale; None where no run shows it."""
        return measures.common_rider([one for run in self.runs for one in measures.bodies_seen(*run)])
