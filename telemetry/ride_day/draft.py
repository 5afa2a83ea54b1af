"""The first draft of a ``ride_day.toml`` from the logs a folder holds."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from telemetry.errors import CallError, clean_text
from telemetry.files import readable_name
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.toml_string import toml_string

from . import draft_words as words
from .draft_inertial import inertial_tables
from .runs import stem

PLACES = (("fork", "front"), ("shock", "rear"))
SHOWN = 3
HARDLY_SHARE = 0.08
"""A log whose every travel column stays within this share of its range over all logs hardly moves; common sense."""

_STATIC_NAMES = {"lift": "lifted", "lifted": "lifted"} | {kind: kind for kind in ("sag", "settle", "bounce", "still")}
_STATIC_NAME = re.compile(rf"(?<![a-z])({'|'.join(sorted(_STATIC_NAMES, reverse=True))})(?![a-z])", re.IGNORECASE)
_LOG_ENDINGS = (".csv", ".txt", ".log", ".tsv", ".dat")


def logs_in(folder: Path) -> list[Path]:
    """Return the files of a folder that may be logs, by name; links and hidden files are passed over.

    Raises
    ------
    CallError
        If the folder can't be listed.
    """
    try:
        return sorted(path for path in folder.iterdir() if _may_be_log(path))
    except OSError as error:
        raise CallError(str(folder), str(error.strerror).lower(), "a folder that can be listed") from None


def _may_be_log(path: Path) -> bool:
    name = path.name.lower()
    unwanted = name.startswith((".", "leverage")) or not stem(name)
    named = name.removesuffix(".gz").endswith(_LOG_ENDINGS) and _is_text(name)
    return named and not unwanted and path.is_file() and not path.is_symlink()


def unwritable_names(folder: Path) -> list[str]:
    """Return the names, as far as they are text, of files that no ride day can name, in order."""
    names = [path.name for path in folder.iterdir() if not _is_text(path.name)]
    return sorted(map(readable_name, names))


def _is_text(name: str) -> bool:
    """Tell whether a file's name can be written into the draft: some systems allow bytes that are no text."""
    return not any("\ud800" <= letter <= "\udfff" for letter in name)


def draft_ride_day(sketches: Sequence[LogSketch], today: dt.date) -> str:
    """Return the text of a first ``ride_day.toml``.

    Parameters
    ----------
    sketches : sequence of LogSketch
        Logs that could be read, at least one, all of one folder.
    today : date

    Returns
    -------
    str
        TOML. What the logs can't tell stands in comments marked TO DO, and what a day can't do without is among
        them: the draft is refused until it has been filled in.
    """
    spans = _spans(sketches)
    moving = _moving(sketches)
    kinds = {sketch.path.name: _kind(sketch, spans, moving, alone=len(sketches) == 1) for sketch in sketches}
    runs = [sketch for sketch in sketches if kinds[sketch.path.name] is None]
    first = (runs or list(sketches))[0]
    travel = [column for column in first.columns if column.proposal == "travel"]
    parts = [
        words.HEAD.format(title=toml_string(first.path.resolve().parent.name), date=today.isoformat()),
        words.FRONT if travel else "",
        words.REAR if len(travel) > 1 else "",
        *_listing(sketches),
        _clock(first),
        *_sensors(first, travel, spans),
        words.SETUPS,
        *_other_columns(first, runs),
        *(words.RUN.format(log=toml_string(sketch.path.name)) for sketch in runs),
        *(_recording(sketch.path.name, kind) for sketch in sketches if (kind := kinds[sketch.path.name]) is not None),
        *_lacking(set(kinds.values()), first, by_position=bool(travel)),
    ]
    return "".join(parts)


def _other_columns(first: LogSketch, runs: Sequence[LogSketch]) -> Iterator[str]:
    """Return what is said of runs in which columns are missing that the drafted sensors read."""
    read = {column.name for column in first.columns if column.proposal in ("travel", "inertial")}
    others = [sketch.path.name for sketch in runs if not read <= {column.name for column in sketch.columns}]
    if others:
        shown = ", ".join(map(toml_string, others[:SHOWN])) + (" and others" if len(others) > SHOWN else "")
        yield words.OTHER_COLUMNS.format(logs=shown)


def _lacking(kinds: set[str | None], first: LogSketch, *, by_position: bool) -> Iterator[str]:
    """Return what is asked for that no recording gives: zero and sag, or what inertial sensors alone read at rest."""
    asked = {"still": words.NO_STILL} if any(sensor.whole for sensor in first.inertial) else {}
    asked = {"lifted": words.NO_LIFTED, "sag": words.NO_SAG} if by_position else asked
    yield from (text for kind, text in asked.items() if kind not in kinds)


def static_kind(name: str) -> str | None:
    """Return the kind of recording a file's name tells, None where it tells none.

    Examples
    --------
    >>> static_kind("Lifted_1.csv"), static_kind("passage.csv")
    ('lifted', None)
    """
    found = _STATIC_NAME.search(name)
    return _STATIC_NAMES[found.group(1).lower()] if found else None


