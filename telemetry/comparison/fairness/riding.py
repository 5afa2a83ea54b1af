"""How the runs were ridden: how fast, how long, how much of it in the air."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.conditions import RunConditions
from telemetry.model.finding import Finding
from telemetry.model.setup_keys import SPECS
from telemetry.words import figure

from .pair import Pair, beyond, relative

SPEED_BY_SENSOR, SPEED_BY_LAG = 0.03, 0.06
CONTRADICTED = 0.03
"""By which ratios of two runs' speeds, by lag and by riding time, may differ."""
DURATION = 0.05
AIRBORNE = 0.02


def _indicative(pair: Pair) -> bool:
    return any(row.end in SPECS[row.key].moves_lag for row in pair.differences if row.key in SPECS)


def ground_speed_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find setups whose mean ground speeds differ by over 3 % (by sensor) or 6 % (by lag, unless contradicted)."""
    by_sensor = all(run.ground_speed_by == "sensor" for run in pair.runs if run.ground_speed_m_s is not None)
    means = pair.means(lambda run: run.ground_speed_m_s)
    limit = SPEED_BY_SENSOR if by_sensor else SPEED_BY_LAG
    if means is None or not beyond(relative(means), limit) or _contradicted(pair) is not None:
        return ()
    baseline, candidate = pair.labels
    source = "a speed sensor" if by_sensor else "the lag between the ends"
    careful = (
        "; leverage, rear damping or tyres differ and move that lag too, so this is indicative only"
        if not by_sensor and _indicative(pair)
        else ""
    )
    message = (
        f"{candidate} was ridden at {figure(means[1], 2)} m/s and {baseline} at {figure(means[0], 2)} m/s on average, "
        f"{figure(100 * relative(means), 1, signed=True)} % (limit {100 * limit:g} %, by {source}){careful}: speed "
        "alone moves depth and damper speeds; ride both at one pace, or ask whether the setup made the difference"
    )
    return (pair.finds("ground_speed_differs", message),)


def _ridden_s(runs: Sequence[RunConditions]) -> list[float] | None:
    """Return every run's riding time between the first and the last place that all of them passed; None without."""
    places = [place for place in runs[0].passed_s if all(place in run.passed_s for run in runs)]
    if len(places) < 2:
        return None
    first, last = min(places, key=runs[0].passed_s.__getitem__), max(places, key=runs[0].passed_s.__getitem__)
    ridden = [run.passed_s[last] - run.passed_s[first] for run in runs]
    return ridden if min(ridden) > 0 else None


def _contradicted(pair: Pair) -> tuple[RunConditions, RunConditions, float, float] | None:
    """Return two runs, by how much the second is faster by lag, and by riding time; None where they agree.

    Speed times riding time is the way between two places, the same for every run: the runs in which it comes out
    longest and shortest are looked at.
    """
    runs = [run for run in pair.runs if run.ground_speed_m_s is not None and run.ground_speed_by == "lag"]
    ridden = _ridden_s(runs) if len(runs) > 1 else None
    if ridden is None:
        return None
    ways = [(run.ground_speed_m_s or 0.0) * seconds for run, seconds in zip(runs, ridden, strict=True)]
    short, far = ways.index(min(ways)), ways.index(max(ways))
    if not beyond(ways[far] / ways[short] - 1, CONTRADICTED):
        return None
    by_lag = relative((runs[short].ground_speed_m_s or 0.0, runs[far].ground_speed_m_s or 0.0))
    return runs[short], runs[far], by_lag, relative((ridden[far], ridden[short]))


def pace_contradicted(pair: Pair) -> tuple[Finding, ...]:
    """Note that pace isn't compared by the lag between the ends, because riding times say otherwise."""
    found = _contradicted(pair)
    if found is None:
        return ()
    first, second, by_lag, by_time = found
    message = (
        f"by the lag between the ends {second.run} was ridden {figure(100 * by_lag, 1, signed=True)} % faster than "
        f"{first.run}, by their riding times between the same places {figure(100 * by_time, 1, signed=True)} % "
        f"(limit {100 * CONTRADICTED:g} % apart): pace isn't compared by that lag; log speed where pace matters"
    )
    return (pair.finds("pace_contradicted", message),)


def duration_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find setups whose mean riding times differ by over 5 %."""
    means = pair.means(lambda run: run.riding_s)
    if means is None or not beyond(relative(means), DURATION):
        return ()
    baseline, candidate = pair.labels
    message = (
        f"{candidate} took {figure(means[1], 1)} s of riding and {baseline} {figure(means[0], 1)} s on average, "
        f"{figure(100 * relative(means), 1, signed=True)} % (limit {100 * DURATION:g} %): another pace, or start and "
        "end not at the same places; check start_s and end_s, ride at one pace"
    )
    return (pair.finds("duration_differs", message),)


def airborne_share_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find setups whose airborne shares of riding time differ by over 2 points."""
    means = pair.means(lambda run: run.airborne_share)
    if means is None or not beyond(means[1] - means[0], AIRBORNE):
        return ()
    baseline, candidate = pair.labels
    first, second = (figure(100 * mean, 1) for mean in means)
    message = (
        f"{candidate} was airborne for {second} % of riding time and {baseline} for {first} %, "
        f"{figure(100 * (means[1] - means[0]), 1, signed=True)} points (limit {100 * AIRBORNE:g} points): another line "
        "or pace over the jumps; take the same ones each run, or roll them all"
    )
    return (pair.finds("airborne_share_differs", message),)
