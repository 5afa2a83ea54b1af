"""What a log is that a ride day doesn't mention yet: a run or a recording, and where it belongs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from telemetry.errors import LogError
from telemetry.logs import sketch_log
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.model.sensor import ColumnName, DisplacementSensor
from telemetry.ride_day import (
    NewLog,
    Ridden,
    Scale,
    ends_of_files,
    in_order,
    paired,
    placed,
    read_name,
    recognised,
    signals_of,
)

from .loggers import displacement_sensors


def recognise_log(day: RideDay, log: Path) -> NewLog:
    """Return what a log is that a ride day doesn't mention yet.

    Parameters
    ----------
    day : RideDay
    log : Path

    Returns
    -------
    NewLog
        `what.kind` is ``"run"``, ``"lifted"``, ``"sag"``, ``"settle"``, ``"bounce"`` or ``"still"``; `what.sure` tells
        whether it needn't be asked, `what.question` is the question else. `before_run` is the run that a recording
        stands before, `lacking` names sensors whose column isn't in the log.

    Raises
    ------
    LogError
        If it can't be read.
    """
    sketch = sketch_log(log, day.log)
    sensors = _sensors(day)
    columns = {sensor.end: column for sensor in sensors if (column := _column(sketch, sensor.column)) is not None}
    scales = {sensor.end: scale for sensor in sensors if (scale := _scale(sensor, _last_setup(day))) is not None}
    named, end = read_name(log.name), _only_end(day, log)
    if end is not None:
        columns = {own: column for own, column in columns.items() if own == end}
    made = NewLog(
        log=log,
        what=recognised(named, signals_of(columns, scales, sketch.duration_s)),
        started_at=sketch.started_at or named.started_at,
        lacking=tuple(sensor.name for sensor in sensors if sensor.end not in columns),
        end=end,
    )
    return made if made.what.kind == "run" else placed(made, ridden(day))


def recognise_logs(day: RideDay, logs: Sequence[Path]) -> tuple[tuple[NewLog, ...], tuple[LogError, ...]]:
    """Return what logs are that a ride day doesn't mention yet, in the order made.

    Two of one run, a file for each end, are one, recordings never; these may stand before one of the new runs, too.

    Parameters
    ----------
    day : RideDay
    logs : sequence of Path

    Returns
    -------
    new logs, errors
        The logs that could be read, and why others couldn't.
    """
    found, failed = [], []
    for log in logs:
        try:
            found.append(recognise_log(day, log))
        except LogError as error:
            failed.append(error)
    ends = ends_of_files([item.log.name for item in found])
    ends = {item.log.name: own for item in found if (own := item.end or ends.get(item.log.name)) and item.lacking}
    whole = [item for item in found if item.log.name not in ends or item.what.kind != "run"]
    of_one: dict[End, list[NewLog]] = {
        end: [item for item in found if item not in whole and ends[item.log.name] == end] for end in ENDS
    }
    together = [
        item if item.rear_log is None else replace(item, lacking=()) for item in paired(of_one["front"], of_one["rear"])
    ]
    ordered = in_order([*whole, *together])
    runs = [*ridden(day), *(_as_ridden(item) for item in ordered if item.what.kind == "run")]
    return tuple(item if item.what.kind == "run" else placed(item, runs) for item in ordered), tuple(failed)


def ridden(day: RideDay) -> list[Ridden]:
    """Return the day's runs as a recording may stand before them."""
    return [Ridden(name=run.name, log=run.log.name, started_at=run.started_at) for run in day.runs]


def _as_ridden(item: NewLog) -> Ridden:
    return Ridden(name=item.name, log=item.log.name, started_at=item.started_at)


def _only_end(day: RideDay, log: Path) -> End | None:
    """Return the only end that a log holds by its file's name, on a day whose ends have loggers of their own."""
    if all(run.rear_log is None for run in day.runs):
        return None
    others = [path.name for run in day.runs for path in (run.log, run.rear_log) if path is not None]
    return ends_of_files([*others, log.name]).get(log.name)


def _last_setup(day: RideDay) -> Setup | None:
    if day.runs:
        return day.setups[day.runs[-1].setup]
    return next(iter(day.setups.values()), None)


def _sensors(day: RideDay) -> tuple[DisplacementSensor, ...]:
    setup = _last_setup(day)
    return displacement_sensors(day.runs[-1].sensors if day.runs else setup.sensors if setup else {})


def _column(sketch: LogSketch, column: ColumnName) -> ColumnSketch | None:
    if sketch.long is not None:
        asked = str(column).strip().casefold()
        return next((own for own in sketch.columns if own.of_rows and str(own.name).casefold() == asked), None)
    for own in sketch.columns:
        named = isinstance(column, str) and str(own.name).casefold() == column.strip().casefold()
        if (named or own.number == column) and own.outline:
            return own
    return None


def _scale(sensor: DisplacementSensor, setup: Setup | None) -> Scale | None:
    """Return where a sensor's end is topped out and at full travel, in its readings; None where none is stated."""
    end = None if setup is None else setup.at(sensor.end)
    full_mm = None if end is None else end.stroke_mm if sensor.measures == "stroke" else end.full_travel_mm
    (low, low_mm), *_, (high, high_mm) = sorted(sensor.points, key=lambda point: point[1])
    if full_mm is None or high_mm == low_mm:
        return None
    a_mm = (high - low) / (high_mm - low_mm)
    return Scale(topped_out=low - a_mm * low_mm, full=low + a_mm * (full_mm - low_mm))
