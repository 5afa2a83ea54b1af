"""What is wrong in a scenario file, by key: values of a wrong kind, and tables that don't fit one another."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import ValidationError

from telemetry.errors import MOST_LISTED, Problem, RideDayError, clean_text
from telemetry.model.finding import ENDS
from telemetry.toml_problems import near_words, path_of, shown
from telemetry.toml_tables import tables_at

from . import scenario_tables as t
from .log_text import FIT_WORDS, fit_name
from .loggers_made import SPEED_COLUMN, inertial_columns
from .scenario_trail import LONGEST_RUN_S, SHORTEST_RUN_S

MOST_OBSTACLES = 20_000
"""Own choice: one every 0.3 m of a long trail."""
NAME = re.compile(r"[A-Za-z0-9_-]{1,60}")
SIMULATED = re.compile(
    r"(travel|measured_travel|stroke|preload)_|(leverage|ratio|linkage)$|(negative_)?air_pressure|air_volume|"
    r"spring_rate|lower_leg_(oil|volume|crossover)"
)
"""Keys of a ride day's ends, in whatever unit, that the parts simulated here settle."""
MEND_FIRST = "mend this one first"


def _problem(item: Any, table: type[t.Table], at: str) -> Problem:
    place = item["loc"]
    key, word = path_of([at, *place] if at else place), str(place[-1])
    if item["type"] == "extra_forbidden":
        known = [name for held in tables_at(place[:-1], table) for name in held.model_fields]
        expected = near_words(word, known, "a key this table knows")
        return Problem(key=key, found=f"unknown key {word!r}", expected=expected)
    if item["type"] == "missing":
        return Problem(key=key, found="nothing", expected="a value: the key is required")
    expected = str(item["msg"]).removeprefix("Input should be ")
    return Problem(key=key, found=shown(item["input"]), expected=expected[0].lower() + expected[1:])


def table_error(file: str, error: ValidationError, table: type[t.Table] = t.Scenario, at: str = "") -> RideDayError:
    """Return what is wrong in a table's keys and values: unknown keys first, for one misspelt is also one missing.

    Parameters
    ----------
    file : str
        The file's name.
    error : ValidationError
    table : type of Table
        The table that was read.
    at : str
        Its path in the file.
    """
    items = sorted(error.errors(include_url=False), key=lambda item: item["type"] != "extra_forbidden")
    listed = [_problem(item, table, at) for item in items[:MOST_LISTED]]
    return RideDayError(file, listed, MEND_FIRST, len(items) - len(listed))


def _run_number(key: str, run: int, runs: int) -> Iterator[Problem]:
    if run > runs:
        yield Problem(key=key, found=f"run {run}", expected=f"a run from 1 to {runs}: `day.order` has no more")


def _last_start(day: t.DayTable) -> Iterator[Problem]:
    """Refuse a day whose last run would start after the last date there is."""
    try:
        _ = dt.datetime.combine(day.date, day.first_start) + dt.timedelta(minutes=len(day.order) * day.minutes_between)
    except OverflowError:
        yield Problem(key="day.date", found=f"{day.date} with runs beyond it", expected="runs that start by 9999-12-31")


def _written(table: Mapping[str, object], at: str) -> Iterator[Problem]:
    """Refuse keys that the simulated bike has itself: the ride day would say another bike than was ridden."""
    written = table.get("written", {})
    for key in written if isinstance(written, Mapping) else ():
        if SIMULATED.match(str(key)):
            found = f"{clean_text(str(key), longest=60)} beside the simulated one"
            expected = "keys the simulation has no part in: what is ridden is written as it is"
            yield Problem(key=path_of((at, "written", str(key))), found=found, expected=expected)


def _all_written(tables: t.Scenario) -> Iterator[Problem]:
    for end in ENDS:
        yield from _written(getattr(tables.bike, end), f"bike.{end}")
    for name, setup in tables.setups.items():
        for end in ENDS:
            yield from _written(getattr(setup, end), f"setups.{name}.{end}")


def _setup_names(tables: t.Scenario) -> Iterator[Problem]:
    for name in tables.setups:
        if not NAME.fullmatch(name):
            expected = "letters, digits, - and _, 60 at most: files are named after it"
            yield Problem(key="setups", found=f"a setup {clean_text(name, longest=60)!r}", expected=expected)
    named = [(f"day.order[{number}]", name) for number, name in enumerate(tables.day.order, 1)]
    if tables.comparison is not None:
        wanted = enumerate(tables.comparison.candidates, 1)
        named += [(f"comparison.candidates[{number}]", name) for number, name in wanted]
        if tables.comparison.baseline is not None:
            named.append(("comparison.baseline", tables.comparison.baseline))
    known = ", ".join(tables.setups)
    for key, name in named:
        if name not in tables.setups:
            found = f"unknown setup {clean_text(name, longest=60)!r}"
            yield Problem(key=key, found=found, expected=f"one of {known}")


def _runs_named(tables: t.Scenario) -> Iterator[Problem]:
    runs = len(tables.day.order)
    for number, item in enumerate(tables.recordings, 1):
        at = f"recordings[{number}]"
        yield from _run_number(f"{at}.before_run", item.before_run, runs)
        if item.load is not None and item.kind != "sag":
            yield Problem(key=f"{at}.load", found=f"a load in a recording of kind {item.kind}", expected="one in a sag")
        if item.settled_from is not None and item.kind not in ("settle", "sag"):
            found = f"settled_from in a recording of kind {item.kind}"
            yield Problem(key=f"{at}.settled_from", found=found, expected="one in a settle or a sag")
    remounted = set()
    for number, moved in enumerate(tables.remounts, 1):
        yield from _run_number(f"remounts[{number}].before_run", moved.before_run, runs)
        if (moved.before_run, moved.end) in remounted:
            found = f"the {moved.end} remounted twice before run {moved.before_run}"
            yield Problem(key=f"remounts[{number}]", found=found, expected="one remount of an end before a run")
        remounted.add((moved.before_run, moved.end))
    for number, gap in enumerate(tables.logger.gaps, 1):
        yield from _run_number(f"logger.gaps[{number}].run", gap.run, runs)


