"""The loggers of a run or recording, one or two, and their logs, each read once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeAlias

from telemetry import memory
from telemetry.conditioning import GroundSensor, on_one_clock
from telemetry.errors import LogError
from telemetry.logs import bytes_to_keep, bytes_to_measure, read_logs
from telemetry.model.day import LogOptions, RideDay, RunEntry, StaticEntry
from telemetry.model.finding import ENDS, End, Finding, errors_by_end
from telemetry.model.log import Log
from telemetry.model.sensor import (
    ColumnName,
    DisplacementSensor,
    DistanceSensor,
    GroundSpeedSensor,
    InertialSensor,
    MarkerSensor,
    PositionFixSensor,
    Sensor,
    WheelPulseSensor,
    columns_of,
)

GROUND_KINDS = (GroundSpeedSensor, WheelPulseSensor, DistanceSensor, PositionFixSensor)
AT_AN_END = (DisplacementSensor, InertialSensor)
AT_REST = ("still", "lifted")
"""Recordings in which nothing moves."""

Entry: TypeAlias = RunEntry | StaticEntry


def displacement_sensors(sensors: Mapping[str, Sensor]) -> tuple[DisplacementSensor, ...]:
    """Return the sensors that read position."""
    return tuple(sensor for sensor in sensors.values() if isinstance(sensor, DisplacementSensor))


def ground_sensor(sensors: Mapping[str, Sensor]) -> GroundSensor | None:
    """Return the best ground-speed sensor: speed, then wheel pulses, distance, position."""
    found = [sensor for sensor in sensors.values() if isinstance(sensor, GROUND_KINDS)]
    return min(found, key=lambda sensor: GROUND_KINDS.index(type(sensor)), default=None)


def inertial_sensors(sensors: Mapping[str, Sensor]) -> tuple[InertialSensor, ...]:
    """Return the sensors that read acceleration."""
    return tuple(sensor for sensor in sensors.values() if isinstance(sensor, InertialSensor))


@dataclass(frozen=True, slots=True, kw_only=True)
class Logger:
    """One logger of a run or recording: its file, how that is written, and what is read from it.

    `one_of_two` tells that another one ran along, so that a marker may be wired to that one.
    """

    path: Path
    options: LogOptions
    columns: tuple[ColumnName, ...]
    markers: tuple[MarkerSensor, ...] = ()
    one_of_two: bool = False
    ends: tuple[tuple[ColumnName, End], ...] = ()
    """Of the columns of sensors at an end, which."""


def loggers_of(day: RideDay, entry: Entry) -> tuple[Logger, ...]:
    """Return an entry's one logger, or the front's and the rear's; off the trail only displacement is read.

    Where nothing moves inertial sensors are, too. Of two loggers the front's has all sensors but those at the rear.
    """
    wanted: list[Sensor] = list(displacement_sensors(entry.sensors))
    if isinstance(entry, StaticEntry):
        wanted += inertial_sensors(entry.sensors) if entry.kind in AT_REST else ()
        own = {"front": day.front_log, "rear": day.rear_log}[entry.end] if entry.end is not None else None
        return (Logger(path=entry.log, options=own or day.log, columns=_columns(wanted), ends=_ends(wanted)),)
    ground = ground_sensor(entry.sensors)
    wanted += [*inertial_sensors(entry.sensors), *(() if ground is None else (ground,))]
    markers = tuple(sensor for sensor in entry.sensors.values() if isinstance(sensor, MarkerSensor))
    if entry.rear_log is None:
        columns, ends = _columns(wanted), _ends(wanted)
        return (Logger(path=entry.log, options=day.log, columns=columns, markers=markers, ends=ends),)
    files = {"front": (entry.log, day.front_log), "rear": (entry.rear_log, day.rear_log)}
    return tuple(
        Logger(
            path=files[end][0],
            options=files[end][1] or day.log,
            columns=_columns(
                [item for item in wanted if (item.end if isinstance(item, AT_AN_END) else "front") == end]
            ),
            markers=markers,
            one_of_two=True,
        )
        for end in ENDS
    )


def _columns(sensors: list[Sensor]) -> tuple[ColumnName, ...]:
    return tuple(dict.fromkeys(column for sensor in sensors for column in columns_of(sensor)))


def _ends(sensors: list[Sensor]) -> tuple[tuple[ColumnName, End], ...]:
    at_ends = (sensor for sensor in sensors if isinstance(sensor, AT_AN_END))
    return tuple((column, sensor.end) for sensor in at_ends for column in columns_of(sensor))


def _of_its_end(log: Log, ends: Mapping[ColumnName, End]) -> Log:
    """Return the log of a sensor with rows of its own: an error in them is its end's alone, and at no end none."""
    own = {ends.get(column) for column in log.columns}
    if len(own) > 1 or not errors_by_end(log.findings):
        return log
    (end,) = own
    told = (replace(found, end=end) if end or found.severity != "error" else _warning(found) for found in log.findings)
    return replace(log, findings=tuple(told))


