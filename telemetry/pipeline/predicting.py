"""`predict`: the baseline's own runs ridden again on paper, then by the candidate's parts: what it should have done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from telemetry.bench.paper.again import UnriddenError
from telemetry.bench.paper.known import lacking, left_out
from telemetry.bench.paper.loads import loads_of
from telemetry.bench.stated import PartError
from telemetry.errors import CallError
from telemetry.model.catalogue import FamilyPlace
from telemetry.model.comparison import Result
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import NotRidden, Predicted, RidesBack, by_reason
from telemetry.ride_day import setup_differences
from telemetry.telling.prediction import with_sentences

from .comparing import compared, selected_runs
from .paper_answers import CRITERION, answered, rides_back
from .paper_differences import not_on_paper, nothing_to_ride
from .paper_maps import checked_ends
from .paper_rides import PaperRun
from .paper_rows import answer_rows, smallest_changes
from .paper_trials import PART_DRAWS, Tried, Trying, tried
from .paper_widths import conditions, known_as_usual, taken_as_usual, widths_of
from .parts_possible import require_possible
from .recordings import friction_bands
from .studied import Progress, Selection, Study, baseline_of
from .studying import study
from .trying_next import try_next, unridden_wishes
from .valuing import Valued, rows_of, valued

UNMEASURED = "its travel isn't measured"
RIDES_BESIDE = PART_DRAWS
"""Rides on paper beside one of each run, for those who show progress."""


def _setups(day: RideDay, baseline: str | None, candidate: str | None) -> tuple[Setup, Setup | None]:
    """Return baseline and candidate: as asked, as the day says, else the first setup that isn't the baseline.

    No candidate where there is none and something is wished for.
    """
    first = baseline or baseline_of(day)
    for name in (first, candidate):
        if name is not None and name not in day.setups:
            found, expected = f"no setup {name!r}", "one of " + ", ".join(day.setups)
            raise CallError(str(day.path), found, expected, "name a setup of the day")
    others = [name for name in (*day.comparison.candidates, *day.setups) if name != first]
    second = candidate or next(iter(others), None)
    if first is not None and second is None and day.wish is not None and day.wish.asks:
        return day.setups[first], None
    if first is None or second is None or first == second:
        found = "one setup" if day.setups else "no setup"
        remedy = "write the other under [setups] with based_on and what differs: it needn't have been ridden"
        raise CallError(str(day.path), found, "a baseline that was ridden and another setup", remedy)
    return day.setups[first], day.setups[second]


def _ends(day: RideDay, setups: Sequence[Setup], found: Valued) -> tuple[tuple[End, ...], tuple[NotRidden, ...]]:
    """Return the ends that can be put on paper, and why another can't."""
    ends, absent = [], []
    for end in ENDS:
        lost = [run.entry.name for run in found.runs if end not in run.moved.ends]
        gone = {item.reason for setup in setups for item in lacking(day, setup, end)}
        if lost:
            absent.append(NotRidden(what=f"the {end}", reason=f"{UNMEASURED} in {', '.join(lost)}"))
        elif gone:
            absent.append(NotRidden(what=f"the {end}", reason="; ".join(sorted(gone))))
        else:
            ends.append(end)
            told = {item.what: item.reason for setup in setups for item in left_out(day, setup, end)}
            absent += [NotRidden(what=f"{what} of the {end}", reason=reason) for what, reason in told.items()]
    rough = [run.entry.name for run in found.runs if run.moved.ride.clocks == "rough"]
    if len(ends) == len(ENDS) and rough:  # both would be ridden as one bike
        left = ends.pop(0 if setups[0].front == setups[-1].front else 1)
        absent.append(NotRidden(what=f"the {left}", reason=f"its clock is joined too roughly in {', '.join(rough)}"))
    return tuple(ends), tuple(absent)


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


def _measured(done: Study, setups: Sequence[Setup]) -> Mapping[MeasureAt, Result]:
    """Return the comparison's results where both setups were ridden."""
    if len(setups) < 2:
        return {}
    names = (setups[0].name, setups[1].name)
    used = tuple(run for run in selected_runs(done, Selection()) if run.entry.setup in names)
    if {run.entry.setup for run in used} != set(names):
        return {}
    found = compared(valued(done, used, None), names[0], (names[1],))
    return {(row.measure, row.end): row for row in found.verdicts.results}


