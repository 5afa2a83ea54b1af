"""Hits and returns one by one, as columns with their units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import End
from telemetry.model.motion import EndMotion, StrokeKind, Strokes

from .view import RunMotion


def bottomed(motion: EndMotion, strokes: Strokes) -> Bools:
    """Tell which compression strokes of an end hold a bottom-out.

    Parameters
    ----------
    motion : EndMotion
    strokes : Strokes
        Its compressions, or some of them.

    Returns
    -------
    bool array, shape (k,)
    """
    touched = motion.bottom_outs.start
    found: Bools = np.searchsorted(touched, strokes.stop, side="right") > np.searchsorted(
        touched, strokes.start, side="left"
    )
    return found


def _from_bottom(motion: EndMotion) -> Bools:
    """Tell which returns of an end start where a compression that bottomed ends."""
    every = motion.compressions
    return np.asarray(np.isin(motion.returns.start, every.stop[bottomed(motion, every)]), dtype=bool)


def stroke_columns(run: RunMotion, end: End, kind: StrokeKind) -> Mapping[str, Any]:
    """Return an end's hits or returns in time order, a column each.

    Parameters
    ----------
    run : RunMotion
    end : {"front", "rear"}
        One of its own.
    kind : {"hits", "returns"}

    Returns
    -------
    mapping of str to array, shape (k,)
        ``time_s``, the log's seconds, is when it is deepest: where a hit ends and a return starts. ``depth_mm`` and
        ``depth_percent`` (of full travel) are filtered travel there. ``peak_shaft_mm_s`` is NaN where the shaft's
        motion isn't known. ``bottomed`` tells a hit that holds a bottom-out, a return that starts from one.
    """
    motion, time_s = run.ends[end], run.ride.time_s
    hits = kind == "hits"
    strokes = motion.hits if hits else motion.returns
    deepest = strokes.stop if hits else strokes.start
    depth_mm = strokes.stop_mm if hits else strokes.start_mm
    shaft = strokes.peak_shaft_mm_s
    return {
        "time_s": time_s[deepest],
        "end": np.full(len(strokes), end),
        "start_s": time_s[strokes.start],
        "duration_s": (strokes.stop - strokes.start) / run.ride.rate_hz,
        "from_mm": strokes.start_mm,
        "to_mm": strokes.stop_mm,
        "depth_mm": depth_mm,
        "depth_percent": 100.0 * depth_mm / motion.full_travel_mm,
        "length_mm": strokes.length_mm,
        "peak_wheel_mm_s": strokes.peak_mm_s,
        "peak_shaft_mm_s": np.full(len(strokes), np.nan) if shaft is None else shaft,
        "bottomed": bottomed(motion, strokes) if hits else _from_bottom(motion),
    }
