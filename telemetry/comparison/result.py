"""From an answer on its scale to the result as it is told: in the measure's unit, in percent, in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from telemetry.model.comparison import Axis, Estimated, PercentView, Result, TravelView, Verdict
from telemetry.model.interval import Interval
from telemetry.statistics.difference import Difference
from telemetry.statistics.scale import Measuring

from .judging import Judged


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Verdict of one row, with its interval on the scale of comparison."""

    interval: Interval | None
    verdict: Verdict
    reason: str
    selected: bool
    more_runs: int | None = None
    more_runs_upper: int | None = None


def _percent(measuring: Measuring, d: float, interval: Interval | None, d_margin: float) -> PercentView | None:
    if measuring.scale == "raw":
        return None
    difference, least, most = (measuring.percent(value) for value in (d, -d_margin, d_margin))
    if difference is None or least is None or most is None:
        return None
    return PercentView(
        difference=difference,
        interval=interval and interval.map(measuring.percent),
        smallest_change_low=least,
        smallest_change_high=most,
    )


def _axis(d: float, interval: Interval | None, d_margin: float) -> Axis:
    return Axis(difference=d / d_margin, interval=interval and interval.map(lambda end: end / d_margin))


def _travel(judged: Judged, baseline: str) -> TravelView | None:
    """Return a share of travel in mm and as a share of shock stroke."""
    row, candidate = judged.row, judged.candidate

    def mm(value: float | None, setup: str) -> float | None:
        full = row.full_travel_mm.get(setup)
        return None if value is None or not full else value * full / 100

    def stroke(value: float | None, setup: str) -> float | None:
        shares = row.stroke_shares.get(setup)
        return None if value is None or shares is None else float(np.interp(value, *shares))

    if not row.full_travel_mm or row.spec.unit != "%":
        return None
    a, b = judged.baseline_value, judged.candidate_value
    return TravelView(
        baseline_mm=mm(a, baseline),
        candidate_mm=mm(b, candidate),
        baseline_stroke_pct=stroke(a, baseline),
        candidate_stroke_pct=stroke(b, candidate),
    )


def _widest(judged: Judged) -> float | None:
    """Return by how much two values of a raw row can differ at all: by all there is of travel."""
    row = judged.row
    if row.spec.scale != "raw":
        return None
    return 100.0 if row.spec.unit.startswith("%") else max(row.full_travel_mm.values(), default=None)


def _estimated(judged: Judged) -> Estimated | None:
    """Return what days are put together by, of a row that takes part in its family."""
    found, margin = judged.found, judged.d_margin
    if judged.barred or found is None or margin is None:
        return None
    if isinstance(found, Difference):
        (s, nu), floor = found.own, found.floor
        by_sections = (None, None) if floor is None else (floor.se, float(floor.nu))
        own = (s * found.reach, nu, found.reach, *by_sections)
    else:
        own = (math.sqrt(found.phi * found.variance), float(found.nu), 1.0, math.sqrt(found.variance), None)
    se, nu, reach, floor_se, floor_nu = own
    return Estimated(d=found.d, se=se, nu=nu, reach=reach, floor_se=floor_se, floor_nu=floor_nu, margin=margin)


def result_of(judged: Judged, answer: Answer, baseline: str) -> Result:
    """Return a row's result.

    Parameters
    ----------
    judged : Judged
    answer : Answer
    baseline : str
    """
    found = judged.found
    row, measuring, d_margin, d, interval = judged.row, judged.measuring, judged.d_margin, judged.d, answer.interval

    def back(value: float | None) -> float | None:
        return None if value is None or measuring is None else measuring.back(value)

    percent, axis = None, None
    if d is not None and d_margin is not None and measuring is not None:
        percent, axis = _percent(measuring, d, interval, d_margin), _axis(d, interval, d_margin)
    return Result(
        candidate=judged.candidate,
        measure=row.spec.name,
        end=row.end,
        unit=row.spec.unit,
        scale=row.spec.scale or "raw",
        baseline_value=judged.baseline_value,
        candidate_value=judged.candidate_value,
        difference=back(d),
        interval=interval and interval.map(back),
        smallest_change_low=back(None if d_margin is None else -d_margin),
        smallest_change_high=back(d_margin),
        percent=percent,
        n_baseline=len(judged.baseline_runs),
        n_candidate=len(judged.candidate_runs),
        p=None if judged.found is None else judged.found.p,
        verdict=answer.verdict,
        reason=answer.reason,
        more_runs=answer.more_runs,
        more_runs_upper=answer.more_runs_upper,
        selected=answer.selected,
        barred=bool(judged.barred),
        focus=row.focus,
        axis=axis,
        travel=_travel(judged, baseline),
        taken_out=found.taken_out if isinstance(found, Difference) else (),
        unlike_earlier=isinstance(found, Difference) and found.unlike,
        widest=_widest(judged),
        estimate=_estimated(judged),
    )
