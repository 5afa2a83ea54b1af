"""Whether the setups and runs make a comparison at all."""

from __future__ import annotations

from telemetry.model.conditions import ComparisonConditions
from telemetry.model.finding import ENDS, Finding
from telemetry.model.setup_keys import is_change
from telemetry.words import counted

from .pair import Pair, listed


def same_setup(pair: Pair) -> tuple[Finding, ...]:
    """Find a candidate of which no resolved value differs from the baseline."""
    baseline, candidate = pair.labels
    if pair.differences:
        return ()
    message = (
        f"{candidate} and {baseline} are the same on paper (0 settings differ, 1 is needed): whatever differs "
        "between their runs, no setting explains it; state what was changed in [setups]"
    )
    withheld = f"{candidate} and {baseline} are the same on paper"
    return (pair.finds("same_setup", message, withheld),)


def same_readings(pair: Pair) -> tuple[Finding, ...]:
    """Find runs that hold one ride twice: what looks like two runs that agree is one."""
    copies = [run.run for run in pair.runs if run.same_readings]
    if not copies:
        return ()
    message = (
        f"{listed(copies)} {'holds' if len(copies) == 1 else 'hold'} the readings of another run too (0 such runs are "
        "expected): one ride counted twice makes any interval too narrow; copy the right log, or leave one of them out"
    )
    return (pair.finds("same_readings", message, f"one ride counted twice ({listed(copies)})"),)


def false_readings(pair: Pair) -> tuple[Finding, ...]:
    """Find runs of which part of the readings is false."""
    runs = {run.run: run.false_readings for run in pair.runs if run.false_readings}
    if not runs:
        return ()
    named = listed(f"{run} ({', '.join(codes)})" for run, codes in runs.items())
    message = (
        f"part of the readings of {named} is false, and what it adds looks like a change (0 such runs are expected): "
        "ride again, leave such a run out, or let start_s and end_s keep that part out"
    )
    return (pair.finds("false_readings", message, f"false readings in {listed(runs)}"),)


def false_readings_at_an_end(pair: Pair) -> tuple[Finding, ...]:
    """Find runs of which part of one end's readings is false: its rows get no verdict, the other end's do."""
    found = []
    for end in ENDS:
        runs = {run.run: run.false_at[end] for run in pair.runs if run.false_at.get(end)}
        if not runs:
            continue
        named = listed(f"{run} ({', '.join(codes)})" for run, codes in runs.items())
        message = (
            f"the {end}'s readings of {named} are false in part, and what that adds looks like a change (0 such runs "
            f"are expected): no verdict at the {end}; ride again, or leave such a run out"
        )
        withheld = f"false readings of the {end} in {listed(runs)}"
        found.append(pair.finds("false_readings", message, withheld, end))
    return tuple(found)


def several_changes(pair: Pair) -> tuple[Finding, ...]:
    """Find a candidate that differs in more than one thing."""
    words = [row.words for row in pair.differences if is_change(row.key)]
    if len(words) < 2:
        return ()
    baseline, candidate = pair.labels
    message = (
        f"{candidate} differs from {baseline} in {len(words)} settings ({'; '.join(words)}): only 1 can be told apart "
        "at a time, so what changed belongs to all of them together; change one thing a day where the cause matters"
    )
    return (pair.finds("several_changes", message),)


def one_run_each(pair: Pair) -> tuple[Finding, ...]:
    """Find setups with fewer than two runs."""
    counts = len(pair.baseline_runs), len(pair.candidate_runs)
    if min(counts) >= 2:
        return ()
    ridden = " and ".join(
        f"{counted(number, 'run')} of {label}" for label, number in zip(pair.labels, counts, strict=True)
    )
    message = (
        f"{ridden} (2 of each are needed): what differs holds for these runs only, and nothing is decided; "
        "ride more of each"
    )
    return (pair.finds("one_run_each", message),)


def run_not_usable(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find runs of a compared setup that take no part, and ends that don't."""
    advice = "`telemetry check` says more, or ride again"
    return tuple(
        Finding(code="run_not_usable", message=f"{item.what} takes no part ({item.reason}); {advice}")
        for item in conditions.left_out
    )
