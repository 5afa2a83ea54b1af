"""How far the rear moves with the cranks: what a rider pushes into the shock instead of the trail."""

from __future__ import annotations

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Floats

from .pedalling import HOP_S, WINDOW_S, Pedalled
from .slow import SlowClock

FEWEST_WINDOWS = 24
"""Own choice: the median of six seconds or more."""


def movement_a_turn(pedalled: Pedalled, clock: SlowClock, rear_mm: Floats) -> float | Missing:
    """Return how far the rear moves with each turn of the cranks, mm from its highest to its lowest.

    Parameters
    ----------
    pedalled : Pedalled
    clock : SlowClock
    rear_mm : float array, shape (blocks,)

    Notes
    -----
    In each window least squares of travel on the first and second harmonic of the turn, a line taken out; the median
    over windows of the fitted wave's range. What doesn't keep time with the cranks averages out.
    """
    if pedalled.windows.size < FEWEST_WINDOWS:
        seconds = sum(stop - start for start, stop in pedalled.stretches) / clock.rate_hz
        return Missing(f"{seconds:.0f} s of pedalling (at least {FEWEST_WINDOWS * HOP_S:g} s needed)")
    width = round(WINDOW_S * clock.rate_hz)
    at_s, phase = np.arange(width) / clock.rate_hz, np.linspace(0.0, 2 * np.pi, 100)
    turn = np.column_stack([np.cos(phase), np.sin(phase), np.cos(2 * phase), np.sin(2 * phase)])
    moved = []
    for start, turn_s in zip(pedalled.windows.tolist(), pedalled.turn_s.tolist(), strict=True):
        angle = 2 * np.pi * at_s / turn_s
        waves = [np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)]
        fitted = np.linalg.lstsq(np.column_stack([*waves, np.ones(width), at_s]), rear_mm[start : start + width])[0]
        moved.append(float(np.ptp(turn @ fitted[:4])))
    return float(np.median(moved))
