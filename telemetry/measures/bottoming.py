"""Bottom-outs, on cleaned travel: the low-pass would round them off."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Events, Stretch

from .crossing import approach_s
from .missing import Outcome
from .view import EndView

REARM_MM, REARM_SHARE = 8.0, 0.05
APPROACH_MM = 8.0


def crossings(travel_mm: Floats, line_mm: float, rearm_mm: float) -> list[int]:
    """Return the samples at which travel reaches the line, counted anew only after a return of `rearm_mm`.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Cleaned wheel travel of one gap-free stretch.
    line_mm, rearm_mm : float

    Returns
    -------
    list of int
        A stretch that starts past the line has to return before anything counts.
    """
    past = travel_mm >= line_mm
    if not past.any():
        return []
    into = np.flatnonzero(past[1:] & ~past[:-1]) + 1
    back = np.flatnonzero(travel_mm <= line_mm - rearm_mm)
    found: list[int] = []
    last = 0 if past[0] else -1
    for sample in into.tolist():
        armed = last < 0 or (
            (place := int(np.searchsorted(back, last, side="right"))) < back.size and back[place] < sample
        )
        if armed:
            found.append(sample)
            last = sample
    return found


def find_bottom_outs(
    cleaned_mm: Floats,
    full_travel_mm: float,
    line_mm: float,
    riding: Bools,
    segments: tuple[Stretch, ...],
    rate_hz: float,
) -> Events:
    """Return every bottom-out in riding time, with how long its last 8 mm took.

    Parameters
    ----------
    cleaned_mm : float array, shape (n,)
        Cleaned, unfiltered wheel travel.
    full_travel_mm, line_mm : float
    riding : bool array, shape (n,)
    segments : tuple of (start, stop)
    rate_hz : float

    Returns
    -------
    Events
        `start` is the first sample at or past the line; `value` the seconds from 8 mm before it, linearly
        interpolated (inf where the segment doesn't hold them).
    """
    rearm = max(REARM_MM, REARM_SHARE * full_travel_mm)
    start: list[int] = []
    took: list[float] = []
    for first, stop in segments:
        part = cleaned_mm[first:stop]
        for sample in crossings(part, line_mm, rearm):
            if riding[first + sample]:
                start.append(first + sample)
                took.append(approach_s(part, sample, line_mm, APPROACH_MM, rate_hz))
    return Events(start=np.array(start, dtype=np.int64), value=np.array(took, dtype=float), weight=np.ones(len(start)))


def bottom_outs(view: EndView) -> Outcome:
    """Return how many bottom-outs there were."""
    return float(view.bottom_outs.start.size)


def bottom_outs_per_min(view: EndView) -> Outcome:
    """Return bottom-outs a minute of riding."""
    return view.bottom_outs.start.size / view.minutes


def hard_bottom_outs(view: EndView, *, faster_than_mm_s: float) -> Outcome:
    """Return how many bottom-outs came faster than a speed over their last 8 mm.

    Parameters
    ----------
    view : EndView
    faster_than_mm_s : float
        600 mm/s unless the day says otherwise (common practice, no source).
    """
    limit_s = APPROACH_MM / faster_than_mm_s
    return float(np.count_nonzero(view.bottom_outs.value <= limit_s))
