"""Figures of parts that can't be, told with the key as the file has it and the unit it may have been meant in."""

from __future__ import annotations

from typing import Any

from telemetry.bench.possible import impossible
from telemetry.bench.stated import PartError
from telemetry.errors import Problem, RideDayError
from telemetry.model.day import RideDay, SetupPlace
from telemetry.ride_day.as_written import raw_of, written_settings
from telemetry.ride_day.right_form import metric_slip, unit_slip
from telemetry.ride_day.typed_values import spellings_of


def require_possible(day: RideDay) -> None:
    """Raise RideDayError with every figure, as stated, that can't be one of a bike's parts."""
    found: dict[str, Problem] = {}
    for name, setup in day.setups.items():
        for error in impossible(day, setup):
            problem = problem_of(day, name, error)
            found.setdefault(problem.key, problem)
    if found:
        raise RideDayError(day.path.name, list(found.values()))


def problem_of(day: RideDay, setup: str, error: PartError) -> Problem:
    """Return what is wrong with parts, with the path of the key as the file has it."""
    table, key, value = _written(day, setup, error)
    imperial = key != error.key and isinstance(value, int | float)
    slip = ""
    if error.beyond is not None:
        number, bounds = error.beyond
        slip = metric_slip(error.key, float(value), bounds) if imperial else unit_slip(error.key, number, bounds)
    expected = f"{error.expected}; {slip}" if slip else error.expected
    found = f"{value:g} {spellings_of(error.key)[-1][1]}, {error.found}" if imperial else error.found
    return Problem(key=f"{table}.{key}", found=found, expected=expected)


def _written(day: RideDay, setup: str, error: PartError) -> tuple[str, str, Any]:
    """Return the table that states a key, how it spells it, and the value as it stands there."""
    if error.table:
        held: Any = raw_of(day)
        for name in error.table.split("."):
            held = held.get(name, {})
        key = next((way for way, _ in spellings_of(error.key) if way in held), error.key)
        return error.table, key, held.get(key)
    place: SetupPlace = "bike" if error.end == "both" else error.end
    written = written_settings(day, setup, place).get(error.key)
    table = f"setups.{setup}.{place}"
    if written is None:
        return table, error.key, None
    if written.inherited_from is not None:
        of_bike = "bike" if place == "bike" else f"bike.{place}"
        table = f"setups.{written.inherited_from}.{place}" if written.inherited_from else of_bike
    return table, written.spelled, written.value
