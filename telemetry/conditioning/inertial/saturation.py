"""Samples at the end of a sensor's range."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats

AT_RANGE_SHARE = 0.995
"""Of the stated range: converters end a step or so short of it."""

IN_A_ROW = 3
"""Equal readings in a row at a log's own extreme."""

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
        that axis, read three times in a row or more.
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
                _mark_repeated(axis == extreme, found)
    return found


def _mark_repeated(at_extreme: Bools, found: Bools) -> None:
    places = np.flatnonzero(at_extreme)
    if (places[IN_A_ROW - 1 :] - places[: 1 - IN_A_ROW] == IN_A_ROW - 1).any():
        found |= at_extreme
