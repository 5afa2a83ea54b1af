"""One row of one candidate on its scale: its difference, or why it takes no part in the family."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from telemetry.model.catalogue import share_of
from telemetry.model.comparison import SECTIONS_UNSEEN, FamilyRow, RunValue
from telemetry.model.day import SAME_TRAVEL_MM
from telemetry.model.interval import Interval, about
from telemetry.statistics.counting import FEWEST_EVENTS, Counted, RateRatio, rate_ratio
from telemetry.statistics.difference import (
    DOES_NOT_VARY,
    FEWEST_SECTIONS,
    Difference,
    Sample,
    difference,
    riding_of,
    section_floor,
)
from telemetry.statistics.earlier_days import Borrowed
from telemetry.statistics.least_squares import mean_of
from telemetry.statistics.order_ridden import FEW_RUNS, far_apart, mean_shift
from telemetry.statistics.scale import Measuring, margin

from .values import FEW_RUNS_REASON, absent_reason, sample_of, usable_values

Estimate: TypeAlias = Difference | RateRatio
ONE_RUN_LEVEL = 0.05
ORDER_REASON = "can't tell the change from the order ridden"
DAY_REASON = "can't tell the change from the day ridden"
SECTIONS_REASON = f"fewer than {FEWEST_SECTIONS} trail sections in which every run has a value"
UNEVEN_RUNS = 4
"""With two runs of one setup and so many of the other the pooled spread is the other's. Own choice."""
ONE_RUN_REASON = "one run of each: this holds only for this pair of runs"
NO_FLOOR_NOTE = f"{SECTIONS_UNSEEN}: fewer than {FEWEST_SECTIONS} of them have a value in every run"
ONE_WAY_NOTE = "ridden one way: the day's drift can't be told apart beyond the straight line taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One row of one candidate on its scale, before the family is known.

    Attributes
    ----------
    measuring : Measuring or None
        None where the baseline has no value.
    baseline_value, candidate_value : float or None
        In the measure's unit: mean, geometric mean on the log scale, events a minute for counts; the fitted ones where
        a drift or a day is taken out.
    d_margin : float or None
        The smallest change that matters.
    found : Estimate or None
    barred : str
        Reason; empty for rows of the family.
    notes : tuple of str
        What a verdict has to say of the fit behind it.
    pair : (d, interval) or None
        Where a setup has one run: difference of the runs, and its interval by the spread between sections.
    """

    row: FamilyRow
    candidate: str
    baseline_runs: tuple[RunValue, ...]
    candidate_runs: tuple[RunValue, ...]
    measuring: Measuring | None
    baseline_value: float | None
    candidate_value: float | None
    d_margin: float | None
    found: Estimate | None = None
    barred: str = ""
    notes: tuple[str, ...] = ()
    pair: tuple[float, Interval | None] | None = None

    @property
    def p(self) -> float | None:
        """Two-sided p by which the row takes part in the family; None where it takes none."""
        return None if self.barred or self.found is None else self.found.p

    @property
    def d(self) -> float | None:
        """Candidate minus baseline on the scale of comparison."""
        return self.found.d if self.found is not None else None if self.pair is None else self.pair[0]

    def interval(self, level: float, inner_level: float) -> Interval | None:
        """Return the interval at a level, the inner one in it; between sections where a setup has one run."""
        if self.found is None:
            return None if self.pair is None else self.pair[1]
        inner = about(self.found.d, self.found.half_width(inner_level), inner_level)
        return about(self.found.d, self.found.half_width(level), level, inner)


def judge(row: FamilyRow, baseline: str, candidate: str, borrowed: Borrowed | None = None) -> Judged:
    """Return what a row says of a candidate against the baseline, and what bars it from the family.

    Parameters
    ----------
    row : FamilyRow
    baseline, candidate : str
    borrowed : Borrowed, optional
        What earlier days say of the row's spread; counts borrow none.
    """
    if row.spec.scale == "count":
        return _judge_counts(row, baseline, candidate)
    return _judge_values(row, baseline, candidate, borrowed)


def compares(row: FamilyRow, baseline: str, candidate: str) -> bool:
    """Tell whether a row is one of this candidate's: mm of travel are compared only where full travel differs."""
    if share_of(row.spec.name) is None:
        return True
    full_a, full_b = row.full_travel_mm.get(baseline, 0.0), row.full_travel_mm.get(candidate, 0.0)
    return abs(full_a - full_b) > SAME_TRAVEL_MM


def _centre(sample: Sample, scale: str | None) -> float | None:
    if not len(sample):
        return None
    mean = mean_of(sample.values)
    return math.exp(mean) if scale == "log" else mean


