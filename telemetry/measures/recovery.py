"""Recovery: how long an end takes from deep in its travel back to ride height."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats, Ints
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
    deepest = deep.stop
    at_or_below = np.flatnonzero(travel_mm <= sag_mm)
    limit = _end_of_stretch(deepest, ridden)
    limit[:-1] = np.minimum(limit[:-1], deepest[1:])
    place = np.searchsorted(at_or_below, deepest)
    back = np.full(deepest.shape[0], np.iinfo(np.int64).max)
    known = place < at_or_below.shape[0]
    back[known] = at_or_below[place[known]]
    done = back < limit
    return Events(
        start=deep.start[done],
        value=(back[done] - deepest[done]) / rate_hz,
        weight=np.ones(int(np.count_nonzero(done))),
    )


def _end_of_stretch(samples: Ints, ridden: tuple[Stretch, ...]) -> Ints:
    """Return where the stretch that holds each sample ends; 0 for samples outside every stretch."""
    starts = np.array([start for start, _ in ridden], dtype=np.int64)
    stops = np.array([0, *(stop for _, stop in ridden)], dtype=np.int64)
    within = np.searchsorted(starts, samples, side="right")
    ends: Ints = np.where(samples < stops[within], stops[within], 0)
    return ends


def recovery_time(view: EndView) -> Outcome:
    """Return the median recovery time, s; at least 5 recoveries."""
    times = view.recoveries.value
    if times.size < FEWEST:
        return Missing(f"{times.size} recoveries from past 50 %, at least {FEWEST} needed")
    return float(np.median(times))
