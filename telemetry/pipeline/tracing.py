"""One run over its whole log, in as much detail as wished, with what is marked on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from telemetry import measures
from telemetry.model.curves import NamedPlace
from telemetry.model.day import Mark
from telemetry.model.finding import End
from telemetry.units import STANDARD_GRAVITY_M_S2

from .placing import STAGE
from .studied import RunStudy, Study


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTrace:
    """What is drawn of a run to be marked; places in seconds after the log's first row.

    Attributes
    ----------
    first_s, last_s : float
        Where the log begins and ends.
    start_s, end_s : float
        Where the run does, as far as is known.
    traces : mapping of end to Pyramid
        Travel, % of full travel; else upward acceleration, g, of the chassis where a sensor sits on it.
    unit : {"%", "g"}
    named : tuple of NamedPlace
        Its named stretches of trail, carried over ones too.
    told : tuple of str
        How each of them is known, or why it isn't.
    marks : tuple of Mark
        Places marked in it, presses too.
    """

    run: str
    setup: str
    first_s: float
    last_s: float
    start_s: float
    end_s: float
    traces: Mapping[End, measures.Pyramid]
    unit: str
    named: tuple[NamedPlace, ...]
    told: tuple[str, ...]
    marks: tuple[Mark, ...]


def markable(done: Study) -> tuple[str, ...]:
    """Return the runs that can be shown to be marked, in the order ridden."""
    return tuple(run.entry.name for run in done.runs if run.motion is not None)


def _values(motion: measures.RunMotion) -> tuple[dict[End, np.ndarray], str]:
    ride = motion.ride
    if ride.ends:
        return {end: 100.0 * one.travel_mm / one.full_travel_mm for end, one in ride.ends.items()}, "%"
    felt = {site[0]: one.attitude.upward_m_s2 for site, one in sorted(ride.inertial.items(), reverse=True)}
    return {end: upward / STANDARD_GRAVITY_M_S2 for end, upward in felt.items()}, "g"


def _named(run: RunStudy, time_s: np.ndarray) -> tuple[NamedPlace, ...]:
    return tuple(
        NamedPlace(name=name, start=float(time_s[where[0]]), end=float(time_s[min(where[1], time_s.size - 1)]))
        for name, where in run.named.items()
        if not isinstance(where, measures.Missing)
    )


def _told(run: RunStudy) -> tuple[str, ...]:
    known = (step.words for step in run.history if step.stage == STAGE)
    return (*known, *(finding.message for finding in run.findings if finding.code == "stretch_not_placed"))


def run_trace(done: Study, name: str) -> RunTrace:
    """Return a run to be marked.

    Parameters
    ----------
    done : Study
    name : str
        Of `markable`.
    """
    run = next(one for one in done.runs if one.entry.name == name)
    ride = run.moved.ride
    values, unit = _values(run.moved)
    breaks = tuple(start for start, _ in ride.segments[1:])
    return RunTrace(
        run=name,
        setup=run.entry.setup,
        first_s=float(ride.time_s[0]),
        last_s=float(ride.time_s[-1]),
        start_s=ride.start_s,
        end_s=ride.end_s,
        traces={end: measures.pyramid(ride.time_s, trace, breaks) for end, trace in values.items()},
        unit=unit,
        named=_named(run, ride.time_s),
        told=_told(run),
        marks=tuple(mark for mark in done.day.marks if mark.run == name),
    )
