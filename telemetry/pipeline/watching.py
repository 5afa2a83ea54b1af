"""A day watched while it is ridden: every log is told what it is worth as soon as it has been copied."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeAlias

from telemetry.errors import TelemetryError
from telemetry.files import Stamp, stamp
from telemetry.model.analysis import Analysis, Usable, usable, without_an_end
from telemetry.model.day import RideDay, RunEntry
from telemetry.model.finding import End, Finding
from telemetry.ride_day import find_ride_day, logs_in, read_ride_day, stem

from .analysing import analysis_of
from .new_recordings import RecordingChecked, check_recording
from .recognising import recognise_log
from .rides import Rides
from .studied import Study, study_run
from .studying import study, with_copies

QUIET_S = 1.0
"""A file that hasn't changed for so long is taken to be copied whole."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayChecked:
    """The whole day, as it was found at the start or after its file changed."""

    analysis: Analysis


@dataclass(frozen=True, slots=True, kw_only=True)
class LogChecked:
    """One log that the ride day doesn't mention, judged as its next run with a setup; empty where it has none.

    `question` asks whether it is one, where its name and its signals disagree, or nothing is ridden for long.
    """

    log: str
    setup: str
    findings: tuple[Finding, ...]
    ends: tuple[End, ...] = ()
    question: str = ""

    @property
    def usable(self) -> Usable:
        """Good / with care / ride again."""
        return usable(self.findings, self.ends)

    @property
    def without(self) -> str:
        """Which end it is used without: ``without its rear``; empty elsewhere."""
        return without_an_end(self.findings, self.ends)

    def to_dict(self) -> dict[str, object]:
        """Return the log as it stands in JSON."""
        return {
            "log": self.log,
            "setup": self.setup,
            "usable": self.usable,
            "findings": [finding.to_dict() for finding in self.findings],
            **({"question": self.question} if self.question else {}),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """What can't be read, in one line; watching goes on."""

    line: str

    def to_dict(self) -> dict[str, object]:
        """Return the trouble as it stands in JSON."""
        return {"trouble": self.line}


WatchEvent: TypeAlias = DayChecked | LogChecked | RecordingChecked | Trouble


def last_ridden(day: RideDay) -> str | None:
    """Return the setup a new log is taken to be ridden with: the last run's, else the first there is."""
    return day.runs[-1].setup if day.runs else next(iter(day.setups), None)


def check_new(done: Study, log: Path) -> LogChecked | RecordingChecked:
    """Judge a log that the ride day doesn't mention as what it is: a run, or a recording made off the trail.

    Raises
    ------
    TelemetryError
        If it can't be read.
    """
    setup = last_ridden(done.day)
    if setup is None:
        return check_log(done, log)
    new = recognise_log(done.day, log)
    if new.what.kind != "run" and not new.what.disagree and not new.what.long:
        return check_recording(done, new, setup)
    return replace(check_log(done, log), question=new.what.question)


def check_log(done: Study, log: Path) -> LogChecked:
    """Judge a log that the ride day doesn't mention as if it were its next run.

    Parameters
    ----------
    done : Study
    log : Path
        In the day's folder.

    Raises
    ------
    TelemetryError
        If it can't be read.
    """
    day, setup = done.day, last_ridden(done.day)
    if setup is None:
        return LogChecked(log=log.name, setup="", findings=())
    entry = RunEntry(
        name=stem(log.name),
        log=log,
        rear_log=None,
        setup=setup,
        order=len(day.runs) + 1,
        sensors=day.setups[setup].sensors,
    )
    with_it = replace(day, runs=(*day.runs, entry), cutoff_hz=done.rides.low_pass.cutoff_hz)
    run = study_run(Rides(with_it, done.rides.logs, (entry,)), entry)
    judged = with_copies((*done.runs, run))[-1]
    return LogChecked(log=log.name, setup=setup, findings=judged.findings, ends=entry.measured_ends)


def new_logs(day: RideDay) -> tuple[Path, ...]:
    """Return the logs in a day's folder that it doesn't mention, by name; none that is still being copied.

    Parameters
    ----------
    day : RideDay
    """
    now = time.time()
    found = []
    for path in logs_in(day.folder):
        try:
            written = path.stat().st_mtime
        except OSError:
            continue
        if path not in day.logs and not 0 <= now - written < QUIET_S:
            found.append(path)
    return tuple(found)


class Watch:
    """Looks at a day's folder again and again.

    Parameters
    ----------
    path : Path
        A ``ride_day.toml`` or the folder that holds one.
    clock : callable
        Returns seconds that only rise.

    Raises
    ------
    TelemetryError
        If there is no such day.
    """

    def __init__(self, path: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._file = find_ride_day(path)
        self._clock = clock
        self._told: dict[Path, Stamp | None] = {}
        self._since: dict[Path, tuple[Stamp | None, float]] = {}
        self._named: frozenset[Path] = frozenset()
        self._done: Study | None = None
        self._wrong = ""

    def look(self) -> Iterator[WatchEvent]:
        """Yield what has come to rest in the folder since the last look; on the first, the whole day."""
        if self._file not in self._told or self._come_to_rest():
            yield from self._whole_day()
        yield from self._gone()
        if self._done is None:
            return
        for path in self._new():
            self._told[path] = stamp(path)
            try:
                yield check_new(self._done, path)
            except TelemetryError as error:
                yield Trouble(line=error.line)

    def _gone(self) -> Iterator[WatchEvent]:
        """Yield each file of the day that has gone since it was told of, once."""
        for path in sorted({self._file, *self._named}):
            if self._told.get(path) is not None and stamp(path) is None:
                self._told[path] = None
                yield Trouble(line=f"{path.name}: it is gone from the folder; copy it back, or stop with Ctrl-C")

    def _come_to_rest(self) -> bool:
        """Tell whether the day's file, or a log it names, has changed and come to rest; every one is looked at.

        While the file is wrong, any log may be the one it lacks.
        """
        rested = [self._at_rest(path) for path in self._named.union(self._there() if self._wrong else ())]
        if self._at_rest(self._file):
            return True
        return any(rested) and stamp(self._file) == self._told[self._file]

    def _there(self) -> list[Path]:
        try:
            return logs_in(self._file.parent)
        except TelemetryError:
            return []

    def _new(self) -> list[Path]:
        return [path for path in self._there() if path not in self._named and self._at_rest(path)]

    def _at_rest(self, path: Path) -> bool:
        """Tell whether a file isn't as it was last told of, and hasn't changed for a while."""
        found, now = stamp(path), self._clock()
        if found is None or self._told.get(path) == found:
            self._since.pop(path, None)
            return False
        before = self._since.get(path)
        if before is None or before[0] != found:
            self._since[path] = (found, now)
            return False
        return now - before[1] >= QUIET_S

    def _whole_day(self) -> Iterator[WatchEvent]:
        """Yield the day and the logs that can't be read; why not, where its file is wrong, if that is new."""
        self._told[self._file] = stamp(self._file)
        try:
            day = read_ride_day(self._file)
        except TelemetryError as error:
            said, self._wrong = self._wrong, error.line
            if error.line != said:
                yield Trouble(line=error.line)
            return
        self._wrong = ""
        self._told.update((path, stamp(path)) for path in day.logs)
        try:
            done = study(day, even_none=True)
        except TelemetryError as error:
            yield Trouble(line=error.line)
            return
        self._named, self._done = frozenset(day.logs), done
        yield DayChecked(analysis=analysis_of(done))
