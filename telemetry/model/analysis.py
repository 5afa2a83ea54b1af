"""The answer about a day's logs, and the answer about a comparison; both know their JSON form."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, TypeAlias

from telemetry.sheet import Sheet, Shown

from .day import RideDay, RunEntry, StaticEntry
from .earlier import EarlierDays
from .finding import End, Finding, Step, errors_by_end, spoilt
from .measure import Absent, Measured
from .motion import StrokeKind
from .second_looks import Drift, EqualSpeed, ForceDifference, PairDifference, SecondLook, SecondLooks

if TYPE_CHECKING:
    import pandas as pd

    from .comparison import LeftOut, SetupDifference, Summary, UsedRun, Verdicts
    from .curves import RunPicture
    from .force import ForceMap, NoForceMap

Usable: TypeAlias = Literal["good", "with care", "ride again"]
Recorded: TypeAlias = Literal["good", "with care", "record again"]


def usable(findings: tuple[Finding, ...], ends: Collection[End] = ()) -> Usable:
    """Return what a tuner at the trail is told about a log with these findings.

    Parameters
    ----------
    findings : tuple of Finding
    ends : collection of End
        Its measured ends: an error of one leaves the other; where none is named, any error spoils the log.
    """
    if spoilt(findings, ends):
        return "ride again"
    return "good" if all(finding.severity == "note" for finding in findings) else "with care"


def without_an_end(findings: tuple[Finding, ...], ends: Collection[End]) -> str:
    """Return which end a log is used without: ``without its rear``; empty for both ends, or none."""
    lost = [] if spoilt(findings, ends) else errors_by_end(findings)
    return "".join(f"without its {end}" for end in lost)


def value_of(measures: Iterable[Measured], measure: str, end: str) -> float | None:
    """Return the first value of a measure at an end, or None where there is none."""
    return next((row.value for row in measures if row.measure == measure and row.end == end), None)


def _unread(errors: tuple[Exception, ...]) -> dict[str, list[str]]:
    """Return the key of logs that can't be read, where there are any."""
    return {"unread": [str(error) for error in errors]} if errors else {}


