"""One measure at one end as it is to be planned, and what it is judged by."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from telemetry.model.day import SmallestChange
from telemetry.model.finding import Place
from telemetry.model.measure_spec import MeasureSpec
from telemetry.model.plan import RunsOf
from telemetry.statistics.earlier_days import Borrowed
from telemetry.statistics.family import INNER_LEVEL

from .design import certainty
from .orders import FEWEST_ONE_WAY, one_way


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One measure at one end as it is to be planned.

    Attributes
    ----------
    stated : float or None
        Run-to-run standard deviation stated for it, in the measure's unit.
    ridden : tuple of RunsOf
        This day's runs, another day's: those there are, the first to be asked first.
    lent : Borrowed or None
        What earlier days say of its spread.
    baseline : str
        Whose level of the measure is taken where this day's runs give it.
    run_min : float or None
        Minutes of riding in one run, where stated.
    judged_as : int
        Rows of the comparison: 2 where full travel differs between setups, for then mm stand beside the share.
    """

    spec: MeasureSpec
    end: Place
    smallest_change: SmallestChange
    focus: bool
    named: bool  # a smallest change or a spread is stated for it
    stated: float | None
    ridden: tuple[RunsOf, ...]
    lent: Borrowed | None
    baseline: str
    run_min: float | None
    judged_as: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedBy:
    """What a row will be judged by: levels as its family and the first look spend them, and the way it is ridden."""

    level: float
    inner_level: float = INNER_LEVEL
    one_way: bool = False

    def allows(self, runs_each: int) -> bool:
        """Tell whether so many of each give a verdict: one way it takes four."""
        return not self.one_way or runs_each >= FEWEST_ONE_WAY

    def times(self, runs_each: int) -> float:
        """Return how many times the standard error is that of as many runs whose mean places in the day agree."""
        return _one_way_times(runs_each) if self.one_way and self.allows(runs_each) else 1.0


@lru_cache(maxsize=32)
def _one_way_times(runs_each: int) -> float:
    found = certainty((one_way(runs_each),))
    if found is None:
        raise ValueError("four runs of each tell setup from place in the day")
    return found.se / math.sqrt(2 / runs_each)
