"""A day studied as far as it can be read: one broken log mustn't keep the others from being told."""

from __future__ import annotations

from dataclasses import dataclass, replace

from telemetry.errors import LogError
from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay

from .analysing import analysis_of
from .loggers import DayLogs, Entry
from .rides import Rides
from .study import Progress, Study, study_of


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
    logs, failed = DayLogs(day), list[LogError]()

    def is_read(entry: Entry) -> bool:
        try:
            logs.of(entry)
        except LogError as error:
            failed.append(error)
            return False
        return True

    runs = tuple(filter(is_read, day.runs))
    sound = replace(day, static=tuple(filter(is_read, day.static)))
    done = study_of(Rides(sound, logs, runs), progress)
    return Readable(done=done, analysis=analysis_of(done), failed=tuple(failed))
