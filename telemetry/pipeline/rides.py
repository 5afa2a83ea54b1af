"""Logs read and cleaned into rides, with the zero and the noise that hold for each."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TypeAlias

import numpy as np

from telemetry.conditioning import EndRecipe, RideRecipe, SeenNoise, Zero, calibrate, clean_ride
from telemetry.errors import CallError
from telemetry.logs import read_log, read_presses
from telemetry.measures import find_pushes, with_bounds
from telemetry.model.arrays import Floats
from telemetry.model.day import (
    ColumnName,
    DisplacementSensor,
    DistanceSensor,
    GroundSpeedSensor,
    InertialSensor,
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
from telemetry.model.finding import End
from telemetry.model.log import Log
from telemetry.model.ride import Ride
from telemetry.ride_day import lifted_in_force

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

    def first_stamp(self, run: RunEntry) -> datetime | None:
        """Return the absolute stamp of a run's first row; None where its log has none, or two logs make the run."""
        return None if run.rear_log is not None else self.log(run).first_stamp

    def presses(self, run: RunEntry) -> dict[str, Floats]:
        """Return when each marker of a run was pressed, s after its log's first row.

        Raises
        ------
        LogError
        """
        markers = [sensor for sensor in run.sensors.values() if isinstance(sensor, MarkerSensor)]
        shown_as = str(run.log.relative_to(self.day.folder))
        return {marker.name: read_presses(self.log(run), run.log, marker, self.day.log, shown_as) for marker in markers}

    def forget(self, entry: RunEntry | StaticEntry) -> None:
        """Let go of an entry's readings once its ride is made; logs are large."""
        self._logs.pop(_reading(entry), None)

    def cutoff_hz(self) -> float:
        """Return the low-pass of the whole day: its own, or 0.4 x the lowest rate among its runs."""
        if self._cutoff_hz is None:
            rates = [self.log(run).rate_hz for run in self.day.runs if run.rear_log is None]
            self._cutoff_hz = min([self.day.cutoff_hz, *(RATE_SHARE * rate for rate in rates)])
        return self._cutoff_hz

    def _level(self, item: StaticEntry, sensor: DisplacementSensor) -> float:
        key = (item.log, sensor)
        if key not in self._levels:
            readings = self.log(item).columns[sensor.column]
            self._levels[key] = float(np.median(calibrate(sensor).mm(readings)))
        return self._levels[key]

    def zero(self, order: int, setup: str, sensor: DisplacementSensor) -> Zero | None:
        """Return the zero that holds for a setup's sensor in the run of that order."""
        item = lifted_in_force(self.day, order, self.day.setups[setup].fitting(sensor))
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
        for item in self.day.static:
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
        if not log.segments:
            return None
        ground = _ground(run.sensors)
        return clean_ride(
            log,
            RideRecipe(
                name=run.name,
                setup=run.setup,
                ends=self._ends(run, run.order, with_noise=True),
                cutoff_hz=self.cutoff_hz(),
                ground=ground if isinstance(ground, GROUND_KINDS) else None,
                chassis=_chassis(run.sensors),
                start_s=run.start_s,
                end_s=run.end_s,
            ),
        )

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
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")  # doctest: +SKIP
    >>> telemetry.load_ride(day, "run_1").front.travel_mm.shape  # doctest: +SKIP
    """
    names = [entry.name for entry in day.runs]
    if run not in names:
        raise CallError(str(day.path), f"no run {run!r}", "one of " + ", ".join(names), "name a run of the day")
    entry = day.run(run)
    if entry.rear_log is not None:
        raise CallError(
            str(day.path), f"two logs for run {run!r}", "one log a run", "joining two loggers isn't built yet"
        )
    ride = Rides(day).run_ride(entry)
    if ride is None:
        raise CallError(entry.log.name, "no gap-free stretch of 0.25 s and 16 rows", "a ride", "check the logger")
    return with_bounds(ride, find_pushes(ride))
