"""A comparison's input, one row a measure and end, and its answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, TypeAlias

from .arrays import Floats
from .day import SmallestChange
from .finding import End, Place
from .interval import Ends, Interval
from .measure import MeasureAt
from .measure_spec import MeasureSpec, Scale

Verdict: TypeAlias = Literal["changed", "unchanged", "undecided"]
Withheld: TypeAlias = str | MeasureAt
"""What gets no verdict: all of a candidate, or one place of it."""
Sign: TypeAlias = Literal["▲", "▼", "=", "?"]
SECTIONS_UNSEEN = "spread between trail sections not looked at"
"""How a note begins that says by what a row could not be judged."""
MOST_MORE_RUNS = 30
"""Of each setup: what so many more won't settle is said not to be settled. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedRun:
    """One run that takes part.

    Attributes
    ----------
    order : int
        Place among all runs of the ride day, from 1.
    day : int
        Which of the dates ridden, from 1.
    order_in_day : int or None
        Place among all runs of that date, from 1; None where all runs were ridden on one date: `order` then.
    """

    run: str
    setup: str
    order: int
    day: int = 1
    order_in_day: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A run of a compared setup that takes no part, or one end of a run, and why: in the day's words, or by a code."""

    run: str
    setup: str
    reason: str
    end: End | None = None

    @property
    def what(self) -> str:
        """The run, or ``the rear of run_2``."""
        return self.run if self.end is None else f"the {self.end} of {self.run}"

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {"run": self.run, "setup": self.setup, "end": self.end, "reason": self.reason}


