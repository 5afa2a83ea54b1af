"""Which bands of travel and speed a ride covers well enough to tell spring from damper."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints, read_only
from telemetry.model.force import ForceCells

from .knots import SPEED_M_S, TRAVEL_PCT, places

CELL_S = 0.03
"""Riding time that makes a cell of travel and speed count. Own choice."""
EACH_WAY = 3
"""Bands of speed in which a band of travel has to be ridden, in compression and in rebound. Own choice: on a path on
which travel tells speed, as a pure sine, it is ridden in one or two."""
FEWEST_CELLS = 2
"""Travel bands in which a band of speed has to be ridden. Own choice."""
FEWEST_BLOCKS = 5
"""Stretches of the ride in which a band has to occur: what happened once has no scatter. Own choice."""
LEAST_SPEED_M_S = 0.1
"""Up to here, at least, both ways of the damper have to be covered. Own choice."""
LEAST_SPAN_PCT = 15
"""Of full travel: what the bands that count have to span. Own choice."""


def _run_about(kept: Bools, middle: int) -> tuple[int, int]:
    """Return the stretch [first, stop) of adjacent kept bands that holds `middle`; empty where that isn't kept."""
    if not kept[middle]:
        return middle, middle
    lost = np.flatnonzero(~kept)
    below, above = lost[lost < middle], lost[lost > middle]
    return int(below[-1]) + 1 if below.size else 0, int(above[0]) if above.size else kept.shape[0]


def _blocks_of(bands: Ints, blocks: Ints, count: int) -> Ints:
    """Return in how many blocks each band occurs."""
    inside = (bands >= 0) & (bands < count)
    found = np.unique(bands[inside] * (int(blocks.max(initial=0)) + 1) + blocks[inside])
    return np.asarray(np.bincount(found // (int(blocks.max(initial=0)) + 1), minlength=count), dtype=np.int64)


def ladder(full_travel_mm: float) -> tuple[Floats, Floats]:
    """Return all knots of travel, mm, and of speed, m/s."""
    speeds = np.array(SPEED_M_S)
    return np.array(TRAVEL_PCT) * full_travel_mm / 100.0, np.concatenate([-speeds[::-1], [0.0], speeds])


def covered(
    travel_mm: Floats, speed_m_s: Floats, blocks: Ints, rate_hz: float, full_travel_mm: float
) -> tuple[ForceCells, tuple[Floats, Floats] | None]:
    """Return where a ride was, and the knots of travel and speed that it covers.

    Parameters
    ----------
    travel_mm, speed_m_s : float arrays, shape (n,)
        Samples that count; speed of the damper.
    blocks : int array, shape (n,)
        Which stretch of the ride each lies in.
    rate_hz : float
        Of these samples.
    full_travel_mm : float

    Returns
    -------
    cells : ForceCells
    knots : (travel, speed) or None
        Bounds of the bands that count, adjacent ones about the one most ridden and about rest; None where they span
        too little, or speeds beyond 0.1 m/s aren't covered both ways.
    """
    travel, speed = ladder(full_travel_mm)
    bands, speeds = places(travel_mm, travel), places(speed_m_s, speed)
    shape = travel.shape[0] - 1, speed.shape[0] - 1
    inside = (bands >= 0) & (bands < shape[0]) & (speeds >= 0) & (speeds < shape[1])
    flat = np.bincount(bands[inside] * shape[1] + speeds[inside], minlength=shape[0] * shape[1])
    seconds = flat.reshape(shape) / rate_hz
    enough = seconds >= CELL_S
    rest = shape[1] // 2
    each_way = np.minimum(enough[:, :rest].sum(axis=1), enough[:, rest:].sum(axis=1)) >= EACH_WAY
    often = _blocks_of(bands, blocks, shape[0]) >= FEWEST_BLOCKS
    first, stop = _run_about(often & each_way, int(np.argmax(seconds.sum(axis=1))))
    fast = (enough[first:stop].sum(axis=0) >= FEWEST_CELLS) & (_blocks_of(speeds, blocks, shape[1]) >= FEWEST_BLOCKS)
    low, high = _run_about(fast[:rest], rest - 1)[0], _run_about(fast[rest:], 0)[1] + rest
    counted = np.zeros(shape, dtype=bool)
    spans = 100 * (travel[stop] - travel[first]) >= LEAST_SPAN_PCT * full_travel_mm
    found = bool(spans and speed[low] < -LEAST_SPEED_M_S and speed[high] > LEAST_SPEED_M_S)
    if found:
        counted[first:stop, low:high] = enough[first:stop, low:high]
    cells = ForceCells(
        travel_edges_mm=read_only(travel),
        speed_edges_m_s=read_only(speed),
        seconds=read_only(seconds),
        counted=read_only(counted),
    )
    return cells, (travel[first : stop + 1], speed[low : high + 1]) if found else None
