"""Many measures looked at once: Benjamini-Hochberg in families, and the level each interval is shown at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

FALSE_DISCOVERY_RATE = 0.05
INNER_LEVEL = 0.10
"""Of the two one-sided tests that decide "unchanged"."""
FOCUS_SHARE = 0.8
"""Of the false discovery rate, for what was named before riding; the rest for all others. Own choice."""

GroupName: TypeAlias = Literal["focus", "other", "all"]


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


def group_rates(focus: Sequence[bool], q: float) -> dict[GroupName, float]:
    """Return the families that rows with these focuses make, and the rate of each.

    Examples
    --------
    >>> {name: round(rate, 6) for name, rate in group_rates([True, False], 0.05).items()}
    {'focus': 0.04, 'other': 0.01}
    """
    if not any(focus):
        return {"all": q}
    return {"focus": FOCUS_SHARE * q, "other": (1 - FOCUS_SHARE) * q}


def group_of(focus: bool, rates: dict[GroupName, float]) -> GroupName:  # noqa: FBT001 - a row's one property
    """Return which of the families a row belongs to."""
    return "all" if "all" in rates else "focus" if focus else "other"


def alone_levels(focus: Sequence[bool], q: float) -> tuple[float, ...]:
    """Return the level of each row as if it alone of its family were selected: the family's rate over its rows."""
    rates = group_rates(focus, q)
    groups = [group_of(named, rates) for named in focus]
    return tuple(rates[group] / groups.count(group) for group in groups)


def select(p_values: Sequence[float | None], q: float) -> tuple[Chosen, ...]:
    """Select rows of one family by Benjamini-Hochberg at false discovery rate `q`.

    Parameters
    ----------
    p_values : sequence of float or None
        Unadjusted, two-sided; None for rows that take no part and only get a level to be shown at, ``q / m``.
    q : float

    Returns
    -------
    tuple of Chosen
        One for each row.

    Notes
    -----
    ``R = max{i : p_(i) <= i q / m}`` over the m rows with a p; selected where ``p <= R q / m``; the others are shown
    at ``(R + 1) q / m`` [BenjaminiHochberg1995].
    """
    known = [place for place, p in enumerate(p_values) if p is not None]
    m = max(len(known), 1)
    p = np.array([p_values[place] for place in known], dtype=float)
    passing = np.flatnonzero(np.sort(p) <= np.arange(1, p.size + 1) * q / m)
    rank = int(passing[-1]) + 1 if passing.size else 0
    selected = dict(zip(known, (p <= rank * q / m).tolist(), strict=True))

    def chosen(place: int) -> Chosen:
        found = selected.get(place)
        level = q / m if found is None else (rank + (not found)) * q / m
        return Chosen(selected=found, level=level, alone=q / m)

    return tuple(chosen(place) for place in range(len(p_values)))
