"""How travel and speed are distributed over a ride: what the figures draw."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats, read_only
from telemetry.model.curves import EndCurves

from .view import EndView

DEPTHS_PCT = read_only(np.arange(0.0, 100.5, 0.5))
TRAVEL_EDGES_PCT = read_only(np.arange(0.0, 102.5, 2.5))
SPEED_SOFTENING_MM_S = 100.0
SPEED_BINS = 41
FASTEST_MM_S = 10_000.0


def share_deeper(travel_pct: Floats, depths_pct: Floats) -> Floats:
    """Return the share of samples deeper than each depth, %.

    Parameters
    ----------
    travel_pct : float array, shape (n,)
    depths_pct : float array, shape (d,)
        Increasing.

    Returns
    -------
    float array, shape (d,)

    Examples
    --------
    >>> import numpy as np
    >>> share_deeper(np.array([10.0, 20.0, 30.0, 40.0]), np.array([0.0, 20.0, 50.0]))
    array([100.,  50.,   0.])
    """
    if travel_pct.size == 0:
        return np.zeros(depths_pct.shape[0])
    ordered = np.sort(travel_pct)
    deeper = ordered.shape[0] - np.searchsorted(ordered, depths_pct, side="right")
    return np.asarray(100.0 * deeper / ordered.shape[0], dtype=float)


def softened_edges_mm_s(bins: int = SPEED_BINS, fastest_mm_s: float = FASTEST_MM_S) -> Floats:
    """Return speed bin edges that are even on asinh(v / 100 mm/s), from -fastest to fastest, shape (bins + 1,)."""
    most = np.arcsinh(fastest_mm_s / SPEED_SOFTENING_MM_S)
    return np.asarray(SPEED_SOFTENING_MM_S * np.sinh(np.linspace(-most, most, bins + 1)), dtype=float)


def share_in(values: Floats, edges: Floats) -> Floats:
    """Return the share of values in each bin, %; those outside count in the outermost bins, shape (b,)."""
    if values.size == 0:
        return np.zeros(edges.shape[0] - 1)
    places = np.clip(np.searchsorted(edges, values, side="right") - 1, 0, edges.shape[0] - 2)
    return np.asarray(100.0 * np.bincount(places, minlength=edges.shape[0] - 1) / values.size, dtype=float)


def end_curves(view: EndView, speed_mm_s: Floats, line_mm: float) -> EndCurves:
    """Return the distributions of one end.

    Parameters
    ----------
    view : EndView
        Of a run with riding time.
    speed_mm_s : float array
        Wheel speed over riding time.
    line_mm : float
        Depth from which a bottom-out counts.
    """
    travel = 100.0 * view.travel_mm / view.full_travel_mm
    edges = softened_edges_mm_s()
    return EndCurves(
        end=view.end,
        full_travel_mm=view.full_travel_mm,
        depth_pct=DEPTHS_PCT,
        deeper_pct=read_only(share_deeper(travel, DEPTHS_PCT)),
        travel_edges_pct=TRAVEL_EDGES_PCT,
        travel_share_pct=read_only(share_in(travel, TRAVEL_EDGES_PCT)),
        speed_edges_mm_s=read_only(edges),
        speed_share_pct=read_only(share_in(speed_mm_s, edges)),
        hit_peaks_mm_s=read_only(view.hits.peak_mm_s),
        return_peaks_mm_s=read_only(view.returns.peak_mm_s),
        bottoming_line_pct=100.0 * line_mm / view.full_travel_mm,
    )
