"""A run's ride, of one logger or of two whose clocks are joined."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from telemetry import conditioning
from telemetry.conditioning import EndRecipe, RideRecipe, joined_log, with_rest_noise
from telemetry.measures import find_pushes, with_bounds
from telemetry.model.day import RunEntry
from telemetry.model.finding import ENDS, End, Finding, Step, errors_by_end
from telemetry.model.log import Log
from telemetry.model.ride import Ride
from telemetry.model.sensor import ColumnName

from .joining import Join, Presses, SameStamps, drift_words, find_join, join_step, join_words, overlap_words, unmoved
from .rides import Rides, clean, log_told
from .same_clock import stated_join

FINE_STAMP_S = 0.01
"""Own choice: two loggers whose clocks tell the date and such fractions of a second don't start on the same one."""


def ride_of(rides: Rides, run: RunEntry) -> tuple[Ride | None, tuple[Finding, ...], tuple[Step, ...]]:
    """Return a run's ride; where there is none, what was found of its logs and how they were read."""
    if not run.measured_ends:
        return None, (_nothing_read(run),), ()
    logs, recipe = rides.logs.of(run), rides.recipe(run)
    rides.logs.require_room(run)
    if len(logs) == 1:
        ride, told = clean(logs[0], recipe), tuple[Finding, ...]()
    else:
        logs = tuple(_of_end(_told_as_ridden(log, recipe, end), end) for end, log in zip(ENDS, logs, strict=True))
        ride, told = _together(run, logs[0], logs[1], recipe)
    findings = (*(finding for log in logs for finding in log.findings), *told)
    history = tuple(step for log in logs for step in log.history)
    return None if ride is None else with_rest_noise(ride, rides.noise), findings, history


def _of_end(log: Log, end: End) -> Log:
    """Return one of two loggers' logs: what it is told is told of its end."""
    return replace(log, findings=tuple(replace(finding, end=end) for finding in log.findings))


def no_segment(run: RunEntry, end: End | None = None) -> Finding:
    """Return what a run, or one end's log of it, is told that holds no stretch long enough."""
    where = run.name if end is None else f"{run.name}, {end}"
    message = f"{where}: no stretch of 0.25 s and 16 rows without a gap; check the logger's card and supply"
    return Finding(code="not_riding", message=message, end=end)


def _ends_at(recipe: RideRecipe, end: End) -> tuple[EndRecipe, ...]:
    return tuple(item for item in recipe.ends if item.sensor.end == end)


def _inertial_at(recipe: RideRecipe, end: End) -> tuple[conditioning.InertialRecipe, ...]:
    return tuple(item for item in recipe.inertial if item.sensor.end == end)


def _alone(recipe: RideRecipe, end: End) -> RideRecipe:
    """Return what is needed to clean one end of a run with two loggers by itself."""
    ends, inertial = _ends_at(recipe, end), _inertial_at(recipe, end)
    return replace(recipe, ends=ends, inertial=inertial, ground=None, start_s=None, end_s=None)


def _one_end(log: Log, recipe: RideRecipe, end: End) -> Ride | None:
    """Return one end of a run with two loggers, cleaned by itself; None where its log can't be cleaned."""
    alone = _alone(recipe, end)
    return clean(log, alone) if alone.ends or alone.inertial else None


def _told_as_ridden(log: Log, recipe: RideRecipe, end: End) -> Log:
    """Return one of two loggers' logs, told of what lies between start and end: stated at the front, else pushed."""
    alone = _alone(recipe, end)
    if not (alone.ends or alone.inertial) or not any(finding.second is not None for finding in log.findings):
        return log
    own = replace(alone, start_s=recipe.start_s, end_s=recipe.end_s) if end == "front" else alone
    ride = clean(log, own)
    return log if ride is None else replace(log, findings=log_told(log, with_bounds(ride, find_pushes(ride))))


def _beyond_log(ride: Ride, log: Log) -> tuple[Finding, ...]:
    """Return what a ride was told besides what its log was."""
    return tuple(finding for finding in ride.findings if finding not in log.findings)


def _same_stamps(front: Log, rear: Log) -> SameStamps | None:
    """Return whether two logs have the same stamp in every row, and whether another clock could give these."""
    if front.first_stamp != rear.first_stamp or not np.array_equal(front.time_s, rear.time_s):
        return None
    told_finely = front.first_stamp is not None and (front.stamp_resolution_s or math.inf) <= FINE_STAMP_S
    return "own" if told_finely or not front.even else "counted"


