"""Many measures looked at once: weighted Benjamini-Hochberg, and the level each interval is shown at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

FALSE_DISCOVERY_RATE = 0.05
INNER_LEVEL = 0.10
"""Of the two one-sided tests that decide "unchanged"."""
FOCUS_WEIGHT = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What a family says of one row.

    Attributes
    ----------
    selected : bool or None
        None for a row that takes no part.
    level : float
        Level its shown interval has: it excludes zero exactly for the selected.
    alone : float
        Level it would be judged at if it alone were selected.
    """

    selected: bool | None
    level: float
    alone: float


def focus_weights(focus: Sequence[bool]) -> tuple[float, ...]:
    """Return each row's weight: 4 for focus rows, the rest share what is left so that the mean is 1.

    Examples
    --------
    >>> focus_weights([True, False, False, False, False])
    (4.0, 0.25, 0.25, 0.25, 0.25)
    """
    m, f = len(focus), sum(focus)
    if f == 0 or m <= FOCUS_WEIGHT * f:
        return (1.0,) * m
    rest = (m - FOCUS_WEIGHT * f) / (m - f)
    return tuple(FOCUS_WEIGHT if named else rest for named in focus)


def alone_levels(focus: Sequence[bool], q: float) -> tuple[float, ...]:
    """Return the level of each row of a family as if it alone were selected: ``w q / m``, never above q."""
    return tuple(weight * q / len(focus) for weight in focus_weights(focus))


def select(p_values: Sequence[float | None], focus: Sequence[bool], q: float) -> tuple[Chosen, ...]:
    """Select rows by weighted Benjamini-Hochberg at false discovery rate `q`.

    Parameters
    ----------
    p_values : sequence of float or None
        Unadjusted, two-sided; None for rows that take no part and only get a level to be shown at, ``q / m``.
    focus : sequence of bool
        Rows named before riding.
    q : float

    Returns
    -------
    tuple of Chosen
        One for each row.

    Notes
    -----
    ``R = max{i : (p/w)_(i) <= i q / m}`` over the m rows with a p; selected where ``p <= min(w R q / m, q)``; the
    others are shown at ``min(w (R + 1) q / m, q)`` [BenjaminiHochberg1995, GenoveseRoederWasserman2006].
    """
    known = [place for place, p in enumerate(p_values) if p is not None]
    m = len(known)
    named = [focus[place] for place in known]
    p = np.array([p_values[place] for place in known], dtype=float)
    weights = np.array(focus_weights(named))
    ordered = np.sort(np.where(p > q, np.inf, p / weights))
    passing = np.flatnonzero(ordered <= np.arange(1, m + 1) * q / m)
    rank = int(passing[-1]) + 1 if passing.size else 0
    limit = np.minimum(weights * rank * q / m, q)
    selected = p <= limit
    shown = np.where(selected, limit, np.minimum(weights * (rank + 1) * q / m, q))
    alone = alone_levels(named, q)
    inside = dict(zip(known, zip(selected.tolist(), shown.tolist(), alone, strict=True), strict=True))
    outside = q / max(m, 1)
    found = (inside.get(place, (None, outside, outside)) for place in range(len(p_values)))
    return tuple(Chosen(selected=chosen, level=level, alone=by_itself) for chosen, level, by_itself in found)
