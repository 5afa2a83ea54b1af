"""From an answer on its scale to the result as it is told: in the measure's unit, in percent, in mm."""

from __future__ import annotations

import numpy as np

from telemetry.model.comparison import Axis, PercentView, Result, TravelView
from telemetry.statistics.scale import Measuring

from .answer import Answer
from .judging import Judged


def _ends(d: float | None, half: float | None) -> tuple[float | None, float | None]:
    return (None, None) if d is None or half is None else (d - half, d + half)


def _percent(measuring: Measuring, answer: Answer, d_margin: float) -> PercentView | None:
    if measuring.scale == "raw" or answer.d is None:
        return None
    low, high = _ends(answer.d, answer.outer)
    inner_low, inner_high = _ends(answer.d, answer.inner)

    def percent(value: float | None) -> float | None:
        return None if value is None else measuring.percent(value)

    difference, least, most = (measuring.percent(value) for value in (answer.d, -d_margin, d_margin))
    if difference is None or least is None or most is None:
        return None
    return PercentView(
        difference=difference,
        low=percent(low),
        high=percent(high),
        inner_low=percent(inner_low),
        inner_high=percent(inner_high),
        smallest_change_low=least,
        smallest_change_high=most,
    )


def _axis(answer: Answer, d_margin: float) -> Axis | None:
    if answer.d is None:
        return None
    low, high = _ends(answer.d, answer.outer)
    inner_low, inner_high = _ends(answer.d, answer.inner)

    def times(value: float | None) -> float | None:
        return None if value is None else value / d_margin

    return Axis(
        difference=answer.d / d_margin,
        low=times(low),
        high=times(high),
        inner_low=times(inner_low),
        inner_high=times(inner_high),
    )


def _travel(judged: Judged, answer: Answer, baseline: str) -> TravelView | None:
    """Return a share of travel in mm and as a share of shock stroke; compared in mm where full travel differs."""
    row, candidate = judged.row, judged.candidate

    def mm(value: float | None, setup: str) -> float | None:
        full = row.full_travel_mm.get(setup)
        return None if value is None or not full else value * full / 100

    def stroke(value: float | None, setup: str) -> float | None:
        shares = row.stroke_shares.get(setup)
        return None if value is None or shares is None else float(np.interp(value, *shares))

    if not row.full_travel_mm:
        return None
    a, b = judged.baseline_value, judged.candidate_value
    found, level = judged.in_mm, answer.level
    d = None if found is None else found.d
    low, high = _ends(d, None if found is None or level is None else found.half_width(level))
    return TravelView(
        baseline_mm=mm(a, baseline),
        candidate_mm=mm(b, candidate),
        baseline_stroke_pct=stroke(a, baseline),
        candidate_stroke_pct=stroke(b, candidate),
        difference_mm=d,
        low_mm=low,
        high_mm=high,
    )


def result_of(judged: Judged, answer: Answer, baseline: str) -> Result:
    """Return a row's result.

    Parameters
    ----------
    judged : Judged
    answer : Answer
    baseline : str
    """
    row, measuring, d_margin = judged.row, judged.measuring, judged.d_margin
    known = measuring is not None and d_margin is not None

    def back(value: float | None) -> float | None:
        return None if value is None or measuring is None else measuring.back(value)

    low, high = _ends(answer.d, answer.outer)
    inner_low, inner_high = _ends(answer.d, answer.inner)
    return Result(
        candidate=judged.candidate,
        measure=row.spec.name,
        end=row.end,
        unit=row.spec.unit,
        scale=row.spec.scale or "raw",
        baseline_value=judged.baseline_value,
        candidate_value=judged.candidate_value,
        difference=back(answer.d),
        low=back(low),
        high=back(high),
        inner_low=back(inner_low),
        inner_high=back(inner_high),
        smallest_change_low=back(-d_margin) if d_margin is not None else None,
        smallest_change_high=back(d_margin),
        percent=_percent(measuring, answer, d_margin) if measuring and d_margin is not None else None,
        n_baseline=len(judged.baseline_runs),
        n_candidate=len(judged.candidate_runs),
        p=answer.p,
        level=answer.level,
        verdict=answer.verdict,
        reason=answer.reason,
        more_runs=answer.more,
        more_runs_upper=answer.more_upper,
        selected=answer.selected,
        focus=row.focus,
        axis=_axis(answer, d_margin) if known and d_margin is not None else None,
        travel=_travel(judged, answer, baseline),
    )
