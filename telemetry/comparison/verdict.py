"""From differences to verdicts: barred, one run of each, changed, unchanged, undecided."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

from telemetry.model.comparison import (
    Axis,
    Family,
    FamilyRow,
    PercentView,
    Result,
    RunValue,
    Verdict,
    Verdicts,
)

from .difference import Difference, Sample, difference, section_floor
from .family import Selection, select
from .planning import more_runs, upper_spread
from .scale import Measuring, margin
from .words import sentence

INNER_LEVEL = 0.10
ONE_RUN_LEVEL = 0.05
ORDER_REASON = "can't tell the change from the order ridden"
STILL_REASON = "does not vary at this resolution"
SECTIONS_REASON = "fewer than 5 trail sections in which every run has a value"
ONE_RUN_REASON = "one run of each: this holds only for this pair of runs"
FEW_RUNS_REASON = "fewer than two runs of one setup"
COUNT_REASON = "rare events need a rule of their own for counts, which isn't built yet"
NO_FLOOR_NOTE = "spread between trail sections not looked at: fewer than 5 of them have a value in every run"
TOO_SMALL_NOTE = "real but too small to matter"
MAY_BE_LESS_NOTE = "may be less than what matters"
NO_MORE_NOTE = "more runs will not settle this; a longer trail or a larger change may"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """One row of one candidate on its scale, before the family is known.

    Attributes
    ----------
    found : Difference or None
    barred : str
        Reason; empty for rows of the family.
    pair : (d, half-width) or None
        One run of each: difference and half-width between sections.
    """

    row: FamilyRow
    candidate: str
    baseline_runs: tuple[RunValue, ...]
    candidate_runs: tuple[RunValue, ...]
    measuring: Measuring | None
    candidate_centre: float | None
    d_margin: float | None
    found: Difference | None
    barred: str
    pair: tuple[float, float | None] | None = None

    @property
    def in_family(self) -> bool:
        return not self.barred and self.found is not None and self.found.p is not None


def _usable(row: FamilyRow, setup: str) -> tuple[RunValue, ...]:
    """Return a setup's runs that have the measure; on the log scale only values above 0."""
    return tuple(
        run
        for run in row.runs
        if run.run.setup == setup and run.value is not None and (row.spec.scale != "log" or run.value > 0)
    )


def _absent_reason(row: FamilyRow, setups: Sequence[str]) -> str:
    for run in row.runs:
        if run.run.setup in setups and run.value is None and run.reason:
            return run.reason
        if run.run.setup in setups and run.value is not None and row.spec.scale == "log" and run.value <= 0:
            return "a value of zero or less has no percent change"
    return FEW_RUNS_REASON


def _sample(runs: tuple[RunValue, ...], scale: str | None) -> Sample:
    values = np.array([run.value for run in runs], dtype=float)
    sections = np.array([run.sections for run in runs], dtype=float)
    if scale == "log":
        values = np.log(values)
        with np.errstate(divide="ignore", invalid="ignore"):
            sections = np.where(sections > 0, np.log(np.where(sections > 0, sections, 1.0)), np.nan)
    orders = np.array([run.run.order for run in runs], dtype=float)
    return Sample(values=values, orders=orders, sections=sections)


def _centre(sample: Sample, scale: str | None) -> float:
    mean = float(sample.values.mean())
    return math.exp(mean) if scale == "log" else mean


def _barred(found: Difference | None) -> str:
    if found is None or found.confounded:
        return ORDER_REASON
    if found.se == 0:
        return STILL_REASON
    if found.floor_se is None and found.fewest == 2:
        return SECTIONS_REASON
    return ""


