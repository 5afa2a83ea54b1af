"""What an order of runs costs in certainty: the standard error of the difference, by least squares on its design."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.statistics.difference import Sample, difference
from telemetry.statistics.runs_needed import seen_from

from .orders import Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Certainty:
    """How well a design tells the difference.

    Attributes
    ----------
    se : float
        Standard error of the difference in run-to-run standard deviations.
    nu : float
    """

    se: float
    nu: float

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
    runs = [(ridden, place, number) for number, order in enumerate(days) for place, ridden in enumerate(order, 1)]
    baseline, other = (
        Sample(values=np.zeros(len(rows)), sections=np.empty((len(rows), 0)), orders=rows[:, 1], days=rows[:, 2])
        for rows in (np.array([run for run in runs if run[0] == setup], dtype=float) for setup in (0, candidate))
    )
    found = difference(baseline, other)
    return None if found is None else Certainty(se=found.reach, nu=found.nu)
