"""One candidate's results: what they say of each other, and which of them a page tells, in which order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from telemetry.model.catalogue import in_mm, share_of
from telemetry.model.comparison import Result, Sign, Verdict
from telemetry.model.finding import OTHER_END, End

from .names import ENDS
from .results import difference_in_words, sign_of

MOST_LINES = 5
OtherEnd: TypeAlias = Literal["as_it_was", "undecided", "not_measured", "as_measured"]
Told: TypeAlias = tuple[Result, ...]
"""What one line tells: a result, or the same of both ends."""
PARTS: Mapping[str, str] = MappingProxyType(
    {
        "sag_difference": "dynamic_sag",
        "compression_speed_ratio": "compression_speed_10_per_min",
        "rebound_speed_ratio": "rebound_speed_10_per_min",
    }
)
"""Front against rear, and the measure of either end that it rises with at the front and falls with at the rear."""
ASKED_ABOUT = (
    "dynamic_sag",
    "hit_depth_10_per_min",
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
    "chassis_acceleration_10_per_min",
)
"""What a rider asks about first, in this order. Own choice."""
FOLLOWS: Mapping[End, Mapping[Sign, Sign]] = MappingProxyType(
    {
        "front": MappingProxyType({"▲": "▲", "▼": "▼", "?": "?"}),
        "rear": MappingProxyType({"▲": "▼", "▼": "▲", "?": "?"}),
    }
)
"""What front against rear does with either end, as far as that end alone goes."""


@dataclass(frozen=True, slots=True)
class CandidateResults:
    """One candidate's results, and what they say of each other."""

    results: Sequence[Result]

    def find(self, measure: str, end: str) -> Result | None:
        """Return the result of a measure at an end."""
        return next((item for item in self.results if (item.measure, item.end) == (measure, end)), None)

    def in_mm(self, result: Result) -> Result | None:
        """Return the row in mm that goes with a share."""
        spec = in_mm(result.measure)
        return None if spec is None else self.find(spec.name, result.end)

    def said_too(self, mm: Result) -> Result | None:
        """Return the share that a row in mm speaks for as well: they say the same."""
        share = self.find(share_of(mm.measure) or "", mm.end)
        return share if share is not None and sign_of(share) == sign_of(mm) else None

    def repeats(self, result: Result) -> bool:
        """Tell whether another row says the same: the mm of a share, or an end that front against rear follows."""
        mm = self.in_mm(result)
        if mm is not None:
            return sign_of(mm) == sign_of(result)
        part = PARTS.get(result.measure)
        if part is None or result.focus or result.verdict == "unchanged":
            return False
        ends = ((FOLLOWS[place], self.find(part, place)) for place in ENDS)
        told = ((follows, end) for follows, end in ends if end is not None and not end.barred)
        return any(follows.get(sign_of(end)) == sign_of(result) for follows, end in told)

    def of(self, verdict: Verdict) -> list[Result]:
        """Return what has this verdict and a difference and isn't said by another row, the largest first.

        Where full travel differs the millimetres are read first, so their shares come last.
        """
        told = [item for item in self.results if item.verdict == verdict and item.difference is not None]
        return sorted(
            (item for item in told if not self.repeats(item)),
            key=lambda item: (self.in_mm(item) is not None, -strength(item)),
        )

    def of_the_other_end(self, changed: Result) -> OtherEnd | None:
        """Return what became of the other end where one changed; None where nothing is to be said."""
        if changed.end == "both":
            return None
        other = OTHER_END[changed.end]
        twin = self.find(changed.measure, other) or self.find(share_or_own(changed.measure), other)
        if twin is None or twin.verdict is None:
            return None
        if twin.difference is not None:
            return "as_it_was" if twin.verdict == "unchanged" else "undecided"
        verdicts = {row.verdict for row in self.results if row.end == other and row.difference is not None}
        if not verdicts:
            return "not_measured"
        return "as_measured" if verdicts == {"unchanged"} else None


def strength(result: Result) -> float:
    """Return by how many smallest changes a result differs; 0 where it can't be drawn."""
    return abs(result.axis.difference) if result.axis is not None else 0.0


def share_or_own(measure: str) -> str:
    """Return the share of travel that a row in mm goes with; of every other row its own measure."""
    return share_of(measure) or measure


def _nearest(result: Result) -> tuple[bool, bool, int, float]:
    """Order what is undecided: what fewest further runs settle first, the largest of those first; bare values last."""
    bare = not difference_in_words(result)
    return bare, result.more_runs is None, result.more_runs or 0, -strength(result)


def _happened(result: Result) -> bool:
    return result.scale != "count" or bool(result.baseline_value or result.candidate_value)


def chosen(told: CandidateResults) -> list[Told]:
    """Return at most five lines: focus, what changed, ride height where it stayed, what is nearest to be decided.

    What stayed keeps a line however much changed. Barred rows take none, unless there is nothing else to say: one run
    of each.
    """
    asked = [row for row in told.results if row.focus and row.verdict and row.difference is not None]
    focus = [row for row in asked if not told.repeats(row)]
    changed = [row for row in told.of("changed") if not row.focus]
    height = [row for row in told.of("unchanged") if not row.focus and share_or_own(row.measure) == "dynamic_sag"]
    undecided = sorted((row for row in told.of("undecided") if not row.focus), key=_nearest)
    same = _same_height(told, height)
    first = [*focus, *changed][: max(MOST_LINES - len(same), len(focus))]
    lines: list[Told] = [(row,) for row in first]
    lines += [*same, *((row,) for row in undecided if not row.barred)]
    return (lines or [(row,) for row in undecided if _happened(row)])[:MOST_LINES]


def chosen_for_the_rider(told: CandidateResults) -> list[Told]:
    """Return what a rider would ask: focus, what changed, what stayed of height, depth and speeds.

    What is undecided and wasn't asked about has a line only where there is nothing else to say.
    """
    rows = [row for row in told.results if row.verdict and row.difference is not None and not told.repeats(row)]
    focus = [row for row in rows if row.focus]
    changed = [row for row in told.of("changed") if not row.focus]
    stayed = {
        name: [row for row in rows if (row.verdict, row.focus, share_or_own(row.measure)) == ("unchanged", False, name)]
        for name in ASKED_ABOUT
    }
    lines: list[Told] = [(row,) for row in (*focus, *changed)]
    lines += _same_height(told, stayed.pop("dynamic_sag"))
    return [*lines, *((row,) for own in stayed.values() for row in own)] or chosen(told)


def _same_height(told: CandidateResults, unchanged: Sequence[Result]) -> list[Told]:
    """Return one line for ride height that stayed at both ends; where it did as a share of travel only, a line each."""
    unchanged = sorted(unchanged, key=lambda item: item.end)
    if len({item.end for item in unchanged}) < len(ENDS) or any(told.in_mm(item) for item in unchanged):
        return [(item,) for item in unchanged]
    return [tuple(unchanged)]
