"""What is told beside the verdicts and decides none: drift, equal ground speed, who differs from whom, forces."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal

from .finding import End, Place
from .interval import Ends, Interval


class SecondLook(Ends):
    """A row of a table: its fields one by one, an interval by its ends."""

    __slots__ = ()

    @classmethod
    def columns(cls) -> list[str]:
        """Return the table's columns."""
        names = [item.name for item in fields(cls)]  # type: ignore[arg-type]
        return [column for name in names for column in (("low", "high") if name == "interval" else (name,))]

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in the table."""
        return {name: getattr(self, name) for name in self.columns()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift(SecondLook):
    """How a measure moved from run to run with the setups' difference taken out.

    `slope` with its 90 % interval is in `unit` a run; `could_move` is how far it could have moved the difference:
    the setups' distance in the order ridden times the larger end. % of the baseline on the log scale. `p` is the
    slope's, two-sided; `stands`: it passes among all rows looked at. No drift seen is no evidence of none.
    """

    candidate: str
    measure: str
    end: Place
    unit: str
    slope: float
    interval: Interval
    order_shift: float
    could_move: float
    p: float | None
    stands: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualSpeed(SecondLook):
    """A difference as it would be at equal ground speed: a second line only, for the setup may cause the speed.

    `per_percent` is what one per cent of ground speed moves the measure by; all in `unit`.
    """

    candidate: str
    measure: str
    end: Place
    unit: str
    difference: float
    at_equal_speed: float
    per_percent: float
    speed_difference_percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PairDifference(SecondLook):
    """One measure of one pair of setups. `differs` is None where the pair can't be judged, with the `reason`."""

    first: str
    second: str
    measure: str
    end: Place
    unit: str
    difference: float | None
    interval: Interval | None
    p: float | None
    differs: bool | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceDifference(SecondLook):
    """A force of one end's restoring-force map, candidate against baseline, runs as replicates.

    `at` is a speed of the damper, m/s, compression positive, or a depth, % of full travel. Values are N per kg that the
    end carries, geometric means over runs; `difference` and its 90 % interval are in % of the baseline. `interval` is
    None with fewer than two maps of one setup.
    """

    candidate: str
    end: End
    force: Literal["damper", "spring"]
    at: float
    baseline_value: float
    candidate_value: float
    difference: float
    interval: Interval | None
    n_baseline: int
    n_candidate: int

    @property
    def stands(self) -> bool:
        """Whether the interval leaves out 0."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondLooks:
    """All four; each empty where it can't be had."""

    drift: tuple[Drift, ...] = ()
    equal_speed: tuple[EqualSpeed, ...] = ()
    pairs: tuple[PairDifference, ...] = ()
    forces: tuple[ForceDifference, ...] = ()