@dataclass(frozen=True, slots=True, kw_only=True)
class RunValue:
    """One measure of one run over the kept sections.

    Attributes
    ----------
    value : float or None
        None where the run doesn't give the measure; `reason` then says why.
    sections : float array, shape (S,)
        The measure within each section; NaN where a section gives no value.
    count, minutes : int, float
        For rows on the count scale: events and riding minutes.
    """

    run: UsedRun
    value: float | None
    sections: Floats
    reason: str = ""
    count: int | None = None
    minutes: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyRow:
    """One measure at one end over all compared runs of every setup.

    `full_travel_mm` maps each setup to its full travel, for rows in % of it, in mm and in mm a hit; empty otherwise.
    `stroke_shares` maps each setup to shares of wheel travel and of shock stroke, %, at the rear. `withheld` says why
    the row gets no verdict whatever it shows; empty elsewhere.
    """

    spec: MeasureSpec
    end: Place
    smallest_change: SmallestChange
    focus: bool
    runs: tuple[RunValue, ...]
    full_travel_mm: Mapping[str, float]
    stroke_shares: Mapping[str, tuple[Floats, Floats]] = field(default_factory=lambda: MappingProxyType({}))
    withheld: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupDifference:
    """One key whose resolved value differs between baseline and candidate, in words too.

    `full_travels_mm` are both full travels where they follow from it, `moved` the points of a linkage that lie
    elsewhere (none: it is put together otherwise), `instead_of` the baseline's key where another says the same.
    """

    candidate: str
    end: Place
    key: str
    baseline_value: object
    candidate_value: object
    words: str
    full_travels_mm: tuple[float, float] | None = None
    moved: tuple[str, ...] | None = None
    instead_of: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return the difference as it stands in JSON."""
        return {
            "candidate": self.candidate,
            "end": self.end,
            "key": self.key,
            "baseline_value": self.baseline_value,
            "candidate_value": self.candidate_value,
            "words": self.words,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class PercentView(Ends):
    """The same result in percent of the baseline (log and count scales)."""

    difference: float
    interval: Interval | None
    smallest_change_low: float
    smallest_change_high: float

    def to_dict(self) -> dict[str, float | None]:
        """Return the view as it stands in JSON."""
        return {name: getattr(self, name) for name in _VIEW_KEYS}


@dataclass(frozen=True, slots=True, kw_only=True)
class TravelView:
    """Both values of a share of full travel in mm of wheel travel, and at the rear in % of shock stroke."""

    baseline_mm: float | None
    candidate_mm: float | None
    baseline_stroke_pct: float | None
    candidate_stroke_pct: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis(Ends):
    """Where the result stands on its own scale in units of the smallest change: d/D and its intervals."""

    difference: float
    interval: Interval | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimated:
    """A difference on the scale of comparison and how well the day's runs alone tell it: days are put together by it.

    Attributes
    ----------
    d : float
        Raw in the measure's unit; a logarithm on the log and count scales.
    se, nu : float
        Standard error by the day's own runs, with nothing borrowed, and its degrees of freedom.
    reach : float
        `se` in times the spread between runs; 1 for counts.
    floor_se : float or None
        Below what no standard error goes: by the trail's sections; of counts by chance alone. None where not told.
    floor_nu : float or None
        Its degrees of freedom; None: it is normal.
    margin : float
        The smallest change that matters.
    """

    d: float
    se: float
    nu: float
    reach: float
    floor_se: float | None
    floor_nu: float | None
    margin: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Result(Ends):
    """One measure at one end, one candidate against the baseline; all figures in the measure's unit.

    `interval` is widened for the number of measures looked at; its inner one, 90 %, is that of the two one-sided tests.
    `axis` is what the verdict figure draws. `taken_out` names what was fitted beside the setup, "drift" or "day":
    values and difference are then the fit's. `unlike_earlier`: the runs scatter more than earlier days let expect.
    `barred`: it took no part in its family, `reason` says why. `widest`: in the unit, by how much two values can
    differ at all; None where nothing says so. `estimate`: of rows that take part in their family.
    `sentence` is put in where results are told.
    """

    candidate: str
    measure: str
    end: Place
    unit: str
    scale: Scale
    baseline_value: float | None
    candidate_value: float | None
    difference: float | None
    interval: Interval | None
    smallest_change_low: float | None
    smallest_change_high: float | None
    percent: PercentView | None
    n_baseline: int
    n_candidate: int
    p: float | None
    verdict: Verdict | None
    reason: str
    more_runs: int | None
    more_runs_upper: int | None
    selected: bool
    focus: bool
    axis: Axis | None
    travel: TravelView | None
    taken_out: tuple[str, ...] = ()
    unlike_earlier: bool = False
    barred: bool = False
    widest: float | None = None
    estimate: Estimated | None = None
    sentence: str = ""

    @property
    def level(self) -> float | None:
        """Level of the interval."""
        return None if self.interval is None else self.interval.level

    def to_dict(self) -> dict[str, object]:
        """Return the result as it stands in JSON."""
        row: dict[str, object] = {name: getattr(self, name) for name in _JSON_KEYS}
        row["percent"] = self.percent.to_dict() if self.percent else None
        return row

    def to_row(self) -> dict[str, object]:
        """Return the result as a flat row of a frame: ``percent_low`` and so on."""
        row = self.to_dict()
        del row["percent"]
        return row | {f"percent_{name}": getattr(self.percent, name, None) for name in _VIEW_KEYS}


_VIEW_KEYS = (
    "difference",
    "low",
    "high",
    "inner_low",
    "inner_high",
    "smallest_change_low",
    "smallest_change_high",
)
_JSON_KEYS = (
    "candidate",
    "measure",
    "end",
    "unit",
    "scale",
    "baseline_value",
    "candidate_value",
    *_VIEW_KEYS,
    "percent",
    "n_baseline",
    "n_candidate",
    "p",
    "level",
    "verdict",
    "reason",
    "more_runs",
    "more_runs_upper",
    "sentence",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A family of tests: rows in focus of one candidate, its other rows, or all of them where none is in focus.

    Attributes
    ----------
    candidate : str
    group : {"focus", "other", "all"}
    m : int
        Rows that take part.
    q : float
        False discovery rate, as spent at this look.
    looks : int
        Which of the looks that may decide, from 1; 0 before the first planned number of runs.
    selected : int
    """

    candidate: str
    group: Literal["focus", "other", "all"]
    m: int
    q: float
    looks: int
    selected: int

    def to_dict(self) -> dict[str, object]:
        """Return the family as it stands in JSON."""
        return {name: getattr(self, name) for name in ("candidate", "group", "m", "q", "looks", "selected")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdicts:
    """What the comparison stage answers: every row's result, and the families."""

    results: tuple[Result, ...]
    families: tuple[Family, ...]

    def looked_at(self, candidate: str) -> int:
        """Return how many of a candidate's rows take part in its families."""
        return sum(family.m for family in self.families if family.candidate == candidate)


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryLine:
    """One finding for the top of a page: a sign, the finding with its numbers, and how sure.

    `rows` are the (measure, end) that it tells of.
    """

    sign: Sign
    finding: str
    detail: str
    rows: tuple[MeasureAt, ...] = ()

    @property
    def line(self) -> str:
        """All of it on one line."""
        return f"{self.sign} {self.finding}. {self.detail}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """One candidate against the baseline in words: the finding, what takes no part, then three to five lines.

    `carrying` are the (measure, end) of the rows that carry it: focus, what changed and what of the lines stayed, none
    twice.
    """

    headline: str
    lines: tuple[SummaryLine, ...]
    carrying: tuple[MeasureAt, ...] = ()
    left_out: str = ""
