"""What the pages draw of one run: its distributions, deepest hits, flights and a sketch of its travel."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from telemetry.model.arrays import Floats, Ints, read_only
from telemetry.model.curves import DeepHit, EndCurves, FeltLanding, Flight, PackingBurst, RiddenPhase, RunPicture
from telemetry.model.finding import End
from telemetry.model.motion import EndMotion, Stretch
from telemetry.model.phase import Landing, Phases
from telemetry.model.ride import Ride
from telemetry.model.stretches import mask_of
from telemetry.units import STANDARD_GRAVITY_M_S2

from .distributions import end_curves
from .inertial.curves import inertial_picture
from .stroke_list import bottomed
from .view import RunMotion, end_view, narrowed

DEEPEST = 5
BEFORE_S, AFTER_S = 0.5, 1.0
TRACE_POINTS = 300
OVERVIEW_PIECES = 400


def _trace(ride: Ride, sample: int) -> tuple[Floats, dict[End, Floats]]:
    start = int(np.searchsorted(ride.time_s, ride.time_s[sample] - BEFORE_S))
    stop = int(np.searchsorted(ride.time_s, ride.time_s[sample] + AFTER_S, side="right"))
    every = max(1, (stop - start) // TRACE_POINTS)
    places = np.unique(np.concatenate([np.arange(start, stop, every), [sample]]))
    traces = {
        end: read_only(100.0 * signal.travel_mm[places] / signal.full_travel_mm) for end, signal in ride.ends.items()
    }
    return read_only(ride.time_s[places]), traces


def deepest_hits(ride: Ride, motion: EndMotion, most: int = DEEPEST) -> tuple[DeepHit, ...]:
    """Return an end's deepest hits, in time order, each with its close-up of both ends.

    Parameters
    ----------
    ride : Ride
    motion : EndMotion
    most : int
    """
    deepest = np.sort(np.argsort(-motion.hits.stop_mm, kind="stable")[:most])
    return tuple(_deep_hit(ride, motion, place) for place in deepest.tolist())


def _deep_hit(ride: Ride, motion: EndMotion, number: int) -> DeepHit:
    hits = motion.hits
    sample = int(hits.stop[number])
    trace_s, trace_pct = _trace(ride, sample)
    touched = bool(bottomed(motion, hits)[number])
    near = float(hits.stop_mm[number]) >= motion.line_mm - ride.ends[motion.end].unsure_mm
    return DeepHit(
        end=motion.end,
        at_s=float(ride.time_s[sample]),
        depth_pct=100.0 * float(hits.stop_mm[number]) / motion.full_travel_mm,
        depth_mm=float(hits.stop_mm[number]),
        entry_speed_mm_s=float(hits.peak_mm_s[number]),
        length_mm=float(hits.length_mm[number]),
        bottomed=True if touched else None if near else False,
        trace_s=trace_s,
        trace_pct=trace_pct,
    )


def hit_at(run: RunMotion, end: End, at_s: float) -> DeepHit:
    """Return the hit whose deepest point is nearest to a moment, with its close-up of both ends.

    Parameters
    ----------
    run : RunMotion
        With a hit at that end.
    end : {"front", "rear"}
    at_s : float
        The log's seconds.
    """
    motion = run.ends[end]
    return _deep_hit(run.ride, motion, int(np.argmin(np.abs(run.ride.time_s[motion.hits.stop] - at_s))))


def worst_burst(ride: Ride, motion: EndMotion) -> PackingBurst | None:
    """Return the burst that packs down most, None where no burst does."""
    bursts = motion.bursts
    if bursts.value.size == 0 or bursts.value.max() <= 0:
        return None
    worst = int(np.argmax(bursts.value * bursts.weight))
    return PackingBurst(
        end=motion.end,
        start_s=float(ride.time_s[bursts.start[worst]]),
        hits=int(bursts.weight[worst]) + 1,
        slope_mm=float(bursts.value[worst]),
    )


def _overview_bounds(ride: Ride) -> Ints:
    return np.unique(np.linspace(0, ride.time_s.shape[0], OVERVIEW_PIECES + 1).astype(np.int64))


def _lowest_and_highest(values: Floats, bounds: Ints) -> Floats:
    low, high = np.minimum.reduceat(values, bounds[:-1]), np.maximum.reduceat(values, bounds[:-1])
    return np.column_stack([low, high]).ravel()


def overview(ride: Ride) -> tuple[Floats, dict[End, Floats]]:
    """Return a sketch of the whole ride: the lowest and highest travel of each of 400 pieces, in turn.

    Returns
    -------
    float array, shape (k,) and dict of end to float array, shape (k,)
        The log's seconds, and travel in % of full travel; no peak is lost.
    """
    bounds = _overview_bounds(ride)
    first, last = ride.time_s[bounds[:-1]], ride.time_s[bounds[1:] - 1]
    times = np.column_stack([first + (last - first) / 4, first + 3 * (last - first) / 4]).ravel()
    travel = {
        end: read_only(100.0 * _lowest_and_highest(signal.travel_mm, bounds) / signal.full_travel_mm)
        for end, signal in ride.ends.items()
    }
    return read_only(times), travel


def felt_overview(ride: Ride) -> dict[End, Floats]:
    """Return the same sketch of the chassis's upward acceleration, g, at each end that has a sensor there."""
    bounds = _overview_bounds(ride)
    return {
        end: read_only(_lowest_and_highest(signal.attitude.upward_m_s2, bounds) / STANDARD_GRAVITY_M_S2)
        for (end, on), signal in ride.inertial.items()
        if on == "chassis"
    }


