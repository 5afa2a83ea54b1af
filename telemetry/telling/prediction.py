"""What a change should have done, in words and tables."""

from __future__ import annotations

from dataclasses import dataclass, replace

from telemetry.model.prediction import Predicted, Prediction, Suggestion, by_reason, was_measured
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import counted, difference_unit, figure, lower_first, upper_first

from .earlier_days import spread_in_words
from .names import named, short_name
from .off_paper import FEW_SHARE, findings_of, look_first, share_words
from .paper_figures import expected_range, expected_words, measured_range, measured_words, says_nothing
from .parts_checked import checked_in_words

ON_PAPER = (
    "Ridden on paper, not on the trail: a bike seen from the side, with a rider who neither braces nor leans. "
    "It says what parts as stated would do, not what to set; the maker's limits go before it."
)
MOST_EFFECTS, MOST_OTHERS = 3, 3
WIDTHS = "what the half-width comes from, each by itself"
NOTHING = "nothing is predicted"


def _why(row: Prediction) -> str:
    """Return what a disagreement suggests."""
    expected, measured = row.axis, row.measured_axis[0] if row.measured_axis else 0.0
    if abs(expected) <= row.axis_half:
        return "parts as stated leave it where it was: something else changed there"
    if expected * measured < 0:
        return "the other way: is each run under the setup that was ridden?"
    if abs(measured) < FEW_SHARE * abs(expected):
        return "less than a third of the expected: are parts, oil and pressure what is stated, and where you think?"
    more = "more" if abs(measured) > abs(expected) else "less"
    return f"{more} than parts as stated can do: are they what is stated?"


def sentence(row: Prediction) -> str:
    """Return one row in a sentence."""
    begin = f"{named(row.measure, row.end)}: should change by {expected_words(row)} (90 %: {expected_range(row)})"
    if row.agreement is None:
        return f"{begin}."
    said = f"{begin}; measured {measured_words(row)} ({measured_range(row)}): {row.agreement}"
    return f"{said}; {_why(row)}" if row.agreement == "disagrees" else f"{said}."


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


def back_words(predicted: Predicted) -> str:
    """Return how the baseline rode back, or why nothing is predicted."""
    back = predicted.rides_back
    runs = counted(len(predicted.runs), "run")
    label = predicted.day.setups[predicted.baseline].label
    if not back.holds:
        return f"The model doesn't hold for this day, and {NOTHING}: {back.reason}."
    off = max((row.off for row in back.rows), default=0.0)
    unseen = ", ".join(f"{end} {100 * share:.0f} %" for end, share in predicted.unseen)
    told = (
        f"{runs} of {label} ridden again on paper: back over their own ground they come out within "
        f"{figure(100 * off, 1)} % of what was measured. Share of the time without a tyre on the ground: {unseen}."
    )
    return f"{told} {upper_first(NOTHING)}: {predicted.unpredicted}." if predicted.unpredicted else told


def parts_lines(predicted: Predicted) -> tuple[str, ...]:
    """Return how stated parts and restoring-force maps go together, a line a part; nothing on days without maps."""
    return tuple(line for end in predicted.parts_checked for line in end.sentences)


def main_table(predicted: Predicted) -> Table:
    """Return expected beside measured, a row each; what is expected alone where the change wasn't ridden."""
    rows = [(named(row.measure, row.end), expected_words(row), expected_range(row)) for row in predicted.predictions]
    columns = ("", "expected", "90 %")
    if not was_measured(predicted):
        return table(columns, rows, title="What it should do")
    beside = [(measured_words(row), measured_range(row), row.agreement or ABSENT) for row in predicted.predictions]
    marked = [place for place, row in enumerate(predicted.predictions) if row.agreement == "disagrees"]
    every = [(*row, *own) for row, own in zip(rows, beside, strict=True)]
    return table((*columns, "measured", "90 %", ""), every, title="What it should have done", marked=marked)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownBudget:
    """A row's budget in the unit its change is told in, and with how many decimals."""

    parts: float
    unseen_ground: float
    runs: float
    model: float
    unit: str
    places: int


def budget_as_shown(row: Prediction) -> ShownBudget:
    """Return what a half-width comes from as its row is told: in points, mm, or percent of the baseline."""
    per, unit = 1.0, difference_unit(row.unit)
    if row.percent is not None:
        per, unit = (row.percent[2] - row.percent[1]) / (row.high - row.low or 1.0), "%"
    own = row.budget
    halves = [per * half for half in (own.parts, own.unseen_ground, own.runs, own.model)]
    parts, ground, runs, model = halves
    places = 0 if max(halves) >= 10 else 1 if max(halves) >= 1 else 2
    return ShownBudget(parts=parts, unseen_ground=ground, runs=runs, model=model, unit=unit, places=places)


def widths_table(predicted: Predicted) -> Table:
    """Return where each interval's width comes from, and on what its row rests most."""
    rows = []
    for row in predicted.predictions:
        own = budget_as_shown(row)
        halves = (own.parts, own.unseen_ground, own.runs, own.model)
        told = [ABSENT if says_nothing(row.percent) else figure(half, own.places) for half in halves]
        rows.append((named(row.measure, row.end), *told, own.unit, f"if {row.holds_if}"))
    columns = ("", "parts", "unseen ground", "runs", "model", "", "holds")
    return table(columns, rows, title=upper_first(WIDTHS))


