"""`new`: a first ride day from the logs a folder holds, or one like an earlier day of the same bike."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry.errors import CallError, LogError
from telemetry.files import holds, swap_bytes
from telemetry.logs import sketch_log
from telemetry.model.day import LogOptions, RideDay
from telemetry.model.log import LogSketch
from telemetry.ride_day import (
    FILE_NAME,
    LOG_ENDINGS,
    Pattern,
    draft_like,
    draft_ride_day,
    logs_in,
    read_ride_day,
    unwritable_names,
)

FEWEST_ROWS = 20
"""Own choice: a table of so few rows lies beside the logs; it is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """What was drafted.

    Attributes
    ----------
    path : Path
        The file written.
    sketches : tuple of LogSketch
        What was found in each log.
    refused : tuple of str
        Why other files weren't taken.
    told : tuple of str
        What has to be looked at in a day that an earlier one was taken over for; it stands in the file, too.
    """

    path: Path
    sketches: tuple[LogSketch, ...]
    refused: tuple[str, ...]
    told: tuple[str, ...] = ()


def draft(
    folder: str | os.PathLike[str],
    today: dt.date,
    ridden: dt.date | None = None,
    like: str | os.PathLike[str] | Pattern | None = None,
) -> Drafted:
    """Write a first ``ride_day.toml`` into a folder of logs; it never overwrites one.

    Parameters
    ----------
    folder : str or path
    today : date
    ridden : date, optional
        The day ridden, where it is stated.
    like : str, path or Pattern, optional
        An earlier day of the same bike, or its folder: what it says but for its logs and its date is taken over.

    Raises
    ------
    CallError
        If the folder isn't one, already holds a ride day, or holds no log that can be read; nothing is written.
    RideDayError
        If the earlier day is wrong.
    """
    place = Path(folder)
    if not place.is_dir():
        raise CallError(str(place), "no such folder", "a folder that holds the logs", "name the folder")
    file = place / FILE_NAME
    remedy = f"`telemetry add {place}` enters logs that it lacks"
    already = CallError(str(file), "a ride day already", "a folder without one", remedy)
    if not holds(file, None):
        raise already
    pattern = like if like is None or isinstance(like, Pattern) else Pattern(day=read_ride_day(like))
    sketches, refused = _sketched(place, LogOptions() if pattern is None else pattern.day.log)
    if not sketches:
        why = refused[0] if refused else f"no file that ends in {', '.join(LOG_ENDINGS)}, plain or .gz"
        raise CallError(str(place), f"no log that can be read ({why})", "at least one log", "copy the logs into it")
    text, told = _text(sketches, today, ridden, pattern)
    if not swap_bytes(file, None, text.encode("utf-8")):
        raise already
    return Drafted(path=file, sketches=tuple(sketches), refused=tuple(refused), told=told)


def _text(
    sketches: Sequence[LogSketch], today: dt.date, ridden: dt.date | None, pattern: Pattern | None
) -> tuple[str, tuple[str, ...]]:
    """Return the draft, and what has to be looked at; files that an earlier day names are copied beside it."""
    if pattern is None:
        return draft_ride_day(sketches, today, ridden), ()
    taken = draft_like(sketches, today, ridden, pattern)
    return taken.text, (*taken.told, *_copied(pattern.day, taken.files, sketches[0].path.parent))


def _sketched(place: Path, options: LogOptions) -> tuple[Sequence[LogSketch], list[str]]:
    sketches = []
    refused = [
        f"{name}: found a name that isn't text; expected one that can be written. Rename the file"
        for name in unwritable_names(place)
    ]
    for path in logs_in(place):
        try:
            sketch = sketch_log(path, options)
        except LogError as error:
            refused.append(error.line)
            continue
        if sketch.rows < FEWEST_ROWS:
            refused.append(f"{path.name}: found {sketch.rows} rows; expected a log, {FEWEST_ROWS} rows or more")
        else:
            sketches.append(sketch)
    return _as_others(sketches, options), refused


def _as_others(sketches: Sequence[LogSketch], options: LogOptions) -> list[LogSketch]:
    """Return sketches, of which those at rest may not show that each row holds one reading, as the others do."""
    long = {sketch.long for sketch in sketches if sketch.long is not None}
    if options.long is not None or len(long) != 1:
        return list(sketches)
    stated = replace(options, long=next(iter(long)))
    return [sketch if sketch.long is not None else _stated(sketch, stated) for sketch in sketches]


def _stated(sketch: LogSketch, options: LogOptions) -> LogSketch:
    try:
        return sketch_log(sketch.path, options)
    except LogError:  # it has no such columns
        return sketch


def _copied(earlier: RideDay, files: Sequence[str], place: Path) -> Iterator[str]:
    """Copy files that the earlier day names beside the new one; yield what was left as it is."""
    for name in files:
        content, target = (earlier.folder / name).read_bytes(), place / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if not swap_bytes(target, None, content) and not holds(target, content):
            yield f"{name} isn't the earlier day's: the one that lay here already is kept"
