"""`keep`: a day analysed, its setups compared, and all of it put into the library with the originals."""

from __future__ import annotations

import datetime as dt
import hashlib
import math
import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any

from telemetry import library
from telemetry.errors import CallError, LogError
from telemetry.files import Stamp, readable_name, stamp
from telemetry.library import Kept, KeptFile, KeptSetting, KeptSetup, Put
from telemetry.logs import layout_of
from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS
from telemetry.model.setting import AdjusterPosition, Setting
from telemetry.model.setup_keys import SPECS
from telemetry.ride_day import left_with, raw_of, read_ride_day
from telemetry.telling.day import settings_by_place

from .analysing import analysis_of, require_usable
from .comparing import compared_where_two
from .kept_lenders import with_kept_days
from .kept_results import BY, now, results_of, travel_of, write_travel
from .lenders import DEFINITIONS
from .studied import Progress, Study
from .studying import study

LONGEST_PATH = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptDay:
    """What `keep` did; `analysis` is None where the day was kept already as it stands."""

    put: Put
    folder: Path
    headline: str
    analysis: Analysis | None


def keep(day: RideDay, folder: str | os.PathLike[str] | None = None, progress: Progress | None = None) -> KeptDay:
    """Keep a day: its files as they are, each run's travel, what was measured and decided.

    Parameters
    ----------
    day : RideDay
    folder : str or path, optional
        Of the library; else ``TELEMETRY_LIBRARY``, else the user's data folder.
    progress : callable, optional
        Told each run's name before it is studied.

    Returns
    -------
    KeptDay
        Keeping a day twice as it stands changes nothing; once anything of it has changed it is its next version.

    Raises
    ------
    CallError
        If no run can be used, a file changes meanwhile, or the library can't take it; then nothing of it is kept.
    LogError
        If none of its logs can be read.
    """
    root = library.library_folder(folder)
    library.begin(root)
    store = library.Store(root)
    sources = dict(sorted(_files_of(day).items()))
    with store.staged() as staged:
        stamps = {path: stamp(source) for path, source in sources.items()}
        runs = {log for run in day.runs for log in (run.log, run.rear_log)}
        files = tuple(_taken_in(store, staged, path, source, runs) for path, source in sources.items())
        shell = _shell(day, files)
        if _is_kept(root, shell):
            return KeptDay(put=library.put(root, staged, shell), folder=root, headline="", analysis=None)
        done = study(with_kept_days(day, root) if library.is_begun(root) else day, progress)
        analysis, comparison = analysis_of(done), compared_where_two(done)
        require_usable(analysis)
        _require_unchanged(day, sources, stamps)
        travel = tuple(_travel(store, staged, done))
        kept = shell.measured(replace(results_of(done, analysis, comparison), travel=travel))
        kept = replace(kept, lent_by=None if comparison is None else comparison.earlier.versions)
        return KeptDay(put=library.put(root, staged, kept), folder=root, headline=kept.headline, analysis=analysis)


def _is_kept(root: Path, shell: Kept) -> bool:
    """Tell whether a day stands in the library just so, record and travel whole, before the work is done."""
    if not library.is_begun(root):
        return False
    with library.reading(root) as catalogue:
        found = library.same_day(catalogue, shell)
        same = found is not None and found.content == shell.content
        return found is not None and same and library.is_whole(catalogue.store, f"{found.id}.{found.number}")


def _files_of(day: RideDay) -> dict[str, Path]:
    """Return every file of a day, and of the earlier days that it names, by its path from the day's own folder."""
    return dict(_listed(day, day.folder.resolve(), set()))


def _listed(day: RideDay, base: Path, seen: set[Path]) -> Iterator[tuple[str, Path]]:
    if day.path.resolve() in seen:
        return
    seen.add(day.path.resolve())
    own = day.folder.resolve()
    named = (own / text for text in _texts(raw_of(day)) if _may_be_path(text))
    for path in (own / day.path.name, *named):
        if _is_file_of(path, own):
            yield _from(base, path), path
    planned = None if day.plan is None else day.plan.spread_from
    for file in (*(day.comparison.spread_from or ()), *(() if planned is None else (planned,))):
        yield from _listed(read_ride_day(file), base, seen)


def _is_file_of(path: Path, folder: Path) -> bool:
    """Tell whether a text that may be a path is a file's in a folder; one longer than a name may be isn't."""
    try:
        return path.is_file() and path.resolve().is_relative_to(folder)
    except OSError:
        return False


def _from(base: Path, path: Path) -> str:
    return PurePosixPath(os.path.relpath(path, base)).as_posix()


