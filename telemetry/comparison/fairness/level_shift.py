"""A level that steps between two runs and stays, with every setup: a sensor remounted, or one that slipped."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.statistics.least_squares import least_squares

LEAST_STEP = 0.8
"""Smallest changes: what a step of somewhat more shows as on nine days of ten. Own choice, as all limits here, from
simulated days."""
BESIDE_STEP = 0.65
"""Smallest changes by which it shows against the other end too, which drifts over the day alike."""
SURE = 2.5
PRIOR_SPREAD, PRIOR_NU = 0.25, 4.0
"""What runs of a setup are taken to spread by, smallest changes, as far as so many degrees of freedom go."""
FEWEST_RUNS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelShift:
    """One step.

    Attributes
    ----------
    row : int
    first : int
        The first run after it.
    step : float
        Smallest changes, positive upwards.
    """

    row: int
    first: int
    step: float


def level_shift(values: Floats, setups: Ints) -> LevelShift | None:
    """Return the surest step of either end; None where there is none.

    Parameters
    ----------
    values : float array, shape (runs, ends)
        Levels in the order ridden, in smallest changes; NaN where a run has none.
    setups : int array, shape (runs,)

    Returns
    -------
    LevelShift or None

    Notes
    -----
    Least squares of the level on setups and the step, for every place between two runs on both sides of which two
    setups or more, and all that were ridden more than once, have a run. A step is told where it is over 0.8 smallest
    changes and 2.5 times its standard error, and over 0.65 against the other end: a day's warmth moves both. With one
    end measured a steady drift looks alike.
    """
    best, surest = None, SURE
    places = range(1, len(setups))
    for row, first in itertools.product(range(values.shape[1]), places):
        after = np.arange(len(setups)) >= first
        found = _step(values[:, row], setups, after)
        if found is None or abs(found[0]) <= LEAST_STEP or found[1] <= surest:
            continue
        beside = [
            _step(values[:, row] - values[:, other], setups, after) for other in range(values.shape[1]) if other != row
        ]
        if all(item is None or item[0] * np.sign(found[0]) > BESIDE_STEP for item in beside):
            best, surest = LevelShift(row=row, first=first, step=found[0]), found[1]
    return best


def _step(levels: Floats, setups: Ints, after: Bools) -> tuple[float, float] | None:
    """Return a step and how many times its standard error it is; None where it can't be told from the setups."""
    there = np.isfinite(levels)
    levels, setups, after = levels[there], setups[there], after[there]
    names, counts = np.unique(setups, return_counts=True)
    both = [name for name in names if len(set(after[setups == name].tolist())) == 2]
    if len(levels) < FEWEST_RUNS or len(both) < 2 or any(name not in both for name in names[counts > 1]):
        return None
    runs = [setups == name for name in names]
    fit = least_squares([levels[of] for of in runs], [after[of, None].astype(float) for of in runs])
    if fit is None:
        return None
    step, variance = float(fit.slopes[0]), (fit.nu * fit.s**2 + PRIOR_NU * PRIOR_SPREAD**2) / (fit.nu + PRIOR_NU)
    return step, abs(step) / (math.sqrt(variance) * fit.design.slope_reach(0))
