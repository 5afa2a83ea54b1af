"""`predict`: the baseline's own runs ridden again on paper, then by the candidate's parts: what it should have done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from telemetry.bench.paper.again import UnriddenError
from telemetry.bench.paper.idle import idle
from telemetry.bench.paper.known import PaperSetup, left_out
from telemetry.bench.paper.loads import loads_of
from telemetry.bench.stated import PartError, stated_of
from telemetry.errors import CallError
from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import FamilyPlace
from telemetry.model.comparison import Result
from telemetry.model.day import RideDay, Setup
from telemetry.model.earlier import EarlierDays
from telemetry.model.finding import ENDS, End
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import Predicted, RidesBack
from telemetry.ride_day import setup_differences
from telemetry.telling.predicted import with_sentences
from telemetry.words import with_end

from .comparing import CHOSEN, compared, selected_runs
from .paper_answers import CRITERION, answered, rides_back
from .paper_choice import compared_names, ends_on_paper, no_end, no_run, ridden_setups, runs_left_out
from .paper_differences import not_on_paper, nothing_to_ride
from .paper_maps import by_contradicting_maps, by_maps, checked_ends, with_rides
from .paper_rides import PaperRun
from .paper_rows import answer_rows, smallest_changes
from .paper_share import share_came
from .paper_trials import AGAIN, PART_DRAWS, Tried, Trying, tried
from .paper_widths import conditions, known_as_usual, taken_as_usual, widths_of
from .recordings import friction_bands
from .studied import Progress, Selection, Study
from .studying import study
from .trying_next import asks_on_paper, try_next, unridden_wishes
from .valuing import Valued, rows_of, valued

RIDES_BESIDE = int((1 + AGAIN) * PART_DRAWS)
"""Rides on paper beside one of each run, for those who show progress."""


def _rows(day: RideDay, ends: tuple[End, ...]) -> tuple[FamilyPlace, ...]:
    there = {*ends, "both"} if len(ends) == len(ENDS) else set(ends)
    return tuple(
        (spec, end) for spec, end in rows_of(day) if spec.by == "travel" and end in there and "@" not in spec.name
    )


def _bands(done: Study) -> dict[str, dict[End, float]]:
    """Return each setup's friction bands, mm, with a rider aboard: standing before seated."""
    found: dict[str, dict[End, float]] = {}
    for setup, bands in friction_bands(done.rides).items():
        for load in (None, "seated", "standing"):
            found.setdefault(setup, {}).update({end: band for (end, own), band in bands.items() if own == load})
    return found


def _compared(found: Valued, setups: Sequence[Setup]) -> Comparison | None:
    """Return the comparison of all setups that were ridden; None unless both of these were."""
    names = [setup.name for setup in setups]
    ridden = dict.fromkeys(run.entry.setup for run in found.runs)
    if len(names) < 2 or not set(names) <= set(ridden):
        return None
    return compared(found, names[0], tuple(name for name in ridden if name != names[0]))


def _measured(comparison: Comparison, candidate: str, *, judge: bool) -> Mapping[MeasureAt, Result]:
    """Return a comparison's results of one candidate; of runs chosen by looking none is judged."""
    rows = [row for row in comparison.verdicts.results if row.candidate == candidate]
    return {(row.measure, row.end): replace(row, barred=row.barred or not judge) for row in rows}


def _unjudged(results: Sequence[Result], *, judge: bool) -> str:
    """Return why none of some results is judged: the reason of most of them; nothing where one is, or there is none."""
    if not results or not all(row.barred for row in results):
        return ""
    reasons = Counter(row.reason.partition("; ")[0] for row in results)  # behind it stands what is of one row alone
    return reasons.most_common(1)[0][0] if judge else CHOSEN


def predict(
    day: RideDay,
    baseline: str | None = None,
    candidate: str | None = None,
    runs: Sequence[str] | None = None,
    sections: Sequence[int] | None = None,
    *,
    progress: Progress | None = None,
) -> Predicted:
    """Say what a setup should have done, ridden on paper over the ground of the baseline's own runs.

    Parameters
    ----------
    day : RideDay
    baseline : str, optional
        A setup that was ridden; by default the day's, else the first ridden.
    candidate : str, optional
        By default the day's, else the first other setup; it needn't have been ridden.
    runs : sequence of str, optional
        Only these runs take part, as of a comparison: then nothing measured is judged.
    sections : sequence of int, optional
        Only these trail sections count, numbered from 1: the same.
    progress : callable, optional

    Returns
    -------
    Predicted
        ``.to_dict()`` is the JSON of ``telemetry predict --json``.

    Raises
    ------
    CallError
        If there are no two setups, no usable run of the baseline, or no end can be put on paper.
    """
    selection = Selection(
        baseline=baseline,
        candidates=None if candidate is None else (candidate,),
        runs=None if runs is None else tuple(runs),
        sections=None if sections is None else tuple(sections),
    )
    _ = ridden_setups(day, selection, candidate)
    return predicted(study(day, progress), selection, progress=progress)


def _ridden(answer: Predicted, trying: Trying, found: Valued, progress: Progress | None, *, judge: bool) -> Predicted:
    """Return the answer with what riding on paper tells."""
    try:
        checks = checked_ends(trying)
        trying = by_contradicting_maps(trying, checks)
        answer = replace(answer, parts_checked=with_rides(checks, trying.shown))
        ridden = tried(trying, progress)
    except PartError as error:
        raise _wrong_part(trying.day, error) from error
    except UnriddenError as error:
        return replace(answer, rides_back=RidesBack(holds=False, reason=str(error), criterion=CRITERION))
    answer = _with_answers(answer, trying, ridden, (found, judge))
    wish = trying.wish
    if wish is None or not answer.rides_back.holds or not asks_on_paper(wish, trying.runs[0].rows):
        return answer
    every = valued(found.done, selected_runs(found.done, Selection()), None)
    return replace(answer, try_next=try_next(trying, every, wish, progress))


