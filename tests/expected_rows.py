"""Rows of what should have come, made by hand: on their own axis, as the words and the figure take them."""

from __future__ import annotations

import math
from typing import Any

from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.model.prediction import Budget, Prediction

SMALLEST = 2.0
PERCENT = 10.0
VALUE = 1000.0
"""Of the baseline, where a row is told in percent of it."""


def expected_row(
    measure: str,
    end: Place,
    axis: tuple[float, float],
    measured: tuple[float, float] | None = None,
    **more: Any,
) -> Prediction:
    """Return a row whose change and half-width are so many times the smallest change that matters."""
    spec = SPECS[measure]
    raw = spec.scale == "raw"
    smallest = SMALLEST if raw else math.log1p(PERCENT / 100)

    def told(times: float) -> float:
        return times * smallest if raw else VALUE * math.expm1(times * smallest)

    def ends(at: tuple[float, float]) -> tuple[float, float, float]:
        return told(at[0]), told(at[0] - at[1]), told(at[0] + at[1])

    expected, low, high = ends(axis)
    seen = (
        {}
        if measured is None
        else dict(zip(("measured", "measured_low", "measured_high"), ends(measured), strict=True))
    )
    in_percent = {} if raw else {"percent": tuple(100 * value / VALUE for value in ends(axis))}
    if not raw and measured is not None:
        in_percent["measured_percent"] = tuple(100 * value / VALUE for value in ends(measured))
    half = axis[1] * smallest * (1 if raw else VALUE)
    return Prediction(
        measure=measure,
        end=end,
        unit=spec.unit,
        scale=spec.scale or "raw",
        label=spec.label,
        expected=expected,
        low=low,
        high=high,
        smallest_change=told(1.0),
        budget=Budget(parts=0.8 * half, unseen_ground=0.0, runs=0.6 * half, model=0.0),
        holds_if="parts and masses are as stated",
        axis=axis[0],
        axis_half=axis[1],
        measured_axis=measured,
        **(seen | in_percent | more),
    )
