"""Sensors: checked, and turned into the types every stage knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from telemetry.model.sensor import DisplacementSensor, InertialSensor, Sensor
from telemetry.toml_problems import nearest, path_of, shown
from telemetry.toml_tables import made

from . import tables as t
from .imperial import Entered, Path
from .problems import Problems
from .validation import add_validation, wrong_paths
from .value_kinds import Table

_STAND_INS: Mapping[str, Any] = {"points": [[0.0, 0.0], [1.0, 1.0]], "column": 1}
"""Required keys that are wrong hold these while the rest is checked; a day with one is never returned."""
_NEVER_GUESSED = frozenset({"end", "on"})
"""What is where decides what else is checked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorSet:
    """Sensors in force somewhere: their tables as written, and what they are."""

    tables: Mapping[str, Mapping[str, Any]]
    sensors: Mapping[str, Sensor]


class SensorReader:
    """Checks sensor tables.

    Parameters
    ----------
    entered : mapping of path to Imperial
    problems : Problems
    """

    def __init__(self, entered: Entered, problems: Problems) -> None:
        self._entered = entered
        self._problems = problems
        self._wrong: set[str] = set()
        self.lost = False
        """Whether a sensor is left out, so that it isn't known what all of them read."""

    def read(self, tables: Mapping[str, Mapping[str, Any]]) -> SensorSet:
        """Return the sensors of ``[sensors]``, each wrong one with a problem.

        It holds stand-ins for keys that are wrong, so that what rests on the others is checked too; one whose kind or
        end isn't known is left out.
        """
        found = {}
        for name, table in tables.items():
            before = self._problems.told
            sensor = self._sensor(name, table, ("sensors", name))
            if sensor is not None:
                found[name] = sensor
            if self._problems.told > before:
                self._wrong.add(name)
        return SensorSet(tables=tables, sensors=MappingProxyType(found))

    def replaced(self, base: SensorSet, changes: Mapping[str, Mapping[str, Any]], path: Path) -> SensorSet:
        """Return a set with some sensors' keys replaced; an unknown sensor is a problem."""
        if not changes:
            return base
        tables, sensors = dict(base.tables), dict(base.sensors)
        for name, change in changes.items():
            here = (*path, name)
            if name not in base.tables:
                expected = nearest(name, base.tables, "a sensor of [sensors]")
                self._problems.add(path_of(here), f"unknown sensor {name!r}", expected)
                continue
            tables[name] = {**base.tables[name], **change}
            if name not in self._wrong:  # one wrong from the start is reported there, once
                sensor = self._sensor(name, tables[name], here)
                sensors.update({} if sensor is None else {name: sensor})
        return SensorSet(tables=tables, sensors=MappingProxyType(sensors))

    def _sensor(self, name: str, raw: Mapping[str, Any], path: Path) -> Sensor | None:
        kind = str(raw.get("kind"))
        if kind not in t.SENSORS:
            self.lost = True
            if "kind" in raw:
                self._problems.add(path_of((*path, "kind")), repr(kind), nearest(kind, t.SENSORS, "a kind of sensor"))
            else:
                self._problems.add(path_of(path), shown(raw), f"kind = one of {', '.join(t.SENSORS)}")
            return None
        stating, stated = t.SENSORS[kind]
        table = self._table(stating, raw, path)
        if isinstance(table, t.DisplacementTable):
            sensor = made(DisplacementSensor, table, name=name, measures=table.measures or "travel")
            _check_displacement(sensor, table, path, self._problems)
            return sensor
        if table is None:
            self.lost = True
            return None
        other: Sensor = made(stated, table, name=name)
        if isinstance(other, InertialSensor):
            _check_inertial(other, path, self._problems)
        return other

    def _table(self, stating: type[Table], raw: Mapping[str, Any], path: Path) -> Table | None:
        """Return a sensor's table; where keys are wrong, with stand-ins, or None where there are none for them."""
        data: dict[str, Any] = dict(raw)
        for _ in range(2):
            try:
                return stating.model_validate(data)
            except ValidationError as error:
                wrong = wrong_paths(error, data)
            add_validation(self._problems, wrong, data, self._entered, path)
            keys = {place[0] for place, _ in wrong if place}
            if not keys.isdisjoint(_NEVER_GUESSED):
                return None
            data = {key: value for key, value in data.items() if key not in keys} | {
                key: value for key, value in _STAND_INS.items() if key in keys
            }
        return None


