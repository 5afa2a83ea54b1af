"""Which runs of a row have a value to be judged by, and those values on the scale of comparison."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.comparison import FamilyRow, RunValue
from telemetry.statistics.difference import Sample

FEW_RUNS_REASON = "fewer than two runs of one setup"


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


def sample_of(runs: Sequence[RunValue], scale: str | None) -> Sample:
    """Return runs on the scale of comparison."""
    values = np.array([run.value for run in runs], dtype=float)
    sections = np.array([run.sections for run in runs], dtype=float)
    if scale == "log":
        values, sections = np.log(values), np.log(np.where(sections > 0, sections, np.nan))
    orders = np.array([run.run.order_in_day or run.run.order for run in runs], dtype=float)
    days = np.array([run.run.day for run in runs], dtype=float)
    return Sample(values=values, orders=orders, sections=sections, days=days)
