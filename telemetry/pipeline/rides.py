"""Logs read and cleaned into rides, with the zero and the noise that hold for each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TypeAlias

import numpy as np

from telemetry import trust
from telemetry.conditioning import (
    ClockLine,
    EndRecipe,
    RideRecipe,
    SeenNoise,
    Zero,
    calibrate,
    clean_ride,
    joined_log,
    rows_there,
)
from telemetry.errors import LogError
from telemetry.logs import read_log, read_presses
from telemetry.model.arrays import Floats
from telemetry.model.day import (
    ColumnName,
    DisplacementSensor,
    DistanceSensor,
    GroundSpeedSensor,
    InertialSensor,
    LogOptions,
    MarkerSensor,
    PositionFixSensor,
    RideDay,
    RunEntry,
    Sensor,
    Setup,
    StaticEntry,
    WheelPulseSensor,
    columns_of,
)
from telemetry.model.finding import End, Finding
from telemetry.model.log import Log
from telemetry.model.ride import Clocks, Ride
from telemetry.ride_day import lifted_in_force, lifted_next

GROUND_KINDS = (GroundSpeedSensor, WheelPulseSensor, DistanceSensor, PositionFixSensor)
_Reading: TypeAlias = tuple[Path, tuple[ColumnName, ...]]
RATE_SHARE = 0.4
"""The low-pass lies at no more than so much of the lowest rate."""


def displacement_sensors(sensors: Mapping[str, Sensor]) -> tuple[DisplacementSensor, ...]:
    """Return the sensors that read position."""
    return tuple(sensor for sensor in sensors.values() if isinstance(sensor, DisplacementSensor))


def _ground(sensors: Mapping[str, Sensor]) -> Sensor | None:
    """Return the best ground-speed sensor: speed, then wheel pulses, distance, position."""
    for kind in GROUND_KINDS:
        for sensor in sensors.values():
            if isinstance(sensor, kind):
                return sensor
    return None


def _chassis(sensors: Mapping[str, Sensor]) -> InertialSensor | None:
    return next((s for s in sensors.values() if isinstance(s, InertialSensor) and s.on == "chassis"), None)


def _wanted(sensors: Mapping[str, Sensor], *, run: bool) -> list[Sensor]:
    """Return the sensors whose columns are read; a recording off the trail needs displacement only."""
    wanted: list[Sensor] = list(displacement_sensors(sensors))
    if run:
        wanted += [sensor for sensor in (_ground(sensors), _chassis(sensors)) if sensor is not None]
    return wanted


def _reading(entry: RunEntry | StaticEntry) -> _Reading:
    """Return an entry's log and the columns wanted of it; entries of one log may want others."""
    sensors = _wanted(entry.sensors, run=isinstance(entry, RunEntry))
    return entry.log, tuple(dict.fromkeys(column for sensor in sensors for column in columns_of(sensor)))


