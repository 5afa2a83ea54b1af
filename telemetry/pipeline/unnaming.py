"""A day without the words in which somebody may be named, for answers that go to others."""

from __future__ import annotations

from dataclasses import replace

from telemetry.model.day import RideDay

NO_REASON = "as the ride day says"


def unnamed(day: RideDay) -> RideDay:
    """Return a day whose answers quote no reason for which a run is left out: it may name somebody.

    Parameters
    ----------
    day : RideDay

    Returns
    -------
    RideDay
        Otherwise the same. Riders stay, for they tell whether a comparison is fair; answers name none.
    """
    runs = [replace(run, leave_out=NO_REASON) if run.leave_out else run for run in day.runs]
    return replace(day, runs=tuple(runs))
