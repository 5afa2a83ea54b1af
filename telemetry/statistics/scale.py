"""Scales of comparison, and the smallest change that matters on each."""

from __future__ import annotations

import math
from dataclasses import dataclass

from telemetry.model.day import SmallestChange
from telemetry.model.measure_spec import MeasureSpec, Scale
from telemetry.words import difference_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Measuring:
    """How values of one row are put on the scale of comparison and back.

    Attributes
    ----------
    scale : {"raw", "log", "count"}
    centre : float
        What differences are told from, in the measure's unit: the baseline's mean, geometric mean on the log scale,
        its rate with half an event more for counts.
    """

    scale: Scale
    centre: float

    def back(self, difference: float) -> float | None:
        """Return a difference on the scale in the measure's unit; None where it is beyond all numbers."""
        return difference if self.scale == "raw" else _grown(self.centre, difference)

    def percent(self, difference: float) -> float | None:
        """Return a difference on the log or count scale in percent; None where it is beyond all numbers."""
        return _grown(100.0, difference)


def _grown(base: float, exponent: float) -> float | None:
    try:
        grown = base * math.expm1(exponent)
    except OverflowError:
        return None
    return grown if math.isfinite(grown) else None


def margin(change: SmallestChange, scale: Scale, baseline_centre: float) -> float:
    """Return the smallest change that matters on the scale of comparison.

    Parameters
    ----------
    change : SmallestChange
    scale : {"raw", "log", "count"}
    baseline_centre : float
        Geometric mean of the baseline's run values, for amounts in the measure's unit on the log scale.

    Returns
    -------
    float
        D > 0.

    Examples
    --------
    >>> from telemetry.model.day import SmallestChange
    >>> round(margin(SmallestChange(amount=8, form="percent", entered="8 %"), "log", 1.0), 6)
    0.076961
    """
    if scale == "raw":
        return change.amount
    if change.form == "factor":
        return math.log(change.amount)
    if change.form == "percent":
        return math.log1p(change.amount / 100)
    return math.log1p(change.amount / baseline_centre)


def shown_unit_of(spec: MeasureSpec) -> str:
    """Return the unit people read a difference of this measure in: per cent on the log and count scales."""
    return difference_unit(spec.unit) if spec.scale == "raw" else "%"


def in_shown_unit(difference: float, scale: Scale | None) -> float:
    """Return a difference on its scale in `shown_unit_of`; beyond all numbers it is infinite."""
    if scale == "raw":
        return difference
    grown = _grown(100.0, difference)
    return math.inf if grown is None else grown
