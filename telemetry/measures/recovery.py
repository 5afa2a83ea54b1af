"""Recovery: how long an end takes from deep in its travel back to ride height."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Events, Stretch, Strokes

from .missing import Missing, Outcome
from .view import EndView

PAST_SHARE = 0.50
FEWEST = 5


def find_recoveries(
    travel_mm: Floats,
    hits: Strokes,
    full_travel_mm: float,
    sag_mm: float,
    ridden: tuple[Stretch, ...],
    rate_hz: float,
) -> Events:
    """Return the recoveries of hits that peak past 50 %.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Filtered wheel travel.
    hits : Strokes
    full_travel_mm : float
    sag_mm : float
        The run's dynamic sag.
    ridden : tuple of (start, stop)
        Gap-free stretches between the ride's start and end.
    rate_hz : float

    Returns
    -------
    Events
        At each hit's start; `value` is the time from its deepest sample to the first sample at or below
        sag, s. Hits after which another such hit, a gap or the end comes first are dropped.
    """
    deep = hits.where(hits.stop_mm > PAST_SHARE * full_travel_mm)
    starts = np.array([start for start, _ in ridden], dtype=np.int64)
    start: list[int] = []
    took: list[float] = []
    deepest = deep.stop.tolist()
    for place, sample in enumerate(deepest):
        within = int(np.searchsorted(starts, sample, side="right")) - 1
        if within < 0 or sample >= ridden[within][1]:
            continue
        limit = ridden[within][1]
        if place + 1 < len(deepest):
            limit = min(limit, deepest[place + 1])
        back = _first_at_or_below(travel_mm, sample, limit, sag_mm, max(16, int(rate_hz)))
        if back is not None:
            start.append(int(deep.start[place]))
            took.append((back - sample) / rate_hz)
    return Events(start=np.array(start, dtype=np.int64), value=np.array(took, dtype=float), weight=np.ones(len(start)))


def _first_at_or_below(signal: Floats, start: int, stop: int, level: float, piece: int) -> int | None:
    while start < stop:
        below = signal[start : min(stop, start + piece)] <= level
        if below.any():
            return start + int(np.argmax(below))
        start += piece
    return None


def recovery_time(view: EndView) -> Outcome:
    """Return the median recovery time, s; at least 5 recoveries."""
    times = view.recoveries.value
    if times.size < FEWEST:
        return Missing(f"{times.size} recoveries from past 50 %, at least {FEWEST} needed")
    return float(np.median(times))
