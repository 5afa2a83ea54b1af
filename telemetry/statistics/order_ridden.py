"""The order ridden: how far apart setups stand in the day, when drift is fitted, when nothing can be told from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from typing import TypeVar

_Setup = TypeVar("_Setup", bound=Hashable)

SHIFT_LIMIT = 1.0
"""Places by which the setups' mean places in the day may differ. Own choice."""
ENOUGH_FOR_DRIFT = 4
"""Runs of each from which on a drift with the place in the day is fitted. Own choice."""
FEW_RUNS = 2
"""With no more runs of a setup a shift isn't fitted: the change can't be told from the order. Own choice."""


def mean_shift(baseline: Sequence[int | Fraction], candidate: Sequence[int | Fraction]) -> Fraction:
    """Return mean place of the candidate's runs less the baseline's.

    Notes
    -----
    As a fraction: a shift of exactly one place must not round to more than one.
    """
    return Fraction(sum(candidate), len(candidate)) - Fraction(sum(baseline), len(baseline))


def far_apart(shift: float | Fraction) -> bool:
    """Tell whether mean places differ by so much that a drift of the day would show."""
    return abs(float(shift)) > SHIFT_LIMIT


def fits_drift(fewest: int, shift: float | Fraction = 0.0) -> bool:
    """Tell whether a drift with the place in the day is fitted: 4 runs or more of each, or places far apart."""
    return fewest >= ENOUGH_FOR_DRIFT or far_apart(shift)


def confounded(fewest: int, shift: float | Fraction) -> bool:
    """Tell whether so few runs stood so far apart in the day that the change can't be told from the order."""
    return fewest <= FEW_RUNS and far_apart(shift)


def change_overs(setups: Sequence[object]) -> int:
    """Return how often the setup changes."""
    return sum(one != other for one, other in pairwise(setups))


def never_taken_turns(setups: Sequence[object]) -> bool:
    """Tell whether all runs of one of two setups came before all of the other's."""
    return change_overs(setups) <= 1


def times_put_on(setups: Sequence[_Setup], counts: Sequence[bool] | None = None) -> Counter[_Setup]:
    """Return how many times each setup is put on: what is set by hand comes out a little different each time.

    Parameters
    ----------
    setups : sequence
        Of all runs in the order ridden.
    counts : sequence of bool, optional
        Which of the runs count, all by default; a stretch of one setup in which none does tells nothing.

    Examples
    --------
    >>> times_put_on("ABBAAB"), times_put_on("AABBBBAA", [False] * 2 + [True] * 6)
    (Counter({'A': 2, 'B': 2}), Counter({'B': 1, 'A': 1}))
    """
    of_runs = [True] * len(setups) if counts is None else counts
    stretches = groupby(zip(setups, of_runs, strict=True), key=lambda run: run[0])
    return Counter(setup for setup, runs in stretches if any(counted for _, counted in runs))
