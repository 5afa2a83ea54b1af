"""One low-pass for a day's runs, and which of them, logged slower than the others, lowers it for all."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from telemetry.model.finding import Finding

RATE_SHARE = 0.4
"""The low-pass lies at no more than so much of the lowest rate."""
LOWERED_TIMES = 1.05
"""Own choice: rates nearer to each other are alike, and a low-pass nearer to what it was isn't told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LowPass:
    """The low-pass of a day.

    Attributes
    ----------
    cutoff_hz : float
    lowest_hz : float
        Rows a second of the slowest run.
    by : tuple of str
        The runs that lower it for the others; none where it would lie there without them.
    without_hz : float
        Where it would lie without these.
    """

    cutoff_hz: float
    lowest_hz: float
    by: tuple[str, ...]
    without_hz: float

    @property
    def words(self) -> str:
        """Where it lies, and where it would: ``35.6 Hz (60 Hz without run_3)``."""
        without = f" ({self.without_hz:.3g} Hz without {' and '.join(self.by)})" if self.by else ""
        return f"{self.cutoff_hz:.3g} Hz{without}"

    def finding(self, run: str) -> Finding | None:
        """Return what a run is told that lowers it for the others; None of any other run."""
        if run not in self.by:
            return None
        what = "it" if len(self.by) == 1 else "them"
        message = (
            f"{run}: its log has {self.lowest_hz:.3g} rows a second, so every run of the day is smoothed at "
            f"{self.words}: speeds and sharp hits read lower in all of them; leave {what} out (leave_out) or log all "
            "runs at one rate"
        )
        return Finding(code="lowers_low_pass", message=message)


def low_pass(own_hz: float, rates: Mapping[str, float]) -> LowPass:
    """Return the low-pass of a day: its own, or 0.4 x the lowest rate.

    Parameters
    ----------
    own_hz : float
        What the day asks for.
    rates : mapping of run to float
        Rows a second.

    Examples
    --------
    >>> low_pass(60.0, {"run_1": 500.0, "run_2": 500.0, "run_3": 89.0}).words
    '35.6 Hz (60 Hz without run_3)'
    """
    lowest_hz = min(rates.values(), default=math.inf)
    cutoff_hz = min(own_hz, RATE_SHARE * lowest_hz)
    slowest = tuple(run for run, rate_hz in rates.items() if rate_hz <= LOWERED_TIMES * lowest_hz)
    others = [RATE_SHARE * rate_hz for run, rate_hz in rates.items() if run not in slowest]
    without_hz = min([own_hz, *others]) if others else cutoff_hz
    lowered = without_hz > LOWERED_TIMES * cutoff_hz
    return LowPass(cutoff_hz=cutoff_hz, lowest_hz=lowest_hz, by=slowest if lowered else (), without_hz=without_hz)
