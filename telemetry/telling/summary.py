"""The top of a page: one candidate's headline, and three to five findings."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import SPECS, in_mm, share_of
from telemetry.model.comparison import Result, SetupDifference, Sign, Summary, SummaryLine, Verdict
from telemetry.model.finding import End
from telemetry.words import lower_first, upper_first

from .fairness import left_out_in_words
from .names import ENDS, TITLES, named
from .results import difference_in_words, sign_of, values_in_words, verdict_in_words, with_sentences
from .riders_words import by_how_much, changed_in_riders_words, rider_words, words_of
from .second_looks import second_sentences

MOST_LINES = 5
SO_FAR = "so far"
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
class _CandidateResults:
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
            key=lambda item: (self.in_mm(item) is not None, -_strength(item)),
        )

    def finding(self, result: Result, *, rider: bool = False) -> str:
        """Return a changed or unchanged result as a finding: ``Front sits deeper while riding``."""
        share = self.said_too(result)
        measure = result.measure if share is None else share.measure
        words = rider_words(measure, sign_of(result)) if rider else words_of(SPECS[measure], sign_of(result))
        if self.in_mm(result) is not None:  # the same per cent are other mm
            words += ", as a share of its travel"
        return upper_first(words) if result.end == "both" else f"{TITLES[result.end]} {words}"

    def line(self, result: Result, *, rider: bool = False) -> SummaryLine:
        """Return a result as a line; to a rider without what only who measures asks about."""
        sign = sign_of(result)
        what, share = named(result.measure, result.end) if sign == "?" else self.finding(result), self.said_too(result)
        return SummaryLine(
            sign=sign,
            finding=f"{what}: {values_in_words(result, share)}".rstrip(": "),
            detail=f"{difference_in_words(result)}. {verdict_in_words(result, rider=rider)}".lstrip(". "),
            rows=((result.measure, result.end),),
        )


def _strength(result: Result) -> float:
    return abs(result.axis.difference) if result.axis is not None else 0.0


def _nearest(result: Result) -> tuple[bool, bool, int, float]:
    """Order what is undecided: what fewest further runs settle first, the largest of those first; bare values last."""
    bare = not difference_in_words(result)
    return bare, result.more_runs is None, result.more_runs or 0, -_strength(result)


def _happened(result: Result) -> bool:
    return result.scale != "count" or bool(result.baseline_value or result.candidate_value)


def _summary_lines(told: _CandidateResults) -> list[SummaryLine]:
    """Return at most five lines: focus, what changed, ride height where it stayed, what is nearest to be decided.

    What stayed keeps a line however much changed. Barred rows take none, unless there is nothing else to say: one run
    of each.
    """
    asked = [row for row in told.results if row.focus and row.verdict and row.difference is not None]
    focus = [row for row in asked if not told.repeats(row)]
    changed = [row for row in told.of("changed") if not row.focus]
    height = [row for row in told.of("unchanged") if not row.focus and _share(row.measure) == "dynamic_sag"]
    undecided = sorted((row for row in told.of("undecided") if not row.focus), key=_nearest)
    same = _same_height(told, height)
    lines = [told.line(row) for row in (*focus, *changed)][: max(MOST_LINES - len(same), len(focus))]
    lines += [*same, *(told.line(row) for row in undecided if not row.barred)]
    return (lines or [told.line(row) for row in undecided if _happened(row)])[:MOST_LINES]


def _lines_to_the_rider(told: _CandidateResults) -> tuple[SummaryLine, ...]:
    """Return what a rider would ask: focus, what changed, what stayed of height, depth and speeds.

    What is undecided and wasn't asked about has a line only where there is nothing else to say.
    """
    rows = [row for row in told.results if row.verdict and row.difference is not None and not told.repeats(row)]
    focus = [row for row in rows if row.focus]
    changed = [row for row in told.of("changed") if not row.focus]
    stayed = {
        name: [row for row in rows if (row.verdict, row.focus, _share(row.measure)) == ("unchanged", False, name)]
        for name in ASKED_ABOUT
    }
    lines = [told.line(row, rider=True) for row in (*focus, *changed)]
    lines += _same_height(told, stayed.pop("dynamic_sag"))
    return (*lines, *(told.line(row, rider=True) for own in stayed.values() for row in own))


def _share(measure: str) -> str:
    """Return the share of travel that a row in mm goes with; of every other row its own measure."""
    return share_of(measure) or measure


def _same_height(told: _CandidateResults, unchanged: Sequence[Result]) -> list[SummaryLine]:
    """Return one line for ride height that stayed at both ends; where it did as a share of travel only, a line each."""
    unchanged = sorted(unchanged, key=lambda item: item.end)
    if len({item.end for item in unchanged}) < len(ENDS) or any(told.in_mm(item) for item in unchanged):
        return [told.line(item) for item in unchanged]
    values = "; ".join(f"{item.end} {values_in_words(item)}" for item in unchanged)
    detail = "; ".join(f"{item.end} {difference_in_words(item)}" for item in unchanged)
    return [
        SummaryLine(
            sign="=",
            finding=f"Both ends ride at the same height: {values}",
            detail=f"{upper_first(detail)}. Unchanged.",
            rows=tuple((item.measure, item.end) for item in unchanged),
        )
    ]


def _headline(told: _CandidateResults, change: str, *, rider: bool = False) -> str:
    results = told.results
    changed = sorted(told.of("changed"), key=lambda item: not item.focus)
    if changed:
        parts = [told.finding(changed[0], rider=rider)]
        parts += filter(None, [by_how_much(changed[0]) if rider else ""])
        other = next((i for i in changed[1:] if i.end != changed[0].end), None)
        if other is not None:
            parts.append(lower_first(told.finding(other, rider=rider)))
        elif changed[0].end != "both":
            parts.extend(_other_end(told, changed[0]))
        return f"{change}: {lower_first(parts[0])}{''.join(', ' + part for part in parts[1:])}"
    verdicts = {item.verdict for item in results if item.verdict is not None}
    if verdicts == {"unchanged"}:
        return f"{change}: nothing changed that matters"
    if not verdicts and results:
        code, _, why = results[0].reason.partition(": ")
        return f"{change}: no verdict, {why or code}"
    so_far = next((item.reason for item in results if item.reason.startswith(SO_FAR)), "")
    if so_far:
        return f"{change}: {so_far}"
    return f"{change}: nothing decided yet" if "unchanged" not in verdicts else f"{change}: no change seen yet"


def _other_end(told: _CandidateResults, changed: Result) -> list[str]:
    other = "rear" if changed.end == "front" else "front"
    twin = told.find(changed.measure, other) or told.find(_share(changed.measure), other)
    if twin is None or twin.verdict is None:
        return []
    if twin.difference is not None:
        return [f"{other} as it was" if twin.verdict == "unchanged" else f"{other} undecided"]
    verdicts = {row.verdict for row in told.results if row.end == other and row.difference is not None}
    if not verdicts:
        return [f"{other} not measured"]
    return [f"{other} as it was where measured"] if verdicts == {"unchanged"} else []


def summary(
    results: Sequence[Result],
    *,
    baseline_label: str,
    candidate_label: str,
    differences: Sequence[SetupDifference],
    warned: bool = False,
) -> Summary:
    """Return one candidate's results as a headline and three to five lines.

    Parameters
    ----------
    results : sequence of Result
        Of one candidate.
    baseline_label, candidate_label : str
    differences : sequence of SetupDifference
        What differs on paper; with several the headline names the setups, not a cause.
    warned : bool
        Whether something else could explain a difference: then too.

    Returns
    -------
    Summary
    """
    cause = len(differences) == 1 and not warned
    change = differences[0].words if cause else f"{candidate_label} against {baseline_label}"
    told = _CandidateResults(results)
    made = changed_in_riders_words(differences[0]) if cause else change
    lines = tuple(_summary_lines(told))
    changed = [row for row in told.of("changed") if told.in_mm(row) is None]
    rows = [(row.measure, row.end) for row in (*(row for row in results if row.focus), *changed)]
    rows = [row for row in rows if (own := told.find(*row)) is not None and not told.repeats(own)]
    told_of = [row for line in lines if line.sign != "?" for row in line.rows]
    return Summary(
        headline=_headline(told, upper_first(change)),
        lines=lines,
        to_the_rider=_headline(told, upper_first(made), rider=True),
        lines_to_the_rider=_lines_to_the_rider(told) or lines,
        carrying=tuple(dict.fromkeys((*told_of, *rows))),
    )


def summary_of(comparison: Comparison, candidate: str, measures: Collection[str] | None = None) -> Summary:
    """Return what a comparison says of one candidate, by some of the measures only where they are given."""
    found = summary(
        [
            row
            for row in comparison.verdicts.results
            if row.candidate == candidate and (measures is None or row.measure in measures)
        ],
        baseline_label=comparison.day.setups[comparison.baseline].label,
        candidate_label=comparison.day.setups[candidate].label,
        differences=[item for item in comparison.setup_differences if item.candidate == candidate],
        warned=any(
            item.severity != "note" and item.candidate in {None, candidate} for item in comparison.fairness_findings
        ),
    )
    return replace(found, left_out=left_out_in_words(comparison, candidate))


def with_words(comparison: Comparison) -> Comparison:
    """Return a comparison with its sentences and summaries.

    What is told at equal ground speed are the changed rows and those in focus.
    """
    found = replace(comparison, verdicts=with_sentences(comparison.verdicts))
    wanted = {
        (row.candidate, row.measure, row.end) for row in found.verdicts.results if row.focus or row.verdict == "changed"
    }
    labels = {name: setup.label for name, setup in found.day.setups.items()}
    return replace(
        found,
        summaries=MappingProxyType({name: summary_of(found, name) for name in found.candidates}),
        second_sentences=second_sentences(found.second, wanted, labels),
    )