def _flights(run: RunMotion, landings: Collection[Landing]) -> tuple[Flight, ...] | None:
    if run.time.airborne is None:
        return None
    felt = {
        landing.start: FeltLanding(
            peak_g=landing.peak_m_s2 / STANDARD_GRAVITY_M_S2,
            impulse_m_s=landing.impulse_m_s,
            lasts_s=(landing.stop - landing.start) / run.ride.rate_hz,
        )
        for landing in landings
    }
    return tuple(
        Flight(start_s=float(run.ride.time_s[start]), end_s=float(run.ride.time_s[stop - 1]), landing=felt.get(stop))
        for start, stop in run.time.flights
    )


def _ridden_phases(run: RunMotion, phases: Phases) -> tuple[RiddenPhase, ...]:
    """Return how long each phase was ridden, of the riding time that counts."""
    count, rate_hz = run.time.riding.shape[0], run.ride.rate_hz
    return tuple(
        RiddenPhase(
            name=phase.name,
            ridden_s=float(np.count_nonzero(mask_of(phase.stretches, count) & run.time.riding)) / rate_hz,
            confidence=phase.confidence,
            told_by=phase.told_by,
        )
        for phase in phases.found.values()
    )


def picture(
    run: RunMotion,
    setup: str,
    order: int,
    *,
    phases: Phases | None = None,
    stretches: tuple[Stretch, ...] | None = None,
) -> RunPicture:
    """Return everything the pages draw of one run that has riding time.

    Parameters
    ----------
    run : RunMotion
    setup : str
    order : int
        Position in the day.
    phases : Phases, optional
        Of the whole ride; None where no sensor tells any.
    stretches : tuple of (start, stop), optional
        Sample ranges in order that count; None is the whole ride. The sketch of travel is always whole.
    """
    run = run if stretches is None else narrowed(run, stretches)
    ride = run.ride
    curves: dict[End, EndCurves] = {}
    bursts: dict[End, PackingBurst] = {}
    deep: list[DeepHit] = []
    for end, motion in run.ends.items():
        view = end_view(run, end)
        curves[end] = end_curves(view, ride.ends[end].speed_mm_s[run.time.riding], motion.line_mm)
        deep.extend(deepest_hits(ride, motion))
        worst = worst_burst(ride, motion)
        if worst is not None:
            bursts[end] = worst
    times, sketch = overview(ride)
    return RunPicture(
        run=ride.name,
        setup=setup,
        order=order,
        riding_s=run.time.riding_s,
        ends=curves,
        deep_hits=tuple(sorted(deep, key=lambda hit: hit.at_s)),
        flights=_flights(run, () if phases is None else phases.landings),
        worst_bursts=bursts,
        overview_s=times,
        overview_pct=sketch,
        inertial=replace(inertial_picture(run), upward_g=felt_overview(ride)),
        phases=() if phases is None else _ridden_phases(run, phases),
    )
