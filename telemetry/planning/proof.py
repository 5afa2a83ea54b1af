"""How many runs of each it takes to show an expected change, by how far a day's runs scatter."""

from __future__ import annotations

import math

from telemetry.model.plan import MOST_RUNS, RunsOf
from telemetry.statistics.runs_needed import runs_for_changed

from .spread import by_setup, pooled_spread

PROOF_LEVEL = 0.05
"""Of a row that is named before riding; own choice."""


def runs_to_show(runs: RunsOf, change: float, *, log: bool) -> int | None:
    """Return the fewest runs of each with an 80 % chance of "changed" when that is what truly changes.

    Parameters
    ----------
    runs : RunsOf
        A row's values of this day.
    change : float
        On the scale of comparison: a logarithm with `log`.
    log : bool

    Returns
    -------
    int or None
        None where the runs don't tell how far they scatter, or more than 30 would be needed.

    Examples
    --------
    >>> setups, minutes = ("a",) * 3, (1.0,) * 3
    >>> runs = RunsOf(source="own runs", setups=setups, orders=(1, 2, 3), values=(30.0, 31.0, 30.5), minutes=minutes)
    >>> runs_to_show(runs, 2.0, log=False), runs_to_show(runs, 0.05, log=False)
    (3, None)
    """
    spread = pooled_spread(by_setup(runs, log=log))
    if spread is None or spread.s == 0 or not math.isfinite(change):
        return None
    return runs_for_changed(spread.s, abs(change), PROOF_LEVEL, most=MOST_RUNS)
