"""A day's logs cleaned into rides, each recording once, at one low-pass and with the noise that was seen at rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property

import numpy as np

from telemetry import trust
from telemetry.conditioning import EndRecipe, RestNoise, RideRecipe, clean_ride, with_rest_noise
from telemetry.model.day import RideDay, RunEntry, StaticEntry
from telemetry.model.finding import ENDS, End
from telemetry.model.log import Log
from telemetry.model.ride import Ride

from .loggers import DayLogs, Entry, chassis_sensor, displacement_sensors, ground_sensor
from .zeros import Zeros, setup_of

RATE_SHARE = 0.4
"""The low-pass lies at no more than so much of the lowest rate."""


def clean(log: Log, recipe: RideRecipe) -> Ride | None:
    """Return a log's ride, with what is told of log and readings; None where no stretch of it is long enough."""
    if not log.segments:
        return None
    ride, ends = clean_ride(log, recipe)
    told = [found for end in ends for found in trust.reading_findings(ride, end)]
    return replace(ride, findings=(*log.findings, *trust.slow_rate(ride), *told, *ride.findings))


class Rides:
    """A day's rides.

    Parameters
    ----------
    day : RideDay
    logs : DayLogs, optional
        Those of its logs that were read already.
    runs : tuple of RunEntry, optional
        Those whose logs can be read: the day's others still tell what was changed, and when.
    """

    def __init__(self, day: RideDay, logs: DayLogs | None = None, runs: tuple[RunEntry, ...] | None = None) -> None:
        self.day = day
        self.logs = DayLogs(day) if logs is None else logs
        self.runs = day.runs if runs is None else runs
        self.zeros = Zeros(day, self.logs)
        self._recorded: dict[int, Ride | None] = {}

    @cached_property
    def cutoff_hz(self) -> float:
        """The low-pass of the whole day: its own, or 0.4 x the lowest rate among its runs."""
        rates = (log.rate_hz for run in self.runs for log in self.logs.of(run))
        return min([self.day.cutoff_hz, *(RATE_SHARE * rate for rate in rates)])

    @cached_property
    def noise(self) -> Mapping[End, RestNoise]:
        """The noise seen in still and lifted recordings at the ends where there are any; none that is wrong there."""
        found = {}
        for end in ENDS:
            seen = [
                (item.log.name, ride.ends[end])
                for place, item in enumerate(self.day.static)
                if item.kind in ("still", "lifted")
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
        if place not in self._recorded:
            (log,) = self.logs.of(self.day.static[place])
            self.logs.require_room(self.day.static[place])
            self._recorded[place] = clean(log, self.recipe(self.day.static[place]))
        return self._recorded[place]

    def recorded(self, place: int) -> Ride | None:
        """Return the ride of the day's recording of that place; None where its log has no stretch long enough."""
        ride = self._cleaned(place)
        return None if ride is None else with_rest_noise(ride, self.noise)

    def recipe(self, entry: Entry) -> RideRecipe:
        """Return what is needed to clean an entry's log."""
        setup = setup_of(self.day, entry)
        ends = tuple(
            EndRecipe(sensor=sensor, setup=setup.at(sensor.end), zero=self.zeros.in_force(entry, sensor))
            for sensor in displacement_sensors(entry.sensors)
        )
        recipe = RideRecipe(name=entry.name, setup=setup.name, ends=ends, cutoff_hz=self.cutoff_hz)
        if isinstance(entry, StaticEntry):
            return recipe
        return replace(
            recipe,
            ground=ground_sensor(entry.sensors),
            chassis=chassis_sensor(entry.sensors),
            start_s=entry.start_s,
            end_s=entry.end_s,
        )
