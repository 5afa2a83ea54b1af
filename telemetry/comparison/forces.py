"""Spring and damper of restoring-force maps, candidate against baseline: told beside the verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np

from telemetry.model.comparison import RunValue
from telemetry.model.finding import ENDS, End
from telemetry.model.force import BAND_LEVEL, TOLD_DEPTHS_PCT, TOLD_SPEEDS_M_S, ForceMap, RunForces
from telemetry.model.interval import about
from telemetry.model.second_looks import ForceDifference
from telemetry.statistics.difference import difference
from telemetry.statistics.scale import in_shown_unit

from .values import sample_of

FEWEST_RUNS = 2
MODEL_SHARE, MODEL_LOG = 0.4, 0.03
"""What runs' scatter doesn't show, of a difference and of nothing: maps of one day share a rider's body whose misfit
takes a fifth to a third off a difference on simulated natural trails. Own choice."""


def _force(found: ForceMap, force: str, at: float) -> float | None:
    """Return how hard a map's damper resists, or its spring carries, N per kg; None where it isn't told or pulls."""
    value = found.spring_at(at) if force == "spring" else found.damper.value_at(at)
    if value is None:
        return None
    against = value if force == "spring" or at > 0 else -value
    return against if against > 0 else None


def _values(runs: Sequence[RunForces], setup: str, end: End, force: str, at: float) -> list[RunValue]:
    maps = [
        (run.run, found)
        for run in runs
        for found in run.maps
        if run.run.setup == setup and found.end == end and isinstance(found, ForceMap)
    ]
    values = [(run, _force(found, force, at)) for run, found in maps]
    return [RunValue(run=run, value=value, sections=np.empty(0)) for run, value in values if value is not None]


def force_differences(
    runs: Sequence[RunForces], *, baseline: str, candidates: Sequence[str]
) -> tuple[ForceDifference, ...]:
    """Return how spring and damper of each end differ, wherever both setups were ridden so fast, or so deep.

    Parameters
    ----------
    runs : sequence of RunForces
    baseline : str
    candidates : sequence of str

    Notes
    -----
    Of the logarithm of a force, runs as replicates, as measures on the log scale; 90 % intervals each by itself, not
    widened for their number: they decide nothing. A share of the difference is added for what the maps have in common.
    """
    forces = [*product(("damper",), TOLD_SPEEDS_M_S), *product(("spring",), TOLD_DEPTHS_PCT)]
    found = []
    for candidate, end, (force, at) in product(candidates, ENDS, forces):
        before, after = (_values(runs, setup, end, force, at) for setup in (baseline, candidate))
        if before and after:
            found.append(_difference((before, after), candidate, end, (force, at)))
    return tuple(found)


def _difference(
    values: tuple[list[RunValue], list[RunValue]], candidate: str, end: End, where: tuple[str, float]
) -> ForceDifference:
    before, after = (sample_of(runs, "log") for runs in values)
    enough = min(len(before), len(after)) >= FEWEST_RUNS
    judged = difference(before, after) if enough else None
    levels = (float(before.values.mean()), float(after.values.mean())) if judged is None else judged.levels
    apart = levels[1] - levels[0]
    scatter = None if judged is None else judged.half_width(BAND_LEVEL)
    half = None if scatter is None else float(np.hypot(scatter, MODEL_LOG + MODEL_SHARE * abs(apart)))
    interval = None if judged is None else about(apart, half, BAND_LEVEL)
    return ForceDifference(
        candidate=candidate,
        end=end,
        force="spring" if where[0] == "spring" else "damper",
        at=where[1],
        baseline_value=float(np.exp(levels[0])),
        candidate_value=float(np.exp(levels[1])),
        difference=in_shown_unit(apart, "log"),
        interval=interval and interval.map(lambda value: in_shown_unit(value, "log")),
        n_baseline=len(before),
        n_candidate=len(after),
    )