Spans = dict[str, tuple[float, float]]
"""Lowest and highest reading of each column over all logs, by its words."""


def _spans(sketches: Sequence[LogSketch]) -> Spans:
    spans: Spans = {}
    for sketch in sketches:
        for column in sketch.columns:
            if column.lowest is not None and column.highest is not None:
                low, high = spans.get(_column(column, sketch), (column.lowest, column.highest))
                spans[_column(column, sketch)] = (min(low, column.lowest), max(high, column.highest))
    return spans


def _moving(sketches: Sequence[LogSketch]) -> tuple[str, ...]:
    """Return what columns look like that tell a run from a recording: travel, else the axes of inertial sensors."""
    proposals = {column.proposal for sketch in sketches for column in sketch.columns}
    return ("travel", "constant") if "travel" in proposals else ("inertial",)


def _kind(sketch: LogSketch, spans: Spans, moving: tuple[str, ...], *, alone: bool) -> str | None:
    """Return a recording's kind, "" where it seems to be one of unknown kind, None for a run."""
    named = static_kind(sketch.path.name)
    if named is not None or alone:
        return named
    live = [column for column in sketch.columns if column.proposal in moving]
    moves = [column for column in live if _share_moved(column, sketch, spans) > HARDLY_SHARE]
    return None if moves or not live else ""


def _share_moved(column: ColumnSketch, sketch: LogSketch, spans: Spans) -> float:
    if column.lowest is None or column.highest is None:
        return 0.0
    low, high = spans[_column(column, sketch)]
    return (column.highest - column.lowest) / (high - low) if high > low else 0.0


def _column(column: ColumnSketch, sketch: LogSketch) -> str:
    """Return a column as the file names it: by its number where its name is missing or not its own."""
    twins = [other for other in sketch.columns if other.name == column.name]
    if isinstance(column.name, int) or not column.name.strip() or len(twins) > 1:
        return str(column.number)
    return toml_string(column.name)


def _listing(sketches: Sequence[LogSketch]) -> Iterator[str]:
    """Return the logs found, and the columns of those that are alike with their range over all of them."""
    groups: dict[tuple[object, ...], list[LogSketch]] = {}
    for sketch in sketches:
        groups.setdefault(tuple((column.name, column.number) for column in sketch.columns), []).append(sketch)
    for group in groups.values():
        yield "\n"
        for sketch in group:
            yield f"# {clean_text(toml_string(sketch.path.name))}: {sketch.rows} rows; {clean_text(sketch.dialect)}\n"
        spans = _spans(group)
        for column in group[0].columns:
            name = _column(column, group[0])
            span = "text" if name not in spans else "{:g} to {:g}".format(*spans[name])
            most_empty = max(sketch.columns[column.number - 1].empty_share for sketch in group)
            empty = f", up to {100 * most_empty:.0f} % empty" if most_empty > 0 else ""
            looks = "" if column.proposal == "unknown" else f"; looks like {column.proposal.replace('_', ' ')}"
            called = "" if name == str(column.number) else f", {clean_text(name)}"
            yield f"#   column {column.number}{called}: {span}{empty}{looks}\n"


def _clock(sketch: LogSketch) -> str:
    time = next((column for column in sketch.columns if column.proposal == "time"), None)
    if time is None:
        return words.NO_CLOCK
    unit = f', unit = "{time.time_unit}"' if time.time_unit else ""
    return words.CLOCK.format(column=_column(time, sketch), unit=unit)


def _sensors(sketch: LogSketch, travel: Sequence[ColumnSketch], spans: Spans) -> Iterator[str]:
    for place, column in enumerate(travel):
        name = _column(column, sketch)
        low, high = (f"{value:g}" for value in spans[name])
        if place >= len(PLACES):
            yield words.ONE_MORE.format(column=clean_text(name), low=low, high=high)
            continue
        sensor, end = PLACES[place]
        measures = words.MEASURES if end == "rear" else ""
        yield words.DISPLACEMENT.format(name=sensor, end=end, column=name, low=low, high=high, measures=measures)
    numbered = {column.number: clean_text(_column(column, sketch)) for column in sketch.columns}
    taken = [sensor for sensor, _ in PLACES[: len(travel)]]
    yield from inertial_tables(sketch.inertial, numbered.__getitem__, taken, marked=bool(travel))
    if not travel and not any(sensor.whole for sensor in sketch.inertial):
        yield words.NO_SENSOR
    for column in sketch.columns:
        if column.proposal == "ground_speed":
            yield words.SPEED.format(column=clean_text(_column(column, sketch)))


def _recording(name: str, kind: str) -> str:
    if not kind:
        return words.HARDLY_MOVES.format(log=clean_text(toml_string(name)))
    asked = {"sag": words.SAG_LOAD, "settle": words.SETTLE_FROM}.get(kind, "")
    return words.STATIC.format(log=toml_string(name), kind=kind) + asked
