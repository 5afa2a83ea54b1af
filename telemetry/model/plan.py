"""A day's plan: what it is made from, one row a measure and end, and what it answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from telemetry.sheet import Sheet, Shown

from .day import RideDay
from .earlier import EarlierDays
from .finding import Place
from .measure_spec import MeasureSpec

SpreadSource: TypeAlias = Literal["stated", "own runs", "earlier days", "another day", "default"]
Limit: TypeAlias = Literal["", "runs", "day"]
WARM_UP_MIN = 5.0
"""Riding that warms dampers and tyres; common practice, no source."""
MOST_RUNS = 30
"""Of each setup: a plan goes no further. Own choice."""
FEWEST_TO_DECIDE = 3
"""Of each setup: fewer are a screening only. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunsOf:
    """What one day's usable runs say of one row.

    Attributes
    ----------
    source : {"own runs", "another day"}
    setups : tuple of str
    orders : tuple of int
        Place of each run in its day, from 1.
    values : tuple of float
        In the measure's unit.
    minutes : tuple of float
        Riding time of each run.
    reason : str
        Why runs are lacking; empty where none is.
    """

    source: SpreadSource
    setups: tuple[str, ...] = ()
    orders: tuple[int, ...] = ()
    values: tuple[float, ...] = ()
    minutes: tuple[float, ...] = ()
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Detectable:
    """The difference that a day of so many runs of each has an 80 % chance to call changed.

    Attributes
    ----------
    runs_each : int
    difference : float or None
        In the measure's unit, upwards; None where no change of this kind would be seen, or its level isn't known.
    on_scale : float or None
        The same on the scale of comparison.
    """

    runs_each: int
    difference: float | None
    on_scale: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sees:
    """What a day can see of one measure at one end.

    Attributes
    ----------
    smallest_change : float or None
        In the measure's unit, upwards; None where its level isn't known.
    margin : float
        The same on the scale of comparison.
    runs_each, runs_each_upper : int or None
        None where 30 of each would not do. Equal where the spread is stated.
    asked : bool
        Whether the day is sized by it.
    spread_from : {"stated", "own runs", "earlier days", "another day", "default"}
    spread_words, spread_where : str
        The spread with its unit; where it is from.
    level : float
        Two-sided level it is planned at.
    runs_alone : int or None
        Runs of each as `runs_each`, were it the only one in focus.
    runs_unlent : int or None
        Runs of each as `runs_each`, were the same spread known to the day's own runs alone.
    """

    spec: MeasureSpec
    end: Place
    smallest_change: float | None
    margin: float
    entered: str
    runs_each: int | None
    runs_each_upper: int | None
    detectable: tuple[Detectable, ...]
    focus: bool
    asked: bool
    spread_from: SpreadSource
    spread_words: str
    spread_where: str
    level: float
    runs_alone: int | None
    runs_unlent: int | None

    def decided_alone(self, runs_each: int) -> bool:
        """Tell whether so many runs of each would give it both chances, were it the only one in focus."""
        return self.runs_alone is not None and self.runs_alone <= runs_each

    def seen_by(self, runs_each: int) -> float | None:
        """Return the change on the scale of comparison that so many runs of each see; None where none is."""
        return next((item.on_scale for item in self.detectable if item.runs_each == runs_each), None)

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in JSON."""
        return {
            "measure": self.spec.name,
            "end": self.end,
            "unit": self.spec.unit,
            "smallest_change": self.smallest_change,
            "spread_from": self.spread_from,
            "runs_each": self.runs_each,
            "runs_each_upper": self.runs_each_upper,
            "detectable": [{"runs_each": item.runs_each, "difference": item.difference} for item in self.detectable],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPlanned:
    """A measure at one end that can't be planned, and why."""

    measure: str
    end: Place
    reason: str
    focus: bool

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in JSON."""
        return {"measure": self.measure, "end": self.end, "reason": self.reason}


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What a day's runs take, minutes; None where it isn't known.

    `from_runs` tells that the run's minutes are the riding time of runs already ridden; `day_min` is the longest day.
    """

    run_min: float | None = None
    return_min: float | None = None
    change_over_min: float | None = None
    day_min: float | None = None
    from_runs: bool = False

    @property
    def lacking(self) -> tuple[str, ...]:
        """Keys of ``[plan]`` without which a day's length can't be told."""
        keys = ("run_min", "return_min", "change_over_min")
        return tuple(key for key in keys if getattr(self, key) is None)

    def minutes(self, runs: int, change_overs: int) -> float | None:
        """Return how long runs with their returns and change-overs take, min; None where it can't be told."""
        if self.run_min is None or self.return_min is None or self.change_over_min is None:
            return None
        return runs * (self.run_min + self.return_min) + change_overs * self.change_over_min

    @property
    def before_min(self) -> float:
        """What sighting run and warm-up take before the first run, as far as it is known."""
        return (self.run_min or 0) + (self.return_min or 0) + WARM_UP_MIN

    def fits(self, order: RidingOrder) -> bool:
        """Tell whether a day of this order is no longer than the longest; also where neither is known."""
        if self.day_min is None or order.minutes is None:
            return True
        return order.minutes + self.before_min <= self.day_min


