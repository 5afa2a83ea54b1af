"""Hits and returns of a day one by one, as frames: where on the trail, how deep, how fast."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias, get_args

import numpy as np

from telemetry import measures
from telemetry.errors import CallError
from telemetry.model.arrays import Floats
from telemetry.model.day import RideDay
from telemetry.model.finding import ENDS
from telemetry.model.motion import Stretch, StrokeKind

from .sharing import share
from .studied import RunStudy, Study

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    *("run", "setup", "time_s", "end", "place", "from_place_s", "section", "start_s", "duration_s"),
    *("from_mm", "to_mm", "depth_mm", "depth_percent", "length_mm", "peak_wheel_mm_s", "peak_shaft_mm_s", "bottomed"),
)
_Span: TypeAlias = tuple[str, float, float]
"""A place's name, and the log's seconds from where to where; a mark's are one."""


def _sections(done: Study) -> Mapping[str, tuple[Stretch, ...]]:
    """Return the trail sections of each run that takes part in comparisons."""
    motions = {run.entry.name: run.moved for run in done.runs if run.usable}
    return share(done.day, motions).stretches if motions else {}


def _places(day: RideDay, run: RunStudy) -> list[_Span]:
    """Return a run's named stretches of trail, the shorter first, and its marks."""
    time_s = run.moved.ride.time_s
    spans = [
        (name, float(time_s[where[0]]), float(time_s[where[1] - 1]))
        for name, where in run.named.items()
        if not isinstance(where, measures.Missing) and where[0] < where[1]
    ]
    marks = [(mark.name, mark.at_s, mark.at_s) for mark in day.marks if mark.run == run.entry.name]
    return [*sorted(spans, key=lambda span: span[2] - span[1]), *marks]


def _nearest(start_s: Floats, spans: Sequence[_Span]) -> tuple[list[str | None], Floats]:
    """Return the place nearest to each moment, and how long after it that is: negative before, 0 within."""
    if not spans:
        return [None] * len(start_s), np.full(len(start_s), np.nan)
    first, last = (np.array([span[bound] for span in spans])[:, None] for bound in (1, 2))
    after = np.maximum(start_s - last, 0.0) - np.maximum(first - start_s, 0.0)
    nearest = np.argmin(np.abs(after), axis=0)
    return [spans[place][0] for place in nearest.tolist()], after[nearest, np.arange(len(start_s))]


def _section_numbers(run: RunStudy, start_s: Floats, sections: Sequence[Stretch]) -> pd.Series:
    """Return the number, from 1, of the section that each moment lies in; none outside of every one."""
    import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

    time_s, numbers = run.moved.ride.time_s, pd.Series(pd.NA, index=range(len(start_s)), dtype="Int64")
    samples = np.searchsorted(time_s, start_s)
    for number, (start, stop) in enumerate(sections, 1):
        numbers[(samples >= start) & (samples < stop)] = number
    return numbers


def _of_run(done: Study, run: RunStudy, kind: StrokeKind, sections: Sequence[Stretch]) -> pd.DataFrame:
    import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

    of_ends = [measures.stroke_columns(run.moved, end, kind) for end in run.moved.ends]
    if not of_ends:
        return _none()
    columns = {name: np.concatenate([own[name] for own in of_ends]) for name in of_ends[0]}
    order = np.argsort(columns["start_s"], kind="stable")
    frame = pd.DataFrame({name: values[order] for name, values in columns.items()})
    start_s = frame["start_s"].to_numpy()
    places, frame["from_place_s"] = _nearest(start_s, _places(done.day, run))
    frame["place"] = pd.Series(places, dtype="object")
    frame["section"] = _section_numbers(run, start_s, sections)
    frame["run"], frame["setup"] = run.entry.name, run.entry.setup
    return frame[list(COLUMNS)]


def _none() -> pd.DataFrame:
    """Return the frame of a run without any."""
    import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

    texts, numbers = ("run", "setup", "end", "place"), {"section": "Int64", "bottomed": "bool"}
    kinds = {name: "object" if name in texts else numbers.get(name, "float64") for name in COLUMNS}
    return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in kinds.items()})


def _absent(run: RunStudy) -> dict[str, str]:
    """Return why a run, or an end of it, has none."""
    if run.motion is None:
        return {run.entry.name: run.error_at("both")}
    return {f"{run.entry.name}, {end}": run.moved.lacks(end).reason for end in ENDS if end not in run.moved.ends}


def strokes(done: Study, kind: StrokeKind) -> pd.DataFrame:
    """Return every hit or return of a studied day.

    Parameters
    ----------
    done : Study
    kind : {"hits", "returns"}

    Returns
    -------
    DataFrame
        As `Analysis.hits` says. They are those that the measures count.
    """
    import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

    sections = _sections(done)
    frames = [_of_run(done, run, kind, sections.get(run.entry.name, ())) for run in done.runs if run.motion is not None]
    frames = [frame for frame in frames if len(frame)]
    found = pd.concat(frames, ignore_index=True) if frames else _none()
    found.attrs["absent"] = {where: why for run in done.runs for where, why in _absent(run).items()}
    return found


def strokes_of_run(done: Study, name: str) -> Mapping[StrokeKind, pd.DataFrame]:
    """Return one run's hits and returns, without the columns that name it.

    Raises
    ------
    CallError
        If it can't be measured.
    """
    run = next(one for one in done.runs if one.entry.name == name)
    if run.motion is None:
        raise CallError(run.entry.log.name, run.why_not, "a run that can be measured", "`telemetry check` says more")
    sections = _sections(done).get(name, ())
    found: dict[StrokeKind, pd.DataFrame] = {}
    for kind in get_args(StrokeKind):
        found[kind] = _of_run(done, run, kind, sections).drop(columns=["run", "setup"])
        found[kind].attrs["absent"] = _absent(run)
    return found
