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


def report_on_paper(analysis: Analysis, comparison: Comparison | None, *, asked: bool | None) -> tuple[Predicted, ...]:
    """Return what each compared candidate should have done; none where it isn't asked for and can't be ridden.

    Raises
    ------
    CallError
        If it is asked for and none can be ridden.
    """
    day, done = analysis.day, pipeline.study_behind(analysis)
    names: tuple[str | None, ...] = (None,)
    if comparison is not None:
        names = comparison.candidates
        stated = tuple(name for name in names if not _in_vain(day, comparison.baseline, name))
        names = names[:1] if asked and not stated else stated
    elif not pipeline.asks_what_next(day) or pipeline.unstated(day):
        names = (None,) if asked else ()
    if not day.runs or (asked is None and not names):
        return ()
    if len(names) > MOST_CANDIDATES:
        others = ", ".join(f"telemetry predict {day.folder} --candidate {name}" for name in names[MOST_CANDIDATES:])
        say(f"the first {MOST_CANDIDATES} candidates are ridden on paper; the others: {others}")
    found, lost = [], list[CallError]()
    with with_numba("riding on paper"):
        from telemetry.pipeline.predicting import RIDES_BESIDE, predicted
    for name in names[:MOST_CANDIDATES]:
        try:
            with ProgressLine(len(day.runs) + RIDES_BESIDE, "riding on paper:") as progress:
                found.append(predicted(done, pipeline.Selection(), name, progress=progress))
        except CallError as error:
            lost.append(error)
    if lost and not found and asked:
        raise lost[0]
    for why in lost:
        say(f"without what the change should have done: {why.line}")
    return tuple(found)


def _in_vain(day: RideDay, baseline: str, candidate: str) -> bool:
    """Tell whether a ride on paper that nobody asked for would say nothing."""
    return bool(pipeline.unstated(day, baseline, candidate) or pipeline.ridden_alike(day, baseline, candidate))
