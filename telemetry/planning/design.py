"""What an order of runs costs in certainty: the standard error of the difference, by least squares on its design."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.statistics.difference import ENOUGH_FOR_DRIFT, SHIFT_LIMIT
from telemetry.statistics.runs_needed import seen_from

from .orders import Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Certainty:
    """How well a design tells the difference.

    Attributes
    ----------
    se : float
        Standard error of the difference in run-to-run standard deviations.
    nu : int
    """

    se: float
    nu: int

    def detectable(self, level: float) -> float:
        """Return the difference with an 80 % chance of "changed", in run-to-run standard deviations."""
        return seen_from(self.nu, level) * self.se


def certainty(days: Sequence[Order], candidate: int = 1) -> Certainty | None:
    """Return how well runs on one day or more tell a candidate from the baseline.

    Parameters
    ----------
    days : sequence of Order
        Each day's order.
    candidate : int

    Returns
    -------
    Certainty or None
        None where the change can't be told from order or day.

    Notes
    -----
    ``y ~ 1 + setup [+ place in the day] [+ day]``; the place from 4 runs of each on, or where the setups' mean places
    differ by more than one; the day where there are two.
    """
    setup, place, day = [], [], []
    for number, order in enumerate(days):
        for position, ridden in enumerate(order, 1):
            if ridden in (0, candidate):
                setup.append(float(ridden != 0))
                place.append(float(position))
                day.append(float(number))
    y = np.array(setup)
    each = int(min(y.sum(), (1 - y).sum()))
    places = np.array(place)
    shift = float(places[y == 1].mean() - places[y == 0].mean())
    columns = [np.ones_like(y), y]
    if each >= ENOUGH_FOR_DRIFT or abs(shift) > SHIFT_LIMIT:
        columns.append(places - places.mean())
    if len(days) > 1:
        columns.append(np.array(day))
    design = np.column_stack(columns)
    nu = y.size - design.shape[1]
    if nu <= 0 or np.linalg.matrix_rank(design) < design.shape[1]:
        return None
    return Certainty(se=math.sqrt(float(np.linalg.inv(design.T @ design)[1, 1])), nu=nu)
