"""Rides on paper into answers: whether the baseline rides back, and each row's expected beside its measured change."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from telemetry.bench.paper.spread import Expected, Seen, Trials, agreements, expected_change
from telemetry.model.catalogue import SPECS, in_mm
from telemetry.model.comparison import PercentView, Result
from telemetry.model.day import SmallestChange
from telemetry.model.finding import End, Place
from telemetry.model.interval import Interval
from telemetry.model.measure import MeasureAt
from telemetry.model.measure_spec import MeasureSpec, Scale
from telemetry.model.prediction import Agreement, BackRow, Budget, Load, Prediction, RidesBack

from .paper_rides import Values

BACK_SHARE, BACK_CORRELATION = 0.03, 0.98
"""Ridden again the baseline has to give its measured figures within this share, and travel that follows what was
measured so closely. Own choices."""
BACK_ROWS = ("travel_p95", "hit_depth_10_per_min", "compression_speed_10_per_min", "rebound_speed_10_per_min")
CRITERION = (
    f"travel on paper follows {100 * BACK_CORRELATION**2:.0f} % of the measured movement or more in every run; how "
    "deep it stands one second in twenty, and the depth and speeds of ten hits a minute come out within "
    f"{100 * BACK_SHARE:.0f} %; mean forces fit the masses"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OneRow:
    """One row ridden on paper: its trials on its own scale, and by how much of the value the baseline's runs give."""

    spec: MeasureSpec
    end: Place
    trials: Trials
    value: float
    rests_on: str


def change_of(scale: Scale | None, back: Values, ridden: Values, at: MeasureAt) -> float | None:
    """Return a row's change from one ride on paper to another on the row's own scale; None where either has none."""
    before, after = back[at], ridden[at]
    if scale == "count":
        if before.count is None or after.count is None:
            return None
        return math.log((after.count + 0.5) / (before.count + 0.5))
    if before.value is None or after.value is None:
        return None
    if scale == "log":
        return math.log(after.value / before.value) if min(before.value, after.value) > 0 else None
    return after.value - before.value


def _worst(correlations: Sequence[Mapping[End, float]]) -> float:
    return min(value for run in correlations for value in run.values())


def rides_back(
    measured: Sequence[Values],
    on_paper: Sequence[Values],
    correlations: Sequence[Mapping[End, float]],
    loads: tuple[Load, ...],
    left_out: Mapping[End, Sequence[str]],
) -> RidesBack:
    """Return whether the baseline's runs, ridden again over their own ground, give what was measured.

    `left_out` names the parts of each end's springs that aren't stated and so aren't ridden.
    """
    rows = []
    for name in BACK_ROWS:
        for end in correlations[0]:
            pairs = [
                (own.value, paper.value)
                for own, paper in (
                    (was[name, end], now[name, end]) for was, now in zip(measured, on_paper, strict=True)
                )
                if own.value is not None and paper.value is not None
            ]
            if pairs:
                first, second = (float(np.mean(side)) for side in zip(*pairs, strict=True))
                rows.append(BackRow(measure=name, end=end, unit=SPECS[name].unit, measured=first, on_paper=second))
    lowest = _worst(correlations)
    reason = _why_not(rows, lowest) or _unfit(loads, left_out)
    return RidesBack(
        holds=not reason, reason=reason, criterion=CRITERION, correlation=lowest, rows=tuple(rows), loads=loads
    )


def _why_not(rows: Sequence[BackRow], lowest: float) -> str:
    if not lowest >= BACK_CORRELATION:  # an end that never moved correlates with nothing
        follows, least = (f"{100 * (share if share > 0 else 0.0) ** 2:.1f} %" for share in (lowest, BACK_CORRELATION))
        return f"ridden back, travel follows only {follows} of the movement that was measured (at least {least})"
    off = [row for row in rows if row.off > BACK_SHARE]
    if off:
        worst = max(off, key=lambda row: row.off)
        name = SPECS[worst.measure].label.lower()
        return (
            f"ridden back, the {worst.end}'s {name} comes out {100 * worst.off:.1f} % off what was measured "
            f"(at most {100 * BACK_SHARE:.0f} %)"
        )
    return ""


def _unfit(loads: Sequence[Load], left_out: Mapping[End, Sequence[str]]) -> str:
    """Return that springs and masses don't go together, of the place where they are farthest apart."""
    unfit = [load for load in loads if not load.fits]
    if not unfit:
        return ""
    first = max(unfit, key=lambda load: abs(load.ratio - 1))
    where = "both ends push" if first.end == "both" else f"the {first.end} pushes"
    lost = [f"{what} of the {end}" for end, own in left_out.items() if first.end in (end, "both") for what in own]
    left = f", or what isn't stated and was left out makes the difference: {', '.join(lost)}" if lost else ""
    return (
        f"by its stated springs {where} with {100 * first.ratio:.0f} % of the weight that the masses give, "
        f"{100 * first.low:.0f} to {100 * first.high:.0f} % would fit: a spring, a pressure, a mass or the share "
        f"on the front wheel isn't what is stated{left}"
    )


def _scaled(scale: str, percent: float | None, raw: float | None) -> float | None:
    if scale == "raw":
        return raw
    return None if percent is None or percent <= -100 else math.log1p(percent / 100)


def _interval(view: Result | PercentView | None) -> Interval | None:
    """Return a comparison's 90 % interval; of a setup with one run, which has none, the one that is shown."""
    return None if view is None or view.interval is None else view.interval.inner or view.interval


def _ends(view: Result | PercentView | None) -> tuple[float | None, float | None, float | None]:
    """Return a difference and both ends of its interval."""
    interval = _interval(view)
    return (None, None, None) if view is None or interval is None else (view.difference, interval.low, interval.high)