def _columns(table: t.LoggerTable) -> Iterator[Problem]:
    names = Counter([table.time_column, *(own.column for own in table.displacement().values())])
    names.update([SPEED_COLUMN] if table.ground_speed else [])
    for unit in table.inertial().values():
        names.update(inertial_columns(unit).values())
    for name, times in names.items():
        if times > 1:
            yield Problem(key="logger", found=f"{times} columns named {name!r}", expected="one name a column")
        if not fit_name(name):
            yield Problem(key="logger", found=f"a column named {clean_text(name, longest=60)!r}", expected=FIT_WORDS)


def _sensors(table: t.LoggerTable) -> Iterator[Problem]:
    """Refuse a logger with nothing to log, and one of two loggers without a sensor of its end."""
    ends = {*table.displacement(), *map(t.end_of, table.inertial())}
    lacking = [end for end in ENDS if end not in ends]
    if len(lacking) == len(ENDS):
        expected = "one of fork, shock, chassis_imu, wheel_imu, rear_chassis_imu, rear_wheel_imu, or more"
        yield Problem(key="logger", found="no sensor of an end", expected=expected)
    elif lacking and table.two_loggers:
        found = f"two_loggers = true and no sensor at the {lacking[0]}"
        yield Problem(key="logger.two_loggers", found=found, expected="a sensor at each end, or one logger")


def _remounts(tables: t.Scenario) -> Iterator[Problem]:
    """Refuse a remount of a sensor that isn't there."""
    for number, moved in enumerate(tables.remounts, 1):
        if moved.end not in tables.logger.displacement():
            found = f"the {moved.end}, at which no position sensor is"
            yield Problem(
                key=f"remounts[{number}].end", found=found, expected="an end with fork or shock under [logger]"
            )


def _rotation_units(table: t.LoggerTable) -> Iterator[Problem]:
    """Refuse the unit of a rotation that isn't logged."""
    for name, own in table.inertial().items():
        if own.rotation_unit != "deg/s" and not own.rotation:
            found = "a rotation_unit with rotation = false"
            yield Problem(key=f"logger.{name}.rotation_unit", found=found, expected="rotation = true, or no such key")


def _logger(table: t.LoggerTable) -> Iterator[Problem]:
    yield from _columns(table)
    yield from _sensors(table)
    yield from _rotation_units(table)
    for end, sensor in table.displacement().items():
        name = "fork" if end == "front" else "shock"
        (reading_a, mm_a), (reading_b, mm_b) = sensor.points
        if reading_a == reading_b or mm_a == mm_b:
            expected = "two different readings at two different lengths"
            yield Problem(key=f"logger.{name}.points", found=str(sensor.points), expected=expected)
    if table.wraps_at_bits is not None and table.time_unit == "s":
        found = "a clock in seconds that rolls over"
        yield Problem(key="logger.wraps_at_bits", found=found, expected="time_unit 'ms' or 'us'")
    if table.rear_clock is not None and not table.two_loggers:
        found = "a rear clock without two_loggers = true"
        yield Problem(key="logger.rear_clock", found=found, expected="two loggers, or no such table")


def _natural(tables: t.Scenario) -> Iterator[Problem]:
    """Refuse a trail told twice or not at all, and a natural one for a bike that brakes don't act on."""
    trail = tables.trail
    if trail.natural is None:
        if not trail.stretches:
            yield Problem(key="trail", found="no ground", expected="one `[[trail.stretches]]` or more, or `natural`")
        return
    if trail.stretches:
        found = "natural beside `[[trail.stretches]]`"
        yield Problem(key="trail.natural", found=found, expected="one of the two")
    if tables.bike.centre_height_mm is None:
        expected = "a value where the trail is natural: brakes and drive act by it"
        yield Problem(key="bike.centre_height_mm", found="nothing", expected=expected)


def _trail(table: t.TrailTable) -> Iterator[Problem]:
    if table.natural is not None or not table.stretches:
        return
    lasts_s = sum(stretch.length_m / stretch.speed_m_s for stretch in table.stretches)
    if not SHORTEST_RUN_S <= lasts_s <= LONGEST_RUN_S:
        found = f"a run of {lasts_s:.4g} s"
        yield Problem(key="trail.stretches", found=found, expected=f"{SHORTEST_RUN_S:g} to {LONGEST_RUN_S:g} s")
    obstacles = sum(item.times for stretch in table.stretches for item in stretch.obstacles)
    if obstacles > MOST_OBSTACLES:
        found = f"{obstacles} obstacles, each counted as often as it comes"
        yield Problem(key="trail.stretches", found=found, expected=f"{MOST_OBSTACLES} at most")


def unfit_tables(tables: t.Scenario) -> list[Problem]:
    """Return what doesn't fit between a scenario's tables: names and runs that aren't there, columns twice."""
    return [
        *_last_start(tables.day),
        *_setup_names(tables),
        *_all_written(tables),
        *_runs_named(tables),
        *_logger(tables.logger),
        *_remounts(tables),
        *_natural(tables),
        *_trail(tables.trail),
    ]
