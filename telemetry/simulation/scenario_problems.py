"""What is wrong in a scenario file, by key: values of a wrong kind, and tables that don't fit one another."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from telemetry.errors import Problem, clean_text

from . import scenario_tables as t
from .loggers_made import SPEED_COLUMN, inertial_columns

SHORTEST_RUN_S, LONGEST_RUN_S = 5.0, 900.0
NAME = re.compile(r"[A-Za-z0-9_-]{1,60}")
Place = Sequence[int | str]


def _tables_in(annotation: Any) -> Iterator[type[t.Table]]:
    if isinstance(annotation, type) and issubclass(annotation, t.Table):
        yield annotation
    for part in get_args(annotation):
        yield from _tables_in(part)


def _table_at(place: Place, table: type[t.Table]) -> type[t.Table]:
    """Return the table that holds the last part of a place; names of setups and places in lists are gone through."""
    for part in place[:-1]:
        field = table.model_fields.get(str(part))
        table = next(_tables_in(field.annotation), table) if field is not None else table
    return table


def _path(place: Place, at: str) -> str:
    for part in place:
        at += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if at else str(part)
    return at


def _range(field: FieldInfo | None) -> str | None:
    found: dict[str, float] = {}
    for rule in field.metadata if field is not None else ():
        found |= {name: getattr(rule, name) for name in ("ge", "le") if hasattr(rule, name)}
    return f"{found['ge']:g} to {found['le']:g}" if {"ge", "le"} <= set(found) else None


def _problem(item: Any, table: type[t.Table], at: str) -> Problem:
    place = item["loc"]
    key, word = _path(place, at), str(place[-1])
    known = _table_at(place, table).model_fields
    if item["type"] == "extra_forbidden":
        near = difflib.get_close_matches(word, list(known), n=1)
        expected = f"a key this table knows; nearest: {near[0]!r}" if near else "a key this table knows"
        return Problem(key=key, found=f"unknown key {word!r}", expected=expected)
    if item["type"] == "missing":
        return Problem(key=key, found="nothing", expected="a value: the key is required")
    expected = str(item["msg"]).removeprefix("Input should be ")
    if item["type"] in ("greater_than_equal", "less_than_equal"):
        expected = _range(known.get(word)) or expected
    return Problem(
        key=key, found=clean_text(str(item["input"]), longest=60), expected=expected[0].lower() + expected[1:]
    )


def table_problems(error: ValidationError, table: type[t.Table] = t.Scenario, at: str = "") -> list[Problem]:
    """Return what is wrong in a table's keys and values, in file order.

    Parameters
    ----------
    error : ValidationError
    table : type of Table
        The table that was read.
    at : str
        Its path in the file.
    """
    return [_problem(item, table, at) for item in error.errors(include_url=False)]


def _run_number(key: str, run: int, runs: int) -> Iterator[Problem]:
    if run > runs:
        yield Problem(key=key, found=f"run {run}", expected=f"a run from 1 to {runs}: `day.order` has no more")


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
    for key, name in named:
        if name not in tables.setups:
            found = f"unknown setup {clean_text(name, longest=60)!r}"
            yield Problem(key=key, found=found, expected=f"one of {', '.join(tables.setups)}")


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
    for number, moved in enumerate(tables.remounts, 1):
        yield from _run_number(f"remounts[{number}].before_run", moved.before_run, runs)
        if any(
            (moved.before_run, moved.end) == (other.before_run, other.end) for other in tables.remounts[: number - 1]
        ):
            found = f"the {moved.end} remounted twice before run {moved.before_run}"
            yield Problem(key=f"remounts[{number}]", found=found, expected="one remount of an end before a run")
    for number, gap in enumerate(tables.logger.gaps, 1):
        yield from _run_number(f"logger.gaps[{number}].run", gap.run, runs)


def _columns(table: t.LoggerTable) -> Iterator[Problem]:
    names = Counter([table.time_column, table.fork.column, table.shock.column])
    names.update([SPEED_COLUMN] if table.ground_speed else [])
    for unit in (table.chassis_imu, table.wheel_imu):
        names.update(inertial_columns(unit).values() if unit is not None else [])
    for name, times in names.items():
        if times > 1:
            yield Problem(key="logger", found=f"{times} columns named {name!r}", expected="one name a column")


def _logger(table: t.LoggerTable) -> Iterator[Problem]:
    yield from _columns(table)
    for name, sensor in (("fork", table.fork), ("shock", table.shock)):
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


def _trail(table: t.TrailTable) -> Iterator[Problem]:
    lasts_s = sum(stretch.length_m / stretch.speed_m_s for stretch in table.stretches)
    if not SHORTEST_RUN_S <= lasts_s <= LONGEST_RUN_S:
        found = f"a run of {lasts_s:.4g} s"
        yield Problem(key="trail.stretches", found=found, expected=f"{SHORTEST_RUN_S:g} to {LONGEST_RUN_S:g} s")


def unfit_tables(tables: t.Scenario) -> list[Problem]:
    """Return what doesn't fit between a scenario's tables: names and runs that aren't there, columns twice."""
    return [*_setup_names(tables), *_runs_named(tables), *_logger(tables.logger), *_trail(tables.trail)]
