"""From an answer on its scale to the result as it is told: in the measure's unit, in percent, as a sentence."""

from __future__ import annotations

from dataclasses import replace

from telemetry.model.comparison import Axis, FamilyRow, PercentView, Result

from .answer import Answer
from .judging import Judged, absent_reason
from .scale import Measuring
from .words import sentence

COUNT_REASON = "rare events need a rule of their own for counts, which isn't built yet"


def _ends(d: float | None, half: float | None) -> tuple[float | None, float | None]:
    return (None, None) if d is None or half is None else (d - half, d + half)


def _percent(measuring: Measuring, answer: Answer, d_margin: float) -> PercentView | None:
    if measuring.scale != "log" or answer.d is None:
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


def result_of(judged: Judged, answer: Answer, baseline: str) -> Result:
    """Return a continuous row's result.

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
    result = Result(
        candidate=judged.candidate,
        measure=row.spec.name,
        end=row.end,
        unit=row.spec.unit,
        scale=row.spec.scale or "raw",
        baseline_value=measuring.centre if measuring else None,
        candidate_value=judged.candidate_centre,
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
        sentence="",
        selected=answer.selected,
        focus=row.focus,
        axis=_axis(answer, d_margin) if known and d_margin is not None else None,
        baseline_full_travel_mm=row.full_travel_mm.get(baseline),
        candidate_full_travel_mm=row.full_travel_mm.get(judged.candidate),
    )
    return _with_sentence(result)


def _with_sentence(result: Result) -> Result:
    return replace(result, sentence=sentence(result))


def count_result(row: FamilyRow, baseline: str, candidate: str) -> Result:
    """Return a row on the count scale: rates of both setups, no verdict yet."""
    rates: dict[str, float | None] = {}
    numbers: dict[str, int] = {}
    for setup in (baseline, candidate):
        runs = [run for run in row.runs if run.run.setup == setup and run.value is not None and run.count is not None]
        minutes = sum(run.minutes for run in runs)
        numbers[setup] = len(runs)
        rates[setup] = sum(run.count or 0 for run in runs) / minutes if minutes > 0 else None
    a, b = rates[baseline], rates[candidate]
    known = a is not None and b is not None
    result = Result(
        candidate=candidate,
        measure=row.spec.name,
        end=row.end,
        unit=row.spec.unit,
        scale="count",
        baseline_value=a,
        candidate_value=b,
        difference=b - a if a is not None and b is not None else None,
        low=None,
        high=None,
        inner_low=None,
        inner_high=None,
        smallest_change_low=None,
        smallest_change_high=None,
        percent=None,
        n_baseline=numbers[baseline],
        n_candidate=numbers[candidate],
        p=None,
        level=None,
        verdict=None,
        reason=COUNT_REASON if known else absent_reason(row, (baseline, candidate)),
        more_runs=None,
        more_runs_upper=None,
        sentence="",
        selected=False,
        focus=row.focus,
        axis=None,
        baseline_full_travel_mm=row.full_travel_mm.get(baseline),
        candidate_full_travel_mm=row.full_travel_mm.get(candidate),
    )
    return _with_sentence(result)
