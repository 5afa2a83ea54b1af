"""A day's logs cleaned into rides, each recording once, at one low-pass and with the noise that was seen at rest."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from telemetry import conditioning, trust
from telemetry.conditioning import (
    EndRecipe,
    RestNoise,
    RideRecipe,
    clean_ride,
    with_rest_noise,
)
from telemetry.logs import told_within
from telemetry.measures import find_pushes, with_bounds
from telemetry.model.day import RideDay, RunEntry, StaticEntry
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.log import Log
from telemetry.model.ride import CleanedEnd, Ride
from telemetry.model.sensor import InertialSensor, columns_of

from .loggers import AT_AN_END, AT_REST, DayLogs, Entry, displacement_sensors, ground_sensor, inertial_sensors
from .low_pass import LowPass, low_pass
from .zeros import Zeros, order_of, setup_of


def clean(log: Log, recipe: RideRecipe, *, ridden: bool = True) -> Ride | None:
    """Return a log's ride, with what is told of log and readings; None where no stretch of it is long enough.

    Of one that was `ridden` only what lies between its start and end is told.
    """
    if not log.segments:
        return None
    ride, ends = clean_ride(log, recipe)
    told = _told(log, ride, ends)
    if ridden and any(found.second is not None and found.severity != "note" for found in told):
        told = _told(log, with_bounds(ride, find_pushes(ride)), ends)  # seldom: looked for once more where all is known
    return replace(ride, findings=(*told, *ride.findings))


def _told(log: Log, ride: Ride, ends: Sequence[CleanedEnd]) -> tuple[Finding, ...]:
    """Return what is told of a log and its readings between the ride's start and end."""
    of_log = log_told(log, ride)
    return (
        *of_log,
        *trust.slow_rate(ride, ends),
        *(found for end in ends for found in trust.reading_findings(ride, end)),
    )


def log_told(log: Log, ride: Ride) -> tuple[Finding, ...]:
    """Return what a log is told between a ride's start and end, as far as these are known."""
    known = ride.start_from != "log" or ride.end_from != "log"
    return told_within(log, ride.start_s, ride.end_s) if known else log.findings


def _clock_is_right(log: Log) -> bool:
    return all(finding.severity != "error" or finding.code == "gap" for finding in log.findings)


class Rides:
    """A day's rides.

    Parameters
    ----------
    day : RideDay
    logs : DayLogs, optional
        Those of its logs that were read already.
    runs : tuple of RunEntry, optional
        Those to be cleaned; else all whose logs can be read. The day's others still tell what was changed, and when.
    """

    def __init__(self, day: RideDay, logs: DayLogs | None = None, runs: tuple[RunEntry, ...] | None = None) -> None:
        self.day = day
        self.logs = DayLogs(day) if logs is None else logs
        self._runs = runs
        self.zeros = Zeros(day, self.logs)
        self._recorded: dict[int, Ride | None] = {}

    @cached_property
    def runs(self) -> tuple[RunEntry, ...]:
        """The runs that can be cleaned: those asked for, else all whose logs can be read."""
        if self._runs is not None:
            return self._runs
        return tuple(run for run in self.day.runs if self.logs.why_not(run) is None)

    @cached_property
    def low_pass(self) -> LowPass:
        """The low-pass of the whole day, by the runs that are compared, else by its recordings.

        Runs that are left out, or whose clock can't be trusted, have no say: they are cleaned at their own at most.
        """
        runs = [entry for entry in self.runs if entry.leave_out is None] or self.day.static
        read = [entry for entry in runs if self.logs.why_not(entry) is None]
        rates = {entry.name: list(self._rates(entry)) for entry in read}
        return low_pass(self.day.cutoff_hz, {name: min(own) for name, own in rates.items() if own})

    def _rates(self, entry: Entry) -> Iterator[float]:
        """Yield how often an entry's sensors at the ends were read, each by its own clock."""
        at_ends = [sensor for sensor in entry.sensors.values() if isinstance(sensor, AT_AN_END)]
        columns = {column for sensor in at_ends for column in columns_of(sensor)}
        for log in self.logs.of(entry):
            if _clock_is_right(log):
                yield from (log.own.get(column, log).rate_hz for column in columns & log.columns.keys())

    @cached_property
    def noise(self) -> Mapping[End, RestNoise]:
        """The noise seen in still and lifted recordings at the ends where there are any; none that is wrong there."""
        found = {}
        for end in ENDS:
            seen = [
                (item.log.name, ride.ends[end])
                for place, item in enumerate(self.day.static)
                if item.kind in AT_REST
                and self.zeros.is_sound(item, end)
                and (ride := self._cleaned(place)) is not None
                and end in ride.ends
            ]
            if seen:
                found[end] = RestNoise(
                    travel_mm=float(np.sqrt(np.mean([float(np.var(signal.travel_mm)) for _, signal in seen]))),
                    speed_mm_s=float(np.sqrt(np.mean([float(np.var(signal.speed_mm_s)) for _, signal in seen]))),
                    source=", ".join(name for name, _ in seen),
                )
        return found

    def _cleaned(self, place: int) -> Ride | None:
        if self.logs.why_not(self.day.static[place]) is not None:
            return None
        if place not in self._recorded:
            (log,) = self.logs.of(self.day.static[place])
            self.logs.require_room(self.day.static[place])
            self._recorded[place] = clean(log, self.recipe(self.day.static[place]), ridden=False)
        return self._recorded[place]

    def recorded(self, place: int) -> Ride | None:
        """Return the ride of the day's recording of that place; None where its log can't be read or is too short."""
        ride = self._cleaned(place)
        return None if ride is None else with_rest_noise(ride, self.noise)

    @cached_property
    def _rests(self) -> tuple[tuple[StaticEntry, InertialSensor, conditioning.Rest], ...]:
        """What each inertial sensor reads in the recordings in which nothing moves."""
        return tuple(
            (item, sensor, rest)
            for item in self.day.static
            if item.kind in AT_REST and self.logs.why_not(item) is None
            for sensor in inertial_sensors(item.sensors)
            if (rest := conditioning.rest_in_log(self.logs.of(item)[0], sensor, item.log.name)) is not None
        )

    def _inertial(self, entry: Entry, sensor: InertialSensor) -> conditioning.InertialRecipe:
        """Return what is needed to clean an inertial sensor: at rest it is known from before the run, else after it."""
        place, rests = order_of(entry), dict[str, conditioning.Rest]()
        own = [(item.before_order, item.kind, rest) for item, of, rest in self._rests if of == sensor]
        for _, kind, rest in sorted(own, key=lambda found: (found[0] > place, abs(found[0] - place))):
            rests.setdefault(kind, rest)
        return conditioning.InertialRecipe(sensor=sensor, still=rests.get("still"), lifted=rests.get("lifted"))

    def recipe(self, entry: Entry) -> RideRecipe:
        """Return what is needed to clean an entry's log."""
        setup = setup_of(self.day, entry)
        ends = tuple(
            EndRecipe(sensor=sensor, setup=setup.at(sensor.end), zero=self.zeros.in_force(entry, sensor))
            for sensor in displacement_sensors(entry.sensors)
        )
        recipe = RideRecipe(name=entry.name, setup=setup.name, ends=ends, cutoff_hz=self.low_pass.cutoff_hz)
        if isinstance(entry, StaticEntry):
            return recipe
        return replace(
            recipe,
            ground=ground_sensor(entry.sensors),
            inertial=tuple(self._inertial(entry, sensor) for sensor in inertial_sensors(entry.sensors)),
            start_s=entry.start_s,
            end_s=entry.end_s,
        )
