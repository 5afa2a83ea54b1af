"""How many times each setup was put on: pressure set by hand, oil measured, a sensor remounted, each time anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence

from telemetry.model.conditions import RiddenRun
from telemetry.model.finding import Finding
from telemetry.statistics import order_ridden
from telemetry.words import counted

from .pair import Pair, listed

FEWEST = 2
FEW_RUNS = 2
"""From so many runs of a setup on, putting it on once is told: with one run there is nothing else."""


def times_put_on(ridden: Sequence[RiddenRun], taking_part: Collection[str]) -> dict[str, int]:
    """Return how many times each setup was put on.

    Parameters
    ----------
    ridden : sequence of RiddenRun
        All runs of the day in the order ridden: another setup's run, left out or not, means a change in between.
    taking_part : collection of str
        Runs that are compared; a stretch in which none of them lies tells nothing.

    Returns
    -------
    dict of setup to int
    """
    return order_ridden.times_put_on([run.setup.name for run in ridden], [run.run in taking_part for run in ridden])


def put_on_once(pair: Pair) -> tuple[Finding, ...]:
    """Find a setup that was put on a single time and ridden twice or more: the error of that setting isn't seen."""
    times = times_put_on(pair.ridden, {run.run for run in pair.runs})
    runs = Counter(run.setup for run in pair.runs)
    once = [name for name in pair.names if times.get(name) == 1 and runs[name] >= FEW_RUNS]
    if not once:
        return ()
    labels = dict(zip(pair.names, pair.labels, strict=True))
    told = listed(f"{labels[name]} was put on once for its {counted(runs[name], 'run')}" for name in once)
    other = next((f", {labels[name]} {counted(times[name], 'time')}" for name in labels if times.get(name, 0) > 1), "")
    message = (
        f"{told}{other} (at least {FEWEST} times each are needed): the error of that one setting stands in the "
        "difference; ride in rounds, as A B B A A B, and set everything anew each time"
    )
    return (pair.finds("put_on_once", message),)