def _seen(result: Result | None) -> Seen | None:
    """Return what was measured of a row; None where there is no difference or no interval of it."""
    interval = _interval(result)
    if result is None or interval is None:
        return None
    both = zip(_ends(result.percent), _ends(result), strict=True)
    change, low, high = (_scaled(result.scale, percent, raw) for percent, raw in both)
    if change is None or low is None or high is None:
        return None
    nu = max(result.n_baseline + result.n_candidate - 2, 1)
    return Seen(change, (high - low) / 2, nu, interval.level)


def smallest_on_scale(scale: str, change: SmallestChange, value: float) -> float:
    """Return the smallest change that matters on a row's own scale."""
    if scale == "raw":
        return change.amount
    if change.form == "factor":
        return math.log(change.amount)
    share = change.amount / 100 if change.form == "percent" else change.amount / value
    return math.log1p(share)


def _told(scale: str, value: float, change: float) -> float:
    """Return a change on a row's own scale in the measure's unit."""
    return change if scale == "raw" else value * math.expm1(change)


def _in_mm(row: OneRow, full_mm: tuple[float, float], values: Sequence[tuple[float, float]]) -> OneRow | None:
    """Return a share of full travel in mm, from the values of both rides of each run; None of other rows."""
    spec = in_mm(row.spec.name)
    if spec is None or abs(full_mm[0] - full_mm[1]) < 0.05:
        return None
    share = full_mm[1] / 100
    by_run = [(after * full_mm[1] - before * full_mm[0]) / 100 for before, after in values]
    trials = Trials(
        by_run=by_run,
        by_parts=[share * value for value in row.trials.by_parts],
        by_ground=[share * value for value in row.trials.by_ground],
        apart=share * row.trials.apart,
        again=[(share * first, share * second) for first, second in row.trials.again],
    )
    return replace(row, spec=spec, trials=trials, value=row.value * full_mm[0] / 100)


def with_mm(row: OneRow, full_mm: tuple[float, float], values: Sequence[tuple[float, float]]) -> tuple[OneRow, ...]:
    """Return a row, behind it in mm where it is a share of full travel and that differs, as a comparison tells it."""
    found = _in_mm(row, full_mm, values)
    return (row,) if found is None else (found, row)


def answered(
    rows: Sequence[OneRow], smallest: Mapping[MeasureAt, SmallestChange], results: Mapping[MeasureAt, Result]
) -> tuple[Prediction, ...]:
    """Return each row's answer: expected, measured, and whether they agree.

    Of a row that took no part in its comparison - too few events, runs out of order, one run - it can't be told either.
    """
    places: list[MeasureAt] = [(row.spec.name, row.end) for row in rows]
    scales: list[Scale] = [row.spec.scale or "raw" for row in rows]
    least = [
        smallest_on_scale(scale, smallest[at], row.value) for scale, at, row in zip(scales, places, rows, strict=True)
    ]
    expected = [expected_change(row.trials, row.spec.name, own) for row, own in zip(rows, least, strict=True)]
    seen = [_seen(results.get(at)) for at in places]
    barred = [at in results and results[at].barred for at in places]
    judged = [None if out else was for was, out in zip(seen, barred, strict=True)]
    words = agreements(expected, judged, least)
    found = []
    for row, scale, own, smallest_change, was, word in zip(rows, scales, expected, least, seen, words, strict=True):
        answer = _prediction(row, scale, own, smallest_change)
        result = results.get((row.spec.name, row.end))
        found.append(answer if result is None else _beside(answer, result, was, smallest_change, word))
    return tuple(found)


def _beside(answer: Prediction, result: Result, was: Seen | None, least: float, word: Agreement | None) -> Prediction:
    """Return an answer with what was measured beside it; without an interval where too few runs give none.

    Of rare events a comparison tells no difference without its interval.
    """
    interval = _interval(result)
    if was is None or interval is None:
        if result.difference is None or answer.scale == "count":
            return answer
        percent = None if result.percent is None else (result.percent.difference, None, None)
        return replace(answer, measured=result.difference, measured_percent=percent, agreement="can't tell")
    return replace(
        answer,
        measured=result.difference,
        measured_low=interval.low,
        measured_high=interval.high,
        measured_level=interval.level,
        of_these_runs=result.interval is not None and result.interval.inner is None,
        measured_axis=(was.change / least, was.half / least),
        measured_percent=_percent(answer.scale, was.change, was.half),
        agreement=word or "can't tell",
    )


def _prediction(row: OneRow, scale: Scale, own: Expected, least: float) -> Prediction:
    def told(change: float) -> float:
        return _told(scale, row.value, change)

    per = 1.0 if scale == "raw" else row.value * math.exp(own.change)
    return Prediction(
        measure=row.spec.name,
        end=row.end,
        unit=row.spec.unit,
        scale=scale,
        label=row.spec.label,
        expected=told(own.change),
        low=told(own.change - own.half),
        high=told(own.change + own.half),
        smallest_change=told(least),
        budget=Budget(
            parts=per * own.parts, unseen_ground=per * own.ground, runs=per * own.runs, model=per * own.model
        ),
        holds_if=row.rests_on,
        axis=own.change / least,
        axis_half=own.half / least,
        percent=_percent(scale, own.change, own.half),
    )


def _percent(scale: Scale, change: float, half: float) -> tuple[float, float, float] | None:
    """Return a change and its ends in percent; None of rows that are told in points or mm."""
    if scale == "raw":
        return None
    first, low, high = (100 * math.expm1(value) for value in (change, change - half, change + half))
    return first, low, high
