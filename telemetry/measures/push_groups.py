"""Three pushes: the rider presses the bike down three times at a standstill, before and after a run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol, TypeAlias

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import End
from telemetry.model.motion import LonePushes, PushGroup, Stretch
from telemetry.model.stretches import lasting, stretches

from .turning_points import turning_points

HITS = 3
STANDING_S = 1.0
WITHIN_S = 3.0
STILL_S = 0.5
PUSH_SHARE = 0.10
GATE_SHARE = 0.05
"""Turning points of a push; a bounce of less within it doesn't make two of one. Own choice."""
SETTLING_SHARE = 0.5
"""A fourth, smaller hit of less than so much of the smallest push is the bike settling. Own choice."""
EVEN_SHARE = 0.4
"""Pushes of one rider go about as deep: the shallowest at least so much of the deepest. Own choice."""
BACK_SHARE = 0.10
"""Afterwards the bike stands where it stood before, to within this share of full travel. Own choice."""
FOOT_SHARE = 0.10
"""A push lasts while travel lies over its feet by more than so much of its length. Own choice."""
UNMOVED_SHARE = 0.03
DEEPER_SHARE = 0.08
"""A push goes at least so far below where the bike stood, and further than the end ever extends: bumps don't."""
APART_S = 0.25
"""Pushes follow each other no faster: a rider's weight isn't thrown four times a second. Own choice."""
SETTLES_S = 1.0
"""How long the bike may take to come to rest after the pushes. Own choice."""
LOOK_S = 0.3
"""How much of the stillness around the pushes is looked at."""


class Pushed(Protocol):
    """What is pushed: an end whose travel is measured, or the chassis by its acceleration."""

    @property
    def end(self) -> End:
        """Which end it is, or lies above."""

    @property
    def still(self) -> Bools:
        """Where it is still, shape (n,)."""

    @property
    def full_travel_mm(self) -> float:
        """What pushes are shares of, mm."""

    def within(self, first: int, last: int) -> Floats:
        """Return how deep it lies in samples [first, last), both still, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PushedEnd:
    """One measured end: filtered travel, where it is still, and its full travel, mm."""

    end: End
    travel_mm: Floats
    still: Bools
    full_travel_mm: float

    def within(self, first: int, last: int) -> Floats:
        """Return its travel in samples [first, last), mm."""
        return self.travel_mm[first:last]


_Piece: TypeAlias = tuple[Floats, float]
"""How deep an end lies in a window, and its full travel, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """From the last of a stand to the first of the stillness after: samples [first, last) and what is within."""

    first: int
    last: int
    stand_stop: int
    calm_start: int


def pushes_of(travel_mm: Floats, full_travel_mm: float) -> tuple[Stretch, ...]:
    """Return the three pushes of a piece of travel between two standstills; nothing where they aren't just three.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Begins and ends where the bike stands.
    full_travel_mm : float

    Returns
    -------
    tuple of (start, stop)
        Three or none; where travel lies over the feet of each push by more than a tenth of its length.

    Examples
    --------
    >>> import numpy as np
    >>> push = 30 * np.sin(np.linspace(0, np.pi, 50)) ** 2
    >>> rest = np.zeros(50)
    >>> len(pushes_of(np.concatenate([rest, push, push, push, rest]), 160.0))
    3
    >>> pushes_of(np.concatenate([rest, push, push, rest]), 160.0)
    ()
    """
    points = turning_points(travel_mm, GATE_SHARE * full_travel_mm)
    turns = points.samples[1 if points.starts_high else 0 :].tolist()  # a push begins at its foot
    peaks, feet = turns[1::2], turns[::2]
    lengths = [float(travel_mm[peak] - travel_mm[foot]) for foot, peak in zip(feet, peaks, strict=False)]
    largest = sorted(lengths, reverse=True)
    if len(largest) < HITS or largest[HITS - 1] < PUSH_SHARE * full_travel_mm:
        return ()
    smallest = largest[HITS - 1]
    if len(largest) > HITS and largest[HITS] >= SETTLING_SHARE * smallest:
        return ()
    pushed = [place for place, length in enumerate(lengths) if length >= smallest]
    depths = [float(travel_mm[peaks[place]] - travel_mm[0]) for place in pushed]
    lifted = float(travel_mm[0] - travel_mm.min())
    if min(depths) < max(DEEPER_SHARE * full_travel_mm, EVEN_SHARE * max(depths), lifted):
        return ()
    bounds = [*feet[: len(peaks)], -1]
    return tuple(_over_its_feet(travel_mm, peaks[k], bounds[k], bounds[k + 1]) for k in pushed)


def _over_its_feet(travel_mm: Floats, peak: int, foot: int, next_foot: int) -> Stretch:
    """Return where travel lies over the higher of a push's feet by more than a tenth of its length."""
    level = max(float(travel_mm[foot]), float(travel_mm[next_foot]))
    level += FOOT_SHARE * (float(travel_mm[peak]) - level)
    below = travel_mm <= level  # both feet are
    return int(np.flatnonzero(below[:peak])[-1]) + 1, peak + int(np.argmax(below[peak:]))


