"""The top of a page: one candidate's headline, and three to five findings."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import Result, SetupDifference, Sign, Summary, SummaryLine
from telemetry.model.finding import OTHER_END
from telemetry.model.measure_spec import MeasureSpec
from telemetry.words import lower_first, upper_first

from .candidate_results import CandidateResults, OtherEnd, Told, chosen
from .fairness import left_out_in_words
from .names import TITLES, named
from .results import difference_in_words, sign_of, values_in_words, verdict_in_words, with_sentences
from .second_looks import second_sentences

SO_FAR = "so far"
OF_THE_OTHER_END: Mapping[OtherEnd, str] = MappingProxyType(
    {
        "as_it_was": "as it was",
        "undecided": "undecided",
        "not_measured": "not measured",
        "as_measured": "as it was where measured",
    }
)


def words_of(spec: MeasureSpec, sign: Sign) -> str:
    """Return what a measure's verdict is called; empty where it is undecided."""
    return {"▲": spec.more, "▼": spec.less, "=": spec.same}.get(sign, "")


def _finding(told: CandidateResults, result: Result) -> str:
    """Return a changed or unchanged result as a finding: ``Front sits deeper while riding``."""
    share = told.said_too(result)
    words = words_of(SPECS[result.measure if share is None else share.measure], sign_of(result))
    if told.in_mm(result) is not None:  # the same per cent are other mm
        words += ", as a share of its travel"
    return upper_first(words) if result.end == "both" else f"{TITLES[result.end]} {words}"


def _line(told: CandidateResults, rows: Told) -> SummaryLine:
    """Return results as a line; what both ends did alike is one."""
    result, sign = rows[0], sign_of(rows[0])
    if len(rows) > 1:
        values = "; ".join(f"{item.end} {values_in_words(item)}" for item in rows)
        finding = f"Both ends ride at the same height: {values}"
        detail = f"{upper_first('; '.join(f'{item.end} {difference_in_words(item)}' for item in rows))}. Unchanged."
    else:
        what, share = (
            named(result.measure, result.end) if sign == "?" else _finding(told, result),
            told.said_too(result),
        )
        finding = f"{what}: {values_in_words(result, share)}".rstrip(": ")
        detail = f"{difference_in_words(result)}. {verdict_in_words(result)}".lstrip(". ")
    return SummaryLine(sign=sign, finding=finding, detail=detail, rows=tuple((row.measure, row.end) for row in rows))


def _headline(told: CandidateResults, change: str) -> str:
    results = told.results
    changed = sorted(told.of("changed"), key=lambda item: not item.focus)
    if changed:
        parts = [_finding(told, changed[0])]
        other = next((i for i in changed[1:] if i.end != changed[0].end), None)
        if other is not None:
            parts.append(lower_first(_finding(told, other)))
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


def _other_end(told: CandidateResults, changed: Result) -> list[str]:
    what = told.of_the_other_end(changed)
    if what is None or changed.end == "both":
        return []
    return [f"{OTHER_END[changed.end]} {OF_THE_OTHER_END[what]}"]


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
    told = CandidateResults(results)
    lines = tuple(_line(told, rows) for rows in chosen(told))
    changed = [row for row in told.of("changed") if told.in_mm(row) is None]
    rows = [(row.measure, row.end) for row in (*(row for row in results if row.focus), *changed)]
    rows = [row for row in rows if (own := told.find(*row)) is not None and not told.repeats(own)]
    told_of = [row for line in lines if line.sign != "?" for row in line.rows]
    return Summary(
        headline=_headline(told, upper_first(change)),
        lines=lines,
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
