"""How much of the false discovery rate a look at the day spends: so much at each planned number of runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.words import counted

FIRST_SHARE = 0.8
"""Of what may be spent, at the first planned number of runs; later looks share the rest. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One look at the day.

    Attributes
    ----------
    number : int
        Which of the looks that may decide, from 1; 0 for one that may not.
    share : float
        Of the false discovery rate, and of the two one-sided tests' level, above 0.
    so_far : str
        Why nothing is decided yet; empty where the look may decide.
    """

    number: int
    share: float
    so_far: str = ""


def look_at(planned_runs: Sequence[int], runs_each: int) -> Look:
    """Return what a look at so many runs of each setup may spend.

    Parameters
    ----------
    planned_runs : sequence of int
        Stated before riding, increasing; empty: every call spends all.
    runs_each : int
        Of the setup with fewer.

    Notes
    -----
    At the first planned number 0.8; the rest of a list shares 0.2 equally; with a single number the j-th further run
    of each gets ``0.2 / 2^j``.

    Examples
    --------
    >>> [look_at([3], n).share for n in (3, 4, 5)]
    [0.8, 0.1, 0.05]
    >>> look_at([3, 6], 2).so_far
    'so far: 1 of 3 planned runs of each still to ride'
    """
    if not planned_runs:
        return Look(number=1, share=1.0)
    first, further = planned_runs[0], planned_runs[1:]
    rest = round(1 - FIRST_SHARE, 12)
    if runs_each <= first:
        early = runs_each < first
        return Look(number=int(not early), share=FIRST_SHARE, so_far=_to_ride(first, runs_each) if early else "")
    if not further:
        return Look(number=1 + runs_each - first, share=rest / 2 ** (runs_each - first))
    return _later(further, runs_each, rest / len(further))


def _to_ride(planned: int, runs_each: int) -> str:
    return f"so far: {planned - runs_each} of {counted(planned, 'planned run')} of each still to ride"


def _later(planned: Sequence[int], runs_each: int, share: float) -> Look:
    """Return a look past the first of several planned ones."""
    if runs_each in planned:
        return Look(number=2 + planned.index(runs_each), share=share)
    upcoming = next((number for number in planned if number > runs_each), None)
    if upcoming is not None:
        return Look(number=0, share=share, so_far=_to_ride(upcoming, runs_each))
    return Look(number=0, share=share, so_far=f"more than the {planned[-1]} runs of each that were planned at most")
