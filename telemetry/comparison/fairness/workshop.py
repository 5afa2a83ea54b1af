"""What the workshop left behind: friction, trapped air, pressure that doesn't hold."""

from __future__ import annotations

from collections.abc import Iterator

from telemetry.model.conditions import ComparisonConditions, RunConditions
from telemetry.model.day import Setup
from telemetry.model.finding import ENDS, Finding
from telemetry.words import figure

from .pair import Pair, beyond

FRICTION_SHARE = 0.3
"""Of the smallest change of sag; a band moves resting height by half its width. Common practice, no source."""
LOST_SHARE = 0.02
AWAY_M = 300.0
APART_M = 30.0
"""Altitudes between two setups' legs; a tenth of AWAY_M, about as well as an altitude is known."""
APART_MM = 1.0


def friction_differs(pair: Pair) -> tuple[Finding, ...]:
    """Find ends whose friction bands, at one load, differ by over 0.3 x the smallest change of sag."""
    found = []
    for (end, load), new in pair.candidate.friction_band_mm.items():
        old, change = pair.baseline.friction_band_mm.get((end, load)), pair.baseline.smallest_sag_mm.get(end)
        if old is None or change is None or not beyond(new - old, FRICTION_SHARE * change):
            continue
        baseline, candidate = pair.labels
        message = (
            f"the {end}'s friction band is {figure(new, 1)} mm with {candidate} and {figure(old, 1)} mm with "
            f"{baseline}, {figure(new - old, 1, signed=True)} mm (limit {figure(FRICTION_SHARE * change, 1)} mm, "
            f"{FRICTION_SHARE:g} x the smallest change of sag): friction itself may be the cause; look for bushings, "
            "seals and grease, make both alike"
        )
        found.append(pair.finds("friction_differs", message))
    return tuple(found)


def _lost(run: RunConditions, setup: Setup) -> Iterator[str]:
    for end in ENDS:
        after, before = run.pressure_after_bar.get(end), setup.at(end).number("air_pressure_bar")
        if after is None or not before or not beyond(max(0.0, before - after) / before, LOST_SHARE):
            continue
        yield (
            f"{run.run}, {end}: {after:.4g} bar after the run and {before:.4g} bar in {setup.label}, "
            f"{figure(100 * (after / before - 1), 1, signed=True)} % (limit {100 * LOST_SHARE:g} %): the spring got "
            "softer, or the pump's hose took the air; look for a leak, and set the pressure anew in steps, cycling in "
            "between"
        )


def pressure_lost(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find runs after which an end held over 2 % less pressure than its setup states."""
    return tuple(
        Finding(code="pressure_lost", message=message)
        for run in conditions.runs
        for message in _lost(run, conditions.setups[run.setup].setup)
    )


def lower_legs_closed_away(conditions: ComparisonConditions) -> tuple[Finding, ...]:
    """Find setups whose lower legs were closed over 300 m of altitude away from the trail."""
    found = []
    for item in conditions.setups.values():
        bled, here = item.setup.front.number("lower_leg_bled_altitude_m"), conditions.altitude_m
        if bled is None or here is None or not beyond(bled - here, AWAY_M):
            continue
        message = (
            f"{item.setup.label}: the lower legs were closed at {figure(bled, 0)} m and ridden at {figure(here, 0)} m, "
            f"{figure(abs(bled - here), 0)} m apart (limit {AWAY_M:g} m): the air shut in pushes or pulls the legs; "
            "bleed them at the trail, fully extended"
        )
        found.append(Finding(code="lower_legs_not_bled_here", message=message))
    return tuple(found)


def lower_legs_closed_differently(pair: Pair) -> tuple[Finding, ...]:
    """Find setups whose lower legs were closed at another altitude or in another place of the travel."""
    found = []
    for key, unit, limit in (
        ("lower_leg_bled_altitude_m", "m of altitude", APART_M),
        ("lower_leg_closed_at_mm", "mm of travel", APART_MM),
    ):
        old, new = (item.setup.front.number(key) for item in (pair.baseline, pair.candidate))
        if old is None or new is None or not beyond(new - old, limit):
            continue
        baseline, candidate = pair.labels
        message = (
            f"the lower legs of {candidate} were closed at {figure(new, 0)} and those of {baseline} at "
            f"{figure(old, 0)} {unit}, {figure(abs(new - old), 0)} apart (limit {limit:g}): other amounts of air are "
            "shut in; bleed both in one place, fully extended"
        )
        found.append(pair.finds("lower_legs_not_bled_here", message))
    return tuple(found)
