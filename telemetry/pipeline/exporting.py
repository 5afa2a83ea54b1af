"""`export`: a day's measures, verdicts, findings, hits and cleaned signals as files for other people's tools."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from telemetry import __version__, memory
from telemetry.columnar import Form, write_frame
from telemetry.files import whole_folder, write_text
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.day import RideDay, RunEntry
from telemetry.own_folders import PROGRAM

from .analysing import analysis_of, require_usable
from .comparing import compared_where_two
from .lenders import DEFINITIONS
from .studied import Progress, RunStudy, Study
from .studying import study
from .unnaming import unnamed

if TYPE_CHECKING:
    import pandas as pd

SIGNALS = "signals"
ABOUT = "about.json"
LONGEST_STEM = 60
BYTES_A_ROW = 160
"""Seen: 77 a row while eight signals are written; a run may have twice as many."""
NO_VERDICTS = "fewer than two setups have a usable run"


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written.

    Attributes
    ----------
    files : tuple of str
        Within the folder, in the order written.
    without : mapping of str to str
        What there is none of, and why: signals of a run, verdicts.
    analysis : Analysis
    """

    files: tuple[str, ...]
    without: Mapping[str, str]
    analysis: Analysis


def signals_of(run: RunStudy) -> pd.DataFrame:
    """Return a run's cleaned signals, and which samples the measures count.

    Parameters
    ----------
    run : RunStudy
        That can be measured.

    Returns
    -------
    DataFrame
        `Ride.to_frame` with ``time_s`` as a column; in place of ``riding`` stand ``riding_time`` (neither standing nor
        lifted, within the ride's bounds: what counts) and, where flight can be told, ``airborne``.
    """
    motion = run.moved
    frame = motion.ride.to_frame().drop(columns="riding").reset_index()
    frame["riding_time"] = motion.time.riding
    if motion.time.airborne is not None:
        frame["airborne"] = motion.time.airborne
    return frame


def _file_name(entry: RunEntry) -> str:
    """Return how the file of a run's signals is called: by its place in the day and its name."""
    plain = re.sub(r"[^\w-]+", "_", entry.name)[:LONGEST_STEM]
    return f"{entry.order:02d}_{plain}"


def _recordings(analysis: Analysis) -> pd.DataFrame:
    """Return what recordings off the trail told, a row a value."""
    import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

    rows = [
        {"log": item.entry.log.name, "kind": item.entry.kind, "setup": item.setup} | row.to_dict()
        for item in analysis.static
        for row in item.measures
    ]
    return pd.DataFrame(rows, columns=["log", "kind", "setup", "measure", "end", "unit", "value"])


def _absent(analysis: Analysis) -> pd.DataFrame:
    """Return the measures that runs can't give, with the reason."""
    import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

    rows = [{"run": run.entry.name} | row.to_dict() for run in analysis.runs for row in run.absent]
    return pd.DataFrame(rows, columns=["run", "measure", "end", "reason"])


def _tables(analysis: Analysis, comparison: Comparison | None) -> Iterator[tuple[str, pd.DataFrame]]:
    yield "measures", analysis.measures
    yield "absent", _absent(analysis)
    yield "recordings", _recordings(analysis)
    yield "findings", analysis.findings.astype({"row": "Int64"})
    yield "hits", analysis.hits()
    yield "returns", analysis.returns()
    if comparison is not None:
        yield "verdicts", comparison.results
        yield "fairness", comparison.fairness


def _whose(day: RideDay) -> dict[str, object]:
    """Return who rode, for whom and where it was looked at, as far as the day says, and what was noted of runs."""
    riders = {run.name: run.rider for run in day.runs if run.rider}
    notes = {run.name: run.note for run in day.runs if run.note}
    told = {"rider": day.rider, "riders": riders, "customer": dict(day.customer), "shop": dict(day.shop)}
    return {key: value for key, value in (told | {"notes": notes}).items() if value}


def _about(day: RideDay) -> dict[str, object]:
    """Return what holds for every file."""
    return {
        "program": f"{PROGRAM} {__version__}",
        "definitions": DEFINITIONS,
        "ride_day": day.title,
        "date": day.date.isoformat(),
    }


def _without(done: Study, comparison: Comparison | None) -> dict[str, str]:
    lost = {f"{SIGNALS} of {run.entry.name}": run.why_not for run in done.runs if run.motion is None}
    return lost | ({} if comparison is not None else {"verdicts": NO_VERDICTS})


def export(
    day: RideDay,
    folder: Path,
    form: Form = "parquet",
    *,
    names: bool = True,
    progress: Progress | None = None,
    writing: Progress | None = None,
) -> Exported:
    """Write a day's answers and cleaned signals into a folder: all of them, or nothing.

    Parameters
    ----------
    day : RideDay
    folder : Path
        New or empty, within one that exists.
    form : {"parquet", "csv"}
    names : bool
        False leaves out rider, customer and shop, and what was noted of the runs and why they are left out: it may
        name them.
    progress, writing : callable, optional
        Told each run's name before it is studied, and before its signals are written.

    Returns
    -------
    Exported

    Raises
    ------
    CallError
        If the folder can't take them, or no run can be used.
    LogError
        If none of the day's logs can be read, or there is no room for one.
    """
    with whole_folder(folder) as place:
        done = study(day if names else unnamed(day), progress)
        analysis, comparison = analysis_of(done), compared_where_two(done)
        require_usable(analysis)
        about, without = _about(day), _without(done, comparison)
        conditioning = dict(analysis.conditioning if comparison is None else comparison.conditioning)
        of_all = about | {"conditioning": {key: told for key, told in conditioning.items() if key != "runs"}}
        tables = dict(_tables(analysis, comparison))
        files = [write_frame(place, name, frame, of_all, form) for name, frame in tables.items()]
        signals = dict(_write_signals(done, place / SIGNALS, about, form, writing))
        found = tuple(path.relative_to(place).as_posix() for path in (*files, *signals.values()))
        told = about | {
            "files": found,
            "runs": [_of_run(run.entry, signals.get(run.entry.name)) for run in done.runs],
            "without": without,
            "no_hits": tables["hits"].attrs["absent"],
            "conditioning": conditioning,
        }
        told |= _whose(day) if names else {}
        write_text(place / ABOUT, json.dumps(told, allow_nan=False, ensure_ascii=False, indent=1) + "\n")
    return Exported(files=(*found, ABOUT), without=without, analysis=analysis)


def _of_run(entry: RunEntry, signals: Path | None) -> dict[str, object]:
    file = None if signals is None else f"{SIGNALS}/{signals.name}"
    return {"run": entry.name, "setup": entry.setup, "order": entry.order, "signals": file}


def _write_signals(
    done: Study, folder: Path, about: Mapping[str, object], form: Form, writing: Progress | None
) -> Iterator[tuple[str, Path]]:
    """Write the signals of every run that can be measured; yield its name and file."""
    folder.mkdir()
    for run in (run for run in done.runs if run.motion is not None):
        if writing is not None:
            writing(run.entry.name)
        memory.check_day(str(done.day.path), BYTES_A_ROW * run.moved.ride.time_s.shape[0])
        own = {"run": run.entry.name, "setup": run.entry.setup, "history": [step.to_dict() for step in run.history]}
        yield run.entry.name, write_frame(folder, _file_name(run.entry), signals_of(run), {**about, **own}, form)
