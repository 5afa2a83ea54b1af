"""The top of a page: one candidate's headline, and three to five findings."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from types import MappingProxyType

from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import Result, SetupDifference, Summary, SummaryLine, Verdict
from telemetry.words import lower_first, upper_first

from .names import TITLES, named
from .results import difference_in_words, sign_of, values_in_words, verdict_in_words, with_sentences
from .second_looks import second_sentences

MOST_LINES = 5


def _finding(result: Result) -> str:
    """Return a changed or unchanged result as a finding: ``Front sits deeper while riding``."""
    spec = SPECS[result.measure]
    words = {"▲": spec.more, "▼": spec.less, "=": spec.same}.get(sign_of(result), "")
    return upper_first(words) if result.end == "both" else f"{TITLES[result.end]} {words}"


def _line(result: Result) -> SummaryLine:
    sign = sign_of(result)
    what = named(result.measure, result.end) if sign == "?" else _finding(result)
    return SummaryLine(
        sign=sign,
        finding=f"{what}: {values_in_words(result)}".rstrip(": "),
        detail=f"{difference_in_words(result)}. {verdict_in_words(result)}".lstrip(". "),
    )


def _strength(result: Result) -> float:
    return abs(result.axis.difference) if result.axis is not None else 0.0


def _by_verdict(results: Sequence[Result], verdict: Verdict) -> list[Result]:
    """Return the results of this verdict that have a difference, the largest first."""
    told = [item for item in results if item.verdict == verdict and item.difference is not None]
    return sorted(told, key=_strength, reverse=True)


def _summary_lines(results: Sequence[Result]) -> list[SummaryLine]:
    """Return at most five lines: focus, what changed, ride height where it stayed, what is nearest to be decided.

    What stayed and what is open keep a line each, however much changed.
    """
    focus = [item for item in results if item.focus and item.verdict is not None and item.difference is not None]
    rest = [item for item in results if not item.focus]
    changed, undecided = _by_verdict(rest, "changed"), _by_verdict(rest, "undecided")
    height = [item for item in rest if item.measure == "dynamic_sag" and item.verdict == "unchanged"]
    same = [_same_height(height)] if height else []
    open_ones = [_line(item) for item in undecided]
    kept = len(same) + min(len(open_ones), 1)
    lines = [_line(item) for item in (*focus, *changed)][: max(MOST_LINES - kept, len(focus))]
    return [*lines, *same, *open_ones][:MOST_LINES]


def _same_height(unchanged: Sequence[Result]) -> SummaryLine:
    """Return one line for ride height that stayed, at one end or at both."""
    if len(unchanged) == 1:
        return _line(unchanged[0])
    values = "; ".join(f"{item.end} {values_in_words(item)}" for item in unchanged)
    detail = "; ".join(f"{item.end} {difference_in_words(item)}" for item in unchanged)
    return SummaryLine(
        sign="=",
        finding=f"Both ends ride at the same height: {values}",
        detail=f"{upper_first(detail)}. Unchanged.",
    )


def _headline(results: Sequence[Result], change: str) -> str:
    changed = _by_verdict(results, "changed")
    changed.sort(key=lambda item: not item.focus)
    if changed:
        parts = [_finding(changed[0])]
        other = next((i for i in changed[1:] if i.end != changed[0].end), None)
        if other is not None:
            parts.append(lower_first(_finding(other)))
        elif changed[0].end != "both":
            parts.extend(_other_end(results, changed[0]))
        return f"{change}: {lower_first(parts[0])}{''.join(', ' + part for part in parts[1:])}"
    verdicts = {item.verdict for item in results if item.verdict is not None}
    if verdicts == {"unchanged"}:
        return f"{change}: nothing changed that matters"
    return f"{change}: nothing decided yet" if "unchanged" not in verdicts else f"{change}: no change seen yet"


def _other_end(results: Sequence[Result], changed: Result) -> list[str]:
    other = "rear" if changed.end == "front" else "front"
    twin = next((item for item in results if (item.end, item.measure) == (other, changed.measure)), None)
    if twin is None or twin.verdict is None:
        return []
    return [f"{other} as it was" if twin.verdict == "unchanged" else f"{other} undecided"]


def summary(
    results: Sequence[Result],
    *,
    baseline_label: str,
    candidate_label: str,
    differences: Sequence[SetupDifference],
) -> Summary:
    """Return one candidate's results as a headline and three to five lines.

    Parameters
    ----------
    results : sequence of Result
        Of one candidate.
    baseline_label, candidate_label : str
    differences : sequence of SetupDifference
        What differs on paper; with several the headline names the setups, not a cause.

    Returns
    -------
    Summary
    """
    change = differences[0].words if len(differences) == 1 else f"{candidate_label} against {baseline_label}"
    return Summary(headline=_headline(results, upper_first(change)), lines=tuple(_summary_lines(results)))


def summary_of(comparison: Comparison, candidate: str, measures: Collection[str] | None = None) -> Summary:
    """Return what a comparison says of one candidate, by some of the measures only where they are given."""
    return summary(
        [
            row
            for row in comparison.verdicts.results
            if row.candidate == candidate and (measures is None or row.measure in measures)
        ],
        baseline_label=comparison.day.setups[comparison.baseline].label,
        candidate_label=comparison.day.setups[candidate].label,
        differences=[item for item in comparison.setup_differences if item.candidate == candidate],
    )


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
