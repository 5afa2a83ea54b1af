"""Rows that come again bit for bit later in a log: a buffer written twice while the clock goes on."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats, Ints

LEAST_S = 1.0
LEAST_CHANGES = 100
ROWS_A_KEY = 16
MOST_TIMES = 3
"""Own choices. What comes again more often is no ride but a signal that was made, or an end at rest."""
USUAL_PERCENT = 97.0
_ANCHOR = 0x1F << 12
"""Bits of a mark that are zero in one row of 32: such rows are looked at, wherever they stand."""
_WEIGHT = 0.6180339887498949
_FOLD = 0x42B2AE3D27D4EB4F


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """Samples [start, stop) whose readings are those of the same number of samples from `first` on."""

    first: int
    start: int
    stop: int


def _marks(column: Floats) -> Ints:
    """Return a mark of each reading, shape (n,), of which every bit depends on it."""
    return (column * _WEIGHT).view(np.int64)


def _keys(marks: Ints, anchors: Ints) -> Ints:
    """Return a mark of the rows from each anchor on."""
    keys = np.zeros(anchors.shape[0], dtype=np.int64)
    for later in range(ROWS_A_KEY):
        keys = keys * _FOLD + marks[anchors + later]
    return keys


def _pairs(marks: Ints) -> tuple[Ints, Ints]:
    """Return places, ascending, at which a few rows come again, and how far back they stood last."""
    low_half = marks.view(np.int32)[2 : -2 * ROWS_A_KEY : 2] if sys.byteorder == "little" else marks[1:-ROWS_A_KEY]
    anchors = np.flatnonzero(low_half & _ANCHOR == 0) + 1
    anchors = anchors[marks[anchors] != marks[anchors - 1]]
    keys = _keys(marks, anchors)
    ordered = np.sort(keys)
    if not np.any(ordered[1:] == ordered[:-1]):
        return anchors[:0], anchors[:0]
    _, which, times = np.unique(keys, return_inverse=True, return_counts=True)
    again = (times > 1) & (times <= MOST_TIMES)
    anchors, which = anchors[again[which]], which[again[which]]
    order = np.argsort(which, kind="stable")
    alike = np.flatnonzero(np.diff(which[order]) == 0)
    later, earlier = anchors[order[alike + 1]], anchors[order[alike]]
    ascending = np.argsort(later, kind="stable")
    return later[ascending], (later - earlier)[ascending]


def _stretch(columns: Sequence[Floats], place: int, back: int) -> Replay:
    """Return the longest stretch about a place whose rows are those so far back."""
    same = np.logical_and.reduce([column[back:] == column[:-back] for column in columns])
    before = np.flatnonzero(~same[: place - back])
    after = np.flatnonzero(~same[place - back :])
    start = back + (int(before[-1]) + 1 if before.size else 0)
    stop = place + int(after[0]) if after.size else columns[0].shape[0]
    return Replay(first=start - back, start=start, stop=stop)


def _at_edge(found: Replay, segments: Sequence[tuple[int, int]]) -> bool:
    """Tell whether rows, or those they repeat, begin or end at a gap: it breaks off what repeats itself too."""
    edges = np.array([start for start, _ in segments[1:]])
    own = np.array([found.start, found.stop, found.first, found.first + found.stop - found.start])
    return bool(edges.size and np.abs(edges[:, None] - own).min() <= 2)


def _spliced(found: Replay, columns: Sequence[Floats]) -> bool:
    """Tell whether readings bend more than usual where the rows begin or end: at the edge of what was written twice."""
    for column in columns:
        usual = np.percentile(np.abs(np.diff(column[found.start : found.stop], 2)), USUAL_PERCENT)
        edges = [column[max(0, at - 2) : at + 2] for at in (found.start, found.stop)]
        if max(float(np.abs(np.diff(edge, 2)).max(initial=0.0)) for edge in edges) > usual:
            return True
    return False


def find_replay(columns: Sequence[Floats], rate_hz: float, segments: Sequence[tuple[int, int]] = ()) -> Replay | None:
    """Return the first rows of a log that are rows from further up once more, None where there are none.

    Parameters
    ----------
    columns : sequence of float array, shape (n,)
        Readings.
    rate_hz : float
    segments : sequence of (start, stop), optional
        Gap-free stretches.

    Notes
    -----
    A second or more in which the readings change 100 times or more, and bend sharply where it begins or ends. A signal
    that repeats itself period by period is no replay: it agrees with itself for longer than it lies back.
    """
    least = max(LEAST_CHANGES, round(LEAST_S * rate_hz))
    if not columns or columns[0].shape[0] < 2 * least:
        return None
    marks = _marks(columns[0])
    later, back = _pairs(marks)
    if later.size == 0:
        return None
    changes = np.flatnonzero(np.diff(back)) + 1
    for first, stop in zip(np.r_[0, changes], np.r_[changes, back.shape[0]], strict=True):
        if stop - first < 2:
            continue
        found = _stretch(columns, int(later[first]), int(back[first]))
        length, lies_back = found.stop - found.start, found.start - found.first
        lively = np.count_nonzero(np.diff(marks[found.start : found.stop])) >= LEAST_CHANGES
        if least <= length <= lies_back and lively and not _at_edge(found, segments) and _spliced(found, columns):
            return found
    return None