def predict(
    day: RideDay,
    baseline: str | None = None,
    candidate: str | None = None,
    *,
    part_draws: int = PART_DRAWS,
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
    part_draws : int
        Of all parts together; fewer are faster, and their share of an interval less sure.
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
    if not day.runs:
        remedy = "ride the baseline and add its logs; `telemetry bench` says what parts do without any"
        raise CallError(str(day.path), "no runs", "runs of the baseline", remedy)
    require_possible(day)
    own, other = _setups(day, baseline, candidate)
    setups = (own,) if other is None else (own, other)
    done = study(day, progress)
    runs = tuple(run for run in selected_runs(done, Selection()) if run.entry.setup == own.name)
    found = valued(done, runs, None)
    try:
        ends, absent = _ends(day, setups, found)
    except PartError as error:
        raise _wrong_part(day, error) from error
    if not ends:
        raise _no_end(day, absent)
    differences = () if other is None else setup_differences(own, other)
    absent = (*absent, *not_on_paper(differences, ends))
    unridden = "" if other is None else nothing_to_ride(differences, ends)
    rows = _rows(day, ends)
    lost = () if day.wish is None else unridden_wishes(day.wish, rows)
    absent = (*absent, *lost)
    paper = tuple(
        PaperRun(day=day, run=run, kept=found.sections.of(run.entry.name), ends=ends, rows=rows) for run in runs
    )
    trying = Trying(
        bands_mm=_bands(done),
        day=day,
        baseline=own,
        candidates=() if unridden else setups[1:],
        ends=ends,
        runs=tuple(run for run in paper if run.parts),
        part_draws=part_draws,
    )
    answer = Predicted(
        day=day,
        baseline=own.name,
        candidate=None if other is None else other.name,
        runs=tuple(run.run.entry.name for run in trying.runs),
        rides_back=RidesBack(holds=False, reason="no gap-free stretch of a run is long enough", criterion=CRITERION),
        predictions=(),
        absent=absent,
        differences=differences,
        unpredicted=unridden,
        unread=done.unread,
    )
    if not trying.runs:
        return with_sentences(answer)
    try:
        answer = replace(answer, parts_checked=checked_ends(trying))
        ridden = tried(trying, progress)
    except PartError as error:
        raise _wrong_part(day, error) from error
    except UnriddenError as error:
        left = RidesBack(holds=False, reason=str(error), criterion=CRITERION)
        return with_sentences(replace(answer, rides_back=left))
    answer = _with_answers(answer, trying, ridden, _measured(done, setups))
    if day.wish is not None and day.wish.asks and not lost and answer.rides_back.holds:
        every = valued(done, selected_runs(done, Selection()), None)
        answer = replace(answer, try_next=try_next(trying, every, day.wish, progress))
    return with_sentences(answer)


def _no_end(day: RideDay, absent: tuple[NotRidden, ...]) -> CallError:
    expected = "an end whose travel is measured and whose parts are known"
    remedy = "state springs, damper and masses as `telemetry bench` asks for them"
    if all(item.reason.startswith(UNMEASURED) for item in absent):
        remedy = "log an end's travel: what sensors of acceleration alone tell can't be ridden on paper"
    return CallError(str(day.path), "; ".join(by_reason(absent)), expected, remedy)


def _wrong_part(day: RideDay, error: PartError) -> CallError:
    where = f"{day.path}: {error.end} {error.key}"
    return CallError(where, error.found, error.expected, "mend it in the ride day; `telemetry bench` checks the parts")


def _with_answers(answer: Predicted, trying: Trying, done: Tried, results: Mapping[MeasureAt, Result]) -> Predicted:
    loads = loads_of([one.ridden.pushed for one in done.as_stated], [one.pushed for one in done.with_parts])
    back = rides_back(
        [run.measured for run in trying.runs],
        [one.ridden.back for one in done.as_stated],
        [one.correlations for one in done.as_stated],
        loads,
        {end: [item.what for item in left_out(trying.day, trying.baseline, end)] for end in trying.ends},
    )
    unseen = tuple((end, float(np.mean([one.unseen[end] for one in done.as_stated]))) for end in trying.ends)
    widths = widths_of(trying.papers())
    answer = replace(
        answer,
        rides_back=back,
        unseen=unseen,
        assumed=taken_as_usual(widths),
        usual_widths=known_as_usual(widths),
    )
    if not back.holds or not trying.candidates:
        return answer
    rows = answer_rows(trying, done, 0, trying.runs[0].rows, conditions(widths))
    return replace(answer, predictions=answered(rows, smallest_changes(trying, rows), results))
