"""Where a difference lies, at a level: with a narrower interval inside it where two are told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A two-sided interval; where there is none, there is None in its place.

    Attributes
    ----------
    low, high : float or None
        None at an end that is beyond all numbers in the unit it is told in.
    level : float
        Chance of missing the truth, both sides together: 0.05 of a 95 % interval.
    inner : Interval or None
        The one of the two one-sided tests, which decides "unchanged".
    """

    low: float | None
    high: float | None
    level: float
    inner: Interval | None = None

    def map(self, onto: Callable[[float], float | None]) -> Interval:
        """Return the interval in another unit, both ends put through a function that grows."""
        return Interval(
            low=None if self.low is None else onto(self.low),
            high=None if self.high is None else onto(self.high),
            level=self.level,
            inner=self.inner and self.inner.map(onto),
        )

    def within(self, limit: float) -> bool:
        """Tell whether both ends lie between minus and plus `limit`."""
        return self.low is not None and self.high is not None and -limit < self.low and self.high < limit

    def reaches_within(self, limit: float) -> bool:
        """Tell whether some of it lies between minus and plus `limit`."""
        return (self.low is None or self.low < limit) and (self.high is None or -limit < self.high)


class Ends:
    """The ends by name of whatever has an interval, as JSON and tables hold them; None where there is none."""

    __slots__ = ()
    interval: Interval | None

    @property
    def low(self) -> float | None:
        """Lower end."""
        return None if self.interval is None else self.interval.low

    @property
    def high(self) -> float | None:
        """Upper end."""
        return None if self.interval is None else self.interval.high

    @property
    def inner_low(self) -> float | None:
        """Lower end of the inner interval."""
        return None if self.interval is None or self.interval.inner is None else self.interval.inner.low

    @property
    def inner_high(self) -> float | None:
        """Upper end of the inner interval."""
        return None if self.interval is None or self.interval.inner is None else self.interval.inner.high


def about(middle: float, half_width: float | None, level: float, inner: Interval | None = None) -> Interval | None:
    """Return the interval of this half-width about a middle; None where there is no half-width."""
    if half_width is None:
        return None
    return Interval(low=middle - half_width, high=middle + half_width, level=level, inner=inner)
