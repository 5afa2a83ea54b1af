"""A day studied as far as it can be read: one broken log mustn't keep the others from being told."""

from __future__ import annotations

from dataclasses import dataclass, replace

from telemetry.errors import LogError
from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay, RunEntry, StaticEntry

from .analysing import analysis_of
from .rides import Rides
from .study import Progress, Study, study, study_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Readable:
    """What of a day can be read, and why the rest can't, in the day's order."""

    done: Study
    analysis: Analysis
    failed: tuple[LogError, ...]


def analyse_readable(day: RideDay, progress: Progress | None = None) -> Readable:
    """Measure a day without the runs and recordings whose logs can't be read.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional
        Told each run's name before it is studied.
    """
    try:
        done = study(day, progress)
        return Readable(done=done, analysis=analysis_of(done), failed=())
    except LogError:
        return _without_the_broken(day)


def _without_the_broken(day: RideDay) -> Readable:
    rides, failed, rates = Rides(day), list[LogError](), list[float]()

    def is_read(entry: RunEntry | StaticEntry) -> bool:
        try:
            logs = rides.logs_of(entry)
            if isinstance(entry, RunEntry):
                rides.presses(entry)
                rates.extend(log.rate_hz for log in logs)
        except LogError as error:
            failed.append(error)
            return False
        rides.forget(entry)
        return True

    runs = tuple(run for run in day.runs if is_read(run))
    static = tuple(item for item in day.static if is_read(item))
    done = study_of(Rides(replace(day, static=static), cutoff_hz=rides.cutoff_for(rates)), runs)
    return Readable(done=done, analysis=analysis_of(done), failed=tuple(failed))
