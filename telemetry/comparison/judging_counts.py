"""One row of rare events of one candidate: its rates, their difference, or why it takes no part in the family."""

from __future__ import annotations

from telemetry.model.comparison import FamilyRow, RunValue
from telemetry.statistics.counting import FEWEST_EVENTS, Counted, RateRatio, rate_ratio
from telemetry.statistics.difference import SHIFT_LIMIT, mean_shift
from telemetry.statistics.scale import Measuring, margin

from .judging import DAY_REASON, FEW_RUNS_REASON, ONE_RUN_REASON, ORDER_REASON, Judged, absent_reason, usable_values


def few_events_reason(events: int) -> str:
    """Return why so few events decide nothing."""
    return f"{events} events in all, at least {FEWEST_EVENTS} needed"


def _counted(runs: tuple[RunValue, ...]) -> Counted | None:
    """Return a setup's runs as counts; None without riding time."""
    ridden = [run for run in runs if run.count is not None and run.minutes > 0]
    if not ridden:
        return None
    return Counted(events=tuple(run.count or 0 for run in ridden), minutes=tuple(run.minutes for run in ridden))


def _barred(found: RateRatio, shift: float) -> str:
    if min(found.runs) < 2:
        return ONE_RUN_REASON if found.runs == (1, 1) else FEW_RUNS_REASON
    if found.events < FEWEST_EVENTS:
        return few_events_reason(found.events)
    return ORDER_REASON if abs(shift) > SHIFT_LIMIT else ""


def judge_counts(row: FamilyRow, baseline: str, candidate: str) -> Judged:
    """Return what a row of rare events says of a candidate against the baseline, and what bars it from the family.

    Parameters
    ----------
    row : FamilyRow
        On the count scale.
    baseline, candidate : str
    """
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    a, b = _counted(runs_a), _counted(runs_b)
    found, barred = None, absent_reason(row, (baseline, candidate))
    if a is not None and b is not None:
        found = rate_ratio(a, b)
        barred = _barred(found, mean_shift([run.run.order for run in runs_a], [run.run.order for run in runs_b]))
        if len({run.run.day for run in (*runs_a, *runs_b)}) > 1:
            barred = barred or DAY_REASON  # totals of two days have no term for the day
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
        barred=barred,
    )
