"""Sensors: what each reads, where it sits, and which columns of a log it stands in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from . import ranges as r
from .finding import End

ColumnName: TypeAlias = str | int
"""A column's name, or its number counted from 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplacementSensor:
    """Anything that reads position at one end.

    Attributes
    ----------
    points : tuple of (reading, mm)
        Calibration; two or more, readings distinct.
    calibration : {"line", "curve"}
        Least-squares line, or a monotone shape-preserving curve through three points or more.
    measures : {"travel", "stroke"}
        Wheel travel, or the shock's stroke.
    counts_range : (low, high) or None
        The converter's ends, in readings.
    """

    name: str
    end: End
    column: ColumnName
    measures: Literal["travel", "stroke"]
    points: tuple[tuple[float, float], ...]
    calibration: Literal["line", "curve"] = "line"
    counts_range: tuple[float, float] | None = None
    kind: Literal["displacement"] = "displacement"


@dataclass(frozen=True, slots=True, kw_only=True)
class InertialSensor:
    """An accelerometer, with or without a gyroscope.

    Attributes
    ----------
    columns : mapping of axis to column
        All of ``ax ay az``, and all or none of ``gx gy gz``; along the axes of its case, right-handed.
    counts_per_g, counts_per_deg_s : float or None
        Of a converter's counts; stated where a unit is "counts", and only there.
    range_g, range_deg_s : float or None
        What it measures up to, either way.
    ahead_of_axle_mm, above_axle_mm : float or None
        Where it sits, from its end's axle as the bike stands with its rider: forward and upward.
    """

    name: str
    end: End
    on: Literal["chassis", "wheel"] = "chassis"
    columns: Mapping[str, ColumnName]
    acceleration_unit: Literal["g", "m/s2", "milli-g", "counts"]
    counts_per_g: r.CountsPerG | None = None
    range_g: r.RangeG | None = None
    rotation_unit: Literal["deg/s", "rad/s", "counts"] | None = None
    counts_per_deg_s: r.CountsPerDegS | None = None
    range_deg_s: r.RangeDegS | None = None
    ahead_of_axle_mm: r.FromAxleMm | None = None
    above_axle_mm: r.FromAxleMm | None = None
    kind: Literal["inertial"] = "inertial"

    @property
    def turns(self) -> bool:
        """Whether it holds a gyroscope."""
        return "gx" in self.columns


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundSpeedSensor:
    """A column that holds ground speed."""

    name: str
    column: ColumnName
    unit: Literal["m/s", "km/h"]
    kind: Literal["ground_speed"] = "ground_speed"


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelPulseSensor:
    """Pulses of a turning wheel: a running count, or a level that rises once a pulse."""

    name: str
    column: ColumnName
    pulses_per_turn: r.Pulses
    wheel_circumference_mm: r.CircumferenceMm
    kind: Literal["wheel_pulses"] = "wheel_pulses"


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceSensor:
    """A column that holds the distance ridden, m."""

    name: str
    column: ColumnName
    kind: Literal["distance"] = "distance"


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionFixSensor:
    """Latitude and longitude, degrees."""

    name: str
    lat: ColumnName
    lon: ColumnName
    kind: Literal["position_fix"] = "position_fix"


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkerSensor:
    """A column that equals a value where the rider pressed a marker."""

    name: str
    column: ColumnName
    equals: float | str
    kind: Literal["marker"] = "marker"


Sensor: TypeAlias = (
    DisplacementSensor
    | InertialSensor
    | GroundSpeedSensor
    | WheelPulseSensor
    | DistanceSensor
    | PositionFixSensor
    | MarkerSensor
)


def columns_of(sensor: Sensor) -> tuple[ColumnName, ...]:
    """Return the log columns a sensor reads, in a fixed order."""
    if isinstance(sensor, InertialSensor):
        return tuple(sensor.columns.values())
    if isinstance(sensor, PositionFixSensor):
        return (sensor.lat, sensor.lon)
    return (sensor.column,)