def _windows(still: Bools, rate_hz: float, segments: tuple[Stretch, ...]) -> Iterator[_Window]:
    """Yield every pair of a stand and a later stillness that three pushes could lie between."""
    calm = lasting(stretches(still, segments), rate_hz, STILL_S)
    look, longest = round(LOOK_S * rate_hz), (WITHIN_S + SETTLES_S) * rate_hz + 0.5
    shortest = STANDING_S * rate_hz - 0.5
    bounds = [start for start, _ in segments]
    for place, (start, stop) in enumerate(calm):
        if stop - start < shortest:
            continue
        for later_start, later_stop in calm[place + 1 :]:
            if later_start - stop > longest:
                break
            if np.searchsorted(bounds, start, side="right") == np.searchsorted(bounds, later_start, side="right"):
                yield _Window(
                    first=max(start, stop - look),
                    last=min(later_stop, later_start + look),
                    stand_stop=stop,
                    calm_start=later_start,
                )


def _comes_back(travel_mm: Floats, full_travel_mm: float, window: _Window) -> bool:
    before = float(travel_mm[: window.stand_stop - window.first].mean())
    after = float(travel_mm[window.calm_start - window.first :].mean())
    return abs(after - before) <= BACK_SHARE * full_travel_mm


def _in_time(pushes: tuple[Stretch, ...], rate_hz: float) -> tuple[Stretch, ...]:
    """Return the pushes of one end if they lie within 3 s and follow each other as a rider can press, else none."""
    if not pushes or pushes[-1][1] - pushes[0][0] > WITHIN_S * rate_hz + 0.5:
        return ()
    apart = min(after[0] - before[0] for before, after in pairwise(pushes))
    return pushes if apart >= APART_S * rate_hz - 0.5 else ()


def _overlap(found: Sequence[tuple[Stretch, ...]]) -> bool:
    """Tell whether the k-th pushes of all ends overlap in time, for every k."""
    return all(
        max(start for start, _ in pushes) < min(stop for _, stop in pushes) for pushes in zip(*found, strict=True)
    )


def _group(found: Sequence[tuple[Stretch, ...]], still: Bools, window: _Window) -> PushGroup:
    """Return the pushes' bounds: stillness ends before the first hit, and begins after the last return."""
    hit = window.first + min(pushes[0][0] for pushes in found)
    moved = np.flatnonzero(still[window.first : hit])
    start = window.first + int(moved[-1]) + 1 if moved.size else hit
    return PushGroup(start=start, stop=window.calm_start)


def _lone(pieces: Sequence[_Piece], found: Sequence[tuple[Stretch, ...]]) -> tuple[int, bool] | None:
    """Return which of two ends alone was pushed, and whether the other moved the other way; None where it did more."""
    one = 0 if found[0] else 1
    travel, full = pieces[1 - one]
    upside_down = pushes_of(-travel, full)
    if upside_down and _overlap([found[one], upside_down]):
        return one, True
    return (one, False) if np.ptp(travel) < UNMOVED_SHARE * full else None


def find_push_groups(
    ends: Sequence[Pushed], rate_hz: float, segments: tuple[Stretch, ...]
) -> tuple[tuple[PushGroup, ...], tuple[LonePushes, ...]]:
    """Return every group of three pushes, and those seen at one end only.

    Parameters
    ----------
    ends : sequence of Pushed
        The measured ends, one or two, on one clock; or the chassis.
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free stretches; nothing reaches across a gap.

    Returns
    -------
    groups : tuple of PushGroup
    lone : tuple of LonePushes

    Notes
    -----
    After 1 s or more in which every end is still, three hits of at least 10 % of full travel at every end, the k-th of
    one end overlapping the k-th of the other, all within 3 s, then 0.5 s still at about the level of before. Rests
    between the pushes may be as long as they like within the 3 s; how alike, how deep below the standing level and how
    far apart they are tells them from bumps.
    """
    still = np.logical_and.reduce([item.still for item in ends])
    groups: list[PushGroup] = []
    lone: list[LonePushes] = []
    for window in _windows(still, rate_hz, segments):
        if groups and window.stand_stop < groups[-1].stop:
            continue
        pieces = [(item.within(window.first, window.last), item.full_travel_mm) for item in ends]
        found = [_in_time(pushes_of(travel, full), rate_hz) for travel, full in pieces]
        seen = [pushes for pushes in found if pushes]
        if not seen or not all(_comes_back(*piece, window) for piece in pieces):
            continue
        at = _group(seen, still, window)
        if len(seen) == len(ends):
            if _overlap(found):
                groups.append(at)
            continue
        alone = _lone(pieces, found)
        if alone is not None and not (lone and window.stand_stop < lone[-1].at.stop):
            one, other = ends[alone[0]].end, ends[1 - alone[0]].end
            travel, full = pieces[1 - alone[0]]
            moved = float(np.ptp(travel)) / full
            lone.append(LonePushes(end=one, other=other, at=at, other_share=moved, opposite=alone[1]))
    return tuple(groups), tuple(lone)
