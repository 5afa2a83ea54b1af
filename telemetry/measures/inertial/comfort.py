"""Measures of comfort: vibration as it weighs on hands and body, and what of a day's exposure a run makes up."""

from __future__ import annotations

import math
from collections.abc import Sequence

from telemetry.measures.missing import Missing, Outcome
from telemetry.model.arrays import Floats
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch

from .view import InertialView, once
from .weighting import HAND_ARM, SHORTEST_S, WHOLE_BODY, Weighting, is_held, needed_rate_hz, weighted_rms

DAY_S = 28_800.0
"""Eight hours, to which daily exposure is related [ISO5349]."""


def _cut(signal: Floats, stretches: Sequence[Stretch]) -> list[Floats]:
    return [signal[start:stop] for start, stop in stretches]


def _weighed(view: InertialView, weighting: Weighting) -> tuple[InertialSignal, tuple[Stretch, ...]] | Missing:
    """Return the chassis's signal and what of it is weighted; the reason where there is none, or the log is slow."""
    if view.chassis is None:
        return view.lacks("chassis")
    if not is_held(weighting, view.rate_hz):
        return Missing(
            f"{view.rate_hz:.0f} rows a second: {weighting.name} needs what shakes at up to "
            f"{weighting.needed_to_hz:g} Hz, {needed_rate_hz(weighting):.0f} rows a second"
        )
    found = tuple((start, stop) for start, stop in view.ridden if stop - start >= SHORTEST_S * view.rate_hz)
    return (view.chassis, found) if found else Missing(f"no {SHORTEST_S:g} s of riding without a break")


@once
def hand_arm_vibration(view: InertialView) -> Outcome:
    """Return the total of three axes, each by Wh, of the chassis at the front, m/s2."""
    found = _weighed(view, HAND_ARM)
    if isinstance(found, Missing):
        return found
    chassis, ridden = found
    axes = chassis.specific_force_m_s2.T
    return math.hypot(*(weighted_rms(HAND_ARM, _cut(axis, ridden), view.rate_hz) for axis in axes))


@once
def whole_body_vibration(view: InertialView) -> Outcome:
    """Return the chassis's upward acceleration by Wk, m/s2."""
    found = _weighed(view, WHOLE_BODY)
    if isinstance(found, Missing):
        return found
    chassis, ridden = found
    return weighted_rms(WHOLE_BODY, _cut(chassis.attitude.upward_m_s2, ridden), view.rate_hz)


def daily_exposure(values_m_s2: Sequence[float], times_s: Sequence[float]) -> float:
    """Return A(8) of one or several exposures in a day, m/s2.

    Parameters
    ----------
    values_m_s2, times_s : sequence of float
        Weighted acceleration and duration of each.

    Notes
    -----
    ``A(8) = sqrt(sum(a^2 T) / 8 h)`` [ISO5349].

    Examples
    --------
    >>> round(daily_exposure([7.4], [2.5 * 3600]), 3)
    4.137
    """
    sum_of_squares = sum(value**2 * time for value, time in zip(values_m_s2, times_s, strict=True))
    return math.sqrt(sum_of_squares / DAY_S)


def _of_a_day(view: InertialView, value: Outcome) -> Outcome:
    return value if isinstance(value, Missing) else daily_exposure([value], [60.0 * view.minutes])


def hand_arm_vibration_a8(view: InertialView) -> Outcome:
    """Return the daily exposure of hands if this run's riding time were all of the day's, m/s2."""
    return _of_a_day(view, hand_arm_vibration(view))


def whole_body_vibration_a8(view: InertialView) -> Outcome:
    """Return the daily exposure of the body if this run's riding time were all of the day's, m/s2."""
    return _of_a_day(view, whole_body_vibration(view))