def _texts(raw: Any) -> Iterator[str]:
    if isinstance(raw, str):
        yield raw
    elif isinstance(raw, Mapping):
        for own in raw.values():
            yield from _texts(own)
    elif isinstance(raw, list):
        for own in raw:
            yield from _texts(own)


def _may_be_path(text: str) -> bool:
    relative = PurePosixPath(text)
    usual = 0 < len(text) <= LONGEST_PATH and "\x00" not in text and "\n" not in text
    return usual and not relative.is_absolute() and ".." not in relative.parts


def _taken_in(store: library.Store, staged: Path, path: str, source: Path, runs: Iterable[Path | None]) -> KeptFile:
    try:
        found = store.take_in(staged, source, path)
    except OSError as error:
        expected = "a file that can be copied into the library"
        raise CallError(str(source), str(error.strerror), expected, "check disk and rights") from None
    is_run = any(log is not None and log.samefile(source) for log in runs)
    return replace(found, is_run=is_run)


def _require_unchanged(day: RideDay, sources: Mapping[str, Path], stamps: Mapping[str, Stamp | None]) -> None:
    """Refuse a day of which a file was changed between its copy and its analysis."""
    for path, source in sources.items():
        if stamp(source) != stamps[path]:
            raise CallError(str(day.path), f"{path}, changed meanwhile", "files that stay as they are", "keep it again")


def _shell(day: RideDay, files: tuple[KeptFile, ...]) -> Kept:
    """Return what the day's own file says of it."""
    return Kept(
        title=day.title,
        date=day.date.isoformat(),
        bike=day.bike.name,
        kind=day.bike.kind,
        trail=day.trail,
        place=hashlib.sha256(os.fsencode(day.folder.resolve())).hexdigest(),
        folder=readable_name(day.folder.resolve().name),
        file=day.path.name,
        headline="",
        words=words_of(day),
        program=BY,
        definitions=DEFINITIONS,
        kept_at=now(),
        customer={key: text for key, text in day.customer.items() if text},
        asked_cutoff_hz=day.cutoff_hz,
        layouts=tuple(dict.fromkeys(_layouts(day))),
        conditioning={},
        setups=tuple(_setup(day, setup) for setup in day.setups.values()),
        runs=(),
        files=files,
    )


def words_of(day: RideDay) -> str:
    """Return what was written of a day beside what a record has a place for, to find it by."""
    riders = {day.rider, *(run.rider or "" for run in day.runs)}
    labels = [text for name, setup in day.setups.items() for text in (name, setup.label)]
    notes = [text for run in day.runs for text in (run.name, run.note, run.leave_out or "")]
    return " ".join(filter(None, [day.trail_state, *sorted(riders), *labels, *notes]))


def _setup(day: RideDay, setup: Setup) -> KeptSetup:
    stated = [
        _setting(place, own) for place, (settings,) in settings_by_place([setup]).items() for own in settings.values()
    ]
    others = [_text("other", key, key, value, value) for key, value in setup.other.items()]
    left = left_with(day) == setup.name
    full: dict[str, float] = {end: mm for end in ENDS if (mm := setup.at(end).full_travel_mm) is not None}
    settings = (*stated, *others)
    return KeptSetup(name=setup.name, label=setup.label, left=left, settings=settings, full_travel_mm=full)


def _text(end: str, key: str, words: str, value: str, entered: str) -> KeptSetting:
    return KeptSetting(end=end, key=key, words=words, text=library.folded(value), number=None, unit="", entered=entered)


def _setting(place: str, own: Setting) -> KeptSetting:
    """Return a setting as it is found again: numbers, and clicks or turns from closed, by their number too."""
    spec, value = SPECS[own.key], own.value
    text = _text(place, own.key, spec.words, _found_by(own), own.entered)
    if isinstance(value, AdjusterPosition):
        return replace(text, number=value.from_closed, unit=value.unit)
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return replace(text, number=float(value), unit=spec.unit)
    return text


def _found_by(own: Setting) -> str:
    match own.value:
        case bool():
            return "true" if own.value else "false"
        case dt.date():
            return own.value.isoformat()
        case str():
            return own.value
        case int() | float():
            return repr(float(own.value))
    return own.entered


def _layouts(day: RideDay) -> Iterator[str]:
    """Yield what tells the columns of each run's and recording's logs."""
    for log in sorted(day.logs):
        with suppress(LogError):
            mark = layout_of(log, day.log)
            if mark:
                yield mark


def _travel(store: library.Store, staged: Path, done: Study) -> Iterator[KeptFile]:
    """Stage the travel of every run that can be measured, one Parquet file each."""
    place = staged / "written"
    place.mkdir()
    for run in (run for run in done.runs if run.motion is not None):
        yield store.take_in(staged, write_travel(place, run, travel_of(run)), run.entry.name, "travel")
    shutil.rmtree(place)
