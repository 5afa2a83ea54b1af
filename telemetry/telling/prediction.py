"""What a change should have done, in words and tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.catalogue import SPECS
from telemetry.model.finding import ENDS
from telemetry.model.prediction import LEVEL, Predicted, Prediction, Suggestion, Taken, by_reason, was_measured
from telemetry.sheet import ABSENT, Table, table
from telemetry.words import counted, difference_unit, figure, lower_first, titled, upper_first

from .earlier_days import spread_in_words
from .names import named, short_name
from .paper_figures import (
    agreement_word,
    expected_range,
    expected_words,
    measured_range,
    measured_sure,
    measured_words,
    says_nothing,
    unit_of,
)
from .parts_checked import whose_parts
from .results import sure_in_words

MOST_EFFECTS, MOST_OTHERS = 3, 3
NOT_IN_A_DAY = "over 30 of each, or not known"
WIDTHS = "what makes each range as wide as it is"
LEAST_MOVE = 0.1
"""Of the smallest change that matters: a row that parts move by less stands among the others; own choice."""
NOTHING = "nothing is predicted"


def on_paper(predicted: Predicted) -> str:
    """Return what a ride on paper is, and whose parts it says something of."""
    return (
        "Ridden on paper, not on the trail: a bike seen from the side, with a rider who neither braces nor leans. "
        f"It says what {whose_parts(predicted)} would do, not what to set; the maker's limits go before it."
    )


def back_words(predicted: Predicted) -> str:
    """Return how the baseline rode back, or why nothing is predicted."""
    back = predicted.rides_back
    count = len(predicted.runs)
    own, come = ("its", "it comes") if count == 1 else ("their", "they come")
    label = predicted.day.setups[predicted.baseline].label
    if not back.holds:
        return f"The model doesn't hold for this day, and {NOTHING}: {back.reason}."
    off = max((row.off for row in back.rows), default=0.0)
    unseen = ", ".join(f"{end} {100 * share:.0f} %" for end, share in predicted.unseen)
    told = (
        f"{counted(count, 'run')} of {label} ridden again on paper: back over {own} own ground {come} out within "
        f"{figure(100 * off, 1)} % of what was measured. Share of the time without a tyre on the ground: {unseen}."
    )
    return f"{told} {upper_first(NOTHING)}: {predicted.unpredicted}." if predicted.unpredicted else told


def parts_lines(predicted: Predicted) -> tuple[str, ...]:
    """Return how stated parts and restoring-force maps go together, a line a part; nothing on days without maps."""
    return tuple(line for end in predicted.parts_checked for line in end.sentences)


def what_moves(predicted: Predicted) -> tuple[list[Prediction], list[Prediction]]:
    """Return rows to read first – what disagrees, the focus, what parts should move – and the others.

    Each by how far it moves at least: a doubtful row doesn't stand before a sure one, however far it may move.
    """
    focus = predicted.day.comparison.focus

    def rank(row: Prediction) -> tuple[bool, bool, float]:
        in_focus = (row.measure, row.end) in focus or (row.measure, None) in focus
        return row.agreement != "disagrees", not in_focus, -row.least_move

    def first(row: Prediction) -> bool:
        moves = row.least_move > 0 and abs(row.axis) >= LEAST_MOVE
        return moves or row.agreement == "disagrees" or not rank(row)[1]

    rows = predicted.predictions
    return sorted(filter(first, rows), key=rank), [row for row in rows if not first(row)]


def what_moves_first(predicted: Predicted) -> list[Prediction]:
    """Return all rows, those to read first in front."""
    first, others = what_moves(predicted)
    return [*first, *others]


def _bare(words: str) -> str:
    """Return a change without its unit, which a table has beside the row's name."""
    return words.partition(" ")[0]


def measured_sures(predicted: Predicted) -> str:
    """Return how sure measured intervals are: "90 %", where some setup has one run "90 % or 95 %"."""
    told = {measured_sure(row) for row in predicted.predictions if row.measured_low is not None}
    return " or ".join(sorted(told or {sure_in_words(LEVEL)}))


def _range_beneath(row: Prediction, head: str) -> str:
    """Return the measured interval as it stands beneath a head: with how sure it is, unless the head tells that."""
    told = measured_range(row)
    return told if row.measured_low is None or head == measured_sure(row) else f"{told} ({measured_sure(row)})"


