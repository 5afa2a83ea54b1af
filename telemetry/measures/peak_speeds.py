"""Peak speeds of several runs' strokes: how often each speed is passed, and front beside rear by quantile."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from telemetry.model.arrays import Floats, read_only
from telemetry.model.curves import RunPicture, ShakenCurves, SpeedPairs, StrokeRates
from telemetry.model.finding import End

SHARES = read_only(np.concatenate([np.arange(0.05, 0.951, 0.05), [0.97, 0.98]]))
FEWEST_STROKES = 20
OFTEN_PER_MIN = 0.5
"""A speed passed so often isn't one odd stroke's. Own choice."""


def rate_faster(peaks_mm_s: Floats, speeds_mm_s: Floats, minutes: float) -> Floats:
    """Return how many strokes a minute peak faster than each speed.

    Parameters
    ----------
    peaks_mm_s : float array, shape (k,)
        Positive.
    speeds_mm_s : float array, shape (v,)
        Increasing.
    minutes : float
        Riding time, > 0.

    Returns
    -------
    float array, shape (v,)
    """
    ordered = np.sort(peaks_mm_s)
    return np.asarray((ordered.shape[0] - np.searchsorted(ordered, speeds_mm_s, side="right")) / minutes, dtype=float)


def reached_often(shaken: ShakenCurves, per_min: float) -> float:
    """Return the peak of acceleration that comes so often a minute, m/s2; the hardest where there are fewer, else 0."""
    rank = max(1, int(per_min * shaken.minutes))
    peaks = np.sort(shaken.peaks_m_s2)[::-1]
    return float(peaks[min(rank, peaks.size) - 1]) if peaks.size else 0.0


def stroke_rates(runs: Sequence[RunPicture], end: End, speeds_m_s: Floats) -> StrokeRates | None:
    """Return how often each run's hits and returns at one end are faster than each speed; None without such a run.

    Parameters
    ----------
    runs : sequence of RunPicture
    end : {"front", "rear"}
    speeds_m_s : float array, shape (v,)
        Increasing.
    """
    found = [(run.ends[end], run.riding_s / 60) for run in runs if end in run.ends]
    if not found:
        return None
    speeds_mm_s = speeds_m_s * 1000
    return StrokeRates(
        speed_m_s=speeds_m_s,
        hits_per_min=np.vstack([rate_faster(own.hit_peaks_mm_s, speeds_mm_s, minutes) for own, minutes in found]),
        returns_per_min=np.vstack([rate_faster(own.return_peaks_mm_s, speeds_mm_s, minutes) for own, minutes in found]),
    )


def often_reached_m_s(runs: Sequence[RunPicture], end: End) -> float:
    """Return the peak speed that hits or returns of one end reach once in two minutes, m/s; 0 without a stroke."""
    own = [run for run in runs if end in run.ends]
    rank = max(1, int(OFTEN_PER_MIN * sum(run.riding_s for run in own) / 60))
    reached = [0.0]
    for which in ("hit_peaks_mm_s", "return_peaks_mm_s"):
        peaks = np.sort(np.concatenate([[], *(getattr(run.ends[end], which) for run in own)]))[::-1]
        if peaks.size:
            reached.append(float(peaks[min(rank, peaks.size) - 1]) / 1000)
    return max(reached)


def speed_pairs(runs: Sequence[RunPicture], head_angle_deg: float) -> tuple[SpeedPairs, ...]:
    """Return front and rear quantiles of peak speeds, hits first; a kind with fewer than 20 strokes an end is left out.

    Parameters
    ----------
    runs : sequence of RunPicture
        Of one setup; their strokes are pooled.
    head_angle_deg : float
        The front moves along the fork: times the sine of the head angle it is vertical.
    """
    both = [run for run in runs if {"front", "rear"} <= set(run.ends)]
    kinds: tuple[tuple[Literal["hits", "returns"], str], ...] = (
        ("hits", "hit_peaks_mm_s"),
        ("returns", "return_peaks_mm_s"),
    )
    pairs = []
    for kind, which in kinds:
        front = np.concatenate([[], *(getattr(run.ends["front"], which) for run in both)]) / 1000
        rear = np.concatenate([[], *(getattr(run.ends["rear"], which) for run in both)]) / 1000
        if min(front.size, rear.size) >= FEWEST_STROKES:
            vertical = front * math.sin(math.radians(head_angle_deg))
            front_m_s, rear_m_s = np.quantile(vertical, SHARES), np.quantile(rear, SHARES)
            pairs.append(SpeedPairs(kind=kind, share=SHARES, front_m_s=front_m_s, rear_m_s=rear_m_s))
    return tuple(pairs)
