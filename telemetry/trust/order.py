"""Whether the ends stand the right way round, and both the right way up."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.finding import Finding
from telemetry.model.motion import LAG_WINDOW_S

FEWEST_WINDOWS = 5
FEWEST_IN_PART, LEAST_PART, MOST_OF_PART = 6, 0.1, 0.9
"""Own choices: so many reversed windows, of so much of the run, that so nearly all are reversed."""


def _most(windows: int, of: int) -> bool:
    return of >= FEWEST_WINDOWS and windows * 2 > of


def ends_swapped(name: str, windows: int, reversed_windows: int) -> tuple[Finding, ...]:
    """Find a rear that meets the bumps before the front in most windows.

    Parameters
    ----------
    name : str
        The run.
    windows, reversed_windows : int
        Windows of 4 s on the ground, and those in which the front clearly repeats the rear.
    """
    if not _most(reversed_windows, windows):
        return ()
    message = (
        f"{name}: the rear moves before the front in {reversed_windows} of {windows} windows of 4 s (limit half "
        "of them); front and rear sensor are probably swapped: check `end` and `column` of both"
    )
    return (Finding(code="ends_swapped", message=message),)


def _part(judged: Ints, turned: Bools) -> tuple[int, int] | None:
    """Return the longest part of the windows that is reversed nearly throughout, [first, last]; None without one.

    Notes
    -----
    It begins and ends with a reversed window. From the k-th of these, at p_k, to the m-th, nine in ten are reversed
    where m - k + 1 >= 0.9 (p_m - p_k + 1): for every m the first k is looked up whose k - 0.9 p_k is low enough. A part
    longer than one of six reversed windows has six, too.
    """
    places = np.flatnonzero(turned)
    if places.size == 0:
        return None
    over = np.round(np.arange(places.size) - MOST_OF_PART * places, 6)  # whole tenths, whatever doubles make of them
    lowest_yet = np.minimum.accumulate(over)
    first = np.searchsorted(-lowest_yet, -np.round(over + 1 - MOST_OF_PART, 6))
    best = int(np.argmax(places - places[first]))
    windows, reversed_windows = int(places[best] - places[first[best]]) + 1, best - int(first[best]) + 1
    if reversed_windows < FEWEST_IN_PART or windows < LEAST_PART * judged.shape[0]:
        return None
    return int(places[first[best]]), int(places[best])


def ends_swapped_in_part(name: str, judged: Ints, reversed_at: Ints, seconds: Floats) -> tuple[Finding, ...]:
    """Find a part of a run, a tenth or more, in which the rear meets the bumps before the front.

    Parameters
    ----------
    name : str
        The run.
    judged, reversed_at : int array
        Samples at which windows of 4 s on the ground begin: all, and those in which the front clearly repeats the rear.
    seconds : float array
        Of every sample.
    """
    turned = np.isin(judged, reversed_at)
    part = _part(judged, turned) if not _most(reversed_at.size, judged.size) else None
    if part is None:
        return ()
    first, last = part
    count, windows = int(np.count_nonzero(turned[first : last + 1])), last - first + 1
    second, until = float(seconds[judged[first]]), float(seconds[judged[last]]) + LAG_WINDOW_S
    message = (
        f"{name}: from about {second:.0f} to {until:.0f} s the rear moves before the front, in {count} of {windows} "
        f"windows of 4 s (limit {FEWEST_IN_PART}, and nine in ten), elsewhere not: "
        "front and rear are probably mixed up in that part, no verdict; look at the logger's plugs, then ride again"
    )
    return (Finding(code="ends_swapped", message=message, second=second, no_verdict=True),)


def ends_opposed(name: str, windows: int, opposed_windows: int) -> tuple[Finding, ...]:
    """Find ends of which one reads upside down: where one goes in, the other comes out.

    Parameters
    ----------
    name : str
        The run.
    windows, opposed_windows : int
        Windows of 4 s on the ground, and those in which one end clearly does the opposite of the other.
    """
    if not _most(opposed_windows, windows):
        return ()
    message = (
        f"{name}: one end does the opposite of the other in {opposed_windows} of {windows} windows of 4 s (limit half "
        "of them): one sensor reads upside down; swap its outer wires, or measure its `points` again"
    )
    return (Finding(code="ends_opposed", message=message),)
