"""What to try next: single changes ridden on paper over the same ground, and what each does for a wish."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from telemetry import planning
from telemetry.bench.changes import SingleChange, single_changes
from telemetry.bench.paper.again import UnriddenError
from telemetry.model.catalogue import SPECS, FamilyPlace
from telemetry.model.measure import MeasureAt
from telemetry.model.plan import RunsOf
from telemetry.model.prediction import NotRidden, Prediction, Suggestion
from telemetry.model.wish import Row, Wish

from .paper_answers import answered
from .paper_rows import answer_rows, smallest_changes
from .paper_trials import Trying, tried
from .paper_widths import conditions, widths_of
from .studied import Progress
from .valuing import Valued

MOST_SUGGESTIONS = 5
LEAST_STEP = 0.1
"""Of the smallest change that matters: a single change that does less for the wish isn't told. Own choice."""
STEP_DRAWS = 8
SIDE_EFFECT = 0.5
"""Of the smallest change that matters: another row that moves by more is told. Own choice."""


def _places(rows: Sequence[Row], there: Mapping[MeasureAt, Prediction]) -> list[MeasureAt]:
    """Return the rows of a wish that were ridden on paper; one without an end at each."""
    return [at for row in rows for at in _meant(row) if at in there]


def _by_place(predictions: Sequence[Prediction]) -> dict[MeasureAt, Prediction]:
    return {(row.measure, row.end): row for row in predictions}


def _meant(row: Row) -> list[MeasureAt]:
    """Return the rows that one of a wish means: one without an end at each."""
    name, stated = row
    return [(name, end) for end in SPECS[name].ends if stated in (None, end)]


def asks_on_paper(wish: Wish, rows: Sequence[FamilyPlace]) -> bool:
    """Tell whether a ride on paper tells anything that is to become less or more."""
    ridden = {(spec.name, end) for spec, end in rows}
    return any(at in ridden for row in (*wish.less, *wish.more) for at in _meant(row))


def unridden_wishes(wish: Wish, rows: Sequence[FamilyPlace]) -> tuple[NotRidden, ...]:
    """Return what of a wish no ride on paper tells: a row whose end isn't ridden, one without an end where none is."""
    ridden = {(spec.name, end) for spec, end in rows}
    asked = [("the wished {}", row) for row in (*wish.less, *wish.more)]
    asked += [("the {} (to be kept)", row) for row in wish.keep]
    found = []
    for told, row in asked:
        if any(at in ridden for at in _meant(row)):
            continue
        for name, end in _meant(row):
            words, reason = f"{SPECS[name].label.lower()} of the {end}", f"the {end} isn't ridden on paper"
            if end == "both":
                words, reason = SPECS[name].label.lower(), "it takes both ends, and one isn't ridden on paper"
            found.append(NotRidden(what=told.format(words), reason=reason))
    return tuple(found)


def gain(wish: Wish, predictions: Sequence[Prediction]) -> float:
    """Return what a change does for a wish, in times the smallest changes that matter, all wished rows together."""
    there = _by_place(predictions)
    less = sum(there[at].axis for at in _places(wish.less, there))
    return sum(there[at].axis for at in _places(wish.more, there)) - less


def _answers(trying: Trying, progress: Progress | None) -> list[tuple[Prediction, ...]]:
    """Return each candidate's expected changes."""
    done = tried(trying, progress)
    words, found = conditions(widths_of(trying.papers())), []
    for which in range(len(trying.candidates)):
        rows = answer_rows(trying, done, which, trying.runs[0].rows, words)
        found.append(answered(rows, smallest_changes(trying, rows), {}))
    return found


def _possible(trying: Trying) -> list[SingleChange]:
    """Return the single changes that can be built and ridden."""
    others = {name: setup for name, setup in trying.day.setups.items() if name != trying.baseline.name}
    found = []
    for change in single_changes(trying.baseline, others, trying.ends):
        try:
            _ = replace(trying, candidates=(change.setup,)).papers()
        except ValueError:
            continue
        found.append(change)
    return found


def _runs_each(found: Valued, row: Prediction) -> int | None:
    """Return how many runs of each would show a row's expected change."""
    if row.scale == "count":
        return None
    known = [(run.entry, found.values[run.entry.name].get((row.measure, row.end))) for run in found.runs]
    values = [(entry, own.value) for entry, own in known if own is not None and own.value is not None]
    runs = RunsOf(
        source="own runs",
        setups=tuple(entry.setup for entry, _ in values),
        orders=tuple(entry.order for entry, _ in values),
        values=tuple(value for _, value in values),
        minutes=tuple(0.0 for _ in values),
    )
    change = row.expected if row.percent is None else math.log1p(row.percent[0] / 100)
    return planning.runs_to_show(runs, change, log=row.scale == "log")


def _suggestion(change: SingleChange, rows: Sequence[Prediction], wish: Wish, found: Valued) -> Suggestion:
    there = _by_place(rows)
    wanted = _places((*wish.less, *wish.more), there)
    kept = [there[at] for at in _places(wish.keep, there)]
    told = {*wanted, *((row.measure, row.end) for row in kept)}
    beside = [row for at, row in there.items() if at not in told and abs(row.axis) > SIDE_EFFECT]
    return Suggestion(
        change=change.words,
        wished=tuple(there[at] for at in wanted),
        kept=tuple(kept),
        keeps=all(abs(row.axis) + row.axis_half < 1 for row in kept),
        side_effects=tuple(sorted(beside, key=lambda row: -abs(row.axis))),
        runs_each=_runs_each(found, max((there[at] for at in wanted), key=lambda row: abs(row.axis))),
        cautions=change.cautions,
    )


def try_next(trying: Trying, found: Valued, wish: Wish, progress: Progress | None = None) -> tuple[Suggestion, ...]:
    """Return the single changes that go the wished way, those first that keep what is to stay, then the largest.

    Parameters
    ----------
    trying : Trying
        The baseline that rides back.
    found : Valued
        All usable runs of the day: how far they scatter.
    wish : Wish
    progress : callable, optional

    Notes
    -----
    Every change is ridden once over the first run's ground; those that do most for the wish over all runs, with drawn
    parts. A step is taken to be off as its baseline is: by one pump, one syringe.
    """
    changes = _possible(trying)
    if not changes:
        return ()
    first = replace(
        trying,
        candidates=tuple(change.setup for change in changes),
        runs=trying.runs[:1],
        steps=True,
        part_draws=0,
        ground_draws=0,
    )
    try:
        gains = [gain(wish, rows) for rows in _answers(first, progress)]
        order = sorted(range(len(changes)), key=lambda place: -gains[place])
        best = [changes[place] for place in order[:MOST_SUGGESTIONS] if gains[place] >= LEAST_STEP]
        if not best:
            return ()
        setups = tuple(change.setup for change in best)
        draws = min(STEP_DRAWS, trying.part_draws)
        close = replace(trying, candidates=setups, steps=True, part_draws=draws, ground_draws=0)
        answers = _answers(close, progress)
    except UnriddenError:
        return ()
    told = sorted(zip(best, answers, strict=True), key=lambda item: -gain(wish, item[1]))
    suggested = [_suggestion(change, rows, wish, found) for change, rows in told]
    return tuple(sorted(suggested, key=lambda item: not item.keeps))