@dataclass(frozen=True, slots=True, kw_only=True)
class RidingOrder:
    """An order to ride the setups in.

    Attributes
    ----------
    setups : tuple of str
    runs_each, change_overs : int
    minutes : float or None
        Runs, returns and change-overs; sighting run and warm-up come on top.
    put_on_once : tuple of str
        Letters of the setups that are put on a single time.
    letters : str
        ``A B B A``, A the baseline.
    cancels : str
        What drift of the day falls on all setups alike.
    """

    setups: tuple[str, ...]
    runs_each: int
    change_overs: int
    minutes: float | None
    put_on_once: tuple[str, ...]
    letters: str
    cancels: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """What a day is sized by: `rows` asked for, else all; and the runs of each they need.

    None where 30 would not do, or none of the rows asked for has a spread. `runs_each_unlent` is what they would need
    were the same spread known to the day's own runs alone.
    """

    rows: tuple[Sees, ...]
    asked: bool
    runs_each: int | None
    runs_each_upper: int | None
    runs_each_unlent: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dearer:
    """The change on a row's scale that runs ridden plainly see, and as many ridden in a way that costs certainty."""

    row: Sees
    plainly: float
    dearly: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What another way of riding costs in certainty.

    Attributes
    ----------
    runs_each : int
        Compared with as many ridden plainly.
    times : float
        How many times as large a change must be to be seen.
    rows : tuple of Dearer
    needs : tuple of (Sees, int)
        Runs of each that see a row's smallest change so.
    """

    runs_each: int
    times: float
    rows: tuple[Dearer, ...]
    needs: tuple[tuple[Sees, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Plan(Shown):
    """What to ride, and what that can see.

    Attributes
    ----------
    order : RidingOrder
        The one recommended, or that of the runs asked for.
    orders : tuple of RidingOrder
        Those to choose from.
    one_way : bool
        Whether the change can't be undone: all runs of A, then all of B.
    limit : {"", "runs", "day"}
        What `order` is limited by: runs of each asked for, or the longest day; empty where it has all runs needed.
    examples : tuple of Sees
        Rows that words are said of.
    prices : tuple of Price
        What riding one way and a second day would cost; none where it is one way anyhow.
    advice, costs, preparation : tuple of str
        In words: what to ride and why; what one way or a second day costs; what to do before.
    tell : callable or None
        What makes its sheet; None before it has its words.
    unread : tuple of Exception
        Of the day's own logs that can't be read: they say nothing of how far runs scatter.
    earlier : EarlierDays
        What lends the day its spread.
    """

    day: RideDay
    baseline: str
    candidates: tuple[str, ...]
    order: RidingOrder
    orders: tuple[RidingOrder, ...]
    one_way: bool
    limit: Limit
    size: Size
    work: Work
    sees: tuple[Sees, ...]
    absent: tuple[NotPlanned, ...]
    examples: tuple[Sees, ...]
    prices: tuple[Price, ...]
    advice: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()
    preparation: tuple[str, ...] = ()
    tell: Callable[[Plan], Sheet] | None = None
    unread: tuple[Exception, ...] = ()
    earlier: EarlierDays = field(default_factory=EarlierDays)

    @property
    def in_short(self) -> str:
        """The order to ride."""
        return f"{self.day.title}: ride {self.order.letters}"

    @property
    def sheet(self) -> Sheet:
        """What to ride and why, and what that can see."""
        return self.tell(self) if self.tell is not None else ()

    @property
    def runs_each(self) -> int | None:
        """Runs of each setup that the day is sized for; None where 30 would not do or nothing has a spread."""
        return self.size.runs_each

    @property
    def lacking(self) -> tuple[NotPlanned, ...]:
        """Measures in focus that can't be planned."""
        return tuple(item for item in self.absent if item.focus)

    def decided(self, row: Sees) -> bool:
        """Tell whether a row has both chances with the runs of `order`."""
        return row.runs_each is not None and row.runs_each <= self.order.runs_each

    @property
    def infeasible(self) -> tuple[Sees, ...]:
        """Measures in focus that the runs of `order` don't give both chances."""
        return tuple(row for row in self.sees if row.focus and not self.decided(row))

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry plan --json`."""
        return {
            "ride_day": self.day.title,
            "order": list(self.order.setups),
            "change_overs": self.order.change_overs,
            "minutes": self.order.minutes,
            "runs_each": self.runs_each,
            "runs_each_upper": self.size.runs_each_upper,
            "sees": [row.to_dict() for row in self.sees],
            "absent": [row.to_dict() for row in self.absent],
            "infeasible": [{"measure": row.spec.name, "end": row.end} for row in self.infeasible],
            **({"earlier_days": self.earlier.to_dict()} if self.earlier.source else {}),
            **({"unread": [str(error) for error in self.unread]} if self.unread else {}),
        }
