"""Top-outs: returns that arrive fast at full extension."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Events, Strokes

from .crossing import approach_s
from .missing import Outcome
from .view import EndView

LINE_SHARE = 0.025
APPROACH_MM = 8.0
FASTER_THAN_MM_S = 400.0  # common practice, no source


def find_top_outs(travel_mm: Floats, returns: Strokes, full_travel_mm: float, rate_hz: float) -> Events:
    """Return the returns that come within 2.5 % of zero, the last 8 mm before that line faster than 400 mm/s.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Filtered wheel travel.
    returns : Strokes
    full_travel_mm, rate_hz : float

    Returns
    -------
    Events
        At each return's start; `value` is the mean speed over the last 8 mm, mm/s.
    """
    line = LINE_SHARE * full_travel_mm
    start: list[int] = []
    speed: list[float] = []
    for place in np.flatnonzero(returns.stop_mm <= line).tolist():
        first, last = int(returns.start[place]), int(returns.stop[place])
        falling = -travel_mm[first : last + 1]
        sample = int(np.argmax(falling >= -line))
        took = approach_s(falling, sample, -line, APPROACH_MM, rate_hz)
        if took * FASTER_THAN_MM_S < APPROACH_MM:
            start.append(first)
            speed.append(APPROACH_MM / took)
    return Events(start=np.array(start, dtype=np.int64), value=np.array(speed, dtype=float), weight=np.ones(len(start)))


def top_outs_per_min(view: EndView) -> Outcome:
    """Return top-outs a minute of riding."""
    return view.top_outs.start.size / view.minutes
