"""One change on several kept days: what of it is put together, and what the days say together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from math import isfinite
from typing import TYPE_CHECKING

from .arrays import Floats
from .comparison import Axis, Family, Verdict
from .finding import Place
from .interval import Ends, Interval
from .measure_spec import Scale

if TYPE_CHECKING:
    import pandas as pd

DAY_LEVEL = 0.05
"""Of each day's own interval, and of the next day's; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What was changed on every day put together.

    Attributes
    ----------
    key, end, words, unit : str
        `words` are the key's; `end` is "bike" or "other" where it is neither end's.
    more : bool or None
        Whether there was more of it after than before; None where it is no number.
    between : (before, after)
        Of what is no number; empty texts elsewhere.
    least, most : float or None
        The smallest and the largest size on a day, in `unit`.
    taken_as : float or None
        The size that every day's difference was put to by proportion; None where each stands as it was.
    """

    key: str
    end: str
    words: str
    unit: str
    more: bool | None
    between: tuple[str, str]
    least: float | None
    most: float | None
    taken_as: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayTogether:
    """One of the days: which setup was held against which, what else was open, and how large the change was."""

    day: str
    date: str
    bike: str
    setup: str
    against: str
    size: float | None
    open: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftDay:
    """A day that isn't put together with the others, and why."""

    day: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysRow:
    """One measure at one end on the days that tell it, on the scale of comparison.

    `days` are places among the days put together; arrays have an entry each, of what `Estimated` says; NaN for None.
    """

    measure: str
    end: Place
    unit: str
    scale: Scale
    focus: bool
    margin: float
    days: tuple[int, ...]
    d: Floats
    se: Floats
    nu: Floats
    reach: Floats
    floor_se: Floats
    floor_nu: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class OfDay:
    """A row's difference on one day with its own 95 % interval, in the row's unit; its share in the mean.

    `axis` tells both in times the smallest change that matters. None: beyond all numbers.
    """

    day: str
    difference: float | None
    low: float | None
    high: float | None
    share: float | None
    axis: Axis


@dataclass(frozen=True, slots=True, kw_only=True)
class OfDays:
    """A row's days as arrays, of shape (k,): `shown` in the row's unit, `on_axis` in times the smallest change.

    Each holds difference, low and high; `shares` are None where there is no mean.
    """

    days: tuple[str, ...]
    shown: tuple[Floats, Floats, Floats]
    on_axis: tuple[Floats, Floats, Floats]
    shares: Floats | None

    def __len__(self) -> int:
        return len(self.days)

    def __iter__(self) -> Iterator[OfDay]:
        """Yield day after day."""
        shown = zip(*(_finite(values) for values in self.shown), strict=True)
        axes = zip(*(values.tolist() for values in self.on_axis), strict=True)
        shares = [None] * len(self.days) if self.shares is None else self.shares.tolist()
        for day, (difference, low, high), (d, d_low, d_high), share in zip(self.days, shown, axes, shares, strict=True):
            told = Interval(low=d_low, high=d_high, level=DAY_LEVEL)
            axis = Axis(difference=d, interval=told)
            yield OfDay(day=day, difference=difference, low=low, high=high, share=share, axis=axis)


def _finite(values: Floats) -> list[float | None]:
    return [value if isfinite(value) else None for value in values.tolist()]


@dataclass(frozen=True, slots=True, kw_only=True)
class TogetherRow(Ends):
    """One measure at one end over the days, in `unit`: points, the measure's own, or % on the log and count scales.

    Attributes
    ----------
    difference : float or None
        The mean over all such days, not over these alone; None where fewer than three tell it.
    interval : Interval or None
        Widened for the rows looked at, with the 90 % one inside it.
    next_interval : Interval or None
        In which the true difference of the next such day lies, 95 %.
    between, between_most : float or None
        Standard deviation from day to day beyond what their runs explain, and the upper end of its 95 % interval.
    p, p_alike, share_between : float or None
        Of the mean; of days that scatter so far were the change the same on all; the share of their scatter that isn't
        their runs'.
    axis, next_axis : Axis or None
        Mean and next day in times the smallest change that matters.
    """

    measure: str
    end: Place
    unit: str
    scale: Scale
    focus: bool
    n_days: int
    difference: float | None
    interval: Interval | None
    next_interval: Interval | None
    between: float | None
    between_most: float | None
    share_between: float | None
    p: float | None
    p_alike: float | None
    smallest_change_low: float | None
    smallest_change_high: float | None
    verdict: Verdict | None
    reason: str
    axis: Axis | None
    next_axis: Axis | None
    of_days: OfDays
    sentence: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in JSON."""
        row: dict[str, object] = {name: getattr(self, name) for name in _ROW_KEYS}
        row["level"] = None if self.interval is None else self.interval.level
        row["next_low"] = None if self.next_interval is None else self.next_interval.low
        row["next_high"] = None if self.next_interval is None else self.next_interval.high
        row["days"] = [
            {name: getattr(own, name) for name in ("day", "difference", "low", "high", "share")} for own in self.of_days
        ]
        return row


_ROW_KEYS = (
    *("measure", "end", "unit", "scale", "focus", "n_days", "difference", "low", "high", "inner_low", "inner_high"),
    *("between", "between_most", "share_between", "p", "p_alike", "smallest_change_low", "smallest_change_high"),
    *("verdict", "reason", "sentence"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedRow:
    """A measure that isn't put together over the days, and why."""

    measure: str
    end: Place
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysTogether:
    """The same change on several kept days."""

    change: Change
    days: tuple[DayTogether, ...]
    left_out: tuple[LeftDay, ...]
    definitions: int
    cutoff_hz: float | None
    rows: tuple[TogetherRow, ...]
    refused: tuple[RefusedRow, ...]
    families: tuple[Family, ...]
    headline: str = ""

    @property
    def bikes(self) -> dict[str, int]:
        """Days of each bike; bikes without a name count as one each day."""
        found: dict[str, int] = {}
        for own in self.days:
            name = own.bike or own.day
            found[name] = found.get(name, 0) + 1
        return found

    @property
    def fair(self) -> bool:
        """Whether nothing was open on any of the days."""
        return not any(own.open for own in self.days)

    @property
    def measures(self) -> pd.DataFrame:
        """One row a measure and end."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        rows = [row.to_dict() for row in self.rows]
        return pd.DataFrame([{name: value for name, value in row.items() if name != "days"} for row in rows])

    @property
    def by_day(self) -> pd.DataFrame:
        """One row a measure, end and day: its difference with its own 95 % interval, and its share in the mean."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        return pd.DataFrame(
            [
                {"measure": row.measure, "end": row.end, "unit": row.unit}
                | {name: getattr(own, name) for name in ("day", "difference", "low", "high", "share")}
                for row in self.rows
                for own in row.of_days
            ]
        )

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry together --json`."""
        return {
            "change": asdict(self.change) | {"between": list(self.change.between)},
            "headline": self.headline,
            "days": [asdict(own) | {"open": list(own.open)} for own in self.days],
            "left_out": [asdict(own) for own in self.left_out],
            "bikes": len(self.bikes),
            "definitions": self.definitions,
            "cutoff_hz": self.cutoff_hz,
            "families": [family.to_dict() for family in self.families],
            "measures": [row.to_dict() for row in self.rows],
            "not_put_together": [asdict(row) for row in self.refused],
        }