def _judge(row: FamilyRow, baseline: str, candidate: str) -> _Judged:
    runs_a, runs_b = _usable(row, baseline), _usable(row, candidate)
    scale = row.spec.scale or "raw"

    def judged(
        barred: str,
        *,
        measuring: Measuring | None = None,
        centre: float | None = None,
        found: Difference | None = None,
        pair: tuple[float, float | None] | None = None,
    ) -> _Judged:
        at = measuring.centre if measuring else 1.0
        return _Judged(
            row=row,
            candidate=candidate,
            baseline_runs=runs_a,
            candidate_runs=runs_b,
            measuring=measuring,
            candidate_centre=centre,
            d_margin=margin(row.smallest_change, scale, at) if measuring else None,
            found=found,
            barred=barred,
            pair=pair,
        )

    if not runs_a or not runs_b:
        return judged(_absent_reason(row, (baseline, candidate)))
    a, b = _sample(runs_a, row.spec.scale), _sample(runs_b, row.spec.scale)
    measuring = Measuring(scale=scale, centre=_centre(a, row.spec.scale))
    centre = _centre(b, row.spec.scale)
    fewest = min(len(a), len(b))
    if fewest < 2:
        reason = ONE_RUN_REASON if len(a) == len(b) == 1 else FEW_RUNS_REASON
        return judged(reason, measuring=measuring, centre=centre, pair=_pair(a, b))
    found = difference(a, b)
    return judged(_barred(found), measuring=measuring, centre=centre, found=found)