def _warning(finding: Finding) -> Finding:
    return replace(finding, severity="warning")


def unread(entry: Entry, why_not: LogError, end: End | None = None) -> Finding:
    """Return what a run or recording is told whose log can't be read."""
    message = f"{entry.name}: its log can't be read: {why_not.line}"
    return Finding(code="log_unreadable", message=message, end=end)


class DayLogs:
    """A day's logs, each read once.

    Parameters
    ----------
    day : RideDay
    """

    def __init__(self, day: RideDay) -> None:
        self._day = day
        self._read: dict[Logger, Log] = {}
        self._tried: dict[Logger, LogError | None] = {}
        self._largest = 0
        entries: tuple[Entry, ...] = (*day.runs, *day.static)
        self._awaited = Counter(logger for entry in entries for logger in loggers_of(day, entry))

    def of(self, entry: Entry) -> tuple[Log, ...]:
        """Return an entry's log, or the front's and the rear's of a run with two loggers.

        Raises
        ------
        LogError
        """
        return tuple(self._log(logger) for logger in loggers_of(self._day, entry))

    def why_not(self, entry: Entry) -> LogError | None:
        """Return why an entry's logs can't be read; None where they can. Each is tried once."""
        return next(filter(None, map(self._why_not, loggers_of(self._day, entry))), None)

    def unread(self, entries: Iterable[Entry]) -> tuple[LogError, ...]:
        """Return why logs of entries can't be read, each once, as far as they were tried."""
        loggers = dict.fromkeys(logger for entry in entries for logger in loggers_of(self._day, entry))
        return tuple(error for logger in loggers if (error := self._tried.get(logger)) is not None)

    def _why_not(self, logger: Logger) -> LogError | None:
        if logger not in self._tried:
            try:
                self._log(logger)
                self._tried[logger] = None
            except LogError as error:
                error.__context__ = None
                self._tried[logger] = error.with_traceback(None)  # which would hold on to what was read of it
        return self._tried[logger]

    def _log(self, logger: Logger) -> Log:
        if logger not in self._read:
            logs = read_logs(
                logger.path,
                needed=logger.columns,
                options=logger.options,
                shown_as=str(logger.path.relative_to(self._day.folder)),
                markers=logger.markers,
                one_of_two=logger.one_of_two,
            )
            ends = dict(logger.ends)
            apart = len(logs) > 1
            self._read[logger] = on_one_clock([_of_its_end(log, ends) for log in logs], ends) if apart else logs[0]
        return self._read[logger]

    def require_room(self, entry: Entry) -> None:
        """Refuse to go on where there is no memory to measure this entry's logs, or larger ones, and keep the others.

        Raises
        ------
        LogError
        """
        own = loggers_of(self._day, entry)
        self._largest = max(self._largest, sum(map(bytes_to_measure, self.of(entry))))
        others = sum(bytes_to_keep(log) for logger, log in self._read.items() if logger not in own)
        memory.check_day(str(self._day.path), self._largest + others)

    def done_with(self, entry: Entry) -> None:
        """Let go of an entry's logs, unless another entry awaits them; logs are large."""
        for logger in loggers_of(self._day, entry):
            self._awaited[logger] -= 1
            if self._awaited[logger] <= 0:
                self._read.pop(logger, None)
