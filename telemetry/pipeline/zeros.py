"""The zeros that a day's lifted recordings give, and which of them give none."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from pathlib import Path

import numpy as np

from telemetry import trust
from telemetry.conditioning import Zero, calibrate
from telemetry.model.day import RideDay, Setup, StaticEntry
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.sensor import DisplacementSensor
from telemetry.ride_day import lifted_in_force, lifted_next

from .loggers import DayLogs, Entry, displacement_sensors, unread


def setup_of(day: RideDay, entry: Entry) -> Setup:
    """Return the setup an entry was recorded with; a recording without one goes with the run it stands before."""
    if entry.setup is not None:
        return day.setups[entry.setup]
    run = next((run for run in day.runs if run.order == order_of(entry)), None)
    return day.setups[run.setup] if run is not None else next(iter(day.setups.values()))


def order_of(entry: Entry) -> int:
    """Return an entry's place among the day's runs: a recording's is that of the run it stands before."""
    return entry.before_order if isinstance(entry, StaticEntry) else entry.order


class Zeros:
    """A day's zeros.

    Parameters
    ----------
    day : RideDay
    logs : DayLogs
    """

    def __init__(self, day: RideDay, logs: DayLogs) -> None:
        self._day = day
        self._logs = logs
        self._levels: dict[tuple[Path, DisplacementSensor], float] = {}

    @cached_property
    def wrong(self) -> tuple[tuple[Finding, ...], ...]:
        """What is wrong with each of the day's recordings if it is a lifted one, end by end."""
        return tuple(self._wrong(item) if item.kind == "lifted" else () for item in self._day.static)

    def _wrong(self, item: StaticEntry) -> tuple[Finding, ...]:
        why_not = self._logs.why_not(item)
        if why_not is not None:
            return tuple(unread(item, why_not, sensor.end) for sensor in displacement_sensors(item.sensors))
        (log,), setup = self._logs.of(item), setup_of(self._day, item)
        found: list[Finding] = []
        for sensor in displacement_sensors(item.sensors):
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

    @cached_property
    def sound(self) -> dict[End, RideDay]:
        """The day as each end has it: without the lifted recordings that are wrong there."""

        def good(end: End, found: tuple[Finding, ...]) -> bool:
            return not any(item.severity == "error" and item.end == end for item in found)

        judged = list(zip(self._day.static, self.wrong, strict=True))
        return {
            end: replace(self._day, static=tuple(item for item, found in judged if good(end, found))) for end in ENDS
        }

    def is_sound(self, item: StaticEntry, end: End) -> bool:
        """Tell whether a recording of the day isn't a lifted one that is wrong at one end."""
        return any(item is kept for kept in self.sound[end].static)

    def in_force(self, entry: Entry, sensor: DisplacementSensor) -> Zero | None:
        """Return the zero that holds for an entry's sensor."""
        return self._zero_of(lifted_in_force(self.sound[sensor.end], *self._asked(entry, sensor)), sensor)

    def next_after(self, entry: Entry, sensor: DisplacementSensor) -> Zero | None:
        """Return the zero recorded next after an entry, None where none is."""
        return self._zero_of(lifted_next(self.sound[sensor.end], *self._asked(entry, sensor)), sensor)

    def lost(self, entry: Entry, sensor: DisplacementSensor) -> StaticEntry | None:
        """Return the lifted recording that should give a zero and can't; None where the one that gives it should."""
        item = lifted_in_force(self._day, *self._asked(entry, sensor))
        return None if item is None or self.is_sound(item, sensor.end) else item

    def level_found_mm(self, item: StaticEntry, sensor: DisplacementSensor) -> float | None:
        """Return the zero that a lifted recording gives for a sensor of it, mm of what it measures; None for none."""
        return self._level_mm(item, sensor) if self.is_sound(item, sensor.end) else None

    def _asked(self, entry: Entry, sensor: DisplacementSensor) -> tuple[int, tuple[DisplacementSensor, ...]]:
        return order_of(entry), setup_of(self._day, entry).fitting(sensor)

    def _zero_of(self, item: StaticEntry | None, sensor: DisplacementSensor) -> Zero | None:
        if item is None:
            return None
        own = item.sensors[sensor.name]
        level = self._level_mm(item, own if isinstance(own, DisplacementSensor) else sensor)
        return Zero(level_mm=level, source=f"{item.log.name}, leg pulled out" if item.pulled else item.log.name)

    def _level_mm(self, item: StaticEntry, sensor: DisplacementSensor) -> float:
        key = item.log, sensor
        if key not in self._levels:
            (log,) = self._logs.of(item)
            self._levels[key] = float(np.median(calibrate(sensor).mm(log.columns[sensor.column])))
        return self._levels[key]
