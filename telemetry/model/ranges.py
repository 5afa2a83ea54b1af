"""The range a number may lie in, with its unit.

All bounds are common practice, no source: wide enough for dirt bikes, narrow enough to catch a wrong unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias


@dataclass(frozen=True, slots=True)
class Range:
    """A closed range with its unit; `said` in place of its words where its bounds would tell too little."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False
    said: str = ""

    @property
    def words(self) -> str:
        """The range for a person."""
        if self.said:
            return self.said
        kind = "a whole number" if self.whole else "a number"
        return f"{kind} from {self.low:g} to {self.high:g} {self.unit}".strip()

    def holds(self, value: object) -> bool:
        """Tell whether a value is a number within; NaN, infinities, truth values and text aren't."""
        right = int if self.whole else int | float
        return isinstance(value, right) and not isinstance(value, bool) and self.low <= value <= self.high


PRESSURE_BAR, ALTITUDE_M, LENGTH_MM = Range(0, 60, "bar"), Range(-450, 6000, "m"), Range(20, 3000, "mm")
MASS_KG, ANGLE_DEG = Range(3, 250, "kg"), Range(40, 90, "°", said="a number from 40 to 90 degrees")
COUNTS_PER_G = Range(0.01, 10_000_000, "counts a g")

PressureBar: TypeAlias = Annotated[float, PRESSURE_BAR]
AltitudeM: TypeAlias = Annotated[float, ALTITUDE_M]
LengthMm: TypeAlias = Annotated[float, LENGTH_MM]
MassKg: TypeAlias = Annotated[float, MASS_KG]
AngleDeg: TypeAlias = Annotated[float, ANGLE_DEG]
RiderKg: TypeAlias = Annotated[float, Range(15, 250, "kg")]
TemperatureC: TypeAlias = Annotated[float, Range(-40, 60, "°C")]
Seconds: TypeAlias = Annotated[float, Range(0, 1e6, "s after the log's first row")]
Minutes: TypeAlias = Annotated[float, Range(0, 600, "min")]
DayMinutes: TypeAlias = Annotated[float, Range(10, 1440, "min")]
RateHz: TypeAlias = Annotated[float, Range(1, 100_000, "rows a second")]
CutoffHz: TypeAlias = Annotated[float, Range(2, 500, "Hz")]
SpeedMmS: TypeAlias = Annotated[float, Range(10, 20_000, "mm/s")]
Pulses: TypeAlias = Annotated[float, Range(0.01, 10_000, "pulses a turn")]
CountsPerG: TypeAlias = Annotated[float, COUNTS_PER_G]
CountsPerDegS: TypeAlias = Annotated[float, Range(0.01, 1_000_000, "counts a degree a second")]
FromAxleMm: TypeAlias = Annotated[float, Range(-3000, 3000, "mm")]
RangeG: TypeAlias = Annotated[float, Range(1, 1000, "g")]
RangeDegS: TypeAlias = Annotated[float, Range(50, 20_000, "degrees a second")]
CircumferenceMm: TypeAlias = Annotated[float, Range(300, 4000, "mm")]
HeaderRow: TypeAlias = Annotated[int, Range(0, 10_000, "(0: the log has none)", whole=True)]