def _pair(a: Sample, b: Sample) -> tuple[float, float | None]:
    """Return difference and half-width of the one-run rule: spread between trail sections."""
    floor = section_floor(a, b)
    d = float(b.values.mean() - a.values.mean())
    if floor is None:
        return d, None
    both = np.isfinite(np.vstack([a.sections, b.sections])).all(axis=0)
    d = float((b.sections[:, both].mean(axis=0) - a.sections[:, both].mean(axis=0)).mean())
    return d, float(stats.t.isf(ONE_RUN_LEVEL / 2, floor[1])) * floor[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Terms:
    """What the family is judged by: false discovery rate, number of rows, planned looks."""

    q: float
    m: int
    looks: int

    @property
    def barred_level(self) -> float:
        return self.q / max(self.m, 1)

    @property
    def inner_level(self) -> float:
        return INNER_LEVEL / self.looks


@dataclass(frozen=True, slots=True, kw_only=True)
class _Answer:
    """Verdict of one row with its intervals on the scale of comparison."""

    d: float | None
    outer: float | None
    inner: float | None
    level: float | None
    p: float | None
    verdict: Verdict
    reason: str
    more: int | None
    more_upper: int | None
    selected: bool


def _runs_to_settle(judged: _Judged, level: float) -> tuple[int | None, int | None]:
    """Return more runs and their upper figure; from two runs of a setup only the upper figure is said."""
    found = judged.found
    if found is None or judged.d_margin is None or found.s == 0 or found.nu <= 0:
        return None, None
    have = min(len(judged.baseline_runs), len(judged.candidate_runs))
    upper = more_runs(upper_spread(found.s, found.nu), judged.d_margin, level, have)
    return more_runs(found.s, judged.d_margin, level, have), upper


def _barred_answer(judged: _Judged, terms: _Terms) -> _Answer:
    """Return the answer of a row outside the family: undecided, with what can be shown."""
    found = judged.found
    d, outer, inner, level = None, None, None, terms.barred_level
    if found is not None:
        d, outer, inner = found.d, found.half_width(level), found.half_width(terms.inner_level)
    elif judged.pair is not None:
        (d, outer), level = judged.pair, ONE_RUN_LEVEL
    more, more_upper = _runs_to_settle(judged, terms.barred_level)
    return _Answer(
        d=d,
        outer=outer,
        inner=inner,
        level=level if outer is not None else None,
        p=found.p if found is not None else None,
        verdict="undecided",
        reason=judged.barred,
        more=more,
        more_upper=more_upper,
        selected=False,
    )


def _decided(judged: _Judged, found: Difference, widths: tuple[float, float], *, selected: bool) -> tuple[Verdict, str]:
    """Return the verdict of a row of the family, and what is to be said beside it."""
    outer, inner = widths
    if judged.d_margin is not None and abs(found.d) + inner < judged.d_margin:
        return "unchanged", TOO_SMALL_NOTE if selected else ""
    if not selected:
        return "undecided", ""
    less = judged.d_margin is not None and abs(found.d) - outer < judged.d_margin
    return "changed", MAY_BE_LESS_NOTE if less else ""


def _answer(judged: _Judged, *, selected: bool, level: float, weight: float, terms: _Terms) -> _Answer:
    """Return the answer of a row of the family."""
    found = judged.found
    outer = None if found is None else found.half_width(level)
    inner = None if found is None else found.half_width(terms.inner_level)
    if found is None or outer is None or inner is None:
        raise ValueError("a row of the family has a difference with a spread")
    verdict, note = _decided(judged, found, (outer, inner), selected=selected)
    more, more_upper = None, None
    notes = [note, NO_FLOOR_NOTE if found.floor_se is None else ""]
    if verdict == "undecided":
        more, more_upper = _runs_to_settle(judged, min(weight * terms.q / terms.m, terms.q))
        notes.append(NO_MORE_NOTE if more is None else "")
    return _Answer(
        d=found.d,
        outer=outer,
        inner=inner,
        level=level,
        p=found.p,
        verdict=verdict,
        reason="; ".join(filter(None, notes)),
        more=more,
        more_upper=more_upper,
        selected=selected,
    )


def _ends(d: float | None, half: float | None) -> tuple[float | None, float | None]:
    return (None, None) if d is None or half is None else (d - half, d + half)


def _percent(measuring: Measuring, answer: _Answer, d_margin: float) -> PercentView | None:
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


def _axis(answer: _Answer, d_margin: float) -> Axis | None:
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


def _result(judged: _Judged, answer: _Answer, baseline: str) -> Result:
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


def _count_result(row: FamilyRow, baseline: str, candidate: str) -> Result:
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
        reason=COUNT_REASON if known else _absent_reason(row, (baseline, candidate)),
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


def verdicts(
    rows: Sequence[FamilyRow],
    *,
    baseline: str,
    candidates: Sequence[str],
    q: float = 0.05,
    looks: int = 1,
) -> Verdicts:
    """Judge every row for every candidate against the baseline, as one family.

    Parameters
    ----------
    rows : sequence of FamilyRow
    baseline : str
    candidates : sequence of str
    q : float
        False discovery rate before planned looks share it.
    looks : int
        Planned looks at the data, >= 1.

    Returns
    -------
    Verdicts
        A result for every row and candidate, rows of one candidate together.
    """
    rate = q / looks
    continuous = [row for row in rows if row.spec.scale != "count"]
    judged = [_judge(row, baseline, candidate) for candidate in candidates for row in continuous]
    family = [item for item in judged if item.in_family]
    chosen: Selection = select(
        [item.found.p for item in family if item.found is not None and item.found.p is not None],
        [item.row.focus for item in family],
        rate,
    )
    terms = _Terms(q=rate, m=len(family), looks=looks)
    answers: dict[tuple[str, str, str], Result] = {}
    for item, picked, level, weight in zip(family, chosen.selected, chosen.levels, chosen.weights, strict=True):
        answer = _answer(item, selected=picked, level=level, weight=weight, terms=terms)
        answers[item.candidate, item.row.spec.name, item.row.end] = _result(item, answer, baseline)
    for item in judged:
        if not item.in_family:
            key = item.candidate, item.row.spec.name, item.row.end
            answers[key] = _result(item, _barred_answer(item, terms), baseline)
    results = [
        _count_result(row, baseline, candidate)
        if row.spec.scale == "count"
        else answers[candidate, row.spec.name, row.end]
        for candidate in candidates
        for row in rows
    ]
    focus = tuple(dict.fromkeys(f"{row.spec.name}:{row.end}" for row in rows if row.focus))
    return Verdicts(
        results=tuple(results),
        family=Family(m=terms.m, focus=focus, q=rate, looks=looks, selected=sum(chosen.selected)),
    )
