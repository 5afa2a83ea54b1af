"""What pages and report show of what a change should have done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from dashboards.figures.expected import ExpectedScale, expected_figure
from dashboards.theme import SetupStyle
from telemetry.model.analysis import Comparison
from telemetry.model.prediction import Predicted, was_measured
from telemetry.sheet import Table
from telemetry.telling.expected import ExpectedWords, expected_in_words, part_title
from telemetry.telling.parts_checked import whose_parts
from telemetry.telling.prediction import (
    main_table,
    measured_sures,
    next_cautions,
    next_table,
    next_words,
    on_paper,
    rests_on,
    what_moves,
    widths_table,
    wish_words,
)

OTHERS = "Where the parts should change nothing that shows, or leave it open"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPart:
    """One candidate's part.

    Attributes
    ----------
    title : str
        The question it answers.
    words : ExpectedWords
    label, token : str
        The candidate's.
    scales : tuple of ExpectedScale
        Empty where the model doesn't hold.
    tables : tuple of Table
        The numbers behind the figure.
    tried : Table or None
        What to try next; `wished` and `tried_words` stand under its title, `cautions` beneath.
    resting_on : tuple of str
    was_measured : bool
    of_these_runs : bool
        Whether measured intervals hold for these runs alone: a setup has one.
    measured_sure, whose_parts, on_paper : str
        How sure measured intervals are; of which parts it tells, and what a ride on paper is.
    """

    title: str
    words: ExpectedWords
    label: str
    token: str
    scales: tuple[ExpectedScale, ...]
    tables: tuple[Table, ...]
    tried: Table | None
    tried_words: str
    wished: str
    cautions: tuple[str, ...]
    resting_on: tuple[str, ...]
    was_measured: bool
    of_these_runs: bool
    measured_sure: str
    whose_parts: str
    on_paper: str


def expected_part(
    predicted: Predicted, comparison: Comparison | None, styles: Mapping[str, SetupStyle]
) -> ExpectedPart:
    """Return what is shown of one candidate.

    Parameters
    ----------
    predicted : Predicted
    comparison : Comparison or None
        Of the whole day, whose verdicts the marks tell.
    styles : mapping of setup to SetupStyle
        A candidate that wasn't ridden has no colour, and no mark.
    """
    name = predicted.candidate
    results = () if comparison is None else comparison.verdicts.results
    verdicts = {(row.measure, row.end): row.verdict for row in results if row.candidate == name}
    rows = predicted.predictions
    moving, others = what_moves(predicted)
    tried = predicted.try_next
    return ExpectedPart(
        title=part_title(predicted),
        words=expected_in_words(predicted, predicted.day.comparison.focus),
        label="" if name is None else predicted.day.setups[name].label,
        token=styles[name].token if name is not None and name in styles else "ink",
        scales=(
            *expected_figure(moving, verdicts, among=others),
            *expected_figure(others, verdicts, among=moving, head=OTHERS if moving else ""),
        )
        if rows
        else (),
        tables=(main_table(predicted), widths_table(predicted)) if rows else (),
        tried=next_table(tried) if tried else None,
        tried_words=next_words(predicted),
        wished=wish_words(predicted),
        cautions=next_cautions(predicted),
        was_measured=was_measured(predicted),
        resting_on=rests_on(predicted),
        of_these_runs=any(row.of_these_runs for row in rows),
        measured_sure=measured_sures(predicted),
        whose_parts=whose_parts(predicted),
        on_paper=on_paper(predicted),
    )


def expected_parts(
    predicted: Sequence[Predicted], comparison: Comparison | None, styles: Mapping[str, SetupStyle]
) -> tuple[ExpectedPart, ...]:
    """Return what is shown of several candidates; what to try next, ridden once for all of them, stands last.

    Parameters
    ----------
    predicted : sequence of Predicted
        Of one baseline.
    comparison, styles
        As for `expected_part`.
    """
    parts = [expected_part(own, comparison, styles) for own in predicted]
    trying = next((part for part in parts if part.tried or part.tried_words), None)
    if trying is None:
        return tuple(parts)
    *first, last = [replace(part, tried=None, tried_words="", cautions=()) for part in parts]
    return (*first, replace(last, tried=trying.tried, tried_words=trying.tried_words, cautions=trying.cautions))
