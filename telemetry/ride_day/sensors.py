"""Sensors: checked, and turned into the types every stage knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from pydantic import TypeAdapter, ValidationError

from telemetry.model.day import (
    DisplacementSensor,
    DistanceSensor,
    GroundSpeedSensor,
    InertialSensor,
    MarkerSensor,
    PositionFixSensor,
    Sensor,
    WheelPulseSensor,
)
from telemetry.toml_problems import nearest, path_of, shown

from . import tables as t
from .imperial import Entered, Path
from .problems import Problems
from .validation import add_validation, wrong_paths

_ADAPTER: TypeAdapter[Any] = TypeAdapter(t.SensorTable)


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

    def read(self, tables: Mapping[str, Mapping[str, Any]]) -> SensorSet:
        """Return the sensors of ``[sensors]``; one that is wrong is left out, with a problem."""
        found = {}
        for name, table in tables.items():
            sensor = self._sensor(name, table, ("sensors", name))
            if sensor is not None:
                found[name] = sensor
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
            if name in base.sensors:  # one wrong from the start is reported there, once
                sensor = self._sensor(name, tables[name], here)
                if sensor is None:
                    del sensors[name]
                else:
                    sensors[name] = sensor
        return SensorSet(tables=tables, sensors=MappingProxyType(sensors))

    def _sensor(self, name: str, raw: Mapping[str, Any], path: Path) -> Sensor | None:
        try:
            table = _ADAPTER.validate_python(dict(raw))
        except ValidationError as error:
            add_validation(self._problems, wrong_paths(error, raw), raw, self._entered, path)
            return None
        if isinstance(table, t.DisplacementTable):
            return _displacement(name, table, path, self._problems)
        if isinstance(table, t.InertialTable):
            return _inertial(name, table, path, self._problems)
        return _other(name, table)


def _other(
    name: str,
    table: t.GroundSpeedTable | t.WheelPulsesTable | t.DistanceTable | t.PositionFixTable | t.MarkerTable,
) -> Sensor:
    if isinstance(table, t.GroundSpeedTable):
        return GroundSpeedSensor(name=name, column=table.column, unit=table.unit)
    if isinstance(table, t.WheelPulsesTable):
        return WheelPulseSensor(
            name=name,
            column=table.column,
            pulses_per_turn=table.pulses_per_turn,
            wheel_circumference_mm=table.wheel_circumference_mm,
        )
    return _place_sensor(name, table)


def _place_sensor(name: str, table: t.DistanceTable | t.PositionFixTable | t.MarkerTable) -> Sensor:
    if isinstance(table, t.DistanceTable):
        return DistanceSensor(name=name, column=table.column)
    if isinstance(table, t.PositionFixTable):
        return PositionFixSensor(name=name, lat=table.lat, lon=table.lon)
    equals = table.equals if isinstance(table.equals, str) else float(table.equals)
    return MarkerSensor(name=name, column=table.column, equals=equals)


def _inertial(name: str, table: t.InertialTable, path: Path, problems: Problems) -> InertialSensor | None:
    lacking = [axis for axis in ("ax", "ay", "az") if axis not in table.columns]
    if lacking:
        problems.add(path_of((*path, "columns")), "no " + ", ".join(lacking), "columns for ax, ay and az")
        return None
    turning = any(axis.startswith("g") for axis in table.columns)
    if turning and table.rotation_unit is None:
        problems.add(path_of((*path, "rotation_unit")), "nothing", "'deg/s' or 'rad/s', for the rotation columns")
        return None
    return InertialSensor(
        name=name,
        end=table.end,
        on=table.on,
        columns=MappingProxyType({str(axis): column for axis, column in table.columns.items()}),
        acceleration_unit=table.acceleration_unit,
        rotation_unit=table.rotation_unit,
    )


def _displacement(name: str, table: t.DisplacementTable, path: Path, problems: Problems) -> DisplacementSensor | None:
    before = problems.told
    _check_points(table, path_of((*path, "points")), problems)
    if table.end == "rear" and table.measures is None:
        problems.add(path_of((*path, "measures")), "nothing", "'stroke' or 'travel': required at the rear")
    if table.end == "front" and table.measures == "stroke":
        problems.add(path_of((*path, "measures")), "'stroke' at the front", "'travel': a fork's stroke is its travel")
    low_high = table.counts_range
    if low_high is not None and low_high[0] >= low_high[1]:
        problems.add(path_of((*path, "counts_range")), shown(low_high), "[lowest, highest] reading of the converter")
    if problems.told > before:
        return None
    return DisplacementSensor(
        name=name,
        end=table.end,
        column=table.column,
        measures=table.measures or "travel",
        points=tuple((reading, mm) for reading, mm in table.points),
        calibration=table.calibration,
        counts_range=None if low_high is None else (low_high[0], low_high[1]),
    )


def _check_points(table: t.DisplacementTable, key: str, problems: Problems) -> None:
    points = sorted((reading, mm) for reading, mm in table.points)
    twice = next((before for (before, _), (after, _) in pairwise(points) if before == after), None)
    if len(points) < 2:
        found = "1 calibration point" if points else "no calibration points"
        problems.add(key, found, "two or more: [[reading, mm], [reading, mm]]")
    elif twice is not None:
        problems.add(key, f"the reading {twice:g} twice", "points with different readings")
    elif table.calibration == "curve":
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
