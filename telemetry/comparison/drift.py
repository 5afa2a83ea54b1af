"""Drift through the day: what is told of it, and how far it could have moved a difference."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy import special

from telemetry.model.comparison import FamilyRow
from telemetry.model.second_looks import Drift
from telemetry.statistics.difference import design_of, least_squares, order_shift
from telemetry.statistics.scale import in_shown_unit, shown_unit_of

from .judging import sample_of, usable_values

FEWEST_RUNS = 5
LEVEL = 0.10


def drift(row: FamilyRow, baseline: str, candidate: str) -> Drift | None:
    """Return a measure's slope per run with its 90 % interval; None for counts, and under 5 runs.

    Parameters
    ----------
    row : FamilyRow
    baseline, candidate : str

    Notes
    -----
    Ordinary least squares on setup and order ridden, fitted whether or not the verdict's own fit has the order in it.
    "No drift seen" is no evidence of none: the order ridden is the protection.
    """
    scale = row.spec.scale
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    if scale == "count" or min(len(runs_a), len(runs_b)) < 1 or len(runs_a) + len(runs_b) < FEWEST_RUNS:
        return None
    a, b = sample_of(runs_a, scale), sample_of(runs_b, scale)
    fit = least_squares(np.concatenate([a.values, b.values]), design_of(a, b, with_order=True))
    if fit is None:
        return None
    coefficients, errors, _, nu = fit
    half = -float(special.stdtrit(nu, LEVEL / 2)) * float(errors[2])
    slope, shift = float(coefficients[2]), order_shift(a, b)
    low, high = slope - half, slope + half
    return Drift(
        candidate=candidate,
        measure=row.spec.name,
        end=row.end,
        unit=shown_unit_of(row.spec),
        slope=in_shown_unit(slope, scale),
        low=in_shown_unit(low, scale),
        high=in_shown_unit(high, scale),
        order_shift=shift,
        could_move=in_shown_unit(abs(shift) * max(abs(low), abs(high)), scale),
    )


def drifts(rows: Sequence[FamilyRow], baseline: str, candidates: Sequence[str]) -> tuple[Drift, ...]:
    """Return the drift of every row and candidate where it can be told."""
    found = (drift(row, baseline, candidate) for candidate in candidates for row in rows)
    return tuple(item for item in found if item is not None)