def uneven_reason(fewest: int, most: int) -> str:
    """Return why so few runs against so many decide nothing."""
    return f"{fewest} runs against {most}: ride more of it"


def _barred(found: Difference | None, a: Sample, b: Sample) -> str:
    if found is None:
        return DAY_REASON if riding_of(a.ridden, b.ridden).several_days else ORDER_REASON
    if found.confounded:
        return ORDER_REASON
    if found.fewest <= FEW_RUNS and found.most >= UNEVEN_RUNS:
        return uneven_reason(found.fewest, found.most)
    if found.se == 0:
        return DOES_NOT_VARY
    lacks = found.floor is None and found.fewest <= FEW_RUNS and found.borrowed is None
    return SECTIONS_REASON if lacks else ""


def _judge_values(row: FamilyRow, baseline: str, candidate: str, borrowed: Borrowed | None) -> Judged:
    scale = row.spec.scale or "raw"
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    a, b = sample_of(runs_a, scale), sample_of(runs_b, scale)
    centre, other = _centre(a, scale), _centre(b, scale)
    d_margin = None if centre is None else margin(row.smallest_change, scale, centre)
    found, pair = None, None
    if centre is None or other is None:
        barred = absent_reason(row, (baseline, candidate))
    elif min(len(a), len(b)) == 1:
        barred, pair = ONE_RUN_REASON if len(a) == len(b) else FEW_RUNS_REASON, _pair(a, b)
    else:
        found = difference(a, b, borrowed)
        barred = _barred(found, a, b)
    if found is not None:  # values and difference are of one fit
        centre, other = (math.exp(level) if scale == "log" else level for level in found.levels)
    return Judged(
        row=row,
        candidate=candidate,
        baseline_runs=runs_a,
        candidate_runs=runs_b,
        measuring=None if centre is None else Measuring(scale=scale, centre=centre),
        baseline_value=centre,
        candidate_value=other,
        d_margin=d_margin,
        found=found,
        barred=barred,
        notes=() if found is None else _notes(found),
        pair=pair,
    )


def _notes(found: Difference) -> tuple[str, ...]:
    notes = {NO_FLOOR_NOTE: found.floor is None, ONE_WAY_NOTE: found.one_after_the_other}
    return tuple(note for note, holds in notes.items() if holds)


def _pair(a: Sample, b: Sample) -> tuple[float, Interval | None]:
    """Return difference and interval where a setup has one run: of the runs, by the spread between trail sections."""
    d, floor = float(b.values.mean() - a.values.mean()), section_floor(a, b)
    return d, None if floor is None else about(d, floor.half_width(ONE_RUN_LEVEL), ONE_RUN_LEVEL)


def few_events_reason(events: int) -> str:
    """Return why so few events decide nothing."""
    return f"{events} events in all, at least {FEWEST_EVENTS} needed"


def _counted(runs: Sequence[RunValue]) -> Counted | None:
    """Return a setup's runs as counts; None without riding time."""
    ridden = [run for run in runs if run.count is not None and run.minutes > 0]
    if not ridden:
        return None
    return Counted(events=tuple(run.count or 0 for run in ridden), minutes=tuple(run.minutes for run in ridden))


def _counts_barred(found: RateRatio, runs_a: Sequence[RunValue], runs_b: Sequence[RunValue]) -> str:
    if min(found.runs) < 2:
        return ONE_RUN_REASON if found.runs == (1, 1) else FEW_RUNS_REASON
    if found.events < FEWEST_EVENTS:
        return few_events_reason(found.events)
    if far_apart(mean_shift([run.run.order for run in runs_a], [run.run.order for run in runs_b])):
        return ORDER_REASON
    # totals of several days have no term for the day
    return DAY_REASON if len({run.run.day for run in (*runs_a, *runs_b)}) > 1 else ""


def _judge_counts(row: FamilyRow, baseline: str, candidate: str) -> Judged:
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    a, b = _counted(runs_a), _counted(runs_b)
    found = None if a is None or b is None else rate_ratio(a, b)
    return Judged(
        row=row,
        candidate=candidate,
        baseline_runs=runs_a,
        candidate_runs=runs_b,
        measuring=None if a is None else Measuring(scale="count", centre=a.raised_rate),
        baseline_value=None if a is None else a.rate,
        candidate_value=None if b is None else b.rate,
        d_margin=margin(row.smallest_change, "count", 1.0),
        found=found,
        barred=absent_reason(row, (baseline, candidate)) if found is None else _counts_barred(found, runs_a, runs_b),
    )
