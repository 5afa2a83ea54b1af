"""What speaks against a comparison being like for like."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from telemetry.model.comparison import FairnessFinding, SetupDifference, UsedRun, Verdicts

from .result import with_sentence

NOT_JUDGED = (
    "ground speed, temperature, pressures, levers, riders and geometry of the runs aren't judged in this version: "
    "look at what was noted on the day"
)


def fairness(
    differences: Mapping[str, Sequence[SetupDifference]],
    used: Sequence[UsedRun],
    baseline: str,
    unusable: Mapping[str, str],
) -> tuple[tuple[FairnessFinding, ...], dict[str, str]]:
    """Return what speaks against the comparison, and which candidates' verdicts that forbids.

    Parameters
    ----------
    differences : mapping of candidate to its differences from the baseline
    used : sequence of UsedRun
    baseline : str
    unusable : mapping of run to the reason it takes no part

    Returns
    -------
    findings : tuple of FairnessFinding
    withheld : dict of candidate to reason
    """
    found: list[FairnessFinding] = []
    withheld: dict[str, str] = {}
    counts = {name: sum(run.setup == name for run in used) for name in (baseline, *differences)}
    for candidate, differing in differences.items():
        if not differing:
            message = (
                f"{candidate} and {baseline} are the same on paper (0 settings differ, 1 is needed): whatever differs "
                "between their runs, no setting explains it; state what was changed in [setups]"
            )
            found.append(FairnessFinding(severity="error", code="same_setup", message=message))
            withheld[candidate] = f"same_setup: {candidate} and {baseline} are the same on paper"
        if counts[baseline] == counts[candidate] == 1:
            message = (
                f"one run of {baseline} and one of {candidate} (2 of each are needed): what differs holds for this "
                "pair of runs only; ride more of each"
            )
            found.append(FairnessFinding(severity="warning", code="one_run_each", message=message))
    for run, reason in unusable.items():
        message = f"{run} takes no part ({reason}); `telemetry check` says more, or ride again"
        found.append(FairnessFinding(severity="warning", code="run_not_usable", message=message))
    found.append(FairnessFinding(severity="note", code="not_all_judged", message=NOT_JUDGED))
    return tuple(found), withheld


def without_verdicts(verdicts: Verdicts, withheld: Mapping[str, str]) -> Verdicts:
    """Return the same numbers with the verdicts of some candidates withheld, each with its reason."""
    results = tuple(
        with_sentence(replace(result, verdict=None, reason=withheld[result.candidate]))
        if result.candidate in withheld
        else result
        for result in verdicts.results
    )
    return replace(verdicts, results=results)
