"""Who rode and under what: rider, levers, trail and air."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from telemetry.model.conditions import ComparisonConditions, RunConditions
from telemetry.model.finding import ENDS, End, Finding
from telemetry.words import figure

from .pair import Pair, beyond, listed

BETWEEN_SETUPS_K, IN_THE_DAY_K = 4.0, 8.0


def temperature_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find setups ridden over 4 K apart on average."""
    means = pair.means(lambda run: run.air_temperature_c)
    if means is None or not beyond(means[1] - means[0], BETWEEN_SETUPS_K):
        return ()
    baseline, candidate = pair.labels
    message = (
        f"{candidate} was ridden at {figure(means[1], 1)} °C and {baseline} at {figure(means[0], 1)} °C on average, "
        f"{figure(means[1] - means[0], 1, signed=True)} K (limit {BETWEEN_SETUPS_K:g} K): gas and oil alone make a "
        "difference; take turns between the setups so that both see the same air"
    )
    return (pair.finds("temperature_differs", message),)


def _degrees(item: tuple[float, str]) -> float:
    return item[0]


def day_temperature(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find a day over which air temperature moved by over 8 K."""
    known = [(run.air_temperature_c, run.run) for run in conditions.runs if run.air_temperature_c is not None]
    if not known:
        return ()
    (coldest, cold), (warmest, warm) = min(known, key=_degrees), max(known, key=_degrees)
    if not beyond(warmest - coldest, IN_THE_DAY_K):
        return ()
    message = (
        f"air temperature went from {figure(coldest, 1)} °C ({cold}) to {figure(warmest, 1)} °C ({warm}), "
        f"{figure(warmest - coldest, 1)} K (limit {IN_THE_DAY_K:g} K in the day): springs and dampers drift with it; "
        "ride the setups in turns, within fewer hours"
    )
    return (Finding(code="temperature_differs", message=message),)


def _odd_ones(runs: tuple[RunConditions, ...], value: Callable[[RunConditions], str]) -> dict[str, list[str]]:
    """Return runs by what was stated of them, the commonest first; empty where all that is stated is alike."""
    stated = [(value(run).strip().casefold(), run.run) for run in runs]
    counts = Counter(text for text, _ in stated if text)
    if len(counts) < 2:
        return {}
    return {text: [run for found, run in stated if found == text] for text, _ in counts.most_common()}


def rider_differs(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find runs of more than one rider; no rider is named."""
    found = list(_odd_ones(conditions.runs, lambda run: run.rider).values())
    if not found:
        return ()
    others = "; ".join(listed(runs) for runs in found[1:])
    message = (
        f"{len(found)} riders (limit 1): {listed(found[0])} by one, {others} by another; weight, line and pace differ "
        "with the rider: leave the other's runs out, or have one ride them all"
    )
    return (Finding(code="rider_differs", message=message),)


def trail_state_differs(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find runs for which the trail's state was noted differently."""
    found = _odd_ones(conditions.runs, lambda run: run.trail_state)
    if not found:
        return ()
    states = "; ".join(f"{text!r} in {listed(runs)}" for text, runs in found.items())
    message = (
        f"the trail is noted in {len(found)} states (limit 1): {states}; grip and speed differ with it: compare runs "
        "of one state, or ride the setups in turns"
    )
    return (Finding(code="trail_state_differs", message=message),)


def _wholly_apart(pair: Pair, value: Callable[[RunConditions], str]) -> list[list[str]]:
    """Return what was stated of each setup's runs, where it is of all of them and no run of one is as the other's."""
    found = [
        list(dict.fromkeys(value(run).strip().casefold() for run in runs))
        for runs in (pair.baseline_runs, pair.candidate_runs)
    ]
    return found if all(found) and "" not in found[0] + found[1] and not set(found[0]) & set(found[1]) else []


def rider_confounded(pair: Pair) -> tuple[Finding, ...]:
    """Find setups of which no rider rode both; no rider is named."""
    if not _wholly_apart(pair, lambda run: run.rider):
        return ()
    baseline, candidate = pair.labels
    message = (
        f"{candidate} and {baseline} were ridden by different riders (0 riders rode both, 1 is needed): the change "
        "can't be told from the rider; have one rider ride both"
    )
    return (pair.finds("rider_confounded", message, f"{candidate} and {baseline} were ridden by different riders"),)


def trail_state_confounded(pair: Pair) -> tuple[Finding, ...]:
    """Find setups of which no state of the trail saw both."""
    states = _wholly_apart(pair, lambda run: run.trail_state)
    if not states:
        return ()
    baseline, candidate = pair.labels
    ridden = " and ".join(
        f"{name} on a trail that was {listed(map(repr, of))}" for name, of in zip(pair.labels, states, strict=True)
    )
    message = (
        f"{ridden} (0 states saw both, 1 is needed): the change can't be told from the trail; ride the setups in turns"
    )
    withheld = f"{candidate} and {baseline} were ridden in different states of the trail"
    return (pair.finds("trail_state_confounded", message, withheld),)


def _lever_at(end: End) -> Callable[[RunConditions], str]:
    return lambda run: run.levers.get(end, "")


def _is_the_change(pair: Pair, end: End) -> bool:
    """Tell whether the lever at this end is all that differs on paper, and every run was ridden so."""
    only = bool(pair.differences) and all((row.key, row.end) == ("lever", end) for row in pair.differences)
    setups = {item.setup.name: item.setup.at(end).settings.get("lever") for item in (pair.baseline, pair.candidate)}
    stated = {name: str(setting.value).strip().casefold() for name, setting in setups.items() if setting is not None}
    as_stated = all(run.levers.get(end, "").strip().casefold() == stated.get(run.setup, "") for run in pair.runs)
    return only and as_stated


def lever_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find runs ridden with a lever in another position, unless that is the change under test."""
    found = []
    for end in ENDS:
        odd = _odd_ones(pair.runs, _lever_at(end))
        if not odd or _is_the_change(pair, end):
            continue
        positions = "; ".join(f"{text!r} in {listed(runs)}" for text, runs in odd.items())
        message = (
            f"the {end} lever stood in {len(odd)} positions (limit 1): {positions}; it changes damping more than most "
            "settings: ride again with it in one position, or leave those runs out"
        )
        found.append(pair.finds("lever_differs", message))
    return tuple(found)
