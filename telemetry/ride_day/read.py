"""Read and check one ``ride_day.toml``."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from telemetry.errors import CallError, Problem, RideDayError
from telemetry.model.day import Bike, DisplacementSensor, LogOptions, RideDay, RunEntry, Sensor, Setup, TimeColumn

from . import tables as t
from .imperial import to_metric
from .problems import Problems
from .runs import RunReader
from .setups import SetupResolver
from .wishes import read_comparison, read_plan

FILE_NAME = "ride_day.toml"
LARGEST_BYTES = 5_000_000
MOST_PASSES = 10


def find_ride_day(path: str | os.PathLike[str]) -> Path:
    """Return the file itself, or the ``ride_day.toml`` a folder holds.

    Raises
    ------
    CallError
        If there is none.
    """
    given = Path(path)
    file = given / FILE_NAME if given.is_dir() else given
    if file.is_dir():
        raise CallError(str(file), "a folder", f"a file {FILE_NAME}", "name the ride day's folder or its file")
    if not file.exists():
        remedy = f"`telemetry new {given}` drafts one from the logs in it" if given.is_dir() else "check the path"
        raise CallError(str(file), "no such file", f"a {FILE_NAME} or the folder that holds one", remedy)
    return file


def _text(file: Path) -> str:
    try:
        if not file.is_file() or file.stat().st_size > LARGEST_BYTES:
            raise CallError(str(file), "no ordinary small file", f"a {FILE_NAME}", "check the path")
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise CallError(str(file), "text that isn't UTF-8", "UTF-8 text", "save the file as UTF-8") from None
    except OSError as error:
        raise CallError(str(file), str(error.strerror), "a readable file", "check its permissions") from None


def _document(file: Path, problems: Problems) -> tuple[t.Document, dict[tuple[str | int, ...], str]]:
    try:
        raw: Mapping[str, Any] = tomllib.loads(_text(file))
    except tomllib.TOMLDecodeError as error:
        problem = Problem(key="TOML", found=str(error), expected="valid TOML: key = value, text in quotes")
        raise RideDayError(file.name, (problem,)) from None
    metric, entered = to_metric(raw, problems)
    for _ in range(MOST_PASSES):
        try:
            return t.Document.model_validate(metric), entered
        except ValidationError as error:
            problems.add_validation(error)
            if not all(_taken_out(metric, item["loc"], item["type"]) for item in error.errors()):
                break
    raise RideDayError(file.name, problems.found)


def _taken_out(metric: dict[str, Any], path: tuple[str | int, ...], kind: str) -> bool:
    """Take a key that is wrong out of the document, so that the rest can be checked too; False where it can't be."""
    if kind == "missing":
        return False
    trail: list[tuple[dict[str, Any], str]] = []
    table: Any = metric
    for part in path:
        if isinstance(table, dict) and part in table:
            trail.append((table, str(part)))
            table = table[part]
        elif isinstance(table, list) and isinstance(part, int) and part < len(table):
            trail.clear()  # an entry of a list can't be taken out: the others would change their number
            table = table[part]
        else:
            break
    if not trail:
        return False
    holder, key = trail[-1]
    del holder[key]
    return True


