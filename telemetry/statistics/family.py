"""Many measures looked at once: weighted Benjamini-Hochberg, and the level each interval is shown at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

FOCUS_WEIGHT = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection:
    """What was selected, and the levels.

    Attributes
    ----------
    selected : tuple of bool
    levels : tuple of float
        Level each row's shown interval has: it excludes zero exactly for the selected.
    weights : tuple of float
    """

    selected: tuple[bool, ...]
    levels: tuple[float, ...]
    weights: tuple[float, ...]


def focus_weights(focus: Sequence[bool]) -> tuple[float, ...]:
    """Return each row's weight: 4 for focus rows, the rest share what is left so that the mean is 1.

    Examples
    --------
    >>> focus_weights([True, False, False, False, False, False, False, False])
    (4.0, 0.5714285714285714, 0.5714285714285714, 0.5714285714285714, 0.5714285714285714, 0.5714285714285714, \
0.5714285714285714, 0.5714285714285714)
    """
    m, f = len(focus), sum(focus)
    if f == 0 or m <= FOCUS_WEIGHT * f:
        return (1.0,) * m
    rest = (m - FOCUS_WEIGHT * f) / (m - f)
    return tuple(FOCUS_WEIGHT if named else rest for named in focus)


def select(p_values: Sequence[float], focus: Sequence[bool], q: float) -> Selection:
    """Select rows by weighted Benjamini-Hochberg at false discovery rate `q`.

    Parameters
    ----------
    p_values : sequence of float
        Unadjusted, two-sided.
    focus : sequence of bool
        Rows named before riding.
    q : float

    Returns
    -------
    Selection

    Notes
    -----
    ``R = max{i : (p/w)_(i) <= i q / m}``; selected where ``p <= min(w R q / m, q)``; the others are shown at
    ``min(w (R + 1) q / m, q)`` [BenjaminiHochberg1995, GenoveseRoederWasserman2006].
    """
    m = len(p_values)
    if m == 0:
        return Selection(selected=(), levels=(), weights=())
    weights = np.array(focus_weights(focus))
    p = np.array(p_values, dtype=float)
    ratio = np.where(p > q, np.inf, p / weights)
    ordered = np.sort(ratio)
    passing = np.flatnonzero(ordered <= np.arange(1, m + 1) * q / m)
    rank = int(passing[-1]) + 1 if passing.size else 0
    limit = np.minimum(weights * rank * q / m, q)
    selected = p <= limit
    shown = np.where(selected, limit, np.minimum(weights * (rank + 1) * q / m, q))
    return Selection(
        selected=tuple(bool(item) for item in selected),
        levels=tuple(float(item) for item in shown),
        weights=tuple(float(item) for item in weights),
    )
