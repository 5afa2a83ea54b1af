"""The axis of verdicts: times the smallest change that matters, "same" in its middle, in percent of its width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.languages import ENGLISH, Language

LEAST_REACH, MOST_REACH = 2.0, 4.0
BESIDE = 0.2
"""Room between a mark and the axis' end."""
SHAPES = {"changed": "disc", "unchanged": "block", "undecided": "ring"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One interval in percent of the panel's width; None where there is nothing to draw.

    Attributes
    ----------
    at : float
        Centre of the mark.
    shape : {"disc", "block", "ring", "stroke"}
        Changed, unchanged, undecided, no verdict.
    thin, thick : (start, end) or None
    more_left, more_right : bool
        Whether the line leaves the panel there.
    """

    at: float
    shape: str
    thin: tuple[float, float] | None
    thick: tuple[float, float] | None
    more_left: bool
    more_right: bool


def percent(value: float, reach: float) -> float:
    """Return where a value stands, in percent of the width; at the edge where it lies beyond."""
    return 50 * (1 + max(-reach, min(reach, value)) / reach)


def span(low: float | None, high: float | None, reach: float) -> tuple[float, float] | None:
    """Return where an interval stands; None where it has no ends."""
    if low is None or high is None:
        return None
    return percent(low, reach), percent(high, reach)


def usual_reach(rows: Sequence[tuple[float, float]]) -> float:
    """Return the usual axis' reach, in times the smallest change, at most 4.

    Parameters
    ----------
    rows : sequence of (difference, farthest)
        How far from zero each row's difference lies, and its interval reaches.

    Notes
    -----
    Every difference up to 4 fits, and most intervals; none squeezes the band.
    """
    near = [row for row in rows if row[0] <= MOST_REACH]
    if not near:
        return LEAST_REACH
    farthest = sorted(far for _, far in near)
    usual = max(farthest[int(0.8 * (len(near) - 1))], BESIDE + max(size for size, _ in near))
    return min(MOST_REACH, max(LEAST_REACH, math.ceil(2 * usual) / 2))


def wide_reach(largest: float) -> float:
    """Return a round reach that holds a difference of this many times the smallest change, with room beside it.

    Examples
    --------
    >>> wide_reach(4.1), wide_reach(9.5), wide_reach(130.0)
    (6.0, 15.0, 150.0)
    """
    tens = 10.0 ** math.floor(math.log10(largest))
    return next(step * tens for step in (1, 1.5, 2, 3, 4, 6, 10, 15) if step * tens >= 1.1 * largest)


def ticks(reach: float, language: Language = ENGLISH) -> tuple[tuple[float, str], ...]:
    """Return ticks at every smallest change; on a wider scale at its half and its end."""
    whole = [float(value) for value in range(-int(reach), int(reach) + 1)]
    if reach > MOST_REACH:
        whole = [-reach, -reach / 2, 0.0, reach / 2, reach]
    return tuple((percent(value, reach), _tick(value, language)) for value in whole)


def _tick(value: float, language: Language) -> str:
    if value == 0:
        return language.say("axis.same")
    return language.figure(value, 0 if value.is_integer() else 1, signed=True)


def band(reach: float) -> tuple[float, float]:
    """Return where "too small to matter" lies."""
    return percent(-1, reach), percent(1, reach)


def title(reach: float, language: Language = ENGLISH) -> str:
    """Return what marks a scale other than the usual one; else nothing."""
    return language.say("axis.wide", reach=language.number(f"{reach:g}")) if reach > MOST_REACH else ""
