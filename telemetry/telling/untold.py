"""What a zero doesn't say: flights too short for the legs to show, bottoming too near the line to be told."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import RunAnalysis
from telemetry.model.day import RideDay
from telemetry.model.finding import End, Place
from telemetry.model.sensor import InertialSensor

from .values import places_of

LEGS_SHOW = "about 0.25 s"
"""How long a flight has to be for both legs to extend and stay: of simulated hops up to 0.3 s none is found."""
NONE_SO_LONG = "none so long"
CANT_BE_TOLD = "can't be told"
BOTTOMING: Collection[str] = frozenset({"bottom_outs", "bottom_outs_per_min", "hard_bottom_outs"})
UNTOLD = "bottoming_untold"


def feels_flight(run: RunAnalysis) -> bool:
    """Tell whether flights are found by an inertial sensor on the chassis."""
    sensors = run.entry.sensors.values()
    return any(isinstance(sensor, InertialSensor) and sensor.on == "chassis" for sensor in sensors)


def is_untold(run: RunAnalysis, end: Place) -> bool:
    """Tell whether an end went so deep that it can't be told whether it bottomed."""
    return any(finding.code == UNTOLD and finding.end == end for finding in run.findings)


def in_place_of_zero(run: RunAnalysis, measure: str, end: Place, value: float) -> str:
    """Return what is said of a whole run's value that reads as zero and says less than that; empty elsewhere."""
    if round(value, places_of(measure)) != 0:
        return ""
    if measure in BOTTOMING and is_untold(run, end):
        return CANT_BE_TOLD
    return NONE_SO_LONG if measure == "airborne_time" and not feels_flight(run) else ""


def seen_by_legs(runs: Iterable[RunAnalysis], measure: str) -> str:
    """Return what is said beside a measure's name where legs alone tell it; empty elsewhere."""
    late = measure == "airborne_time" and any(not feels_flight(run) for run in runs)
    return f" (legs show flights of {LEGS_SHOW} and more, late)" if late else ""


def bottoming_in_words(day: RideDay, run: RunAnalysis, end: End, language: Language = ENGLISH) -> str:
    """Return whether an end bottomed: how often, not, or why that can't be told; empty where it isn't counted."""
    bottoms, deepest = run.value("bottom_outs", end), run.value("travel_max", end)
    if bottoms is None or deepest is None:
        return ""
    if bottoms:
        return language.say("lap.bottomed", count=round(bottoms))
    if not is_untold(run, end):
        return language.say("lap.did_not_bottom")
    own = day.setups[run.entry.setup].at(end)
    short = language.figure((own.full_travel_mm or 0.0) * (1 - deepest / 100), 0)
    return language.say("lap.short_of_stated" if own.is_stated else "lap.short_of_full", mm=short)
