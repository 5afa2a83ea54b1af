"""A ride on paper as it says itself: each row in a sentence, and all of it as a sheet, what came of it first."""

from __future__ import annotations

from dataclasses import replace

from telemetry.model.prediction import Predicted, Prediction
from telemetry.sheet import Sheet, Table
from telemetry.words import counted

from .expected import expected_in_words, measured_between
from .names import named
from .off_paper import findings_of, how_apart, look_first
from .paper_figures import agreement_word, expected_range, expected_words, measured_words
from .parts_checked import checked_in_words
from .prediction import (
    MOST_OTHERS,
    WIDTHS,
    back_words,
    clicks_lines,
    load_lines,
    main_table,
    next_lines,
    not_on_paper,
    on_paper,
    parts_lines,
    spread_lines,
    taken_table,
    widths_table,
)


def sentence(row: Prediction) -> str:
    """Return one row in a sentence."""
    begin = f"{named(row.measure, row.end)}: should change by {expected_words(row)} (90 %: {expected_range(row)})"
    if row.agreement is None:
        return f"{begin}."
    said = f"{begin}; measured {measured_words(row)}{measured_between(row)}: {agreement_word(row)}"
    if row.agreement != "disagrees":
        return f"{said}."
    apart = how_apart(row)
    return f"{said}; {apart.came}: {apart.asks}"


def _told(rows: tuple[Prediction, ...]) -> tuple[Prediction, ...]:
    return tuple(replace(row, sentence=sentence(row)) for row in rows)


def with_sentences(predicted: Predicted) -> Predicted:
    """Return a prediction that says each row in a sentence, and itself as a sheet."""
    suggested = (
        None
        if predicted.try_next is None
        else tuple(
            replace(one, wished=_told(one.wished), kept=_told(one.kept), side_effects=_told(one.side_effects))
            for one in predicted.try_next
        )
    )
    told = replace(
        predicted,
        predictions=_told(predicted.predictions),
        parts_checked=tuple(checked_in_words(end) for end in predicted.parts_checked),
        try_next=suggested,
        tell=prediction_sheet,
    )
    return replace(told, findings=findings_of(told))


def _behind_full(predicted: Predicted) -> str:
    """Return what the short sheet leaves out."""
    told = []
    if predicted.assumed:
        told.append(f"the {counted(len(predicted.assumed), 'figure')} not stated and taken as usual")
    if predicted.usual_widths:
        told.append(f"the {len(predicted.usual_widths)} stated without how well they are known")
    if predicted.predictions:
        told.append(f"{WIDTHS}, and on what each row rests")
    return f"With --full: {'; '.join(told)}" if told else ""


def _others(predicted: Predicted) -> str:
    """Return which other setups of the day can be ridden on paper, and how; nothing where there are none."""
    told = {predicted.baseline, predicted.candidate}
    names = [name for name in predicted.day.setups if name not in told]
    if predicted.candidate is None or not names:
        return ""
    shown = ", ".join(f"--candidate {name}" for name in names[:MOST_OTHERS])
    return f"Other setups by themselves: {shown}{', …' if len(names) > MOST_OTHERS else ''}"


def prediction_sheet(predicted: Predicted, *, full: bool = False) -> Sheet:
    """Return what should have come and what came, how the baseline rode back, every row, and what it all rests on.

    In `full` where each interval's width comes from and what was taken for granted stand in tables too.
    """
    told: list[str | Table | None] = []
    if predicted.predictions:
        words = expected_in_words(predicted, predicted.day.comparison.focus)
        told += [words.firm, words.finding]
        told += [f"Look first: {line}" for line in look_first(predicted)]
    told += [back_words(predicted), *parts_lines(predicted)]
    if predicted.predictions:
        told.append(main_table(predicted))
    told += next_lines(predicted)
    told += [*load_lines(predicted), *clicks_lines(predicted), *spread_lines(predicted), *not_on_paper(predicted)]
    told.append(on_paper(predicted))
    if full:
        told += [widths_table(predicted) if predicted.predictions else None, taken_table(predicted)]
    else:
        told.append(_behind_full(predicted))
    told.append(_others(predicted))
    return tuple(part for part in told if part)
