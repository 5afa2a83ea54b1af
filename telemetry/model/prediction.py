"""What a change should have done: each row's expected change with its interval, beside what was measured."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from telemetry.sheet import Sheet, Shown

from .comparison import SetupDifference
from .day import RideDay
from .earlier import EarlierDays
from .finding import End, Finding, Place
from .measure_spec import Scale
from .parts_checked import CheckedEnd
from .share_came import ShareCame

Agreement: TypeAlias = Literal["agrees", "disagrees", "can't tell"]
LEVEL = 0.10
"""Chance that an expected change lies outside its interval, both sides together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BackRow:
    """How one measure of one end came out when the baseline rode its own ground again, means over its runs."""

    measure: str
    end: End
    unit: str
    measured: float
    on_paper: float

    @property
    def off(self) -> float:
        """By what share of the measured value it is off."""
        return abs(self.on_paper - self.measured) / abs(self.measured) if self.measured else 0.0

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            "measure": self.measure,
            "end": self.end,
            "unit": self.unit,
            "measured": self.measured,
            "on_paper": self.on_paper,
            "off_percent": 100 * self.off,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What an end, or both, carry by the forces of the parts, over what they carry by the masses.

    `low` and `high` are how far apart the two may be by how well parts and masses are known.
    """

    end: Place
    ratio: float
    low: float
    high: float

    @property
    def fits(self) -> bool:
        """Whether parts and masses go together."""
        return self.low <= self.ratio <= self.high

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {"end": self.end, "ratio": self.ratio, "low": self.low, "high": self.high}


@dataclass(frozen=True, slots=True, kw_only=True)
class RidesBack:
    """Whether the baseline, ridden again over its own ground, gives what was measured.

    Attributes
    ----------
    holds : bool
    reason : str
        Why it doesn't; else empty.
    criterion : str
    correlation : float or None
        The lowest of any end of any run, on paper against measured travel.
    rows : tuple of BackRow
    loads : tuple of Load
    """

    holds: bool
    reason: str
    criterion: str
    correlation: float | None = None
    rows: tuple[BackRow, ...] = ()
    loads: tuple[Load, ...] = ()

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            "holds": self.holds,
            "reason": self.reason,
            "criterion": self.criterion,
            "correlation": self.correlation,
            "measures": [row.to_dict() for row in self.rows],
            "loads": [load.to_dict() for load in self.loads],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What of an interval's half-width comes from where, each as a half-width by itself, in the row's unit.

    Attributes
    ----------
    parts : float
        How well parts and masses are known.
    unseen_ground : float
        Ground that no tyre felt.
    runs : float
        How runs differ; 0 with one run.
    model : float
        What a model of this kind is off by in simulated rides whose truth is known.
    """

    parts: float
    unseen_ground: float
    runs: float
    model: float

    def to_dict(self) -> dict[str, float]:
        """Return it as it stands in JSON."""
        return {name: getattr(self, name) for name in ("parts", "unseen_ground", "runs", "model")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """One row's expected change, candidate less baseline, in the measure's unit.

    Attributes
    ----------
    expected, low, high : float
        With its 90 % interval.
    smallest_change : float
        The smallest that matters, upward.
    measured, measured_low, measured_high : float or None
        The comparison's difference with its 90 % interval; None where it gives none (the ends:
        where runs are too few).
    measured_level : float or None
        That interval's chance of missing the truth: 0.1, less where several looks were planned, and 0.05 of a setup
        with one run, which has no other.
    of_these_runs : bool
        Whether that interval, where a setup has one run, is by the trail's sections: it holds for these runs alone.
    agreement : {"agrees", "disagrees", "can't tell"} or None
        None where nothing was measured.
    holds_if : str
        On what it rests most.
    axis, axis_half : float
        Expected and half-width in times the smallest change, on the row's own scale.
    percent, measured_percent : tuple of float or None
        Change and both ends in % of the baseline, of rows that are told so.
    """

    measure: str
    end: Place
    unit: str
    scale: Scale
    label: str
    expected: float
    low: float
    high: float
    smallest_change: float
    budget: Budget
    holds_if: str
    axis: float
    axis_half: float
    measured: float | None = None
    measured_low: float | None = None
    measured_high: float | None = None
    measured_axis: tuple[float, float] | None = None
    percent: tuple[float, float, float] | None = None
    measured_percent: tuple[float, float | None, float | None] | None = None
    measured_level: float | None = None
    of_these_runs: bool = False
    agreement: Agreement | None = None
    sentence: str = ""

    @property
    def least_move(self) -> float:
        """By how many smallest changes the row moves at least, by its interval; 0 or less where it may not move."""
        return abs(self.axis) - self.axis_half

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        names = (
            "measure",
            "end",
            "unit",
            "expected",
            "low",
            "high",
            "measured",
            "measured_low",
            "measured_high",
            "measured_level",
            "agreement",
            "holds_if",
            "smallest_change",
            "sentence",
        )
        told = {name: getattr(self, name) for name in names} | {"from": self.budget.to_dict()}
        ends = ("expected", "low", "high", "measured", "measured_low", "measured_high")
        percent = (*(self.percent or (None,) * 3), *(self.measured_percent or (None,) * 3))
        return told | {"percent": None if self.percent is None else dict(zip(ends, percent, strict=True))}


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A single change that goes the wished way on paper.

    Attributes
    ----------
    change : str
    wished, kept : tuple of Prediction
        The rows wished for, and those that were to stay.
    keeps : bool
        Whether those stay within the smallest change that matters, their intervals with them.
    side_effects : tuple of Prediction
        Other rows that move by more than half of what matters.
    runs_each : int or None
        Runs of each that would show the wished change that is largest, by how this day's runs scatter; None where they
        don't tell or it takes over 30.
    cautions : tuple of str
    """

    change: str
    wished: tuple[Prediction, ...]
    kept: tuple[Prediction, ...]
    keeps: bool
    side_effects: tuple[Prediction, ...]
    runs_each: int | None
    cautions: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            "change": self.change,
            "wished": [row.to_dict() for row in self.wished],
            "kept": [row.to_dict() for row in self.kept],
            "keeps": self.keeps,
            "side_effects": [row.to_dict() for row in self.side_effects],
            "runs_each": self.runs_each,
            "cautions": list(self.cautions),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class NotRidden:
    """What wasn't put on paper: an end, a key, a row, and why."""

    what: str
    reason: str

    def to_dict(self) -> dict[str, str]:
        """Return it as it stands in JSON."""
        return {"what": self.what, "reason": self.reason}


def by_reason(absent: Iterable[NotRidden]) -> list[str]:
    """Return what wasn't put on paper in words, once for each reason: "the front, the rear: masses not stated"."""
    found: dict[str, list[str]] = {}
    for item in absent:
        found.setdefault(item.reason, []).append(item.what)
    return [f"{', '.join(what)}: {reason}" for reason, what in found.items()]


def _nothing(_predicted: Predicted) -> Sheet:
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A figure that rides on paper rest on, and what was taken for it; `what` is its name with its end."""

    what: str
    value: str
    name: str
    end: End | None

    @property
    def words(self) -> str:
        """The figure with what was taken: "friction, front: 28 ± 8 N at the legs"."""
        return f"{self.what}: {self.value}"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Predicted(Shown):
    """One candidate's expected changes against the baseline.

    Attributes
    ----------
    runs : tuple of str
        The baseline's that were ridden again.
    unseen : mapping as pairs of (end, share)
        How much of the riding time each tyre felt no ground.
    assumed, usual_widths : tuple of Taken
        What isn't stated and was taken for usual; what is stated, but not how well it is known.
    absent : tuple of NotRidden
    try_next : tuple of Suggestion or None
        What goes the wished way, the most telling first; None where nothing is wished for, or nothing of it ridden.
    unread : tuple of Exception
        Logs that can't be read.
    parts_checked : tuple of CheckedEnd
        The baseline's stated parts beside the restoring-force maps of its runs; none without the sensors for them.
    clicks : tuple of str
        By what adjusters were turned on paper that stand elsewhere than their damper was measured: by forces measured
        at several positions, or by a usual range.
    differences : tuple of SetupDifference
        What was changed from baseline to candidate.
    came : ShareCame or None
        How much of the expected change came; None where the candidate wasn't ridden three times, as the baseline, or no
        clear change of sag or travel is expected.
    unpredicted : str
        Why a baseline that rides back has no predictions; else empty.
    unjudged : str
        Why nothing that was measured is judged, where it all is for one reason; else empty.
    earlier : EarlierDays
        What lends measured intervals their spread, as in the comparison they are of.
    findings : tuple of Finding
        What doesn't go together: rows that disagree, parts and maps, a model that doesn't hold. `things` holds the
        measure or part. No verdict of a comparison rests on them.
    """

    day: RideDay
    baseline: str
    candidate: str | None
    runs: tuple[str, ...]
    rides_back: RidesBack
    predictions: tuple[Prediction, ...]
    unseen: tuple[tuple[End, float], ...] = ()
    assumed: tuple[Taken, ...] = ()
    usual_widths: tuple[Taken, ...] = ()
    absent: tuple[NotRidden, ...] = ()
    try_next: tuple[Suggestion, ...] | None = None
    unread: tuple[Exception, ...] = ()
    parts_checked: tuple[CheckedEnd, ...] = ()
    clicks: tuple[str, ...] = ()
    differences: tuple[SetupDifference, ...] = ()
    came: ShareCame | None = None
    unpredicted: str = ""
    unjudged: str = ""
    earlier: EarlierDays = field(default_factory=EarlierDays)
    findings: tuple[Finding, ...] = ()
    tell: Callable[[Predicted], Sheet] = _nothing

    @property
    def in_short(self) -> str:
        """Title and setups."""
        setups = self.day.setups
        label = setups[self.baseline].label
        if self.candidate is None:
            return f"{self.day.title}: what to try next after {label}"
        should = "should have done" if was_measured(self) or not self.predictions else "should do"
        return f"{self.day.title}: what {setups[self.candidate].label} {should}, against {label}"

    @property
    def sheet(self) -> Sheet:
        """What it says, as lines and tables."""
        return self.tell(self)

    def to_dict(self) -> dict[str, object]:
        """Return the JSON of ``telemetry predict --json``."""
        return {
            "ride_day": self.day.title,
            "baseline": self.baseline,
            "candidate": self.candidate,
            "runs": list(self.runs),
            "rides_back": self.rides_back.to_dict(),
            "parts_checked": [end.to_dict() for end in self.parts_checked],
            "predictions": [row.to_dict() for row in self.predictions],
            "share": None if self.came is None else self.came.to_dict(),
            **({"unpredicted": self.unpredicted} if self.unpredicted else {}),
            **({"unjudged": self.unjudged} if self.unjudged else {}),
            **({"earlier_days": self.earlier.to_dict()} if self.earlier.source else {}),
            "findings": [
                item.in_short() | {"end": item.end, "of": next(iter(item.things), None)} for item in self.findings
            ],
            "unseen_percent": {end: 100 * share for end, share in self.unseen},
            "assumed": [item.words for item in self.assumed],
            "usual_widths": [item.words for item in self.usual_widths],
            "clicks": list(self.clicks),
            "absent": [item.to_dict() for item in self.absent],
            **({} if self.try_next is None else {"try_next": [item.to_dict() for item in self.try_next]}),
            **({"unread": [str(error) for error in self.unread]} if self.unread else {}),
        }


def was_measured(predicted: Predicted) -> bool:
    """Return whether anything stands beside what is expected."""
    return any(row.measured is not None for row in predicted.predictions)
