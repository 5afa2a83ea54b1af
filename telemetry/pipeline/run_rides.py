"""A run's ride, of one logger or of two whose clocks are joined."""

from __future__ import annotations

from dataclasses import replace

from telemetry.conditioning import RideRecipe, joined_log, rows_there, with_seen_noise
from telemetry.errors import CallError
from telemetry.measures import find_pushes, with_bounds
from telemetry.model.day import RideDay, RunEntry
from telemetry.model.finding import ENDS, End, Finding, Step
from telemetry.model.log import Log
from telemetry.model.ride import Ride
from telemetry.model.sensor import ColumnName

from .joining import Join, drift_words, find_join, join_step, join_words, overlap_words
from .loggers import displacement_sensors
from .rides import Rides, clean


def ride_of(rides: Rides, run: RunEntry) -> tuple[Ride | None, tuple[Finding, ...], tuple[Step, ...]]:
    """Return a run's ride; where there is none, what was found of its logs and how they were read."""
    if not displacement_sensors(run.sensors):
        return None, (_no_position(run),), ()
    logs, recipe = rides.logs.of(run), rides.recipe(run)
    rides.logs.require_room(run)
    ride, told = (clean(logs[0], recipe), ()) if len(logs) == 1 else _together(run, logs[0], logs[1], recipe)
    findings = (*(finding for log in logs for finding in log.findings), *told)
    history = tuple(step for log in logs for step in log.history)
    return None if ride is None else with_seen_noise(ride, rides.noise), findings, history


def _one_end(log: Log, recipe: RideRecipe, end: End) -> Ride | None:
    """Return one end of a run with two loggers, cleaned by itself; None where its log can't be cleaned."""
    own = tuple(item for item in recipe.ends if item.sensor.end == end)
    alone = replace(recipe, ends=own, ground=None, chassis=None, start_s=None, end_s=None)
    return clean(log, alone) if own else None


def _together(run: RunEntry, front: Log, rear: Log, recipe: RideRecipe) -> tuple[Ride | None, tuple[Finding, ...]]:
    """Return the ride of two loggers on the front's clock, and what is told where there is none."""
    apart = {
        end: ride
        for end, log in zip(ENDS, (front, rear), strict=True)
        if (ride := _one_end(log, recipe, end)) is not None
    }
    if len(apart) < len(ENDS):
        return None, ()
    join = find_join(apart, {"front": front.presses, "rear": rear.presses})
    told = join_words(run, join)
    ride = None if join is None else _joined(front, rear, recipe, join)
    if join is None or ride is None:
        return None, (told,)
    lasts_s = float(ride.time_s[-1] - ride.time_s[0])
    found = (told, *overlap_words(run, apart["front"], ride), *drift_words(run, join, lasts_s))
    return replace(ride, findings=(*ride.findings, *found), history=(*ride.history, join_step(join))), ()


def _joined(front: Log, rear: Log, recipe: RideRecipe, join: Join) -> Ride | None:
    names: dict[ColumnName, ColumnName] = {column: f"{column} of the rear's log" for column in rear.columns}
    rows = rows_there(front, rear, join.line)
    ends = tuple(
        item
        if item.sensor.end == "front"
        else replace(item, sensor=replace(item.sensor, column=names[item.sensor.column]), rows=rows)
        for item in recipe.ends
    )
    return clean(joined_log(front, rear, join.line, names), replace(recipe, ends=ends, clocks=join.clocks))


def _no_position(run: RunEntry) -> Finding:
    message = (
        f"{run.name}: no sensor reads position at either end (one of kind displacement is expected), so nothing is "
        "measured: sag, travel and bottoming can't come from acceleration; enter the sensors under [sensors]"
    )
    return Finding(code="no_position_sensor", message=message)


def load_ride(day: RideDay, run: str) -> Ride:
    """Return one run's cleaned signals.

    Parameters
    ----------
    day : RideDay
    run : str
        The run's name.

    Returns
    -------
    Ride
        ``time_s``; ``front`` and ``rear`` with ``travel_mm`` and ``speed_mm_s``, read-only float arrays; ``history``.

    Raises
    ------
    CallError
        If the day has no such run, or nothing of its log can be cleaned.
    LogError
        If a log can't be read.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> telemetry.load_ride(day, "run_1").front.travel_mm.shape
    (39104,)
    """
    names = [entry.name for entry in day.runs]
    if run not in names:
        raise CallError(str(day.path), f"no run {run!r}", "one of " + ", ".join(names), "name a run of the day")
    ride, findings, _ = ride_of(Rides(day), day.run(run))
    if ride is None:
        why = next((finding.message for finding in findings if finding.severity == "error"), "")
        found = why or "no gap-free stretch of 0.25 s and 16 rows"
        raise CallError(day.run(run).log.name, found, "a ride", "check the logger")
    return with_bounds(ride, find_pushes(ride))
