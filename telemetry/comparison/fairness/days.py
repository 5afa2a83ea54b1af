"""When the runs were ridden: on which day, and in which order."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from fractions import Fraction

from telemetry.model.conditions import RunConditions
from telemetry.model.finding import Finding
from telemetry.statistics.order_ridden import SHIFT_LIMIT, confounded, far_apart, mean_shift, never_taken_turns
from telemetry.words import counted, figure

from .pair import Pair, listed


def _dates(runs: tuple[RunConditions, ...]) -> list[date]:
    return sorted({run.date for run in runs})


def day_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find setups of which no date saw both: the change can't be told from the day.

    Notes
    -----
    ``y ~ 1 + setup + day`` tells the two apart exactly where one date saw both setups; then the day is fitted.
    """
    baseline, candidate = pair.labels
    days = _dates(pair.baseline_runs), _dates(pair.candidate_runs)
    if not all(days) or set(days[0]) & set(days[1]):
        return ()
    ridden = [f"{name} on {listed(day.isoformat() for day in of)}" for name, of in zip(pair.labels, days, strict=True)]
    message = (
        f"{ridden[0]}, {ridden[1]} (0 days saw both, 1 is needed): the change can't be told from the day; "
        f"bring what {baseline} had and ride it on the second day too"
    )
    withheld = f"{candidate} and {baseline} were ridden on different days"
    return (pair.finds("day_differs", message, withheld),)


def _shift(pair: Pair) -> Fraction:
    """Return the candidate's mean place less the baseline's; within the day where several were ridden on."""
    one_day = len(_dates(pair.runs)) == 1
    places = (
        [run.order if one_day else run.order_in_day for run in runs]
        for runs in (pair.baseline_runs, pair.candidate_runs)
    )
    return mean_shift(*places)


def _never_taken_turns(pair: Pair) -> bool:
    """Tell whether on every date all runs of one setup came before all runs of the other."""
    setups: defaultdict[date, list[str]] = defaultdict(list)
    for run in pair.runs:
        setups[run.date].append(run.setup)
    return all(never_taken_turns(of) for of in setups.values())


def order_confounded(pair: Pair) -> tuple[Finding, ...]:
    """Find a candidate that was ridden more than one place earlier or later than the baseline on average."""
    if not (pair.baseline_runs and pair.candidate_runs):
        return ()
    shift, (baseline, candidate) = _shift(pair), pair.labels
    if not far_apart(shift):
        return ()
    fewest = min(len(pair.baseline_runs), len(pair.candidate_runs))
    if confounded(fewest, shift):
        then = f"with {counted(fewest, 'run')} of a setup the change can't be told from the order ridden"
    elif _never_taken_turns(pair):
        then = "a straight drift is taken out, but the day's drift can't be told apart beyond this"
    else:
        then = "a straight drift is taken out, which costs certainty"
    message = (
        f"{candidate} was ridden {figure(abs(float(shift)), 1)} places {'later' if shift > 0 else 'earlier'} than "
        f"{baseline} on average (limit {SHIFT_LIMIT:g}): {then}; ride A B B A or A B B A A B"
    )
    return (pair.finds("order_confounded", message),)
