"""What a measure is: id, ends, unit, scale and words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from .day import SmallestChange
from .finding import ENDS, Place
from .inertial import On

Scale: TypeAlias = Literal["raw", "log", "count"]
Source: TypeAlias = Literal["run", "static"]
Sensing: TypeAlias = Literal["travel", "acceleration"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureSpec:
    """One measure.

    Attributes
    ----------
    name : str
        Its id.
    unit : str
    ends : tuple of {"front", "rear", "both"}
    label : str
        What people read: "Dynamic sag".
    scale, smallest_change
        Only for measures in the family that gets verdicts: the scale of comparison and the default smallest
        change that matters.
    more, less, same : str
        The finding in words when the candidate has more, less, or as much: "sits deeper while riding".
    source : {"run", "static"}
        Whether it comes from a run or from recordings made off the trail.
    by : {"travel", "acceleration"}
        What an end is measured by: a measure of acceleration is compared only where no sensor reads the end's travel.
    felt_on : tuple of {"chassis", "wheel"}
        Of a measure of acceleration: where at its end it needs a sensor.
    in_parts : bool
        Whether it has a value a part: a stretch of trail, or a frequency in Hz.
    digits : int, optional
        Decimals it is printed with where its unit's don't tell what matters: 0.83 from 1.15.
    """

    name: str
    unit: str
    label: str
    ends: tuple[Place, ...] = ENDS
    scale: Scale | None = None
    smallest_change: SmallestChange | None = None
    more: str = ""
    less: str = ""
    same: str = ""
    source: Source = "run"
    by: Sensing = "travel"
    felt_on: tuple[On, ...] = ()
    in_parts: bool = False
    digits: int | None = None

    @property
    def in_family(self) -> bool:
        """Whether the measure gets verdicts."""
        return self.scale is not None


def points(amount: float) -> SmallestChange:
    """Return a smallest change in points."""
    return SmallestChange(amount=amount, form="points", entered=f"{amount:g} points")


def percent(amount: float) -> SmallestChange:
    """Return a smallest change in percent."""
    return SmallestChange(amount=amount, form="percent", entered=f"{amount:g} %")
