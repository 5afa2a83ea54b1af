"""What the library keeps of a studied day: every run's measures, means by setup, verdicts, and the travel."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pandas as pd
from scipy import special

from telemetry import __version__
from telemetry.columnar import write_frame
from telemetry.errors import CallError
from telemetry.library import TRAVEL_COLUMNS, KeptMeans, KeptResults, KeptRun, KeptSpread, KeptValue, KeptVerdict
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import ENDS
from telemetry.own_folders import PROGRAM
from telemetry.telling.untold import is_untold

from .exporting import signals_of
from .kept_comparison import kept_comparison
from .lenders import DEFINITIONS, spreads_of
from .studied import RunStudy, Study

LEVEL = 0.05
"""Of the interval of a mean over a day's runs: common practice, no source."""
ONE_SETUP = "no comparison: fewer than two setups have a usable run"
BY = f"{PROGRAM} {__version__}"
"""By which program a day is measured."""


def now() -> str:
    """Return date and time, UTC, as a record notes them."""
    return dt.datetime.now(dt.UTC).isoformat(timespec="seconds")


def results_of(done: Study, analysis: Analysis, comparison: Comparison | None) -> KeptResults:
    """Return what is kept of what was measured and decided; the travel's files are yet to be written."""
    conditioning = analysis.conditioning if comparison is None else comparison.conditioning
    runs = tuple(
        KeptRun(
            name=run.entry.name,
            setup=run.entry.setup,
            order=run.entry.order,
            usable=run.usable,
            rider=run.entry.rider or analysis.day.rider,
            measures=tuple(row.to_dict() for row in run.measures),
            history=tuple(step.to_dict() for step in run.history),
            left_out=run.entry.leave_out is not None,
            untold=tuple(end for end in ENDS if is_untold(run, end)),
        )
        for run in analysis.runs
    )
    values = _means(analysis)
    setups = tuple(
        KeptMeans(
            setup=name,
            values=tuple(values.get(name, ())),
            verdicts=tuple(_verdicts(comparison, name)),
            compared=kept_comparison(comparison, name),
        )
        for name in analysis.day.setups
    )
    return KeptResults(
        definitions=DEFINITIONS,
        program=BY,
        measured_at=now(),
        headline=ONE_SETUP if comparison is None else _headline(comparison),
        conditioning={key: own for key, own in conditioning.items() if key != "runs"},
        setups=setups,
        runs=runs,
        spreads=tuple(_spreads(done)),
    )


def _spreads(done: Study) -> Iterator[KeptSpread]:
    """Yield what later days may borrow; nothing where nothing of the trail is whole in every run."""
    try:
        found = spreads_of(done)
    except CallError:
        return
    for (measure, end), own in found.items():
        yield KeptSpread(measure=measure, end=end, unit=SPECS[measure].unit, variance=own.variance, nu=own.nu)


def _headline(comparison: Comparison) -> str:
    return " · ".join(comparison.summaries[name].headline for name in comparison.candidates)


def _verdicts(comparison: Comparison | None, setup: str) -> Iterator[KeptVerdict]:
    for row in () if comparison is None else comparison.verdicts.results:
        if row.candidate == setup and row.verdict is not None:
            yield KeptVerdict(measure=row.measure, end=row.end, unit=row.unit, verdict=row.verdict, focus=row.focus)


def _means(analysis: Analysis) -> dict[str, list[KeptValue]]:
    """Return every measure by setup: over runs that aren't left out, and over recordings off the trail."""
    ridden = [
        (run.entry.setup, run.measures)
        for run in analysis.runs
        if run.usable != "ride again" and run.entry.leave_out is None
    ]
    told = [*ridden, *((item.setup, item.measures) for item in analysis.static)]
    found: dict[tuple[str, str, str, str], list[float]] = {}
    for setup, measures in told:
        for row in measures:
            if row.part is None:
                found.setdefault((setup, row.measure, row.end, row.unit), []).append(row.value)
    means: dict[str, list[KeptValue]] = {}
    for (setup, measure, end, unit), values in found.items():
        value, half = mean_with_half(values)
        means.setdefault(setup, []).append(
            KeptValue(measure=measure, end=end, unit=unit, value=value, half=half, n=len(values))
        )
    return means


def mean_with_half(values: Iterable[float]) -> tuple[float, float | None]:
    """Return the mean of some values, and half the width of its 95 % interval; None with a single one.

    Parameters
    ----------
    values : iterable of float
        One or more, each of a run.

    Notes
    -----
    Student's t on n - 1: the runs are taken for independent draws of one normal distribution.

    Examples
    --------
    >>> mean, half = mean_with_half([28.0, 30.0])
    >>> round(mean, 1), round(half, 2), mean_with_half([28.0])
    (29.0, 12.71, (28.0, None))
    """
    found = np.asarray(list(values), dtype=np.float64)
    if found.size < 2:
        return float(found[0]), None
    error = float(found.std(ddof=1)) / math.sqrt(found.size)
    return float(found.mean()), -float(special.stdtrit(found.size - 1, LEVEL / 2)) * error


def travel_of(run: RunStudy) -> pd.DataFrame:
    """Return the travel that is kept of a run that can be measured.

    It is without the story a frame carries: that stands in the record, where a name can be taken out of it.
    """
    frame = signals_of(run)
    frame = frame[[name for name in TRAVEL_COLUMNS if name in frame]]
    frame = frame.astype({name: np.float32 for name in frame if str(name).endswith("_mm")})
    frame.attrs = {}
    return frame


def write_travel(folder: Path, run: RunStudy, frame: pd.DataFrame) -> Path:
    """Write a run's travel into a folder; return the Parquet file. No name stands in it."""
    about = {"program": BY, "definitions": DEFINITIONS, "cutoff_hz": run.cutoff_hz}
    return write_frame(folder, "travel", frame, about, "parquet")
