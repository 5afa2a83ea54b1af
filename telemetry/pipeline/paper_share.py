"""How much of what a ride on paper expects came on the trail, of sag and travel together."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry import comparison
from telemetry.bench.paper.share import PLACES, Mixed, came, mixed
from telemetry.bench.paper.spread import Seen
from telemetry.model.prediction import LEVEL
from telemetry.model.share_came import ShareCame

from .comparing import run_values
from .conditions import Dates
from .paper_answers import OneRow
from .valuing import Valued

FEWEST_RUNS = 3
"""Of each setup, as of rows: two that are alike by luck would let any share look sure."""


def share_came(rows: Sequence[OneRow], found: Valued, names: tuple[str, str]) -> ShareCame | None:
    """Return how much of the expected change came; None where nothing clear is expected, or too few runs tell.

    Parameters
    ----------
    rows : sequence of OneRow
        Of the candidate, as ridden on paper.
    found : Valued
        What was measured.
    names : (baseline, candidate)
    """
    own = mixed({(row.spec.name, row.end): row.trials for row in rows if (row.spec.name, row.end) in PLACES})
    return None if own is None else _measured(own, found, names)


def _measured(own: Mixed, found: Valued, names: tuple[str, str]) -> ShareCame | None:
    dates = Dates(found.done.day)
    setups = [[dates.used(run.entry) for run in found.runs if run.entry.setup == name] for name in names]
    if min(len(runs) for runs in setups) < FEWEST_RUNS:
        return None
    first, second = ([run_values(found, at, runs) for at in own.weights] for runs in setups)
    told = comparison.mixed_difference(first, second, list(own.weights.values()))
    half = None if told is None else told.half_width(LEVEL)
    return None if told is None or half is None else came(own, Seen(told.d, half, told.nu))
