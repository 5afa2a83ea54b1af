"""Differences as they would be at equal ground speed: a second line beside the verdict, never in its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.comparison import FamilyRow, RunValue
from telemetry.model.second_looks import EqualSpeed
from telemetry.statistics.difference import FEWEST_SECTIONS
from telemetry.statistics.scale import in_shown_unit, shown_unit_of

from .values import sample_of, usable_values

FEWEST_RUNS = 3
_ONE_PERCENT = float(np.log(1.01))


def slope_within(measure: Floats, speed: Floats) -> float | None:
    """Return how a measure follows speed where neither a run's nor a section's own level counts.

    Parameters
    ----------
    measure, speed : float arrays, shape (runs, sections)

    Returns
    -------
    float or None
        ``sum(x y) / sum(x^2)`` of both double-centred; None where the speed of runs differs by the same everywhere.
    """
    y, x = (_double_centred(values) for values in (measure, speed))
    power = float((x**2).sum())
    return None if power <= 1e-12 * max(float((speed**2).sum()), 1e-300) else float((x * y).sum()) / power


def _double_centred(values: Floats) -> Floats:
    centred: Floats = values - values.mean(axis=1, keepdims=True) - values.mean(axis=0, keepdims=True) + values.mean()
    return centred


def equal_speed(row: FamilyRow, baseline: str, candidate: str, speeds_m_s: Mapping[str, Floats]) -> EqualSpeed | None:
    """Return a row's difference at equal ground speed; None where sections give no measure or no speed.

    Parameters
    ----------
    row : FamilyRow
    baseline, candidate : str
    speeds_m_s : mapping of run to float array, shape (S,)
        Mean ground speed within each kept section, m/s, above 0; NaN where it isn't known.

    Notes
    -----
    Speed enters by its logarithm. The setup may itself be why it was ridden faster: then this line takes away what
    the change brought.
    """
    scale = row.spec.scale
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    known = [run for run in (*runs_a, *runs_b) if run.run.run in speeds_m_s]
    if scale == "count" or not runs_a or not runs_b or len(known) < max(FEWEST_RUNS, len(runs_a) + len(runs_b)):
        return None
    a, b = sample_of(runs_a, scale), sample_of(runs_b, scale)
    speed = np.log(_stacked(known, speeds_m_s))
    measure = np.vstack([a.sections, b.sections])
    whole = np.isfinite(measure).all(axis=0) & np.isfinite(speed).all(axis=0)
    if np.count_nonzero(whole) < FEWEST_SECTIONS:
        return None
    beta = slope_within(measure[:, whole], speed[:, whole])
    if beta is None:
        return None
    means = speed[:, whole].mean(axis=1)
    faster = float(means[len(runs_a) :].mean() - means[: len(runs_a)].mean())
    d = float(b.values.mean() - a.values.mean())
    return EqualSpeed(
        candidate=candidate,
        measure=row.spec.name,
        end=row.end,
        unit=shown_unit_of(row.spec),
        difference=in_shown_unit(d, scale),
        at_equal_speed=in_shown_unit(d - beta * faster, scale),
        per_percent=in_shown_unit(beta * _ONE_PERCENT, scale),
        speed_difference_percent=100 * float(np.expm1(faster)),
    )


def _stacked(runs: Sequence[RunValue], speeds_m_s: Mapping[str, Floats]) -> Floats:
    speeds = np.vstack([speeds_m_s[run.run.run] for run in runs])
    return np.where(speeds > 0, speeds, np.nan)
