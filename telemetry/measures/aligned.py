"""Hits laid over each other at their deepest moment: how an end goes down and comes back, on average."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.arrays import Floats, read_only
from telemetry.model.curves import AlignedHits
from telemetry.model.finding import End

from .view import RunMotion

DEEPER_THAN_PCT = 50.0
"""As recovery is counted from: past half travel."""
BEFORE_S, AFTER_S, EVERY_S = 0.3, 0.7, 0.005
FEWEST_HITS = 10
BAND_PCT = (10, 90)


def _traces(run: RunMotion, end: End, grid_s: Floats) -> list[Floats]:
    """Return travel, %, about the deepest moment of each deep hit that has the whole time around it."""
    signal, hits = run.ride.ends[end], run.ends[end].hits
    time_s = run.ride.time_s
    deep = hits.stop[hits.stop_mm > DEEPER_THAN_PCT / 100 * signal.full_travel_mm]
    found = []
    for sample in deep.tolist():
        start, stop = next((a, b) for a, b in run.ride.segments if a <= sample < b)
        at_s = time_s[sample] + grid_s
        if time_s[start] <= at_s[0] and at_s[-1] <= time_s[stop - 1]:
            inside = slice(
                max(start, int(np.searchsorted(time_s, at_s[0])) - 1), int(np.searchsorted(time_s, at_s[-1])) + 1
            )
            found.append(np.interp(at_s, time_s[inside], signal.travel_mm[inside]) * 100 / signal.full_travel_mm)
    return found


def aligned_hits(runs: Sequence[RunMotion], end: End, setup: str) -> AlignedHits | None:
    """Return the average of the deep hits of runs with one setup; None with fewer than ten.

    Parameters
    ----------
    runs : sequence of RunMotion
        Of one setup.
    end : {"front", "rear"}
    setup : str

    Returns
    -------
    AlignedHits or None

    Notes
    -----
    Hits past half travel, aligned at their deepest sample; one too near a gap or the log's end is left out. Line: mean.
    Band: from the 10th to the 90th percentile of the hits at each moment. What counts as deep and the band: own choice.
    """
    grid = np.asarray(EVERY_S * np.arange(-round(BEFORE_S / EVERY_S), round(AFTER_S / EVERY_S) + 1), dtype=float)
    traces = [trace for run in runs if end in run.ends for trace in _traces(run, end, grid)]
    if len(traces) < FEWEST_HITS:
        return None
    stacked = np.vstack(traces)
    low, high = np.percentile(stacked, BAND_PCT, axis=0)
    return AlignedHits(
        end=end,
        setup=setup,
        hits=len(traces),
        time_s=read_only(grid),
        mean_pct=read_only(stacked.mean(axis=0)),
        low_pct=read_only(low),
        high_pct=read_only(high),
    )
