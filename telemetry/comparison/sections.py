"""Into how many trail sections riding time is shared."""

from __future__ import annotations

MOST = 20
SHORTEST_S = 5.0


def section_count(shortest_riding_s: float, *, most: int = MOST, shortest_s: float = SHORTEST_S) -> int:
    """Return the number of sections: 20, fewer so that each lasts 5 s or more in the shortest run, at least 1.

    Examples
    --------
    >>> section_count(240.0), section_count(61.0), section_count(3.0)
    (20, 12, 1)
    """
    return max(1, min(most, int(shortest_riding_s / shortest_s + 1e-9)))
