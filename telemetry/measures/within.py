"""Every measure within a phase of a run: dynamic sag under braking, hit speed in turns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from telemetry.model.catalogue import SPECS
from telemetry.model.finding import End
from telemetry.model.motion import Stretch
from telemetry.model.within import within

from .catalogue import END_MEASURES, PAIR_MEASURES, BikeFacts, inertial_views, of_both
from .inertial.catalogue import MEASURES as SHAKEN
from .inertial.view import InertialView, part_of
from .missing import Missing
from .phases.catalogue import Told
from .phases.found import FoundPhases
from .view import RunMotion, end_view

LEAST_S = 5.0
LEAST_IN_THE_AIR_S = 1.0
FEWEST_STROKES = 5
"""Own choices: what five seconds give is worth a look; a second of flights is a day's worth of jumps."""
BRIEF = frozenset({"airborne", "landing"})
NEARLY_ALL = "coasting"
"""What acceleration tells within it is what it tells of the ride, and takes as long: only where it is asked for."""

Named: TypeAlias = Mapping[str, Stretch | Missing]
"""Where in a run each named stretch of trail lies, or why that isn't known."""
NONE_NAMED: Named = MappingProxyType({})


def least_s(place: str) -> float:
    """Return how long a part of the ride has to last for measures within it, s."""
    return LEAST_IN_THE_AIR_S if place in BRIEF else LEAST_S


def too_short(place: str, seconds: float) -> Missing | None:
    """Return why a part of the ride that lasts so long gives no measures; None where it is long enough."""
    if seconds >= least_s(place):
        return None
    return Missing(f"{seconds:.1f} s of {place} (at least {least_s(place):g} s needed)")


def place_stretches(found: FoundPhases | None, place: str, named: Named = NONE_NAMED) -> tuple[Stretch, ...] | Missing:
    """Return the stretches of a run that a name stands for: a phase's, or those of a named stretch of trail.

    Parameters
    ----------
    found : FoundPhases or None
        None where no sensor tells phases.
    place : str
    named : mapping of name to stretch
        The run's named stretches of trail.
    """
    if place in named:
        where = named[place]
        return where if isinstance(where, Missing) else (where,)
    if found is None:
        return Missing("no inertial sensor on the chassis and no ground-speed sensor: phases can't be told")
    phase = next((one for name, one in found.phases.found.items() if name == place), None)
    if phase is not None:
        return phase.stretches
    why = next((reason for name, reason in found.phases.absent.items() if name == place), f"nothing is named {place}")
    return Missing(why)


def clipped(kept: tuple[Stretch, ...], where: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    """Return what two sets of stretches share; each in order and apart.

    Examples
    --------
    >>> clipped(((0, 10), (20, 30)), ((5, 22), (25, 26)))
    ((5, 10), (20, 22), (25, 26))
    """
    shared = []
    mine, theirs = 0, 0
    while mine < len(kept) and theirs < len(where):
        start, stop = max(kept[mine][0], where[theirs][0]), min(kept[mine][1], where[theirs][1])
        if start < stop:
            shared.append((start, stop))
        if kept[mine][1] < where[theirs][1]:
            mine += 1
        else:
            theirs += 1
    return tuple(shared)


def measures_within(
    run: RunMotion,
    found: FoundPhases | None,
    facts: BikeFacts,
    felt: Mapping[End, InertialView] | None = None,
    named: Named = NONE_NAMED,
) -> Iterator[Told]:
    """Yield every measure with a value within a phase, as ``name@phase``: of 5 s or more, flights and landings of 1 s.

    Within a named stretch of trail likewise, of 5 s or more; one without any measure has its riding time absent, with
    the reason.

    Parameters
    ----------
    run : RunMotion
    found : FoundPhases or None
    facts : BikeFacts
    felt : mapping of end to InertialView, optional
        From `inertial_views`, where what they work out is used again.
    named : mapping of name to stretch
        Where its named stretches of trail lie, or why that isn't known.
    """
    felt = felt or inertial_views(run, facts)
    for name, phase in () if found is None else found.phases.found.items():
        seconds = phase.seconds(run.time.rate_hz)
        if too_short(name, seconds) is None:
            yield from _measured(run, (name, phase.stretches), facts, felt if name != NEARLY_ALL else {})
            yield within("riding_time", name), "both", seconds
    for place, where in named.items():
        seconds = 0.0 if isinstance(where, Missing) else ridden_s(run, where)
        lacking = where if isinstance(where, Missing) else too_short(place, seconds)
        if not isinstance(where, Missing) and lacking is None:
            yield from _measured(run, (place, (where,)), facts, felt)
        yield within("riding_time", place), "both", lacking or seconds


def ridden_s(run: RunMotion, where: Stretch) -> float:
    """Return how long a stretch of a run was ridden, s."""
    return int(np.count_nonzero(run.time.riding[slice(*where)])) / run.time.rate_hz


def _measured(
    run: RunMotion, place: tuple[str, tuple[Stretch, ...]], facts: BikeFacts, felt: Mapping[End, InertialView]
) -> Iterator[Told]:
    """Yield the measures that have a value within a named part of a run."""
    name, where = place
    for measure, end, outcome in (*_of_travel(run, where, facts), *_shaken(run, where, felt)):
        if not isinstance(outcome, Missing):
            yield within(measure, name), end, outcome


def _of_travel(run: RunMotion, where: tuple[Stretch, ...], facts: BikeFacts) -> Iterator[Told]:
    views = {
        end: end_view(run, end, stretches=where, knees=facts.knees.get(end), fewest_strokes=FEWEST_STROKES)
        for end in run.ends
    }
    for end, view in views.items():
        for name, function in END_MEASURES.items():
            yield name, end, function(view)
    for name, pair in PAIR_MEASURES.items():
        yield name, "both", of_both(run, name, pair, views, facts)


def _shaken(run: RunMotion, where: tuple[Stretch, ...], felt: Mapping[End, InertialView]) -> Iterator[Told]:
    shaken: set[End] = {end for end, _ in run.ride.inertial if end not in run.lost}
    for end in sorted(shaken & felt.keys()):
        view = part_of(felt[end], run, where)
        for name, function_of in SHAKEN.items():
            if end in SPECS[name].ends:
                yield name, end, function_of(view)
