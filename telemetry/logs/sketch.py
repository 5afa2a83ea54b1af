"""What an unknown log looks like: its columns with their range, and what each may be."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.day import LogOptions
from telemetry.model.log import ColumnSketch, LogSketch

from .axes import axis_of, inertial_sketches
from .columns import find_time
from .dialect import is_number
from .other_columns import is_no_travel
from .reader import OpenLog, open_log
from .reading import read_table
from .source import within_memory
from .stamps import named_unit, plausible_unit
from .table import Wanted

SPEED_NAME = re.compile(r"(^|[^a-z])(speed|velocity|kmh|km/h|mps)([^a-z]|$)", re.IGNORECASE)
MOST_DISTINCT_CONSTANT = 2
COUNTING_SHARE = 0.95
"""A column that grows by the same step in nearly every row counts samples or time, whatever it is called."""


def _proposal(opened: OpenLog, place: int, values: Floats) -> str:
    name = opened.dialect.names[place]
    if axis_of(name) is not None:
        return "inertial"
    if SPEED_NAME.search(name.replace("_", " ")):
        return "ground_speed"
    if is_no_travel(name):
        return "unknown"
    finite = values[np.isfinite(values)][:50_000]
    if np.unique(finite).size <= MOST_DISTINCT_CONSTANT:
        return "constant"
    counted = np.diff(finite)
    return "counter" if counted[0] != 0 and np.mean(counted == counted[0]) > COUNTING_SHARE else "travel"


def _time_unit(opened: OpenLog, place: int, values: Floats) -> str | None:
    units = opened.dialect.units
    named = opened.dialect.names[place] + (f" {units[place]}" if place < len(units) else "")
    forward = np.diff(values[np.isfinite(values)])
    forward = forward[forward > 0]
    return named_unit(named) or (plausible_unit(float(np.median(forward))) if forward.size else None)


def _is_text(opened: OpenLog, place: int) -> bool:
    cells = [row[place] for row in opened.rows if place < len(row) and row[place]]
    return sum(is_number(cell, opened.dialect.decimal) for cell in cells) < 0.5 * max(1, len(cells))


def sketch_log(path: Path, options: LogOptions | None = None) -> LogSketch:
    """Sketch an unknown log for a first draft of a ride day.

    Parameters
    ----------
    path : Path
    options : LogOptions, optional

    Returns
    -------
    LogSketch

    Raises
    ------
    LogError
        If it can't be read.
    """
    with within_memory(path.name):
        return _sketch(path, open_log(path, path.name, options or LogOptions()))


def _sketch(path: Path, opened: OpenLog) -> LogSketch:
    width = opened.dialect.width
    numeric = [place for place in range(width) if not _is_text(opened, place)]
    time = find_time(opened.dialect, opened.rows)
    table = read_table(opened.source, opened.dialect, Wanted(numbers=tuple(numeric), clock=time))
    columns = []
    for place in range(width):
        name = opened.dialect.names[place] or place + 1
        if place not in table.numbers:
            proposal = "time" if place == time else "text"
            unit = "date_time" if place == time else None
            sketch = ColumnSketch(
                name=name,
                number=place + 1,
                lowest=None,
                highest=None,
                empty_share=0.0,
                proposal=proposal,
                time_unit=unit,
            )
            columns.append(sketch)
            continue
        values = table.numbers[place]
        finite = values[np.isfinite(values)]
        columns.append(
            ColumnSketch(
                name=name,
                number=place + 1,
                lowest=float(finite.min()) if finite.size else None,
                highest=float(finite.max()) if finite.size else None,
                empty_share=1.0 - finite.size / values.size,
                proposal="time" if place == time else _proposal(opened, place, values),
                time_unit=_time_unit(opened, place, values) if place == time else None,
            )
        )
    names, units = opened.dialect.names, opened.dialect.units
    return LogSketch(
        path=path,
        rows=len(table.rows),
        dialect=opened.dialect.words,
        columns=tuple(columns),
        inertial=inertial_sketches(names, units, table.numbers),
    )