def _together(run: RunEntry, front: Log, rear: Log, recipe: RideRecipe) -> tuple[Ride | None, tuple[Finding, ...]]:
    """Return the ride of two loggers on the front's clock, or of the end that is left; and what is told of the rest."""
    logs: dict[End, Log] = {"front": front, "rear": rear}
    whole = {end: log for end, log in logs.items() if not errors_by_end(log.findings)}
    cleaned = {end: ride for end, log in whole.items() if (ride := _one_end(log, recipe, end)) is not None}
    apart = {end: ride for end, ride in cleaned.items() if ride.measured_ends}
    if len(apart) < len(ENDS):
        unclean = tuple(no_segment(run, end) for end in whole if end not in cleaned)
        unclean += tuple(found for end in cleaned if end not in apart for found in _beyond_log(cleaned[end], logs[end]))
        return _left(run, logs, recipe, next(iter(apart)), unclean) if apart else (None, unclean)
    presses: Presses = {"front": front.presses, "rear": rear.presses}
    if run.same_clock:
        stated = stated_join(run, front, rear, apart, presses)
        if isinstance(stated, Finding):
            return None, (stated,)
        join: Join | None = stated
    else:
        join = find_join(apart, presses, None if run.same_clock is False else _same_stamps(front, rear))
    dead = unmoved(apart) if join is None else None
    told = join_words(run, join, dead)
    if dead is not None:
        return _left(run, logs, recipe, "front" if dead == "rear" else "rear", (told,))
    ride = None if join is None else _joined(front, rear, recipe, join)
    if join is None or ride is None:
        return None, (told,)
    lasts_s = float(ride.time_s[-1] - ride.time_s[0])
    overlap = overlap_words(run, apart["front"], ride)
    if errors_by_end(overlap):
        return _left(run, logs, recipe, "front", (told, *overlap))
    found = (told, *overlap, *drift_words(run, join, lasts_s))
    return replace(ride, findings=(*ride.findings, *found), history=(*ride.history, join_step(join))), ()


def _left(
    run: RunEntry, logs: Mapping[End, Log], recipe: RideRecipe, end: End, told: tuple[Finding, ...]
) -> tuple[Ride | None, tuple[Finding, ...]]:
    """Return the ride of the one end that is left, told of the other; bounds are stated on the front's clock."""
    if end == "rear" and not (run.start_s is None and run.end_s is None):
        message = (
            f"{run.name}: start_s and end_s are seconds of the front's log, which can't be joined to the rear's (one "
            "clock is expected), so the rear isn't measured either; ride again, or push three times and state neither"
        )
        return None, (*told, Finding(severity="error", code="loggers_not_joined", message=message))
    own = replace(recipe, ends=_ends_at(recipe, end), inertial=_inertial_at(recipe, end))
    measured = end == "front" and bool(own.ends or own.inertial)
    ride = clean(logs[end], own) if measured else _one_end(logs[end], recipe, end)
    if ride is None:
        return None, told
    (other,) = (log for at, log in logs.items() if at != end)
    findings, history = (*other.findings, *ride.findings, *told), (*other.history, *ride.history)
    return replace(ride, findings=findings, history=history), ()


def _joined(front: Log, rear: Log, recipe: RideRecipe, join: Join) -> Ride | None:
    names: dict[ColumnName, ColumnName] = {column: f"{column} of the rear's log" for column in rear.columns}
    ends = tuple(
        item
        if item.sensor.end == "front"
        else replace(item, sensor=replace(item.sensor, column=names[item.sensor.column]))
        for item in recipe.ends
    )
    inertial = tuple(
        item
        if item.sensor.end == "front"
        else replace(
            item,
            sensor=replace(item.sensor, columns={axis: names[name] for axis, name in item.sensor.columns.items()}),
        )
        for item in recipe.inertial
    )
    log = joined_log(front, rear, join.line, names)
    return clean(log, replace(recipe, ends=ends, inertial=inertial, clocks=join.clocks))


def _nothing_read(run: RunEntry) -> Finding:
    message = (
        f"{run.name}: no sensor reads position or acceleration at either end (one of kind displacement or inertial is "
        "expected), so nothing is measured; enter the sensors under [sensors]"
    )
    return Finding(code="no_position_sensor", message=message)
