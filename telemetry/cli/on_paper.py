"""A report's rides on paper: where they are asked for, else where the compared setups state enough of their parts."""

from __future__ import annotations

from telemetry import pipeline
from telemetry.errors import CallError
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.day import RideDay
from telemetry.model.prediction import Predicted
from telemetry.pipeline.expecting import with_numba

from .progress import ProgressLine
from .tables import say

MOST_CANDIDATES = 3
"""On paper in one report, each a third of a minute: of others it says how to get them. Own choice."""


def _candidates(day: RideDay, comparison: Comparison | None, *, asked: bool) -> tuple[str | None, ...]:
    """Return the candidates that can be ridden on paper; None for a day of one setup that asks what to try next."""
    if comparison is None:
        return (None,) if asked or (pipeline.asks_what_next(day) and not pipeline.unstated(day)) else ()
    names = comparison.candidates
    stated = tuple(name for name in names if not _in_vain(day, comparison.baseline, name))
    return names[:1] if asked and not stated else stated


def report_on_paper(analysis: Analysis, comparison: Comparison | None, *, asked: bool | None) -> tuple[Predicted, ...]:
    """Return what each compared candidate should have done; none where it isn't asked for and can't be ridden.

    Raises
    ------
    CallError
        If it is asked for and none can be ridden.
    """
    day, done = analysis.day, pipeline.study_behind(analysis)
    names = _candidates(day, comparison, asked=bool(asked))
    if not day.runs or (asked is None and not names):
        return ()
    if len(names) > MOST_CANDIDATES:
        others = ", ".join(f"telemetry predict {day.folder} --candidate {name}" for name in names[MOST_CANDIDATES:])
        say(f"the first {MOST_CANDIDATES} candidates are ridden on paper; the others: {others}")
    found, lost = list[Predicted](), dict[str, CallError]()
    for name in names[:MOST_CANDIDATES]:
        try:
            with with_numba("riding on paper"):
                from telemetry.pipeline.predicting import RIDES_BESIDE, predicted
            with ProgressLine(len(day.runs) + RIDES_BESIDE, "riding on paper:") as progress:
                next_too = all(own.try_next is None for own in found)  # alike beside every candidate
                answer = predicted(done, pipeline.Selection(), name, next_too=next_too, progress=progress)
            found.append(answer)
        except CallError as error:
            lost.setdefault(error.line, error)
    if lost and not found and asked:
        raise next(iter(lost.values()))
    for line in lost:
        say(f"without what the change should have done: {line}")
    return tuple(found)


def _in_vain(day: RideDay, baseline: str, candidate: str) -> bool:
    """Tell whether a ride on paper that nobody asked for would say nothing."""
    return bool(pipeline.unstated(day, baseline, candidate) or pipeline.ridden_alike(day, baseline, candidate))
