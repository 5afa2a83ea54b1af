"""All of a day's runs studied side by side: what they tell of each other, and which of them can't be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from telemetry import trust
from telemetry.errors import LogError
from telemetry.model.day import RideDay, RunEntry
from telemetry.model.finding import ENDS, Finding

from .forces import DayRider, smoothing_of
from .loggers import Entry, unread
from .placing import Placed, places
from .rides import Rides
from .studied import Progress, RunStudy, Study, smallest_change_of, study_run


def _unread(entry: RunEntry, why_not: LogError) -> RunStudy:
    return RunStudy(entry=entry, findings=(unread(entry, why_not),), history=())


def _with_findings(runs: tuple[RunStudy, ...], told: Mapping[str, Sequence[Finding]]) -> tuple[RunStudy, ...]:
    return tuple(replace(run, findings=(*run.findings, *told.get(run.entry.name, ()))) for run in runs)


def with_rider(runs: tuple[RunStudy, ...]) -> tuple[RunStudy, ...]:
    """Return runs that know how their one rider follows the bike; those left out have no say."""
    told = tuple((run.moved, smoothing_of(run.rate_hz, run.cutoff_hz)) for run in runs if run.usable)
    rider = DayRider(runs=told)
    return tuple(replace(run, rider=rider) for run in runs)


def with_copies(runs: tuple[RunStudy, ...]) -> tuple[RunStudy, ...]:
    """Return runs of which those that hold one ride twice are told so; a run that is left out counts for none."""
    told = trust.same_readings([run.ridden for run in runs if run.ridden is not None])
    return _with_findings(runs, {name: (found,) for name, found in told.items()})


def with_low_pass(rides: Rides, runs: tuple[RunStudy, ...]) -> tuple[RunStudy, ...]:
    """Return runs of which those are told so that lower the low-pass of all; where no travel is read there is none."""
    if rides.day.only_acceleration or not any(run.usable for run in runs):
        return runs
    told = ((run.entry.name, rides.low_pass.finding(run.entry.name)) for run in runs)
    return _with_findings(runs, {name: (found,) for name, found in told if found is not None})


def with_drifts(day: RideDay, runs: tuple[RunStudy, ...]) -> tuple[RunStudy, ...]:
    """Return runs of which those are told so in which a zero drifts or a gain shifts, beside the day's other runs."""
    change = {end: smallest_change_of(day, "dynamic_sag", end).amount / 100 for end in ENDS}
    return _with_findings(runs, trust.drift_findings([run.levels for run in runs if run.levels is not None], change))


def with_places(day: RideDay, runs: tuple[RunStudy, ...]) -> tuple[RunStudy, ...]:
    """Return runs that know where each named stretch of trail lies in them; those that can't be measured have none."""
    if not day.stretches:
        return runs
    motions = {run.entry.name: run.motion for run in runs if run.motion is not None}
    found = places(day, motions, frozenset(run.entry.name for run in runs if run.usable))
    return tuple(_with_places(run, found[run.entry.name]) if run.entry.name in found else run for run in runs)


def _with_places(run: RunStudy, placed: Placed) -> RunStudy:
    findings, history = (*run.findings, *placed.findings), (*run.history, *placed.steps)
    return replace(run, named=placed.named, findings=findings, history=history)


def study(day: RideDay, progress: Progress | None = None, *, even_none: bool = False) -> Study:
    """Study every run of a day whose logs can be read; the others are told why not.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional
        Told each run's name before it is studied.
    even_none : bool
        Whether a day will do of which no log can be read.

    Raises
    ------
    LogError
        If none of its logs can be read, or there is no room for them.
    """
    rides, runs = Rides(day), list[RunStudy]()
    for entry in day.runs:
        if progress is not None:
            progress(entry.name)
        why_not = rides.logs.why_not(entry)
        runs.append(study_run(rides, entry) if why_not is None else _unread(entry, why_not))
    entries: tuple[Entry, ...] = (*day.runs, *day.static)
    if not even_none and entries and all(rides.logs.why_not(entry) is not None for entry in entries):
        raise rides.logs.unread(entries)[0]
    pressed = tuple(mark for run in runs for mark in run.pressed)
    day = replace(day, marks=(*day.marks, *pressed))
    told = with_rider(with_drifts(day, with_copies(with_low_pass(rides, tuple(runs)))))
    return Study(day=day, rides=rides, runs=with_places(day, told))
