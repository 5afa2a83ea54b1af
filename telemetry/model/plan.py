"""A day's plan: what it is made from, one row a measure and end, and what it answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from telemetry.sheet import Sheet, Shown

from .catalogue import MeasureSpec
from .day import RideDay, SmallestChange
from .finding import Place

SpreadSource: TypeAlias = Literal["stated", "own runs", "another day"]
WhyOrder: TypeAlias = Literal["", "fewer change-overs", "shorter day", "more of the drift"]
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
class PlanRow:
    """One measure at one end as it is to be planned.

    Attributes
    ----------
    stated : float or None
        Run-to-run standard deviation stated for it, in the measure's unit.
    ridden : tuple of RunsOf
        This day's runs, another day's: those there are, the first to be asked first.
    baseline : str
        Whose level of the measure is taken where this day's runs give it.
    run_min : float or None
        Minutes of riding in one run, where stated.
    """

    spec: MeasureSpec
    end: Place
    smallest_change: SmallestChange
    focus: bool
    named: bool  # a smallest change or a spread is stated for it
    stated: float | None
    ridden: tuple[RunsOf, ...]
    baseline: str
    run_min: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Detectable:
    """The difference that a day of so many runs of each has an 80 % chance to call changed.

    Attributes
    ----------
    runs_each : int
    difference : float or None
        In the measure's unit, upwards; None where no change of this kind would be seen.
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
    smallest_change : float
        In the measure's unit, upwards.
    margin : float
        The same on the scale of comparison.
    runs_each, runs_each_upper : int or None
        None where 30 of each would not do. Equal where the spread is stated.
    asked : bool
        Whether the day is sized by it.
    spread_from : {"stated", "own runs", "another day"}
    spread_words, spread_where : str
        The spread with its unit; where it is from.
    level : float
        Two-sided level it is planned at.
    """

    spec: MeasureSpec
    end: Place
    smallest_change: float
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

    `from_runs` tells that the run's minutes are the riding time of runs already ridden.
    """

    run_min: float | None = None
    return_min: float | None = None
    change_over_min: float | None = None
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


@dataclass(frozen=True, slots=True, kw_only=True)
class RidingOrder:
    """An order to ride the setups in.

    Attributes
    ----------
    setups : tuple of str
    runs_each, change_overs : int
    minutes : float or None
        Runs, returns and change-overs; sighting run and warm-up come on top.
    letters : str
        ``A B B A``, A the baseline.
    cancels : str
        What drift of the day falls on all setups alike.
    """

    setups: tuple[str, ...]
    runs_each: int
    change_overs: int
    minutes: float | None
    letters: str
    cancels: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """What a day is sized by: `rows` asked for, else all; and the runs of each they need.

    None where 30 would not do, or none of the rows asked for has a spread.
    """

    rows: tuple[Sees, ...]
    asked: bool
    runs_each: int | None
    runs_each_upper: int | None


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
    why : WhyOrder
        Why this order and not another of as many runs; empty where there is none.
    afforded : int or None
        Runs of each that were asked for.
    examples : tuple of Sees
        Rows that words are said of.
    one_way, two_days : Price
        What a change that can't be undone costs, and a second day.
    advice, costs, preparation : tuple of str
        In words: what to ride and why; what one way or a second day costs; what to do before.
    tell : callable or None
        What makes its sheet; None before it has its words.
    """

    day: RideDay
    baseline: str
    candidates: tuple[str, ...]
    order: RidingOrder
    orders: tuple[RidingOrder, ...]
    why: WhyOrder
    size: Size
    afforded: int | None
    work: Work
    sees: tuple[Sees, ...]
    absent: tuple[NotPlanned, ...]
    examples: tuple[Sees, ...]
    one_way: Price
    two_days: Price
    advice: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()
    preparation: tuple[str, ...] = ()
    tell: Callable[[Plan], Sheet] | None = None

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
        }
