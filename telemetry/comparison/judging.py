"""One row of one candidate on its scale: its difference, or why it takes no part in the family."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from telemetry.model.comparison import FamilyRow, RunValue
from telemetry.statistics.difference import (
    DOES_NOT_VARY,
    Difference,
    Sample,
    day_columns,
    difference,
    section_differences,
    section_floor,
)
from telemetry.statistics.scale import Measuring, margin

from .estimate import Estimate

ONE_RUN_LEVEL = 0.05
SAME_TRAVEL_MM = 0.05
ORDER_REASON = "can't tell the change from the order ridden"
DAY_REASON = "can't tell the change from the day ridden"
SECTIONS_REASON = "fewer than 5 trail sections in which every run has a value"
ONE_RUN_REASON = "one run of each: this holds only for this pair of runs"
FEW_RUNS_REASON = "fewer than two runs of one setup"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One row of one candidate on its scale, before the family is known.

    Attributes
    ----------
    baseline_value, candidate_value : float or None
        In the measure's unit: mean, geometric mean on the log scale, events a minute for counts.
    found : Estimate or None
    barred : str
        Reason; empty for rows of the family.
    pair : (d, half-width) or None
        One run of each: difference and half-width between sections.
    in_mm : Difference or None
        The same in mm of wheel travel, for shares of full travel where that differs between the setups.
    """

    row: FamilyRow
    candidate: str
    baseline_runs: tuple[RunValue, ...]
    candidate_runs: tuple[RunValue, ...]
    measuring: Measuring | None
    baseline_value: float | None
    candidate_value: float | None
    d_margin: float | None
    found: Estimate | None
    barred: str
    pair: tuple[float, float | None] | None = None
    in_mm: Difference | None = None

    @property
    def in_family(self) -> bool:
        """Whether the row counts among the family's tests."""
        return not self.barred and self.found is not None and self.found.p is not None


def usable_values(row: FamilyRow, setup: str) -> tuple[RunValue, ...]:
    """Return a setup's runs that have the measure; on the log scale only values above 0."""
    return tuple(
        run
        for run in row.runs
        if run.run.setup == setup and run.value is not None and (row.spec.scale != "log" or run.value > 0)
    )


def absent_reason(row: FamilyRow, setups: Sequence[str]) -> str:
    """Return why a row has no value in some run of these setups."""
    for setup in setups:
        if all(run.run.setup != setup for run in row.runs):
            return f"no usable run of {setup}"
    for run in row.runs:
        if run.run.setup in setups and run.value is None and run.reason:
            return run.reason
        if run.run.setup in setups and run.value is not None and row.spec.scale == "log" and run.value <= 0:
            return "a value of zero or less has no percent change"
    return FEW_RUNS_REASON


def sample_of(runs: tuple[RunValue, ...], scale: str | None) -> Sample:
    """Return runs on the scale of comparison."""
    values = np.array([run.value for run in runs], dtype=float)
    sections = np.array([run.sections for run in runs], dtype=float)
    if scale == "log":
        values = np.log(values)
        with np.errstate(divide="ignore", invalid="ignore"):
            sections = np.where(sections > 0, np.log(np.where(sections > 0, sections, 1.0)), np.nan)
    orders = np.array([run.run.order_in_day or run.run.order for run in runs], dtype=float)
    days = np.array([run.run.day for run in runs], dtype=float)
    return Sample(values=values, orders=orders, sections=sections, days=days)


def _centre(sample: Sample, scale: str | None) -> float:
    mean = float(sample.values.mean())
    return math.exp(mean) if scale == "log" else mean


def _barred(found: Difference | None, *, two_days: bool) -> str:
    if found is None:
        return DAY_REASON if two_days else ORDER_REASON
    if found.confounded:
        return ORDER_REASON
    if found.se == 0:
        return DOES_NOT_VARY
    if found.floor_se is None and found.fewest == 2:
        return SECTIONS_REASON
    return ""


def judge(row: FamilyRow, baseline: str, candidate: str) -> Judged:
    """Return what a continuous row says of a candidate against the baseline, and what bars it from the family.

    Parameters
    ----------
    row : FamilyRow
    baseline, candidate : str
    """
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    scale = row.spec.scale or "raw"

    def judged(
        barred: str,
        *,
        measuring: Measuring | None = None,
        centre: float | None = None,
        found: Difference | None = None,
        pair: tuple[float, float | None] | None = None,
    ) -> Judged:
        at = measuring.centre if measuring else 1.0
        return Judged(
            row=row,
            candidate=candidate,
            baseline_runs=runs_a,
            candidate_runs=runs_b,
            measuring=measuring,
            baseline_value=measuring.centre if measuring else None,
            candidate_value=centre,
            d_margin=margin(row.smallest_change, scale, at) if measuring else None,
            found=found,
            barred=barred,
            pair=pair,
        )

    a, b = sample_of(runs_a, row.spec.scale), sample_of(runs_b, row.spec.scale)
    measuring = Measuring(scale=scale, centre=_centre(a, row.spec.scale)) if runs_a else None
    centre = _centre(b, row.spec.scale) if runs_b else None
    if not runs_a or not runs_b:
        return judged(absent_reason(row, (baseline, candidate)), measuring=measuring, centre=centre)
    fewest = min(len(a), len(b))
    if fewest < 2:
        reason = ONE_RUN_REASON if len(a) == len(b) == 1 else FEW_RUNS_REASON
        return judged(reason, measuring=measuring, centre=centre, pair=_pair(row, a, b))
    found = difference(a, b)
    answer = judged(
        _barred(found, two_days=day_columns(a, b).shape[1] > 0), measuring=measuring, centre=centre, found=found
    )
    full_a, full_b = row.full_travel_mm.get(baseline), row.full_travel_mm.get(candidate)
    if full_a is None or full_b is None or abs(full_a - full_b) <= SAME_TRAVEL_MM:
        return answer
    return replace(answer, in_mm=difference(a.times(full_a / 100), b.times(full_b / 100)))


def _pair(row: FamilyRow, a: Sample, b: Sample) -> tuple[float, float | None]:
    """Return difference and half-width of the one-run rule: spread between trail sections.

    Notes
    -----
    The difference is the mean over sections, but for rows whose sections hold another measure: there it is that of
    the runs.
    """
    floor = section_floor(a, b)
    if floor is None or row.spec.spread_of:
        d = float(b.values.mean() - a.values.mean())
    else:
        d = float(section_differences(a, b).mean())
    return d, None if floor is None else -float(special.stdtrit(floor[1], ONE_RUN_LEVEL / 2)) * floor[0]
