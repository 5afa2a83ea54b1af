"""What the report needs: an analysis with pictures, and a comparison where two setups were ridden."""

from __future__ import annotations

from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.day import RideDay

from .along import Along, along
from .analysing import analysis_of, require_runs
from .comparing import Wish
from .looking import look
from .study import Progress, study


def report_parts(day: RideDay, progress: Progress | None = None) -> tuple[Analysis, Comparison | None, Along | None]:
    """Return a day's analysis with pictures, its comparison, and its runs along the trail.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional

    Returns
    -------
    Analysis, Comparison or None, Along or None
        No comparison where fewer than two setups have usable runs; nothing along the trail without any usable run.

    Raises
    ------
    CallError, LogError
    """
    require_runs(day)
    done = study(day, progress)
    analysis = analysis_of(done, pictures=True)
    seen = look(done, Wish(), all_named=True)
    return (analysis, None, None) if seen is None else (analysis, seen.comparison, along(done, seen))
