"""Samples at the end of a sensor's range."""

from __future__ import annotations

import numpy as np

from telemetry.conditioning.noise import sensor_step
from telemetry.model.arrays import Bools, Floats
from telemetry.model.stretches import stretches

AT_RANGE_SHARE = 0.995
"""Of the stated range: converters end a step or so short of it."""

IN_A_ROW = 3
"""Equal readings in a row at a log's own extreme."""

STEEP_STEPS = 2.5
"""A coarse converter holds a gentle turn for as long, its neighbours one step below."""

FURTHER_G, FURTHER_RAD_S = 1.5, 1.7
"""An extreme that is nearer to zero is none of a range: 2 g and 125 deg/s are the smallest ranges on the market."""


def at_range(signal: Floats, stated: float | None, further: float) -> Bools:
    """Tell which samples lie at the end of the sensor's range on any axis.

    Parameters
    ----------
    signal : float array, shape (3, n)
        In the sensor's own axes, bias and mounting left in.
    stated : float or None
        The range, in the signal's unit; None where it isn't known: then what tells it is the log's own extreme on
        that axis, read three times in a row or more and entered or left steeply.
    further : float
        An own extreme counts from here.

    Returns
    -------
    bool array, shape (n,)
    """
    if stated is not None:
        return np.asarray((np.abs(signal) >= AT_RANGE_SHARE * stated).any(axis=0), dtype=bool)
    found = np.zeros(signal.shape[1], dtype=bool)
    for axis in signal:
        for extreme in (float(axis.max()), float(axis.min())):
            if abs(extreme) >= further:
                _mark_repeated(axis, extreme, found)
    return found


def _mark_repeated(axis: Floats, extreme: float, found: Bools) -> None:
    """Mark the samples at an axis' extreme where it is cut off there: held for a while, and entered or left steeply."""
    at_extreme = axis == extreme
    held = [(start, stop) for start, stop in stretches(at_extreme) if stop - start >= IN_A_ROW]
    if not held:
        return
    steep = STEEP_STEPS * sensor_step(axis)
    last = axis.shape[0] - 1
    beside = [axis[place] for start, stop in held for place in (max(start - 1, 0), min(stop, last))]
    if np.abs(np.array(beside) - extreme).max() > steep:
        found |= at_extreme
