"""A report's ride on paper: where it is asked for, else where the compared setups state enough of their parts."""

from __future__ import annotations

from telemetry import pipeline
from telemetry.errors import CallError
from telemetry.model.analysis import Comparison
from telemetry.model.day import RideDay
from telemetry.model.prediction import Predicted
from telemetry.pipeline.expecting import with_numba

from .progress import ProgressLine
from .tables import say


def report_on_paper(day: RideDay, comparison: Comparison | None, *, asked: bool | None) -> Predicted | None:
    """Return what the change should have done; None where it isn't asked for and can't be ridden, which is said.

    Raises
    ------
    CallError
        If it is asked for and can't be ridden.
    """
    setups = None if comparison is None else (comparison.baseline, comparison.candidates[0])
    if not day.runs or (asked is None and (setups is None or pipeline.unstated(day, *setups))):
        return None
    try:
        with with_numba("riding on paper"):
            from telemetry.pipeline.predicting import RIDES_BESIDE, predict
        with ProgressLine(2 * len(day.runs) + RIDES_BESIDE, "riding on paper:") as progress:
            return predict(day, *(setups or ()), progress=progress)
    except CallError as error:
        if asked:
            raise
        say(f"without what the change should have done: {error.line}")
        return None
