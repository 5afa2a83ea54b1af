"""What is told beside the verdicts and decides none: drift, equal ground speed, who differs from whom."""

from __future__ import annotations

from dataclasses import dataclass, fields

from .finding import Place


class _Row:
    """A row that JSON holds field by field."""

    __slots__ = ()

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in JSON."""
        return {item.name: getattr(self, item.name) for item in fields(self)}  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift(_Row):
    """How a measure moved from run to run with the setups' difference taken out.

    `slope` with its 90 % interval is in `unit` a run; `could_move` is how far it could have moved the difference:
    the setups' distance in the order ridden times the larger end. % of the baseline on the log scale.
    """

    candidate: str
    measure: str
    end: Place
    unit: str
    slope: float
    low: float
    high: float
    order_shift: float
    could_move: float

    @property
    def seen(self) -> bool:
        """Whether the interval leaves out zero. Where it doesn't, that is no evidence of none."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualSpeed(_Row):
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
class PairDifference(_Row):
    """One measure of one pair of setups. `differs` is None where the pair can't be judged, with the `reason`."""

    first: str
    second: str
    measure: str
    end: Place
    unit: str
    difference: float | None
    low: float | None
    high: float | None
    p: float | None
    differs: bool | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondLooks:
    """All three; each empty where it can't be had."""

    drift: tuple[Drift, ...] = ()
    equal_speed: tuple[EqualSpeed, ...] = ()
    pairs: tuple[PairDifference, ...] = ()
