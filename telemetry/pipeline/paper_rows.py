"""A row of what is compared, out of all rides on paper: its changes run by run and draw by draw."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from telemetry.bench.paper.spread import Trials, expected_change, strongest
from telemetry.model.catalogue import FamilyPlace, share_of
from telemetry.model.day import SmallestChange
from telemetry.model.measure import MeasureAt
from telemetry.model.measure_spec import Scale

from .paper_answers import OneRow, change_of, smallest_on_scale, with_mm
from .paper_trials import Ridden, Tried, Trying
from .studied import smallest_change_of


def _trials(
    done: Tried, which: int, at: MeasureAt, scale: Scale | None
) -> tuple[Trials, list[tuple[dict[str, float], float]]] | None:
    """Return a row's trials, and its changes by draw; None where a run gives no change."""

    def change(ridden: Ridden) -> float | None:
        return change_of(scale, ridden.back, ridden.by_candidate[which], at)

    by_run = [change(one.ridden) for one in done.as_stated]
    known = {one.ridden.run: value for one, value in zip(done.as_stated, by_run, strict=True) if value is not None}
    if not known:
        return None
    by_draw: dict[int, list[tuple[dict[str, float], float]]] = {}
    for ridden in done.with_parts:
        value = change(ridden)
        if value is not None and ridden.run in known:
            by_draw.setdefault(ridden.draw, []).append((dict(ridden.off), value - known[ridden.run]))
    drawn = [own[0] for own in by_draw.values()]
    ground = [
        value - known[one.run] for one in done.over_ground if (value := change(one)) is not None and one.run in known
    ]
    ends = [one.apart[which] for one in (*(first.ridden for first in done.as_stated), *done.with_parts)]
    apart = [float(np.hypot.reduce(list(own.values()))) if at[1] == "both" else own[at[1]] for own in ends]
    trials = Trials(
        by_run=tuple(known.values()),
        by_parts=tuple(value for _, value in drawn),
        by_ground=tuple(ground),
        apart=math.sqrt(float(np.mean(np.square(apart)))),
        again=tuple((own[0][1], own[1][1]) for own in by_draw.values() if len(own) > 1),
        counted=_counted(done, which, at) if scale == "count" else None,
    )
    return trials, drawn


def _counted(done: Tried, which: int, at: MeasureAt) -> float:
    """Return how many a run has on paper, mean over baseline and candidate."""
    both = [side[at].count or 0 for one in done.as_stated for side in (one.ridden.back, one.ridden.by_candidate[which])]
    return float(np.mean(both))


GROUND = "the ground that no tyre felt lies about where it was laid"
RUNS = "other runs would be like those ridden again"
MODEL = "this bike is no further from the model than simulated ones are"
PARTS = "parts and masses are as stated"


def rests_on(
    trials: Trials,
    measure: str,
    drawn: Sequence[tuple[dict[str, float], float]],
    words: Mapping[str, str],
    smallest: float,
) -> str:
    """Return in words what a row's expected change rests on most: what makes its interval widest.

    `smallest` is the smallest change that matters, on the row's own scale.
    """
    own = expected_change(trials, measure, smallest)
    others = {GROUND: own.ground, RUNS: own.runs, MODEL: own.model}
    widest = max(others, key=lambda words: others[words])
    if others[widest] > own.parts:
        return widest
    best = strongest([off for off, _ in drawn], [value for _, value in drawn])
    return PARTS if best is None else words[best[0]]


def answer_rows(
    trying: Trying, done: Tried, which: int, rows: Sequence[FamilyPlace], words: Mapping[str, str]
) -> list[OneRow]:
    """Return the rows that a candidate's rides on paper give.

    Parameters
    ----------
    trying : Trying
    done : Tried
    which : int
        Of the candidates.
    rows : sequence of (spec, end)
    words : mapping of "place key" to str
        What has to be so where a row rests on that figure.
    """
    found: list[OneRow] = []
    for spec, end in rows:
        row = _row(trying, done, which, (spec, end), words)
        if row is not None:
            full = (
                []
                if end == "both"
                else [setup.at(end).full_travel_mm or 0.0 for setup in (trying.baseline, trying.candidates[which])]
            )
            found += with_mm(row, (full[0], full[1]), _pairs(done, which, (spec.name, end))) if full else (row,)
    return found


def _row(trying: Trying, done: Tried, which: int, place: FamilyPlace, words: Mapping[str, str]) -> OneRow | None:
    (spec, end), at = place, (place[0].name, place[1])
    trials = _trials(done, which, at, spec.scale)
    if trials is None or len(trials[0].by_parts) < trying.part_draws / 2 or trials[0].counted == 0:
        return None
    known = [value for run in trying.runs if (value := run.measured[at].value) is not None]
    value = float(np.mean(known)) if known else 0.0
    smallest = smallest_on_scale(spec.scale or "raw", smallest_change_of(trying.day, spec.name, end), value)
    return OneRow(
        spec=spec,
        end=end,
        trials=trials[0],
        value=value,
        rests_on=rests_on(trials[0], spec.name, trials[1], words, smallest),
    )


def _pairs(done: Tried, which: int, at: MeasureAt) -> list[tuple[float, float]]:
    """Return a row's value of each run on paper, by the baseline's parts and the candidate's."""
    both = [(one.ridden.back[at].value, one.ridden.by_candidate[which][at].value) for one in done.as_stated]
    return [(before, after) for before, after in both if before is not None and after is not None]


def smallest_changes(trying: Trying, rows: Sequence[OneRow]) -> dict[MeasureAt, SmallestChange]:
    """Return the smallest change that matters of each row; of one in mm its share's, of the baseline's full travel."""
    found: dict[MeasureAt, SmallestChange] = {}
    for row in rows:
        share = share_of(row.spec.name)
        change = smallest_change_of(trying.day, share or row.spec.name, row.end)
        if share is not None and row.end != "both":
            full = trying.baseline.at(row.end).full_travel_mm or 0.0
            change = replace(change, amount=change.amount * full / 100, form="mm")
        found[row.spec.name, row.end] = change
    return found
