"""A named stretch of trail whose place in a run isn't known."""

from __future__ import annotations

from telemetry.model.finding import Finding


def stretch_not_placed(run: str, name: str, reason: str) -> Finding:
    """Return what a run is told of a stretch of trail that nothing is measured within.

    Parameters
    ----------
    run : str
    name : str
        The stretch's.
    reason : str
    """
    message = (
        f"{run}: where it rode {name!r} isn't known, so nothing is measured there: {reason}; mark it in this run too "
        "(run, start_s and end_s under [[stretches]]), or [[marks]] around it in both"
    )
    return Finding(severity="warning", code="stretch_not_placed", message=message)
