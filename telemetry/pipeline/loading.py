"""One run's cleaned signals, which know of the day they are from."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from telemetry.errors import CallError
from telemetry.measures import find_pushes, with_bounds
from telemetry.model.day import RideDay
from telemetry.model.motion import StrokeKind
from telemetry.model.ride import Ride

from .rides import Rides
from .run_rides import ride_of
from .studying import study

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pandas as pd


class _StrokesOf:
    """One run's hits and returns: its whole day is studied when they are first asked for."""

    def __init__(self, day: RideDay, run: str) -> None:
        self._day, self._run = day, run

    @cached_property
    def _listed(self) -> Mapping[StrokeKind, pd.DataFrame]:
        from .listing import strokes_of_run  # noqa: PLC0415 - what a check can do without

        return strokes_of_run(study(self._day), self._run)

    def __call__(self, kind: StrokeKind) -> pd.DataFrame:
        return self._listed[kind].copy()


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
        ``time_s``; ``front`` and ``rear`` with ``travel_mm`` and ``speed_mm_s``, read-only float arrays; ``history``;
        ``hits()`` and ``returns()`` are DataFrames.

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
    (31380,)
    """
    names = [entry.name for entry in day.runs]
    if run not in names:
        raise CallError(str(day.path), f"no run {run!r}", "one of " + ", ".join(names), "name a run of the day")
    ride, findings, _ = ride_of(Rides(day), day.run(run))
    if ride is None or not ride.measured_ends:
        findings = findings if ride is None else ride.findings
        why = next((finding.message for finding in findings if finding.severity == "error"), "")
        found = why or "no gap-free stretch of 0.25 s and 16 rows"
        raise CallError(day.run(run).log.name, found, "a ride", "check the logger")
    return replace(with_bounds(ride, find_pushes(ride)), strokes=_StrokesOf(day, run))
