"""What a log or a day is told: findings, and the steps that say how a signal was treated."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, TypeAlias, cast

from .finding_codes import BY_CODE, FindingSpec, Severity

End: TypeAlias = Literal["front", "rear"]
Place: TypeAlias = Literal["front", "rear", "both"]
ENDS: tuple[End, End] = ("front", "rear")
OTHER_END: Mapping[End, End] = MappingProxyType({"front": "rear", "rear": "front"})

NOT_SHOWN = (
    "Good means that nothing speaks against a log. What no log can show: calibration points or full travel measured "
    "wrongly, and zero or gain off from before the ride to its end (a lifted recording shows zero). Nor is told what "
    "creeps by less than a change that matters, or alike in every run of a setup."
)
NOT_SHOWN_BY_ACCELERATION = (
    "Good means that nothing speaks against a log. What no log can show: an inertial sensor entered at the wrong end, "
    "or, alone there, on the chassis where it goes along with the wheel; a mount or a bag that gives alike in every "
    "run; who holds on tighter. Nor is told what creeps by less than a change that matters."
)
"""Said once beside the word "good"; where inertial sensors are all there is, the latter."""

_USUAL = cast(Severity, "")
"""Stands for the code's usual severity until the finding is made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing a log or a day is told.

    Attributes
    ----------
    code : str
        As listed in ``docs/findings.md``.
    message : str
        Run, place, figure found, limit, what to do.
    severity : {"note", "warning", "error"}
        The code's usual one where it isn't said. An end with an error, or a run with one of its own, keeps its entry
        without measures and takes no part in a comparison.
    end : {"front", "rear"} or None
    row : int or None
        Row of the log file, counted from 1.
    second : float or None
        Seconds after the log's first row.
    no_verdict : bool
        Whether part of the readings of its end (without one, of the run) are false, so that no verdict rests on them.
    candidate : str or None
        Of a comparison: the candidate it concerns; None where it concerns the day or several.
    withheld : str
        Of a comparison, with severity "error": in short, why that candidate gets no verdict (with an end: at that end,
        and of front against rear).
    things : tuple of str
        What it lists, each by its name in English.
    """

    code: str
    message: str
    severity: Severity = _USUAL
    end: End | None = None
    row: int | None = None
    second: float | None = None
    no_verdict: bool = False
    candidate: str | None = None
    withheld: str = ""
    things: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Take the code's usual severity where none is said.

        Raises
        ------
        ValueError
            If the catalogue has no such code, no such severity of it, or says that it withholds no verdict.
        """
        spec = BY_CODE.get(self.code)
        severity = self.severity or (spec.severity if spec is not None else "")
        if spec is None or severity not in (spec.severity, *spec.also):
            raise ValueError(f"no finding {self.code!r} of severity {severity!r} in the catalogue")
        if self.no_verdict and spec.withholds != "told":
            raise ValueError(f"{self.code!r} withholds no verdict by itself, says the catalogue")
        object.__setattr__(self, "severity", severity)

    @property
    def spec(self) -> FindingSpec:
        """Its code's entry in the catalogue."""
        return BY_CODE[self.code]

    def in_short(self) -> dict[str, object]:
        """Return what it says without its place, as a comparison's findings stand in JSON."""
        return {"severity": self.severity, "code": self.code, "message": self.message}

    def to_dict(self) -> dict[str, object]:
        """Return the finding as it stands in JSON."""
        second = None if self.second is None else round(self.second, 4)
        return self.in_short() | {"end": self.end, "row": self.row, "second": second}


def errors_by_end(findings: Iterable[Finding]) -> dict[End | None, str]:
    """Return the code of the first error of each end, and of the whole run (None), which takes both ends."""
    codes: dict[End | None, str] = {}
    for finding in findings:
        if finding.severity == "error":
            codes.setdefault(finding.end, finding.code)
    return codes


def spoilt(findings: Iterable[Finding], ends: Collection[End]) -> bool:
    """Tell whether errors leave none of the measured ends; where no end is named, any error spoils a log."""
    errors = errors_by_end(findings)
    return bool(errors) and (None in errors or errors.keys() >= set(ends))


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One processing step in a log's or ride's history.

    Attributes
    ----------
    stage : str
        ``"read"``, ``"clock"``, ``"spikes"``, ``"glitches"``, ``"calibration"``, ``"zero"``, ``"leverage"``,
        ``"low-pass"``
    words : str
        What was done, for a person, with its parameters and units.
    parameters : mapping
        The same parameters for a program.
    end : {"front", "rear"} or None
    """

    stage: str
    words: str
    parameters: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    end: End | None = None

    def to_dict(self) -> dict[str, object]:
        """Return the step as it stands in JSON."""
        return {"stage": self.stage, "end": self.end, "words": self.words, **self.parameters}
