"""Ranges a number in a ride day may lie in; wide enough for dirt bikes, narrow enough to catch a wrong unit.

All bounds are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError

RANGE_ERROR = "range"


@dataclass(frozen=True, slots=True)
class Range:
    """A closed range with its unit; called with a value it returns it as a number or refuses it."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False
    said: str = ""

    @property
    def words(self) -> str:
        """The range for a person; `said` where its bounds would tell nothing."""
        if self.said:
            return self.said
        kind = "a whole number" if self.whole else "a number"
        return f"{kind} from {self.low:g} to {self.high:g} {self.unit}".strip()

    def __call__(self, value: object) -> float:
        """Return the value; NaN, infinities, truth values and text are refused too."""
        right = int if self.whole else int | float
        if isinstance(value, bool) or not isinstance(value, right) or not self.low <= value <= self.high:
            raise PydanticCustomError(RANGE_ERROR, "{words}", {"words": self.words, "low": self.low, "high": self.high})
        return value if self.whole else float(value)


TravelMm: TypeAlias = Annotated[float, BeforeValidator(Range(5, 400, "mm"))]
StrokeMm: TypeAlias = Annotated[float, BeforeValidator(Range(5, 200, "mm"))]
Ratio: TypeAlias = Annotated[float, BeforeValidator(Range(0.5, 8, "(wheel travel over shock stroke)"))]
PressureBar: TypeAlias = Annotated[float, BeforeValidator(Range(0, 60, "bar"))]
TyreBar: TypeAlias = Annotated[float, BeforeValidator(Range(0, 6, "bar"))]
VolumeMl: TypeAlias = Annotated[float, BeforeValidator(Range(0, 5000, "ml"))]
OilMl: TypeAlias = Annotated[float, BeforeValidator(Range(0, 1000, "ml"))]
Spacers: TypeAlias = Annotated[float, BeforeValidator(Range(0, 30, "spacers"))]
RateNmm: TypeAlias = Annotated[float, BeforeValidator(Range(0.1, 1000, "N/mm"))]
SmallMm: TypeAlias = Annotated[float, BeforeValidator(Range(0, 500, "mm"))]
LengthMm: TypeAlias = Annotated[float, BeforeValidator(Range(20, 3000, "mm"))]
OffsetMm: TypeAlias = Annotated[float, BeforeValidator(Range(-50, 150, "mm"))]
AngleDeg: TypeAlias = Annotated[float, BeforeValidator(Range(40, 90, "degrees"))]
MassKg: TypeAlias = Annotated[float, BeforeValidator(Range(3, 250, "kg"))]
RiderKg: TypeAlias = Annotated[float, BeforeValidator(Range(15, 250, "kg"))]
BatteryKg: TypeAlias = Annotated[float, BeforeValidator(Range(0, 60, "kg"))]
TemperatureC: TypeAlias = Annotated[float, BeforeValidator(Range(-40, 60, "°C"))]
AltitudeM: TypeAlias = Annotated[float, BeforeValidator(Range(-450, 6000, "m"))]
ViscosityCst: TypeAlias = Annotated[float, BeforeValidator(Range(1, 500, "cSt at 40 °C"))]
ViscosityIndex: TypeAlias = Annotated[float, BeforeValidator(Range(0, 1000))]
ShaftSpeed: TypeAlias = Annotated[float, BeforeValidator(Range(1, 10_000, "mm/s"))]
Clicks: TypeAlias = Annotated[float, BeforeValidator(Range(0, 100, "from closed"))]
Teeth: TypeAlias = Annotated[float, BeforeValidator(Range(8, 80, "teeth"))]
Seconds: TypeAlias = Annotated[float, BeforeValidator(Range(0, 1e6, "s after the log's first row"))]
Minutes: TypeAlias = Annotated[float, BeforeValidator(Range(0, 600, "min"))]
RateHz: TypeAlias = Annotated[float, BeforeValidator(Range(1, 100_000, "rows a second"))]
CutoffHz: TypeAlias = Annotated[float, BeforeValidator(Range(2, 500, "Hz"))]
SpeedMmS: TypeAlias = Annotated[float, BeforeValidator(Range(10, 20_000, "mm/s"))]
Pulses: TypeAlias = Annotated[float, BeforeValidator(Range(0.01, 10_000, "pulses a turn"))]
CircumferenceMm: TypeAlias = Annotated[float, BeforeValidator(Range(300, 4000, "mm"))]
Finite: TypeAlias = Annotated[float, BeforeValidator(Range(-1e12, 1e12, said="a plain number, neither nan nor inf"))]
PlusMinusMm: TypeAlias = Annotated[float, BeforeValidator(Range(0, 20, "mm"))]
HeaderRow: TypeAlias = Annotated[int, BeforeValidator(Range(0, 10_000, "(0: the log has none)", whole=True))]
Order: TypeAlias = Annotated[int, BeforeValidator(Range(1, 10_000, whole=True))]
Looks: TypeAlias = Annotated[int, BeforeValidator(Range(1, 20, whole=True))]
