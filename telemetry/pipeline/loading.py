"""One run's cleaned signals."""

from __future__ import annotations

from telemetry.errors import CallError
from telemetry.measures import find_pushes, with_bounds
from telemetry.model.day import RideDay
from telemetry.model.ride import Ride

from .rides import Rides
from .run_rides import ride_of


def load_ride(day: RideDay, run: str) -> Ride:
    """Return one run's cleaned signals.

    Parameters
    ----------
    day : RideDay
    run : str
        The run's name.

    Returns
    -------
    Ride
        ``time_s``; ``front`` and ``rear`` with ``travel_mm`` and ``speed_mm_s``, read-only float arrays; ``history``.

    Raises
    ------
    CallError
        If the day has no such run, or nothing of its log can be cleaned.
    LogError
        If a log can't be read.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> telemetry.load_ride(day, "run_1").front.travel_mm.shape
    (39104,)
    """
    names = [entry.name for entry in day.runs]
    if run not in names:
        raise CallError(str(day.path), f"no run {run!r}", "one of " + ", ".join(names), "name a run of the day")
    ride, findings, _ = ride_of(Rides(day), day.run(run))
    if ride is None:
        why = next((finding.message for finding in findings if finding.severity == "error"), "")
        found = why or "no gap-free stretch of 0.25 s and 16 rows"
        raise CallError(day.run(run).log.name, found, "a ride", "check the logger")
    return with_bounds(ride, find_pushes(ride))
