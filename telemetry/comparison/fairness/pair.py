"""One candidate beside the baseline, and the small sums every judgement needs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from telemetry.model.comparison import SetupDifference
from telemetry.model.conditions import ComparisonConditions, RiddenRun, RunConditions, SetupConditions
from telemetry.model.finding import End, Finding

SAME = 1e-9
"""Shares and figures this close to a limit are on it: two spellings of one figure differ by rounding alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A candidate and the baseline with the runs of each that take part; `ridden` are all runs of the day."""

    baseline: SetupConditions
    candidate: SetupConditions
    baseline_runs: tuple[RunConditions, ...]
    candidate_runs: tuple[RunConditions, ...]
    differences: tuple[SetupDifference, ...]
    ridden: tuple[RiddenRun, ...]

    @property
    def names(self) -> tuple[str, str]:
        """Baseline's and candidate's name."""
        return self.baseline.setup.name, self.candidate.setup.name

    @property
    def labels(self) -> tuple[str, str]:
        """What baseline and candidate are called: a sheet is read by those who never saw the day's file."""
        return self.baseline.setup.label, self.candidate.setup.label

    @property
    def runs(self) -> tuple[RunConditions, ...]:
        """Runs of both, in the order ridden."""
        return tuple(sorted((*self.baseline_runs, *self.candidate_runs), key=lambda run: run.order))

    def finds(self, code: str, message: str, withheld: str = "", end: End | None = None) -> Finding:
        """Return a finding about this candidate; an error that withholds its verdicts (at that end)."""
        made = Finding(code=code, message=message, candidate=self.names[1], withheld=withheld, end=end)
        return replace(made, severity="error") if withheld else made

    def means(self, value: Callable[[RunConditions], float | None]) -> tuple[float, float] | None:
        """Return both setups' means over the runs that have the value; None where one has none."""
        found = [[value(run) for run in runs] for runs in (self.baseline_runs, self.candidate_runs)]
        known = [[item for item in items if item is not None] for items in found]
        if not all(known):
            return None
        first, second = (sum(items) / len(items) for items in known)
        return first, second


def pair_of(conditions: ComparisonConditions, candidate: str) -> Pair:
    """Return a candidate beside the baseline."""
    return Pair(
        baseline=conditions.setups[conditions.baseline],
        candidate=conditions.setups[candidate],
        baseline_runs=tuple(run for run in conditions.runs if run.setup == conditions.baseline),
        candidate_runs=tuple(run for run in conditions.runs if run.setup == candidate),
        differences=conditions.differences[candidate],
        ridden=conditions.ridden,
    )


def beyond(figure: float, limit: float) -> bool:
    """Tell whether a figure lies beyond its limit, rounding aside."""
    return abs(figure) > limit * (1 + SAME)


def relative(pair: tuple[float, float]) -> float:
    """Return by what share the second lies above the first."""
    return (pair[1] - pair[0]) / pair[0] if pair[0] else 0.0


def listed(names: Iterable[str]) -> str:
    """Return names as people list them.

    Examples
    --------
    >>> listed(["run_1"]), listed(["run_1", "run_4", "run_5"])
    ('run_1', 'run_1, run_4 and run_5')
    """
    found = list(names)
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}"
