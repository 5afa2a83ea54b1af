"""What runs' values speak against a comparison: a run that doesn't belong, a level that steps, an unusual spread."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.catalogue import share_of
from telemetry.model.comparison import FamilyRow, Result
from telemetry.model.finding import Finding
from telemetry.statistics.scale import margin
from telemetry.words import counted, figure, lower_first

from .level_shift import LEAST_STEP, level_shift
from .pair import listed
from .standing_apart import FAR, Apart, stands_apart

MOST_NAMED = 3


def _in_margins(row: FamilyRow) -> Floats:
    """Return every run's value in smallest changes, on the row's scale; NaN where there is none."""
    values = np.array([np.nan if run.value is None else run.value for run in row.runs], dtype=float)
    centre = 1.0
    if row.spec.scale == "log":
        values = np.log(np.where(values > 0, values, np.nan))
        centre = float(np.exp(np.nanmean(values))) if np.isfinite(values).any() else 1.0
    return np.asarray(values / margin(row.smallest_change, row.spec.scale or "raw", centre), dtype=float)


def _on_one_date(row: FamilyRow) -> bool:
    return len({run.run.day for run in row.runs}) == 1


def _name(row: FamilyRow) -> str:
    name = lower_first(row.spec.label)
    return name if row.end == "both" else f"{row.end} {name}"


def run_stands_apart(rows: Sequence[FamilyRow], labels: Mapping[str, str]) -> tuple[Finding, ...]:
    """Find the run that lies with another setup's runs, or with none, over all continuous rows that every run has.

    Of one date only: another day moves its runs away from the others by itself.
    """
    every = [row for row in rows if row.spec.scale != "count" and share_of(row.spec.name) is None]
    columns = [(row, _in_margins(row)) for row in every]
    told = [(row, column) for row, column in columns if np.isfinite(column).all()]
    if not told or not _on_one_date(told[0][0]):
        return ()
    runs = told[0][0].runs
    names = list(dict.fromkeys(run.run.setup for run in runs))
    setups = np.array([names.index(run.run.setup) for run in runs])
    found = stands_apart(np.column_stack([column for _, column in told]), setups)
    if found is None:
        return ()
    run = runs[found.run].run
    like = None if found.like is None else labels[names[found.like]]
    return (Finding(code="run_stands_apart", message=_apart_words((run.run, labels[run.setup]), like, found, told)),)


def _apart_words(run: tuple[str, str], like: str | None, found: Apart, told: Sequence[tuple[FamilyRow, Floats]]) -> str:
    name, setup = run
    named = listed(_name(told[place][0]) for place in found.rows[:MOST_NAMED])
    more = len(found.rows) - MOST_NAMED
    rest = f" and {counted(more, 'measure')} more" if more > 0 else ""
    parts = (
        f"{name} ({setup}) lies apart from the other runs of {setup} in {named}{rest}, by up to "
        f"{figure(abs(found.furthest), 1)} smallest changes (limit {FAR:g})"
    )
    if like is None:
        return (
            f"{parts}, and from every other setup's: was a tyre flat, a lever set, another line ridden? Look it up; "
            "leave it out with the reason, or ride it again"
        )
    return f"{parts}, and looks like {like}: is its setup right? Look it up; correct the run's setup, or leave it out"


def level_shifts(rows: Sequence[FamilyRow]) -> tuple[Finding, ...]:
    """Find an end whose sag steps between two runs and stays, with every setup, all ridden on one date."""
    sags = [row for row in rows if row.spec.name == "dynamic_sag"]
    if not sags or not _on_one_date(sags[0]):
        return ()
    order = sorted(range(len(sags[0].runs)), key=lambda place: sags[0].runs[place].run.order)
    runs = [sags[0].runs[place].run for place in order]
    names = list(dict.fromkeys(run.setup for run in runs))
    values = np.column_stack([_in_margins(row)[order] for row in sags])
    found = level_shift(values, np.array([names.index(run.setup) for run in runs]))
    if found is None:
        return ()
    sag, before = sags[found.row], runs[found.first - 1]
    step = found.step * margin(sag.smallest_change, "raw", 1.0)
    message = (
        f"the {sag.end}'s sag of every setup steps by {figure(step, 1, signed=True)} points between {before.run} and "
        f"{runs[found.first].run} and stays there (limit {figure(LEAST_STEP * sag.smallest_change.amount, 1)} points): "
        "was its sensor remounted, or did it slip? Fix it, lift both wheels for 5 s and record it, ride again"
    )
    return (Finding(code="level_shift", message=message),)


def value_findings(
    rows: Sequence[FamilyRow], results: Sequence[Result], labels: Mapping[str, str]
) -> tuple[Finding, ...]:
    """Return what the values of the runs that take part speak against their comparison.

    Parameters
    ----------
    rows : sequence of FamilyRow
    results : sequence of Result
        Theirs.
    labels : mapping of setup to str
        What each setup is called.
    """
    return (*run_stands_apart(rows, labels), *level_shifts(rows), *spread_unlike(results, rows))


def spread_unlike(results: Sequence[Result], rows: Sequence[FamilyRow]) -> tuple[Finding, ...]:
    """Note rows whose runs scatter more today than earlier days let expect: they keep today's spread alone."""
    names = {(row.spec.name, row.end): _name(row) for row in rows}
    unlike = list(dict.fromkeys(names[row.measure, row.end] for row in results if row.unlike_earlier))
    if not unlike:
        return ()
    message = (
        f"{listed(unlike)}: runs of one setup scatter more today than earlier days let expect, so these "
        "lend no spread there; look what was otherwise today"
    )
    return (Finding(code="spread_unlike", message=message),)
