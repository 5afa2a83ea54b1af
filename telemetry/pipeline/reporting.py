"""What the report needs: an analysis with pictures, and a comparison where two setups were ridden."""

from __future__ import annotations

from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.day import RideDay

from .analysing import analysis_of, require_runs
from .comparing import Wish, comparison_of
from .study import Progress, study


def report_parts(day: RideDay, progress: Progress | None = None) -> tuple[Analysis, Comparison | None]:
    """Return a day's analysis with pictures, and its comparison.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional

    Returns
    -------
    Analysis and Comparison or None
        None where fewer than two setups have usable runs.

    Raises
    ------
    CallError, LogError
    """
    require_runs(day)
    done = study(day, progress)
    analysis = analysis_of(done, pictures=True)
    usable = {run.entry.setup for run in done.runs if run.motion is not None and run.entry.leave_out is None}
    comparison = comparison_of(done, Wish()) if len(usable) > 1 else None
    return analysis, comparison