def predicted(
    done: Study,
    selection: Selection,
    candidate: str | None = None,
    *,
    part_draws: int = PART_DRAWS,
    next_too: bool = True,
    progress: Progress | None = None,
) -> Predicted:
    """Say of a studied day what a setup should have done: `predict` for whoever has read it already.

    Parameters
    ----------
    done : Study
    selection : Selection
        What is compared: the trail that its runs share is ridden, and its differences stand beside.
    candidate : str, optional
        Which setup is ridden on paper; by default the first of the selection's.
    part_draws : int
        Of all parts together; fewer are faster, and their share of an interval less sure.
    next_too : bool
        Whether a wish's single changes are ridden as well; they are alike beside every candidate.
    progress : callable, optional

    Raises
    ------
    CallError
    """
    day = done.day
    setups = ridden_setups(day, selection, candidate)
    names = compared_names(day, selection, setups)
    used = tuple(run for run in selected_runs(done, selection) if run.entry.setup in names)
    if not any(run.entry.setup == setups[0].name for run in used):
        raise no_run(day, setups[0].name, done.runs)
    found = valued(done, used, selection.sections)
    runs = tuple(run for run in found.runs if run.entry.setup == setups[0].name)
    try:
        ends, absent = ends_on_paper(day, setups, runs)
    except PartError as error:
        raise _wrong_part(day, error) from error
    if not ends:
        raise no_end(day, absent)
    own, other = setups[0], next(iter(setups[1:]), None)
    differences = () if other is None else setup_differences(own, other, day.bike.geometry)
    rows = _rows(day, ends)
    lost = () if day.wish is None else unridden_wishes(day.wish, rows)
    paper = tuple(
        PaperRun(day=day, run=run, kept=found.sections.of(run.entry.name), ends=ends, rows=rows)
        for run in runs
        if run.moved.ends.keys() >= set(ends)
    )
    shown = by_maps({end: stated_of(day, own, end) for end in ends}, runs, paper)
    resting = frozenset() if other is None else idle(day, (own, other), ends, differences, shown)
    unridden = "" if other is None else nothing_to_ride(differences, ends, resting)
    trying = Trying(
        bands_mm=_bands(done),
        shown=shown,
        day=day,
        baseline=own,
        candidates=() if unridden else setups[1:],
        ends=ends,
        runs=tuple(run for run in paper if run.parts),
        part_draws=part_draws,
        wish=day.wish if next_too else None,
    )
    answer = Predicted(
        day=day,
        baseline=own.name,
        candidate=None if other is None else other.name,
        runs=tuple(run.run.entry.name for run in trying.runs),
        rides_back=RidesBack(holds=False, reason="no gap-free stretch of a run is long enough", criterion=CRITERION),
        predictions=(),
        absent=(*absent, *runs_left_out(done.runs, own.name), *not_on_paper(differences, ends, resting), *lost),
        differences=differences,
        unpredicted=unridden,
        unread=done.unread,
    )
    if trying.runs:
        judge = selection.runs is None and selection.sections is None
        answer = _ridden(answer, trying, found, progress, judge=judge)
    return with_sentences(answer)


def _wrong_part(day: RideDay, error: PartError) -> CallError:
    where = f"{day.path}: {error.end} {error.key}"
    return CallError(where, error.found, error.expected, "mend it in the ride day; `telemetry bench` checks the parts")


def _clicks(trying: Trying, papers: Sequence[PaperSetup]) -> tuple[str, ...]:
    """Return by what each adjuster was turned on paper that stands elsewhere than its damper was measured."""
    return tuple(
        f"{setup.label}, {with_end(way, end)}: turned {words}"
        for setup, paper in zip((trying.baseline, *trying.candidates), papers, strict=True)
        for (end, way), words in paper.clicks.items()
    )


def _with_answers(answer: Predicted, trying: Trying, done: Tried, measured: tuple[Valued, bool]) -> Predicted:
    """Return the answer with each row; `measured` tells what was, and whether that is judged."""
    loads = loads_of([one.ridden.pushed for one in done.as_stated], [one.pushed for one in done.with_parts])
    back = rides_back(
        [run.measured for run in trying.runs],
        [one.ridden.back for one in done.as_stated],
        [one.correlations for one in done.as_stated],
        loads,
        {
            end: [item.what for item in left_out(trying.day, trying.baseline, end)]
            for end in trying.ends
            if end not in trying.shown or "spring" not in trying.shown[end].parts
        },
    )
    unseen = tuple((end, float(np.mean([one.unseen[end] for one in done.as_stated]))) for end in trying.ends)
    papers = trying.papers()
    widths = widths_of(papers)
    answer = replace(
        answer,
        rides_back=back,
        unseen=unseen,
        clicks=_clicks(trying, papers),
        assumed=taken_as_usual(widths),
        usual_widths=known_as_usual(widths),
    )
    if not back.holds or not trying.candidates:
        return answer
    rows = answer_rows(trying, done, 0, trying.runs[0].rows, conditions(widths))
    found, judge = measured
    names = (trying.baseline.name, trying.candidates[0].name)
    comparison = _compared(found, (trying.baseline, *trying.candidates))
    results = {} if comparison is None else _measured(comparison, names[1], judge=judge)
    return replace(
        answer,
        predictions=answered(rows, smallest_changes(trying, rows), results),
        came=share_came(rows, found, names) if judge and results else None,
        unjudged=_unjudged([results[at] for row in rows if (at := (row.spec.name, row.end)) in results], judge=judge),
        earlier=EarlierDays() if comparison is None else comparison.earlier,
    )