def main_table(predicted: Predicted) -> Table:
    """Return expected beside measured, a row each; what is expected alone where the change wasn't ridden."""
    own = what_moves_first(predicted)
    rows = [
        (titled(named(row.measure, row.end), unit_of(row)), _bare(expected_words(row)), expected_range(row))
        for row in own
    ]
    columns = ("", "expected", "90 %")
    if not was_measured(predicted):
        return table(columns, rows, title="What it should do")
    head = measured_sures(predicted)
    beside = [(_bare(measured_words(row)), _range_beneath(row, head), agreement_word(row) or ABSENT) for row in own]
    marked = [place for place, row in enumerate(own) if row.agreement == "disagrees"]
    every = [(*row, *came) for row, came in zip(rows, beside, strict=True)]
    return table((*columns, "measured", head, ""), every, title="What it should have done", marked=marked)


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
    rows, several = [], len(predicted.runs) > 1  # one run tells nothing of how runs differ
    for row in what_moves_first(predicted):
        own = budget_as_shown(row)
        halves = (own.parts, own.unseen_ground, own.runs if several else None, own.model)
        nothing = says_nothing(row.percent)
        told = [ABSENT if nothing or half is None else figure(half, own.places) for half in halves]
        rows.append((named(row.measure, row.end), f"if {row.holds_if}", *told, own.unit))
    columns = ("", "holds", "parts", "unseen ground", "runs", "model", "")
    return table(columns, rows, title=upper_first(WIDTHS), right_from=2)


def _effects(rows: Sequence[Prediction]) -> str:
    told = (f"{lower_first(named(row.measure, row.end))} {expected_words(row)} ({expected_range(row)})" for row in rows)
    return "; ".join(told) or ABSENT


def _most_sure(rows: Sequence[Prediction]) -> list[Prediction]:
    """Return the side effects to tell: those that move furthest for sure."""
    return sorted(rows, key=lambda row: -row.least_move)[:MOST_EFFECTS]


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
            "kept" if one.kept and one.keeps else _effects(one.kept),
            _effects(_most_sure(one.side_effects)),
            NOT_IN_A_DAY if one.runs_each is None else f"{one.runs_each} of each",
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
    """Return what to mind, each thing once with the suggestions it is of."""
    found: dict[str, list[str]] = {}
    for one in predicted.try_next or ():
        for caution in one.cautions:
            found.setdefault(caution, []).append(one.change)
    return tuple(f"{upper_first('; '.join(changes))}: {caution}." for caution, changes in found.items())


def wish_words(predicted: Predicted) -> str:
    """Return what is wished for: "Wished: less front, ten-a-minute hit depth; front, dynamic sag to stay."."""
    wish = predicted.day.wish
    if wish is None:
        return ""
    told = [
        f"{way} {_wished_row(measure, end)}"
        for way, rows in (("less", wish.less), ("more", wish.more))
        for measure, end in rows
    ]
    told += [f"{_wished_row(measure, end)} to stay" for measure, end in wish.keep]
    return f"Wished: {'; '.join(told)}." if told else ""


def _wished_row(measure: str, end: str | None) -> str:
    """Return a row as a wish names it: at one end, or at every end it has."""
    return " and ".join(lower_first(short_name(measure, own)) for own in SPECS[measure].ends if end in (None, own))


def next_lines(predicted: Predicted) -> list[str | Table]:
    """Return what to try next with its cautions; nothing where nothing is wished for."""
    if not predicted.try_next:
        return [words] if (words := next_words(predicted)) else []
    return [
        wish_words(predicted),
        next_table(predicted.try_next),
        *(f"Mind: {line}" for line in next_cautions(predicted)),
    ]


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


def _taken_lines(head: str, taken: Sequence[Taken]) -> list[str]:
    """Return what was taken in a line a place, so that none names its end behind each figure."""
    places = ((None, "of bike and rider"), *((end, f"at the {end}") for end in ENDS))
    return [
        f"{head}, {where}: {'; '.join(f'{item.name} {item.value}' for item in own)}."
        for place, where in places
        if (own := [item for item in taken if item.end == place])
    ]


def rests_on(predicted: Predicted) -> tuple[str, ...]:
    """Return in lines what was taken for usual and what isn't on paper."""
    told = []
    if predicted.assumed:
        told += _taken_lines("Not stated, taken as usual", predicted.assumed)
    if predicted.usual_widths:
        told += _taken_lines("Stated, but not how well it is known", predicted.usual_widths)
    lines = (*load_lines(predicted), *clicks_lines(predicted), *spread_lines(predicted), *not_on_paper(predicted))
    return (*told, *lines)


def taken_table(predicted: Predicted) -> Table | None:
    """Return what was taken where nothing is stated, and how well stated figures were taken to be known; None."""
    rows = [(item.what, item.value) for item in (*predicted.assumed, *predicted.usual_widths)]
    title = "Taken for granted: state it, or how well it is known (plus_minus), for narrower ranges"
    return table(("figure", "taken, or known to"), rows, title=title, right_from=2) if rows else None
