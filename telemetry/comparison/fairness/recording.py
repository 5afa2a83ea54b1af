"""How the runs were logged: rate, sensors, zero."""

from __future__ import annotations

from collections.abc import Callable, Collection

from telemetry.model.conditions import ComparisonConditions, RunConditions
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.sensor import DisplacementSensor, Sensor
from telemetry.words import figure

from .pair import beyond, listed

RATE = 0.01
_JUDGED = {
    "name": "another sensor",
    "measures": "what it reads",
    "points": "calibration points",
    "calibration": "line or curve",
    "column": "column",
    "counts_range": "counts_range",
}
_SPEED_KINDS = ("ground_speed", "wheel_pulses", "distance", "position_fix")


def rate_differs(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find runs whose rates differ by over 1 %."""
    runs = [run for run in conditions.runs if run.rate_hz > 0]
    if not runs:
        return ()
    slow, fast = min(runs, key=lambda run: run.rate_hz), max(runs, key=lambda run: run.rate_hz)
    apart = (fast.rate_hz - slow.rate_hz) / slow.rate_hz
    if not beyond(apart, RATE):
        return ()
    message = (
        f"{slow.run} was logged at {figure(slow.rate_hz, 1)} rows a second and {fast.run} at "
        f"{figure(fast.rate_hz, 1)}, {figure(100 * apart, 1)} % apart (limit {100 * RATE:g} %): all are smoothed for "
        "the slowest, yet peaks may read differently; log every run at one rate"
    )
    return (Finding(code="rate_differs", message=message),)


def _at(run: RunConditions, end: End) -> DisplacementSensor | None:
    return next((s for s in run.sensors.values() if isinstance(s, DisplacementSensor) and s.end == end), None)


def _what_differs(old: DisplacementSensor | None, new: DisplacementSensor | None) -> list[str]:
    if old is None or new is None:
        return ["a sensor in one of them only"]
    return [words for key, words in _JUDGED.items() if getattr(old, key) != getattr(new, key)]


def _speed_sensor(run: RunConditions) -> list[Sensor]:
    return sorted((s for s in run.sensors.values() if s.kind in _SPEED_KINDS), key=lambda sensor: sensor.name)


def sensors_differ(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find runs read by other sensors, or with another calibration, than the first run that takes part."""
    if not conditions.runs:
        return ()
    first, *rest = conditions.runs
    found = []
    for end in ENDS:
        odd = {run.run: what for run in rest if (what := _what_differs_between(first, run, end))}
        if odd:
            what = list(dict.fromkeys(item for items in odd.values() for item in items))
            found.append(_sensors_differ(f"{end} travel", list(odd), first.run, what))
    speed = [run.run for run in rest if _speed_sensor(run) != _speed_sensor(first)]
    if speed:
        found.append(_sensors_differ("ground speed or place", speed, first.run, ["the sensors named"]))
    return tuple(found)


def _what_differs_between(first: RunConditions, run: RunConditions, end: End) -> list[str]:
    old, new = _at(first, end), _at(run, end)
    return [] if old == new else _what_differs(old, new)


def _sensors_differ(read: str, runs: list[str], first: str, what: list[str]) -> Finding:
    message = (
        f"{read} was read otherwise in {listed(runs)} than in {first} ({', '.join(what)}; limit: nothing differs): "
        "what a sensor or its calibration adds looks like a change; check both calibrations by hand, or measure with "
        "one"
    )
    return Finding(code="sensors_differ", message=message)


def _by_end(conditions: ComparisonConditions, ends_of: Callable[[RunConditions], Collection[End]]) -> dict[End, str]:
    """Return each end that something holds for in runs that take part, with those runs listed."""
    runs = {end: [run.run for run in conditions.runs if end in ends_of(run)] for end in ENDS}
    return {end: listed(names) for end, names in runs.items() if names}


def zero_unchecked(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find ends whose zero isn't known in a run that takes part."""
    return tuple(
        Finding(
            code="zero_unchecked",
            message=f"the {end}'s zero isn't known in {runs}: 0 sound lifted recordings lie between what was opened or "
            "changed and the run (1 is needed); a shifted zero looks like sag: lift both wheels for 5 s and record it "
            "after every change",
        )
        for end, runs in _by_end(conditions, lambda run: run.zero_unchecked).items()
    )


def bottoming_untold(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find ends of which it can't be told, in a run that takes part, whether they bottomed."""
    return tuple(
        Finding(
            code="bottoming_untold",
            message=f"whether the {end} bottomed can't be told in {runs}: its deepest point lies nearer to the line "
            "than zero and full travel are known, so a count of 0 says little there; measure full travel by hand, and "
            "record lifted",
            end=end,
        )
        for end, runs in _by_end(conditions, lambda run: run.bottoming_untold).items()
    )
