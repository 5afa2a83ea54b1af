"""Ranges a number in a ride day may lie in; wide enough for dirt bikes, narrow enough to catch a wrong unit.

All bounds are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from pydantic import AfterValidator
from pydantic_core import PydanticCustomError


@dataclass(frozen=True, slots=True)
class Range:
    """A closed range with its unit; called with a value it returns it or refuses it."""

    low: float
    high: float
    unit: str = ""

    @property
    def words(self) -> str:
        """The range for a person."""
        return f"a number from {self.low:g} to {self.high:g} {self.unit}".strip()

    def __call__(self, value: float) -> float:
        """Return `value` where it lies in the range, else refuse it."""
        if not self.low <= value <= self.high:  # NaN is refused here too
            raise PydanticCustomError("range", "{words}", {"words": self.words})
        return float(value)


TravelMm: TypeAlias = Annotated[float, AfterValidator(Range(5, 400, "mm"))]
StrokeMm: TypeAlias = Annotated[float, AfterValidator(Range(5, 200, "mm"))]
Ratio: TypeAlias = Annotated[float, AfterValidator(Range(0.5, 8, "(wheel travel over shock stroke)"))]
PressureBar: TypeAlias = Annotated[float, AfterValidator(Range(0, 60, "bar"))]
TyreBar: TypeAlias = Annotated[float, AfterValidator(Range(0, 6, "bar"))]
VolumeMl: TypeAlias = Annotated[float, AfterValidator(Range(0, 5000, "ml"))]
OilMl: TypeAlias = Annotated[float, AfterValidator(Range(0, 1000, "ml"))]
Spacers: TypeAlias = Annotated[float, AfterValidator(Range(0, 30, "spacers"))]
RateNmm: TypeAlias = Annotated[float, AfterValidator(Range(0.1, 1000, "N/mm"))]
SmallMm: TypeAlias = Annotated[float, AfterValidator(Range(0, 500, "mm"))]
LengthMm: TypeAlias = Annotated[float, AfterValidator(Range(20, 3000, "mm"))]
OffsetMm: TypeAlias = Annotated[float, AfterValidator(Range(-50, 150, "mm"))]
AngleDeg: TypeAlias = Annotated[float, AfterValidator(Range(40, 90, "degrees"))]
MassKg: TypeAlias = Annotated[float, AfterValidator(Range(3, 250, "kg"))]
RiderKg: TypeAlias = Annotated[float, AfterValidator(Range(15, 250, "kg"))]
BatteryKg: TypeAlias = Annotated[float, AfterValidator(Range(0, 60, "kg"))]
TemperatureC: TypeAlias = Annotated[float, AfterValidator(Range(-40, 60, "°C"))]
AltitudeM: TypeAlias = Annotated[float, AfterValidator(Range(-450, 6000, "m"))]
ViscosityCst: TypeAlias = Annotated[float, AfterValidator(Range(1, 500, "cSt at 40 °C"))]
ViscosityIndex: TypeAlias = Annotated[float, AfterValidator(Range(0, 1000))]
ShaftSpeed: TypeAlias = Annotated[float, AfterValidator(Range(1, 10_000, "mm/s"))]
Clicks: TypeAlias = Annotated[float, AfterValidator(Range(0, 100, "from closed"))]
Teeth: TypeAlias = Annotated[float, AfterValidator(Range(8, 80, "teeth"))]
Seconds: TypeAlias = Annotated[float, AfterValidator(Range(0, 1e6, "s after the log's first row"))]
Minutes: TypeAlias = Annotated[float, AfterValidator(Range(0, 600, "min"))]
RateHz: TypeAlias = Annotated[float, AfterValidator(Range(1, 100_000, "rows a second"))]
CutoffHz: TypeAlias = Annotated[float, AfterValidator(Range(2, 500, "Hz"))]
SpeedMmS: TypeAlias = Annotated[float, AfterValidator(Range(10, 20_000, "mm/s"))]
Pulses: TypeAlias = Annotated[float, AfterValidator(Range(0.01, 10_000, "pulses a turn"))]
CircumferenceMm: TypeAlias = Annotated[float, AfterValidator(Range(300, 4000, "mm"))]
Finite: TypeAlias = Annotated[float, AfterValidator(Range(-1e12, 1e12))]
PlusMinusMm: TypeAlias = Annotated[float, AfterValidator(Range(0, 20, "mm"))]
