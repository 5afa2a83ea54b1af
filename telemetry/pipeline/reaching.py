"""A ride day whose file is wrong, checked as far as it reaches: its logs are asked for their columns too."""

from __future__ import annotations

import os
from collections.abc import Iterator

from telemetry.errors import LogError, Problem, RideDayError
from telemetry.logs import lacking_columns
from telemetry.model.day import RideDay
from telemetry.model.sensor import ColumnName, columns_of
from telemetry.ride_day import WrongDay, read_as_far

from .loggers import Entry, Logger, loggers_of

_Place = tuple[str, str]


def read_and_reach(path: str | os.PathLike[str]) -> RideDay:
    """Read a ride day; where its file is wrong, tell beside it what its logs lack.

    Parameters
    ----------
    path : str or path
        A ``ride_day.toml`` or the folder that holds one.

    Raises
    ------
    RideDayError
        With every problem found in the file, and after them those of its logs: columns that aren't there, and logs
        whose first rows can't be read.
    CallError
    """
    read = read_as_far(path)
    if not isinstance(read, WrongDay):
        return read
    error, lacking = read.error, () if read.day is None else _of_logs(read.day)
    raise RideDayError(error.file, (*error.problems, *lacking), left_out=error.left_out)


def _of_logs(day: RideDay) -> Iterator[Problem]:
    """Yield what logs lack: a column once, with the logs that lack it."""
    logs: dict[_Place, dict[str, None]] = {}
    expected: dict[_Place, str] = {}
    entries: tuple[Entry, ...] = (*day.runs, *day.static)
    for entry in entries:
        for logger in loggers_of(day, entry):
            name = str(logger.path.relative_to(day.folder))
            for key, found, wanted in _lacking(entry, logger, name):
                logs.setdefault((key, found), {})[name] = None
                expected[key, found] = wanted
    for (key, found), names in logs.items():
        where = "" if key in names else f" in {', '.join(names)}"
        yield Problem(key=key, found=f"{found}{where}", expected=expected[key, found])


def _lacking(entry: Entry, logger: Logger, name: str) -> Iterator[tuple[str, str, str]]:
    """Yield key, what was found and what was expected; of a log that isn't there the file's problems tell."""
    if not logger.path.is_file():
        return
    time, long = logger.options.time, logger.options.long
    markers = () if logger.one_of_two else (marker.column for marker in logger.markers)
    of_sensors = (*logger.columns, *markers) if long is None else (long.sensor, long.value)  # its rows tell sensors
    asked = dict.fromkeys([*of_sensors, *(() if time is None else (time.column,))])
    try:
        lacking = lacking_columns(logger.path, asked, logger.options, name)
    except LogError as error:
        yield name, error.found, error.expected
        return
    for column, why in lacking.items():
        yield _key_of(entry, logger, column), why.found, why.expected


def _key_of(entry: Entry, logger: Logger, column: ColumnName) -> str:
    """Return the key that asks for a column."""
    long = logger.options.long
    if long is not None and column in (long.sensor, long.value):
        return f"log.long.{'sensor' if column == long.sensor else 'value'}"
    for name, sensor in entry.sensors.items():
        if column in columns_of(sensor):
            return f"sensors.{name}.{'columns' if len(columns_of(sensor)) > 1 else 'column'}"
    return "log.time.column"