def _check_inertial(sensor: InertialSensor, path: Path, problems: Problems) -> None:
    lacking = [axis for axis in ("ax", "ay", "az") if axis not in sensor.columns]
    turning = [axis for axis in ("gx", "gy", "gz") if axis in sensor.columns]
    if lacking:
        expected = "columns for ax, ay and az: two axes alone can't tell gravity from movement"
        problems.add(path_of((*path, "columns")), "no " + ", ".join(lacking), expected)
    elif 0 < len(turning) < 3:
        problems.add(path_of((*path, "columns")), f"only {', '.join(turning)}", "all of gx, gy and gz, or none")
    elif turning and sensor.rotation_unit is None:
        expected = "'deg/s', 'rad/s' or 'counts', for the rotation columns"
        problems.add(path_of((*path, "rotation_unit")), "nothing", expected)
    elif sensor.rotation_unit is not None and not turning:
        expected = "rotation columns (gx, gy, gz) that it is the unit of, or no rotation_unit"
        problems.add(path_of((*path, "rotation_unit")), shown(sensor.rotation_unit), expected)
    _check_counts((*path, "counts_per_g"), sensor.acceleration_unit, sensor.counts_per_g, problems)
    _check_counts((*path, "counts_per_deg_s"), sensor.rotation_unit, sensor.counts_per_deg_s, problems)


def _check_counts(key: Path, unit: str | None, counts: float | None, problems: Problems) -> None:
    if unit == "counts" and counts is None:
        what = "1 g" if key[-1] == "counts_per_g" else "1 degree a second"
        problems.add(
            path_of(key), "nothing", f"how many counts are {what}, as the sensor's data sheet says for its range"
        )
    elif unit != "counts" and counts is not None:
        other = "acceleration_unit" if key[-1] == "counts_per_g" else "rotation_unit"
        problems.add(path_of(key), shown(counts), f"{other} = 'counts' beside it, or no {key[-1]}")


def _check_displacement(sensor: DisplacementSensor, table: t.DisplacementTable, path: Path, problems: Problems) -> None:
    _check_points(sensor, path_of((*path, "points")), problems)
    if sensor.end == "rear" and table.measures is None:
        problems.add(path_of((*path, "measures")), "nothing", "'stroke' or 'travel': required at the rear")
    if sensor.end == "front" and sensor.measures == "stroke":
        problems.add(path_of((*path, "measures")), "'stroke' at the front", "'travel': a fork's stroke is its travel")
    if table.counts_range is not None and table.counts_range[0] >= table.counts_range[1]:
        expected = "[lowest, highest] reading of the converter"
        problems.add(path_of((*path, "counts_range")), shown(table.counts_range), expected)


def _check_points(sensor: DisplacementSensor, key: str, problems: Problems) -> None:
    points = sorted(sensor.points)
    twice = next((before for (before, _), (after, _) in pairwise(points) if before == after), None)
    if len(points) < 2:
        found = "1 calibration point" if points else "no calibration points"
        problems.add(key, found, "two or more: [[reading, mm], [reading, mm]]")
    elif twice is not None:
        problems.add(key, f"the reading {twice:g} twice", "points with different readings")
    elif sensor.calibration == "curve":
        _check_curve(points, key, problems)
    elif len({mm for _, mm in points}) == 1:
        problems.add(key, f"{points[0][1]:g} mm at every point", "points at different travels")


def _check_curve(points: list[tuple[float, float]], key: str, problems: Problems) -> None:
    if len(points) < 3:
        problems.add(key, f"{len(points)} points for a curve", "three or more, or calibration = 'line'")
        return
    steps = [after - before for (_, before), (_, after) in pairwise(points)]
    if not (all(step > 0 for step in steps) or all(step < 0 for step in steps)):
        problems.add(key, "travel that turns back along the curve", "mm that only rise or only fall with the reading")