def read_ride_day(path: str | os.PathLike[str]) -> RideDay:
    """Read a ride day and check all of it.

    Parameters
    ----------
    path : str or path
        A ``ride_day.toml`` or the folder that holds one.

    Returns
    -------
    RideDay
        Frozen, validated, everything inherited resolved; runs in the order ridden. Logs aren't opened.

    Raises
    ------
    RideDayError
        With every problem found, each with its key path.
    CallError
        If there is no such file or it can't be read as text.

    Examples
    --------
    >>> read_ride_day("sample_runs/lower_leg_oil").runs[0].setup  # doctest: +SKIP
    'oil_20'
    """
    file = find_ride_day(path)
    problems = Problems()
    document, entered = _document(file, problems)
    folder = file.parent
    setups = SetupResolver(document, entered, folder, problems)
    resolved = setups.resolve()
    reader = RunReader(document, resolved, setups.raw_sensors, folder, problems)
    runs = reader.runs()
    static = reader.static(runs)
    marks = reader.marks()
    comparison = read_comparison(document.comparison, document.setups, problems)
    plan = None if document.plan is None else read_plan(document.plan, folder, problems)
    sensors = reader.base_sensors
    _check_log(document.log, problems)
    if not problems:
        _check_ends(runs, resolved, problems)
    if problems:
        raise RideDayError(file.name, problems.found)
    day = document.ride_day
    bike = document.bike
    geometry = {
        key: value for key, value in bike.geometry.model_dump(exclude_none=True).items() if isinstance(value, float)
    }
    return RideDay(
        path=file,
        title=day.title or file.resolve().parent.name,
        date=day.date,
        bike=Bike(
            name=bike.name,
            wheelbase_mm=bike.wheelbase_mm,
            head_angle_deg=bike.head_angle_deg,
            mass_kg=bike.mass_kg,
            geometry=MappingProxyType(geometry),
        ),
        sensors=sensors,
        setups=MappingProxyType(resolved),
        runs=runs,
        static=static,
        marks=marks,
        log=_log_options(document.log),
        front_log=None if document.log.front is None else _log_options(document.log.front, document.log),
        rear_log=None if document.log.rear is None else _log_options(document.log.rear, document.log),
        comparison=comparison,
        plan=plan,
        hard_bottom_out_mm_s=document.measures.hard_bottom_out_mm_s,
        cutoff_hz=document.conditioning.cutoff_hz,
        trail=day.trail,
        trail_state=day.trail_state,
        rider=day.rider,
        rider_mass_kg=day.rider_mass_kg,
        air_temperature_c=day.air_temperature_c,
        altitude_m=day.altitude_m,
        shop=MappingProxyType(document.shop.model_dump()),
        customer=MappingProxyType(document.customer.model_dump()),
    )


def _check_log(table: t.LogTable, problems: Problems) -> None:
    for name, part in (("log", table), ("log.front", table.front), ("log.rear", table.rear)):
        if part is None:
            continue
        if part.time is not None and part.rate_hz is not None:
            problems.add(
                f"{name}.rate_hz", "rate_hz beside time", "one of the two: rate_hz is for logs without a clock"
            )
        if part.delimiter is not None and len(part.delimiter) != 1 and part.delimiter != "blanks":
            problems.add(f"{name}.delimiter", repr(part.delimiter), "one character, or 'blanks'")


def _log_options(part: t.LogPartTable, general: t.LogPartTable | None = None) -> LogOptions:
    def pinned(key: str) -> Any:
        value = getattr(part, key)
        return getattr(general, key) if value is None and general is not None else value

    time = pinned("time")
    return LogOptions(
        time=None if time is None else TimeColumn(column=time.column, unit=time.unit),
        rate_hz=pinned("rate_hz"),
        delimiter=pinned("delimiter"),
        decimal=pinned("decimal"),
        thousands=pinned("thousands"),
        encoding=pinned("encoding"),
        header_row=pinned("header_row"),
        comment=pinned("comment"),
        day_first=bool(pinned("day_first")),
    )


def _displacement(sensors: Mapping[str, Sensor]) -> list[DisplacementSensor]:
    return [sensor for sensor in sensors.values() if isinstance(sensor, DisplacementSensor)]


def _check_ends(runs: tuple[RunEntry, ...], setups: Mapping[str, Setup], problems: Problems) -> None:
    """Find measured ends without full travel, stroke sensors without leverage, and two sensors at one end."""
    pairs = [(setups[run.setup], run.sensors) for run in runs] or [(item, item.sensors) for item in setups.values()]
    for setup, sensors in pairs:
        seen: dict[str, str] = {}
        for sensor in _displacement(sensors):
            if sensor.end in seen:
                found = f"{seen[sensor.end]!r} and {sensor.name!r} both at the {sensor.end}"
                problems.add(f"sensors.{sensor.name}.end", found, "one displacement sensor an end")
            seen[sensor.end] = sensor.name
            _check_end(setup, sensor, problems)


def _check_end(setup: Setup, sensor: DisplacementSensor, problems: Problems) -> None:
    end = setup.at(sensor.end)
    if sensor.end == "rear" and sensor.measures == "stroke" and end.leverage is None:
        found = f"a stroke sensor without leverage (setup {setup.name!r})"
        problems.add(f"sensors.{sensor.name}.measures", found, "leverage, ratio or linkage at the rear")
    elif end.full_travel_mm is None:
        needed = "travel_mm" if sensor.end == "front" else "stroke_mm with leverage or ratio, or travel_mm"
        problems.add(f"bike.{sensor.end}", f"no full travel (setup {setup.name!r})", needed)
