"""Rows weighed into one number a run, compared as any row is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.comparison import RunValue
from telemetry.statistics.difference import Difference, difference

from .values import sample_of


def mixed_difference(
    baseline: Sequence[Sequence[RunValue]], candidate: Sequence[Sequence[RunValue]], weights: Sequence[float]
) -> Difference | None:
    """Return the difference of rows weighed into one; None where a run lacks one, or the order ridden hides it.

    Parameters
    ----------
    baseline, candidate : sequences of run values
        A row each, all in one unit; the same runs in each.
    weights : sequence of float
        Of each row.
    """
    if any(run.value is None for rows in (baseline, candidate) for row in rows for run in row):
        return None
    first, second = (
        sample_of([_one(runs, weights) for runs in zip(*rows, strict=True)], "raw") for rows in (baseline, candidate)
    )
    found = difference(first, second) if min(len(first), len(second)) > 1 else None
    return None if found is None or found.confounded else found


def _one(runs: Sequence[RunValue], weights: Sequence[float]) -> RunValue:
    values = np.array([run.value for run in runs], dtype=float)
    sections = np.array([run.sections for run in runs], dtype=float)
    return RunValue(run=runs[0].run, value=float(np.array(weights) @ values), sections=np.array(weights) @ sections)