class Rides:
    """A day's logs, each read once, and its rides.

    Parameters
    ----------
    day : RideDay
    cutoff_hz : float, optional
        The day's low-pass where it is known; else found out from the rates of all its logs.
    """

    def __init__(self, day: RideDay, cutoff_hz: float | None = None) -> None:
        self.day = day
        self._logs: dict[_Reading, Log] = {}
        self._levels: dict[tuple[Path, DisplacementSensor], float] = {}
        self._sound: dict[End, RideDay] = {}
        self._noise: dict[End, SeenNoise | None] = {}
        self._cutoff_hz = cutoff_hz

    def log(self, entry: RunEntry | StaticEntry) -> Log:
        """Return an entry's log.

        Raises
        ------
        LogError
        """
        reading = _reading(entry)
        if reading not in self._logs:
            path, needed = reading
            shown_as = str(path.relative_to(self.day.folder))
            self._logs[reading] = read_log(path, needed=needed, options=self.day.log, shown_as=shown_as)
        return self._logs[reading]

    def log_of(self, run: RunEntry, end: End) -> Log:
        """Return the log of one end of a run with two loggers; other sensors than the rear's are in the front's.

        Raises
        ------
        LogError
        """
        path, options = self._file_of(run, end)
        wanted = [
            item
            for item in _wanted(run.sensors, run=end == "front")
            if not isinstance(item, DisplacementSensor) or item.end == end
        ]
        reading = path, tuple(dict.fromkeys(column for item in wanted for column in columns_of(item)))
        if reading not in self._logs:
            shown_as = str(path.relative_to(self.day.folder))
            self._logs[reading] = read_log(path, needed=reading[1], options=options, shown_as=shown_as)
        return self._logs[reading]

    def _file_of(self, run: RunEntry, end: End) -> tuple[Path, LogOptions]:
        if end == "front" or run.rear_log is None:
            return run.log, self.day.front_log or self.day.log
        return run.rear_log, self.day.rear_log or self.day.log

    def logs_of(self, entry: RunEntry | StaticEntry) -> tuple[Log, ...]:
        """Return an entry's log, or the two of a run with two loggers.

        Raises
        ------
        LogError
        """
        if isinstance(entry, StaticEntry) or entry.rear_log is None:
            return (self.log(entry),)
        return self.log_of(entry, "front"), self.log_of(entry, "rear")

    def first_stamp(self, run: RunEntry) -> datetime | None:
        """Return the absolute stamp of a run's first row; None where its log has none, or two logs make the run."""
        return (self.log(run) if run.rear_log is None else self.log_of(run, "front")).first_stamp

    def presses(self, run: RunEntry) -> dict[str, Floats]:
        """Return when each marker of a run was pressed, s after its log's first row.

        Raises
        ------
        LogError
        """
        if run.rear_log is not None:
            return self.presses_of(run, "front")
        markers = [item for item in run.sensors.values() if isinstance(item, MarkerSensor)]
        return {item.name: self._presses(self.log(run), run.log, item, self.day.log) for item in markers}

    def presses_of(self, run: RunEntry, end: End) -> dict[str, Floats]:
        """Return when markers were pressed by the log of one end; none of a marker it has no column for."""
        path, options = self._file_of(run, end)
        found: dict[str, Floats] = {}
        for item in run.sensors.values():
            if isinstance(item, MarkerSensor):
                with suppress(LogError):
                    found[item.name] = self._presses(self.log_of(run, end), path, item, options)
        return found

    def _presses(self, log: Log, path: Path, marker: MarkerSensor, options: LogOptions) -> Floats:
        return read_presses(log, path, marker, options, str(path.relative_to(self.day.folder)))

    def forget(self, entry: RunEntry | StaticEntry) -> None:
        """Let go of an entry's readings once its ride is made; logs are large."""
        gone = {entry.log, entry.rear_log if isinstance(entry, RunEntry) else None}
        self._logs = {reading: log for reading, log in self._logs.items() if reading[0] not in gone}

    def cutoff_hz(self) -> float:
        """Return the low-pass of the whole day: its own, or 0.4 x the lowest rate among its runs."""
        if self._cutoff_hz is None:
            self._cutoff_hz = self.cutoff_for(log.rate_hz for run in self.day.runs for log in self.logs_of(run))
        return self._cutoff_hz

    def cutoff_for(self, rates_hz: Iterable[float]) -> float:
        """Return the low-pass that logs of these rates allow."""
        return min([self.day.cutoff_hz, *(RATE_SHARE * rate for rate in rates_hz)])

    def _level(self, item: StaticEntry, sensor: DisplacementSensor) -> float:
        key = (item.log, sensor)
        if key not in self._levels:
            readings = self.log(item).columns[sensor.column]
            self._levels[key] = float(np.median(calibrate(sensor).mm(readings)))
        return self._levels[key]

    def lifted_wrong(self, item: StaticEntry) -> tuple[Finding, ...]:
        """Return what is wrong with a lifted recording, end by end; nothing of a recording of another kind."""
        setup, log = self.setup_of(item), self.log(item)
        found: list[Finding] = []
        for sensor in displacement_sensors(item.sensors) if item.kind == "lifted" else ():
            readings, at_end = log.columns[sensor.column], setup.at(sensor.end)
            full = at_end.stroke_mm if sensor.measures == "stroke" else at_end.full_travel_mm
            lifted = trust.LiftedEnd(
                log=item.log.name,
                sensor=sensor,
                readings=readings,
                level_mm=calibrate(sensor).mm(readings),
                full_mm=full or at_end.full_travel_mm or 0.0,
            )
            found.extend(trust.lifted_wrong(lifted))
        return tuple(found)

    def sound_day(self, end: End) -> RideDay:
        """Return the day without the lifted recordings that are wrong at one end."""
        if end not in self._sound:
            static = tuple(item for item in self.day.static if not self._is_wrong(item, end))
            self._sound[end] = replace(self.day, static=static)
        return self._sound[end]

    def _is_wrong(self, item: StaticEntry, end: End) -> bool:
        return any(found.severity == "error" and found.end == end for found in self.lifted_wrong(item))

    def zero(self, order: int, setup: str, sensor: DisplacementSensor) -> Zero | None:
        """Return the zero that holds for a setup's sensor in the run of that order."""
        fitting = self.day.setups[setup].fitting(sensor)
        return self._zero_of(lifted_in_force(self.sound_day(sensor.end), order, fitting), sensor)

    def wrong_lifted(self, order: int, setup: str, sensor: DisplacementSensor) -> StaticEntry | None:
        """Return the lifted recording that should give that zero and can't; None where the one that gives it should."""
        item = lifted_in_force(self.day, order, self.day.setups[setup].fitting(sensor))
        return item if item is not None and self._is_wrong(item, sensor.end) else None

    def next_zero(self, order: int, setup: str, sensor: DisplacementSensor) -> Zero | None:
        """Return the zero recorded next after the run of that order, None where none is."""
        return self._zero_of(
            lifted_next(self.sound_day(sensor.end), order, self.day.setups[setup].fitting(sensor)), sensor
        )

    def _zero_of(self, item: StaticEntry | None, sensor: DisplacementSensor) -> Zero | None:
        if item is None:
            return None
        own = item.sensors[sensor.name]
        level = self._level(item, own if isinstance(own, DisplacementSensor) else sensor)
        return Zero(level_mm=level, source=f"{item.log.name}, leg pulled out" if item.pulled else item.log.name)

    def noise(self, end: End) -> SeenNoise | None:
        """Return the noise seen at one end in still and lifted recordings, None without any."""
        if end not in self._noise:
            self._noise[end] = self._seen_noise(end)
        return self._noise[end]

    def _seen_noise(self, end: End) -> SeenNoise | None:
        travel, speed, names = [], [], []
        for item in self.sound_day(end).static:
            if item.kind not in ("still", "lifted"):
                continue
            ride = self.static_ride(item, with_noise=False)
            if ride is not None and end in ride.ends:
                travel.append(float(np.var(ride.ends[end].travel_mm)))
                speed.append(float(np.var(ride.ends[end].speed_mm_s)))
                names.append(item.log.name)
        if not names:
            return None
        return SeenNoise(
            travel_mm=float(np.sqrt(np.mean(travel))),
            speed_mm_s=float(np.sqrt(np.mean(speed))),
            source=", ".join(names),
        )

    def setup_of(self, entry: RunEntry | StaticEntry) -> Setup:
        """Return the setup an entry was recorded with; a recording without one goes with the run it stands before."""
        if entry.setup is not None:
            return self.day.setups[entry.setup]
        order = entry.before_order if isinstance(entry, StaticEntry) else entry.order
        run = next((run for run in self.day.runs if run.order == order), None)
        return self.day.setups[run.setup] if run is not None else next(iter(self.day.setups.values()))

    def _ends(self, entry: RunEntry | StaticEntry, order: int, *, with_noise: bool) -> tuple[EndRecipe, ...]:
        setup = self.setup_of(entry)
        return tuple(
            EndRecipe(
                sensor=sensor,
                setup=setup.at(sensor.end),
                zero=self.zero(order, setup.name, sensor),
                noise=self.noise(sensor.end) if with_noise else None,
            )
            for sensor in displacement_sensors(entry.sensors)
        )

    def run_ride(self, run: RunEntry) -> Ride | None:
        """Return a run's ride; None where its log has no stretch long enough to clean."""
        log = self.log(run)
        return clean_ride(log, self._recipe(run)) if log.segments else None

    def _recipe(self, run: RunEntry) -> RideRecipe:
        ground = _ground(run.sensors)
        return RideRecipe(
            name=run.name,
            setup=run.setup,
            ends=self._ends(run, run.order, with_noise=True),
            cutoff_hz=self.cutoff_hz(),
            ground=ground if isinstance(ground, GROUND_KINDS) else None,
            chassis=_chassis(run.sensors),
            start_s=run.start_s,
            end_s=run.end_s,
        )

    def end_ride(self, run: RunEntry, end: End) -> Ride | None:
        """Return one end of a run with two loggers, cleaned by itself; None where its log can't be cleaned."""
        log, recipe = self.log_of(run, end), self._recipe(run)
        own = tuple(item for item in recipe.ends if item.sensor.end == end)
        if not log.segments or not own:
            return None
        return clean_ride(log, replace(recipe, ends=own, ground=None, chassis=None, start_s=None, end_s=None))

    def joined_ride(self, run: RunEntry, line: ClockLine, clocks: Clocks) -> Ride | None:
        """Return a run of two loggers on the front's clock; None where they have no stretch in common.

        Parameters
        ----------
        run : RunEntry
        line : ClockLine
            From the rear's clock to the front's.
        clocks : {"one", "near", "rough"}
            How well the line joins them.
        """
        front, rear = self.log_of(run, "front"), self.log_of(run, "rear")
        names: dict[ColumnName, ColumnName] = {column: f"{column} of the rear's log" for column in rear.columns}
        log = joined_log(front, rear, line, names)
        if not log.segments:
            return None
        recipe, rows = self._recipe(run), rows_there(front, rear, line)
        ends = tuple(
            item
            if item.sensor.end == "front"
            else replace(item, sensor=replace(item.sensor, column=names[item.sensor.column]), rows=rows)
            for item in recipe.ends
        )
        return clean_ride(log, replace(recipe, ends=ends, clocks=clocks))

    def static_ride(self, item: StaticEntry, *, with_noise: bool = True) -> Ride | None:
        """Return a recording's ride; None where its log has no stretch long enough to clean."""
        log = self.log(item)
        if not log.segments:
            return None
        recipe = RideRecipe(
            name=item.log.name,
            setup=self.setup_of(item).name,
            ends=self._ends(item, item.before_order, with_noise=with_noise),
            cutoff_hz=self.cutoff_hz(),
        )
        return clean_ride(log, recipe)
