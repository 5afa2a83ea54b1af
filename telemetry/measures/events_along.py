"""Bottom-outs, deepest hits and flights of a run, each at its place on the trail."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.curves import FlownStretch, TrailEvent
from telemetry.model.finding import End

from .stroke_list import bottomed
from .view import RunMotion

DEEPEST = 5
MOST_BOTTOM_OUTS = 50


def _section(place: float, borders: Floats) -> int:
    return 0 if np.isnan(place) else int(np.clip(np.searchsorted(borders, place, side="right"), 1, len(borders) - 1))


def trail_events(run: RunMotion, setup: str, place: Floats, borders: Floats) -> tuple[TrailEvent, ...]:
    """Return a run's bottom-outs and deepest hits at both ends, in time order; a hit that bottoms is one event.

    Parameters
    ----------
    run : RunMotion
    setup : str
    place : float array, shape (n,)
        The run's course.
    borders : float array
        Of the course.

    Returns
    -------
    tuple of TrailEvent
        Of each end at most the 50 deepest that bottomed, and of the others the five deepest.
    """
    found = [event for end in run.ends for event in _at(run, end, setup, place, borders)]
    return tuple(sorted(found, key=lambda event: event.at_s))


def _at(run: RunMotion, end: End, setup: str, place: Floats, borders: Floats) -> Iterator[TrailEvent]:
    motion, hits = run.ends[end], run.ends[end].hits
    counted = run.time.riding[hits.stop] & ~np.isnan(place[hits.stop])
    touched = bottomed(motion, hits)
    deepest = np.argsort(-hits.stop_mm, kind="stable")
    for kind, most in (("bottom-out", MOST_BOTTOM_OUTS), ("deep hit", DEEPEST)):
        own = counted & (touched if kind == "bottom-out" else ~touched)
        for number in deepest[own[deepest]][:most].tolist():
            sample = int(hits.stop[number])
            depth = float(hits.stop_mm[number])
            yield TrailEvent(
                run=run.ride.name,
                setup=setup,
                end=end,
                kind="bottom-out" if kind == "bottom-out" else "deep hit",
                at_s=float(run.ride.time_s[sample]),
                place=float(place[sample]),
                section=_section(float(place[sample]), borders),
                depth_pct=100 * depth / motion.full_travel_mm,
                depth_mm=depth,
                entry_speed_mm_s=float(hits.peak_mm_s[number]),
            )


def flown_stretches(run: RunMotion, setup: str, place: Floats) -> tuple[FlownStretch, ...] | None:
    """Return a run's flights on the course; None where flight can't be told."""
    if run.time.airborne is None:
        return None
    ends = [(place[start], place[stop - 1]) for start, stop in run.time.flights]
    return tuple(
        FlownStretch(run=run.ride.name, setup=setup, start=float(a), end=float(b))
        for a, b in ends
        if np.isfinite(a) and np.isfinite(b)
    )
