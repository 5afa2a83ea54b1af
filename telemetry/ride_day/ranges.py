"""Numbers of a ride day's tables within their ranges; a setup's own are in ``telemetry.model.setup_keys``.

All bounds are common practice, no source: wide enough for dirt bikes, narrow enough to catch a wrong unit.
"""

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError

from telemetry.model import setup_keys as k
from telemetry.model.ranges import Range

RANGE_ERROR = "range"


def within(bounds: Range) -> BeforeValidator:
    """Return the check that a value is a number within its range."""

    def checked(value: float) -> float:
        if not bounds.holds(value):
            words = {"words": bounds.words, "low": bounds.low, "high": bounds.high}
            raise PydanticCustomError(RANGE_ERROR, "{words}", words)
        return value if bounds.whole else float(value)

    return BeforeValidator(checked)


PressureBar: TypeAlias = Annotated[float, within(k.PRESSURE_BAR)]
LengthMm: TypeAlias = Annotated[float, within(k.LENGTH_MM)]
AngleDeg: TypeAlias = Annotated[float, within(k.ANGLE_DEG)]
MassKg: TypeAlias = Annotated[float, within(k.MASS_KG)]
RiderKg: TypeAlias = Annotated[float, within(Range(15, 250, "kg"))]
TemperatureC: TypeAlias = Annotated[float, within(Range(-40, 60, "°C"))]
AltitudeM: TypeAlias = Annotated[float, within(k.ALTITUDE_M)]
Clicks: TypeAlias = Annotated[float, within(Range(0, 100, "from closed"))]
Seconds: TypeAlias = Annotated[float, within(Range(0, 1e6, "s after the log's first row"))]
Minutes: TypeAlias = Annotated[float, within(Range(0, 600, "min"))]
DayMinutes: TypeAlias = Annotated[float, within(Range(10, 1440, "min"))]
RateHz: TypeAlias = Annotated[float, within(Range(1, 100_000, "rows a second"))]
CutoffHz: TypeAlias = Annotated[float, within(Range(2, 500, "Hz"))]
SpeedMmS: TypeAlias = Annotated[float, within(Range(10, 20_000, "mm/s"))]
Pulses: TypeAlias = Annotated[float, within(Range(0.01, 10_000, "pulses a turn"))]
CircumferenceMm: TypeAlias = Annotated[float, within(Range(300, 4000, "mm"))]
Finite: TypeAlias = Annotated[float, within(Range(-1e12, 1e12, said="a plain number, neither nan nor inf"))]
PlusMinusMm: TypeAlias = Annotated[float, within(Range(0, 20, "mm"))]
HeaderRow: TypeAlias = Annotated[int, within(Range(0, 10_000, "(0: the log has none)", whole=True))]
Order: TypeAlias = Annotated[int, within(Range(1, 10_000, whole=True))]
RunsEach: TypeAlias = Annotated[int, within(Range(2, 30, whole=True))]