def _effects(rows: tuple[Prediction, ...]) -> str:
    return "; ".join(f"{lower_first(named(row.measure, row.end))} {expected_words(row)}" for row in rows) or ABSENT


def wished_words(rows: tuple[Prediction, ...]) -> str:
    """Return what a change does for what is wished, each row by its name where there are several."""
    told = [f"{expected_words(row)} ({expected_range(row)})" for row in rows]
    if len(rows) == 1:
        return told[0]
    names = (lower_first(short_name(row.measure, row.end)) for row in rows)
    return "; ".join(f"{name} {words}" for name, words in zip(names, told, strict=True))


def next_table(suggested: tuple[Suggestion, ...]) -> Table:
    """Return what to try next, a change a row."""
    rows = [
        (
            one.change,
            wished_words(one.wished),
            "kept" if one.keeps else _effects(one.kept),
            _effects(one.side_effects[:MOST_EFFECTS]),
            ABSENT if one.runs_each is None else f"{one.runs_each} of each",
        )
        for one in suggested
    ]
    columns = ("change", "expected (90 %)", "to be kept", "side effects", "runs to show it")
    return table(columns, rows, title="What to try next: suggestions, one change at a time", right_from=len(columns))


def next_words(predicted: Predicted) -> str:
    """Return that nothing was found to try next, where something is wished for; else nothing."""
    if predicted.try_next is None or predicted.try_next:
        return ""
    return "What to try next: no single step of what is stated goes the wished way by a tenth of what matters."


def next_cautions(predicted: Predicted) -> tuple[str, ...]:
    """Return what to mind, a line for each suggestion that has something."""
    return tuple(
        f"{upper_first(one.change)}: {'; '.join(one.cautions)}." for one in predicted.try_next or () if one.cautions
    )


def next_lines(predicted: Predicted) -> list[str | Table]:
    """Return what to try next with its cautions; nothing where nothing is wished for."""
    if not predicted.try_next:
        return [words] if (words := next_words(predicted)) else []
    return [next_table(predicted.try_next), *(f"Mind: {line}" for line in next_cautions(predicted))]


def not_on_paper(predicted: Predicted) -> list[str]:
    """Return in lines what isn't on paper, once for each reason."""
    return [f"Not on paper: {words}." for words in by_reason(predicted.absent)]


def clicks_lines(predicted: Predicted) -> list[str]:
    """Return by what adjusters were turned on paper, a line each."""
    return [f"Clicks of {line}." for line in predicted.clicks]


def load_lines(predicted: Predicted) -> list[str]:
    """Return by how much ends were weighed otherwise, a line each: no part, but what is expected goes by it."""
    return [
        f"Carried otherwise, {item.words}: what is expected is of that too, not of the parts alone. Where rider and "
        "bike are the same, state it once."
        for item in predicted.differences
        if item.key == "sprung_mass_kg"
    ]


def spread_lines(predicted: Predicted) -> list[str]:
    """Return whose spread the measured intervals use, as the comparison tells it; nothing where none was borrowed."""
    words = spread_in_words(predicted.earlier)
    return [f"Measured ranges go by the {lower_first(words)}."] if words else []


def rests_on(predicted: Predicted) -> tuple[str, ...]:
    """Return in lines what was taken for usual, what isn't on paper, and what a ride on paper is."""
    told = []
    if predicted.assumed:
        told.append("Not stated, taken as usual: " + "; ".join(item.words for item in predicted.assumed) + ".")
    if predicted.usual_widths:
        told.append("Stated, how well isn't: " + "; ".join(item.words for item in predicted.usual_widths) + ".")
    lines = (*load_lines(predicted), *clicks_lines(predicted), *spread_lines(predicted), *not_on_paper(predicted))
    return (*told, *lines, ON_PAPER)


def taken_table(predicted: Predicted) -> Table | None:
    """Return what was taken where nothing is stated, and how well stated figures were taken to be known; None."""
    rows = [(item.what, item.value) for item in (*predicted.assumed, *predicted.usual_widths)]
    title = "Taken for granted: state it, or how well it is known (plus_minus), for narrower ranges"
    return table(("figure", "taken, or known to"), rows, title=title, right_from=2) if rows else None


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
    """Return how the baseline rode back, expected beside measured, what disagrees, and what it all rests on.

    In `full` where each interval's width comes from and what was taken for granted stand in tables too.
    """
    told: list[str | Table | None] = [back_words(predicted), *parts_lines(predicted)]
    if predicted.predictions:
        told.append(main_table(predicted))
        told += [row.sentence for row in predicted.predictions if row.agreement == "disagrees"]
        told.append(share_words(predicted))
        told += [f"Look first: {line}" for line in look_first(predicted)]
    told += next_lines(predicted)
    told += [*load_lines(predicted), *clicks_lines(predicted), *spread_lines(predicted), *not_on_paper(predicted)]
    told.append(ON_PAPER)
    if full:
        told += [widths_table(predicted) if predicted.predictions else None, taken_table(predicted)]
    else:
        told.append(_behind_full(predicted))
    told.append(_others(predicted))
    return tuple(part for part in told if part)
