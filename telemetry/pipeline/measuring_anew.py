"""One kept day measured anew from its originals, wherever they are read: what one process does, and hands back."""

from __future__ import annotations

import functools
import platform
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from importlib.metadata import version
from pathlib import Path
from typing import TypeAlias

import numpy as np
import pandas as pd

from telemetry import __version__, library
from telemetry.errors import TelemetryError, clean_text
from telemetry.library import Kept, KeptFile, KeptResults, is_what_was_kept, lay_out
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day
from telemetry.short_lived import short_lived_folder

from .analysing import analysis_of, require_usable
from .comparing import compared_where_two
from .kept_lenders import with_kept_days
from .kept_results import results_of, travel_of, write_travel
from .lenders import DEFINITIONS
from .originals import Originals
from .studied import RunStudy, Study
from .studying import study

LENDING = "spread"
"""Where a comparison notes which days lent it their spread."""
COMPUTED_BY = ("numpy", "scipy", "imufusion")
"""Libraries whose versions may move a last digit."""


@functools.cache
def _libraries() -> dict[str, str]:
    return {name: version(name) for name in COMPUTED_BY} | {"Python": ".".join(platform.python_version_tuple()[:2])}


def versions() -> dict[str, str]:
    """Return what has to be alike for two processes to measure alike."""
    return {"program": __version__, "definitions": str(DEFINITIONS), **_libraries()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A version to be measured anew.

    Attributes
    ----------
    kept : Kept
        Without its runs and values: they aren't needed.
    originals : Originals
    versions : mapping
        Of the program that asks.
    lenders : tuple of Kept
        Kept days that lend it their spread, as they are measured now; no more than a catalogue takes of them.
    beside : Path or None
        Where the originals are laid out for the time; None for the system's place.
    """

    kept: Kept
    originals: Originals
    versions: Mapping[str, str]
    lenders: tuple[Kept, ...] = ()
    beside: Path | None = None


Take: TypeAlias = Callable[[], Work | None]
"""Gives the next work; None where there is none, or none before another is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What a version is measured as; or why it can't be.

    Attributes
    ----------
    stem : str
    results : KeptResults or None
        Its `travel` names the files that are as they were.
    travel : mapping of run to bytes
        A Parquet file for each run whose travel isn't as it was kept, or isn't whole.
    why_not : str
    refused : str
        Why this process can measure nothing at all.
    """

    stem: str
    results: KeptResults | None = None
    travel: Mapping[str, bytes] = field(default_factory=dict)
    why_not: str = ""
    refused: str = ""


def work_of(kept: Kept, originals: Originals, beside: Path | None = None, lenders: Sequence[Kept] = ()) -> Work:
    """Return the work of measuring a version anew, no larger than it needs to be."""
    light = replace(_lightened(kept), conditioning=_why_none_lent(kept), words="", customer={}, spreads=())
    return Work(
        kept=light,
        originals=originals,
        versions=versions(),
        lenders=tuple(map(_lightened, lenders)),
        beside=beside,
    )


def _why_none_lent(kept: Kept) -> dict[str, str]:
    """Return the words of a comparison that borrowed from no kept day: why it didn't is a matter of its time."""
    return {} if kept.lent_by or LENDING not in kept.conditioning else {LENDING: kept.conditioning[LENDING]}


def _lightened(kept: Kept) -> Kept:
    return replace(kept, setups=(), runs=tuple(replace(run, measures=(), history=()) for run in kept.runs), before=())


def measured_anew(work: Work) -> Measured:
    """Measure a version anew; what goes wrong with it is handed back, and never ends more than this one day.

    Parameters
    ----------
    work : Work
    """
    stem, unlike = work.kept.stem, differing(work.versions)
    if unlike:
        return Measured(stem=stem, refused=unlike)
    with short_lived_folder(work.beside) as folder:
        try:
            return _measured(work, folder)
        except TelemetryError as error:
            return Measured(stem=stem, why_not=error.line.replace(f"{folder}/", ""))
        except MemoryError:
            return Measured(stem=stem, why_not="found too little memory for these logs; allow more with --max-memory")
        except Exception as error:  # noqa: BLE001 - the others of ten thousand days go on
            what = clean_text(f"{type(error).__name__}: {error}")
            return Measured(stem=stem, why_not=f"the program's own fault ({what}); please report it")


def differing(wanted: Mapping[str, str]) -> str:
    """Return in which versions this process differs from the one that asks; empty where in none."""
    own = versions()
    return ", ".join(f"{name} {own.get(name)} in place of {text}" for name, text in wanted.items() if own[name] != text)


def _measured(work: Work, folder: Path) -> Measured:
    own = lay_out(work.kept, folder / "day", work.originals.fetch)
    done = study(_borrowing(read_ride_day(own / work.kept.file), work, folder))
    analysis, comparison = analysis_of(done), compared_where_two(done)
    require_usable(analysis)
    stays, travel = _travel(work, done, folder)
    results = replace(results_of(done, analysis, comparison), travel=stays)
    results = replace(results, conditioning={**results.conditioning, **work.kept.conditioning})
    return Measured(stem=work.kept.stem, results=results, travel=travel)


def _borrowing(day: RideDay, work: Work, folder: Path) -> RideDay:
    """Return a day that borrows from the days it was compared with, out of a catalogue of these alone."""
    if day.comparison.spread_from is not None:
        return day
    if not work.lenders:
        return with_kept_days(day, None)
    library.write_catalogue(folder / "lenders", work.lenders)
    borrowing = with_kept_days(day, folder / "lenders")
    return replace(borrowing, comparison=replace(borrowing.comparison, kept_days=work.kept.lent_by))


def _travel(work: Work, done: Study, folder: Path) -> tuple[tuple[KeptFile, ...], dict[str, bytes]]:
    """Return the files of travel that are as they were, and for the other runs new ones."""
    kept = {file.path: file for file in work.kept.files if file.kind == "travel"}
    stays, fresh = [], {}
    for run in (run for run in done.runs if run.motion is not None):
        name, frame = run.entry.name, travel_of(run)
        if name in kept and _is_as_kept(work.originals, kept[name], frame, folder):
            stays.append(kept[name])
        else:
            fresh[name] = _written(run, frame, folder)
    return tuple(stays), fresh


def _is_as_kept(originals: Originals, file: KeptFile, frame: pd.DataFrame, folder: Path) -> bool:
    """Tell whether travel that was kept is whole and, to the last bit, what it is now."""
    place = folder / "kept_travel"
    try:
        originals.fetch(file, place)
        if not is_what_was_kept(place, file):
            return False
        old = pd.read_parquet(place)
    except (TelemetryError, OSError, ValueError):
        return False
    return list(old) == list(frame) and all(_same_bits(old[name], frame[name]) for name in frame)


def _same_bits(one: pd.Series[float], other: pd.Series[float]) -> bool:
    first, second = (np.ascontiguousarray(values.to_numpy()) for values in (one, other))
    return first.dtype == second.dtype and first.tobytes() == second.tobytes()


def _written(run: RunStudy, frame: pd.DataFrame, folder: Path) -> bytes:
    place = write_travel(folder, run, frame)
    data = place.read_bytes()
    place.unlink()
    return data
