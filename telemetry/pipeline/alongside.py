"""A day along the trail: every shown run's travel over the same places, what happened where, deep hits on average."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from telemetry import measures, memory
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.arrays import Floats
from telemetry.model.curves import AlignedHits, DeepHit, FlownStretch, NamedPlace, TrailEvent
from telemetry.model.day import RideDay
from telemetry.model.finding import ENDS, End

from .analysing import analysis_of
from .looking import ShownDay, look
from .studied import Progress, RunStudy, Selection, Study
from .studying import study

BYTES_A_ROW = 150
"""Seen: 110 a row of a run of two ends while its places are found, 25 once they are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Along:
    """Shown runs along the trail.

    Attributes
    ----------
    borders : float array, shape (S + 1,)
        Where the trail sections begin, and where the last one ends.
    unit : {"m", "s"}
        Of places: metres, or seconds of riding, of the run `measured_by`.
    traces : mapping of (run, end) to Pyramid
        Travel, % of full travel, over places.
    events : tuple of TrailEvent
        Within the sections that count.
    flights : tuple of FlownStretch
    no_flight : tuple of str
        Runs in which flight can't be told.
    aligned : tuple of AlignedHits
        Of the sections that count.
    named : tuple of NamedPlace
        The named stretches of trail that the run `measured_by` rode within the sections.
    """

    borders: Floats
    unit: str
    measured_by: str
    traces: Mapping[tuple[str, End], measures.Pyramid]
    events: tuple[TrailEvent, ...]
    flights: tuple[FlownStretch, ...]
    no_flight: tuple[str, ...]
    aligned: tuple[AlignedHits, ...]
    named: tuple[NamedPlace, ...] = ()


def _aligned(motions: Mapping[str, measures.RunMotion], seen: ShownDay) -> tuple[AlignedHits, ...]:
    found: list[AlignedHits | None] = []
    for setup in dict.fromkeys(picture.setup for picture in seen.pictures):
        runs = [
            measures.narrowed(motions[picture.run], seen.sections.of(picture.run))
            for picture in seen.pictures
            if picture.setup == setup
        ]
        found.extend(measures.aligned_hits(runs, end, setup) for end in ENDS)
    return tuple(item for item in found if item is not None)


def _named(run: RunStudy, place: Floats) -> tuple[NamedPlace, ...]:
    """Return where on the course a run's named stretches lie; those outside of every section don't."""
    found = []
    for name, where in run.named.items():
        inside = np.array([]) if isinstance(where, measures.Missing) else place[slice(*where)]
        inside = inside[np.isfinite(inside)]
        found.extend([NamedPlace(name=name, start=float(inside[0]), end=float(inside[-1]))] if inside.size else [])
    return tuple(found)


def along(done: Study, seen: ShownDay) -> Along:
    """Return the shown runs along the trail.

    Parameters
    ----------
    done : Study
    seen : ShownDay
        Of the same day.

    Notes
    -----
    The course is the first shown run's: within each trail section every run's places are stretched to fit it, so that
    section borders lie over each other. Between the borders places agree as far as runs ride a section alike.
    """
    setups = {picture.run: picture.setup for picture in seen.pictures}
    runs = {run.entry.name: run for run in done.runs if run.entry.name in setups}
    motions = {name: run.moved for name, run in runs.items()}
    stretches = seen.sections.sharing.stretches
    first = next(iter(setups))
    borders, unit = measures.borders_of(motions[first], stretches[first])
    traces: dict[tuple[str, End], measures.Pyramid] = {}
    events: list[TrailEvent] = []
    flights: list[FlownStretch] = []
    no_flight: list[str] = []
    for name, setup in setups.items():
        motion = motions[name]
        memory.check_day(str(done.day.path), BYTES_A_ROW * motion.ride.time_s.shape[0])
        place = measures.course(motion, stretches[name], borders).place
        shown = motion.time.riding & np.isfinite(place)
        passed = np.cumsum(shown)
        breaks = tuple(int(passed[start - 1]) for start, _ in motion.ride.segments[1:])
        for end, signal in motion.ride.ends.items():
            travel = 100.0 * signal.travel_mm[shown] / signal.full_travel_mm
            traces[name, end] = measures.pyramid(place[shown], travel, breaks)
        found = measures.trail_events(motion, setup, place, borders)
        events.extend(event for event in found if event.section - 1 in seen.sections.kept)
        flown = measures.flown_stretches(motion, setup, place)
        flights.extend(flown or ())
        no_flight.extend([name] if flown is None else [])
    return Along(
        borders=borders,
        unit=unit,
        measured_by=first,
        traces=traces,
        events=tuple(events),
        flights=tuple(flights),
        no_flight=tuple(no_flight),
        aligned=_aligned(motions, seen),
        named=_named(runs[first], measures.course(motions[first], stretches[first], borders).place),
    )


def close_up_of(done: Study, event: TrailEvent) -> DeepHit:
    """Return an event's close-up of both ends, 0.5 s before to 1 s after its deepest point."""
    motion = next(run.moved for run in done.runs if run.entry.name == event.run)
    return measures.hit_at(motion, event.end, event.at_s)


def report_parts(day: RideDay, progress: Progress | None = None) -> tuple[Analysis, Comparison | None, Along | None]:
    """Return a day's analysis with pictures, its comparison, and its runs along the trail.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional

    Returns
    -------
    Analysis, Comparison or None, Along or None
        No comparison where fewer than two setups have usable runs; nothing along the trail without any usable run.

    Raises
    ------
    CallError, LogError
    """
    done = study(day, progress)
    analysis = analysis_of(done, pictures=True)
    seen = look(done, Selection(), all_named=True)
    return (analysis, None, None) if seen is None else (analysis, seen.comparison, along(done, seen))