@dataclass(frozen=True, slots=True, kw_only=True)
class RunAnalysis:
    """One run's measures, or why it has none. `picture` is None where the run isn't usable.

    `force_maps` are of the ends that have a displacement sensor and an inertial one on the chassis above it.
    """

    entry: RunEntry
    findings: tuple[Finding, ...]
    measures: tuple[Measured, ...]
    absent: tuple[Absent, ...]
    history: tuple[Step, ...]
    picture: RunPicture | None = None
    force_maps: tuple[ForceMap | NoForceMap, ...] = ()

    @property
    def usable(self) -> Usable:
        """Good / with care / ride again."""
        return usable(self.findings, self.entry.measured_ends)

    @property
    def without(self) -> str:
        """Which end it is used without: ``without its rear``; empty elsewhere."""
        return without_an_end(self.findings, self.entry.measured_ends)

    def value(self, measure: str, end: str) -> float | None:
        """Return one value, or None where it is absent."""
        return value_of(self.measures, measure, end)

    def to_dict(self) -> dict[str, object]:
        """Return the run as it stands in JSON."""
        return {
            "run": self.entry.name,
            "log": self.entry.log.name,
            "setup": self.entry.setup,
            "findings": [finding.to_dict() for finding in self.findings],
            "measures": [row.to_dict() for row in self.measures],
            "absent": [row.to_dict() for row in self.absent],
            "force_maps": [found.to_dict() for found in self.force_maps],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class StaticAnalysis:
    """What one recording off the trail gave; `setup` is the one it was made with, its own or the next run's."""

    entry: StaticEntry
    setup: str
    findings: tuple[Finding, ...]
    measures: tuple[Measured, ...]
    history: tuple[Step, ...]

    @property
    def usable(self) -> Recorded:
        """Good / with care / record again."""
        verdict = usable(self.findings)
        return "record again" if verdict == "ride again" else verdict

    def value(self, measure: str, end: str) -> float | None:
        """Return one value, or None where it gave none."""
        return value_of(self.measures, measure, end)

    def to_dict(self) -> dict[str, object]:
        """Return the recording as it stands in JSON."""
        return {
            "log": self.entry.log.name,
            "kind": self.entry.kind,
            "setup": self.entry.setup,
            "findings": [finding.to_dict() for finding in self.findings],
            "measures": [row.to_dict() for row in self.measures],
        }


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Analysis(Shown):
    """Measures and findings of every run and recording of a day.

    `conditioning` says how the signals were cleaned, in words and figures: cut-off, rates, zero, noise, every step.
    `tell` makes its sheet. `unread` are the errors of logs that can't be read, which their runs are told too. `strokes`
    lists hits or returns. `behind` is the pipeline's own: what figures are drawn from.
    """

    day: RideDay
    runs: tuple[RunAnalysis, ...]
    static: tuple[StaticAnalysis, ...]
    conditioning: Mapping[str, object]
    tell: Callable[[Analysis], Sheet]
    unread: tuple[Exception, ...] = ()
    strokes: Callable[[StrokeKind], pd.DataFrame] = field(compare=False)
    behind: object = field(default=None, compare=False)

    @property
    def in_short(self) -> str:
        """The day, how many runs it has and how many of them can be used; without runs, how many recordings."""
        if not self.runs:
            return f"{self.day.title}: no run yet, {len(self.static)} recordings off the trail"
        good = sum(run.usable != "ride again" for run in self.runs)
        return f"{self.day.title}: {good} of {len(self.runs)} runs can be used"

    @property
    def tells(self) -> bool:
        """Whether any run or recording gave a value."""
        return any(run.measures for run in self.runs) or any(item.measures for item in self.static)

    @property
    def sheet(self) -> Sheet:
        """Whether the logs can be used, every run's values, how the signals were cleaned."""
        return self.tell(self)

    @property
    def measures(self) -> pd.DataFrame:
        """One row a run, measure and end: run, setup, measure, end, unit, value, part."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        rows = [
            {"run": run.entry.name, "setup": run.entry.setup, "part": None} | row.to_dict()
            for run in self.runs
            for row in run.measures
        ]
        return pd.DataFrame(rows, columns=["run", "setup", "measure", "end", "unit", "value", "part"])

    @property
    def findings(self) -> pd.DataFrame:
        """One row a finding: run, severity, code, message, end, row, second."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        rows = [{"run": run.entry.name} | finding.to_dict() for run in self.runs for finding in run.findings]
        rows += [{"run": item.entry.name} | finding.to_dict() for item in self.static for finding in item.findings]
        return pd.DataFrame(rows, columns=["run", "severity", "code", "message", "end", "row", "second"])

    def hits(self) -> pd.DataFrame:
        """Return every hit that the measures count, a row a hit; runs in the order ridden, each in time order.

        Returns
        -------
        DataFrame
            ``run``, ``setup``; ``time_s``, the log's seconds, when it is deepest; ``end``; ``place``, the named stretch
            of trail it starts in, else the nearest stretch or mark, and ``from_place_s``, how long after that it starts
            (negative: before; 0: within); ``section`` of the trail, as comparisons share it, that it starts in;
            ``start_s``, ``duration_s``; ``from_mm``, ``to_mm``, ``depth_mm``, ``depth_percent`` (of full travel),
            ``length_mm``: filtered travel at the wheel; ``peak_wheel_mm_s`` and ``peak_shaft_mm_s``, the latter empty
            where the shaft's motion isn't known; ``bottomed``. Empty too are place and section where there are none.
            ``attrs["absent"]`` says why runs or ends have none.
        """
        return self.strokes("hits")

    def returns(self) -> pd.DataFrame:
        """Return every return that the measures count, as `hits` does: deepest where it starts."""
        return self.strokes("returns")

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry analyse --json`."""
        return {
            "ride_day": self.day.title,
            "conditioning": dict(self.conditioning),
            "runs": [run.to_dict() for run in self.runs],
            "static": [item.to_dict() for item in self.static],
            **_unread(self.unread),
        }


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Comparison(Shown):
    """Candidates against the baseline, like for like.

    `tell` makes its sheet; `unread` and `behind` are as of an analysis.
    """

    day: RideDay
    baseline: str
    candidates: tuple[str, ...]
    setup_differences: tuple[SetupDifference, ...]
    runs_used: tuple[UsedRun, ...]
    fairness_findings: tuple[Finding, ...]
    verdicts: Verdicts
    sections: int  # kept, of those the trail was shared into
    shared_by: str  # "20 equal shares of riding time"
    sections_dropped: int
    conditioning: Mapping[str, object]
    tell: Callable[[Comparison], Sheet]
    second: SecondLooks = field(default_factory=SecondLooks)
    left_out: tuple[LeftOut, ...] = ()
    put_on: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))  # by setup, how many times
    summaries: Mapping[str, Summary] = field(default_factory=lambda: MappingProxyType({}))  # by candidate
    second_sentences: tuple[tuple[str, tuple[str, ...]], ...] = ()  # title and lines of each second look
    unread: tuple[Exception, ...] = ()
    earlier: EarlierDays = field(default_factory=EarlierDays)
    behind: object = field(default=None, compare=False)

    @property
    def in_short(self) -> str:
        """The day, and which setups are compared."""
        return f"{self.day.title}: {', '.join(self.candidates)} against {self.baseline}"

    @property
    def sheet(self) -> Sheet:
        """The finding first, then every row with its interval and verdict, and how fair it is."""
        return self.tell(self)

    @property
    def results(self) -> pd.DataFrame:
        """One row a candidate, measure and end; columns as in JSON, what stands within `percent` as `percent_low`."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        return pd.DataFrame([result.to_row() for result in self.verdicts.results])

    @property
    def fairness(self) -> pd.DataFrame:
        """One row a finding: severity, code, message."""
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        rows = [finding.in_short() for finding in self.fairness_findings]
        return pd.DataFrame(rows, columns=["severity", "code", "message"])

    @property
    def drift(self) -> pd.DataFrame:
        """One row a candidate, measure and end: slope a run with its 90 % interval, and what it could have moved."""
        return self._frame(Drift, self.second.drift)

    @property
    def at_equal_speed(self) -> pd.DataFrame:
        """One row a candidate, measure and end: the difference as it would be at equal ground speed."""
        return self._frame(EqualSpeed, self.second.equal_speed)

    @property
    def pairs(self) -> pd.DataFrame:
        """Who differs from whom: one row a pair of setups, measure and end; empty with two setups."""
        return self._frame(PairDifference, self.second.pairs)

    @property
    def force_differences(self) -> pd.DataFrame:
        """One row a candidate, end and force at a speed or depth: N per kg, difference in % with its 90 % interval."""
        return self._frame(ForceDifference, self.second.forces)

    @staticmethod
    def _frame(kind: type[SecondLook], rows: Sequence[SecondLook]) -> pd.DataFrame:
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        return pd.DataFrame([row.to_dict() for row in rows], columns=kind.columns())

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry compare --json`."""
        return {
            "ride_day": self.day.title,
            "baseline": self.baseline,
            "candidates": list(self.candidates),
            "setup_differences": [row.to_dict() for row in self.setup_differences],
            "runs_used": [{"run": row.run, "setup": row.setup, "order": row.order} for row in self.runs_used],
            "put_on": dict(self.put_on),
            "left_out": [row.to_dict() for row in self.left_out],
            **_unread(self.unread),
            "families": [family.to_dict() for family in self.verdicts.families],
            "conditioning": dict(self.conditioning),
            **({"earlier_days": self.earlier.to_dict()} if self.earlier.source else {}),
            "fairness": [row.in_short() for row in self.fairness_findings],
            "results": [result.to_dict() for result in self.verdicts.results],
            "force_differences": [row.to_dict() for row in self.second.forces],
        }
