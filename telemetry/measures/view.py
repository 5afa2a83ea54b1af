"""What the measures look at: samples and events of one ride, whole or within some stretches of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.finding import End
from telemetry.model.motion import EndMotion, Events, MovedEnd, Pushes, RidingTime, Stretch, Strokes
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.stretches import mask_of

from .missing import NOT_FROM_ACCELERATION, Missing


@dataclass(frozen=True, slots=True, kw_only=True)
class Knees:
    """Damper shaft speeds at which the damper's slope changes, mm/s; None where not stated."""

    compression_mm_s: float | None = None
    rebound_mm_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EndView:
    """One end's counted samples and events.

    Attributes
    ----------
    travel_mm : float array
        Filtered travel over riding time.
    sag_travel_mm : float array
        The same without flights.
    cleaned_max_mm : float
        Deepest cleaned travel over riding time, mm; NaN where there is none.
    minutes : float
        Riding time, min.
    fewest_strokes : int
        Strokes a percentile needs: 1 for a whole run, 5 within a section.
    """

    end: End
    full_travel_mm: float
    travel_mm: Floats
    sag_travel_mm: Floats
    cleaned_max_mm: float
    minutes: float
    compressions: Strokes
    hits: Strokes
    returns: Strokes
    bottom_outs: Events
    top_outs: Events
    recoveries: Events
    bursts: Events
    knees: Knees
    fewest_strokes: int


def inside(samples: Ints, stretches: tuple[Stretch, ...]) -> Bools:
    """Tell which samples lie within any of the stretches (in order, not overlapping)."""
    bounds = np.array(stretches, dtype=np.int64).reshape(-1, 2).ravel()
    found: Bools = np.searchsorted(bounds, samples, side="right") % 2 == 1
    return found


def _events(events: Events, stretches: tuple[Stretch, ...]) -> Events:
    keep = inside(events.start, stretches)
    return Events(start=events.start[keep], value=events.value[keep], weight=events.weight[keep])


def _samples(signal: Floats, mask: Bools, stretches: tuple[Stretch, ...]) -> Floats:
    """Return the masked samples of the stretches; without a copy where the mask holds throughout."""
    parts = [signal[a:b] if mask[a:b].all() else signal[a:b][mask[a:b]] for a, b in stretches]
    return parts[0] if len(parts) == 1 else np.concatenate(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMotion:
    """One ride with its riding time, its three pushes, and the motion of its ends.

    Attributes
    ----------
    lost : mapping of end to str
        Ends whose readings can't be used, each by the code of what is wrong; `ride` and `ends` are without them.
    moved : mapping of end to MovedEnd or Missing
        How ends with an inertial sensor on the wheel move, or why that isn't told.
    """

    ride: Ride
    time: RidingTime
    pushes: Pushes
    ends: Mapping[End, EndMotion]
    lost: Mapping[End, str] = field(default_factory=lambda: MappingProxyType({}))
    moved: Mapping[End, MovedEnd | Missing] = field(default_factory=lambda: MappingProxyType({}))

    def lacks(self, end: End) -> Missing:
        """Return why nothing is said of the travel of an end that isn't among its own."""
        reason = f"no displacement sensor at the {end}"
        if any(site[0] == end for site in self.ride.inertial):
            reason += f": {NOT_FROM_ACCELERATION}"
        return Missing(self.lost.get(end, reason))


def narrowed(run: RunMotion, stretches: tuple[Stretch, ...]) -> RunMotion:
    """Return the same ride as if only some stretches of it were ridden; an event belongs to the stretch of its start.

    Parameters
    ----------
    run : RunMotion
    stretches : tuple of (start, stop)
        Sample ranges in order.
    """
    there = mask_of(stretches, run.time.riding.shape[0])

    def strokes(every: Strokes) -> Strokes:
        return every.where(there[every.start])

    ends = {
        end: replace(
            motion,
            compressions=strokes(motion.compressions),
            rebounds=strokes(motion.rebounds),
            hits=strokes(motion.hits),
            returns=strokes(motion.returns),
            bottom_outs=_events(motion.bottom_outs, stretches),
            top_outs=_events(motion.top_outs, stretches),
            recoveries=_events(motion.recoveries, stretches),
            bursts=_events(motion.bursts, stretches),
        )
        for end, motion in run.ends.items()
    }
    moved = {
        end: own if isinstance(own, Missing) else replace(own, hits=strokes(own.hits), returns=strokes(own.returns))
        for end, own in run.moved.items()
    }
    flights = tuple((start, stop) for start, stop in run.time.flights if there[start])
    time = replace(run.time, riding=run.time.riding & there, flights=flights)
    return replace(run, time=time, ends=MappingProxyType(ends), moved=MappingProxyType(moved))


def end_view(
    run: RunMotion,
    end: End,
    *,
    stretches: tuple[Stretch, ...] | None = None,
    knees: Knees | None = None,
    fewest_strokes: int = 1,
) -> EndView:
    """Return what the measures look at, at one end.

    Parameters
    ----------
    run : RunMotion
    end : {"front", "rear"}
    stretches : tuple of (start, stop), optional
        Sample ranges in order; None is the whole ride. An event belongs to the stretch of its start.
    knees : Knees, optional
    fewest_strokes : int

    Returns
    -------
    EndView
    """
    signal: EndSignal = run.ride.ends[end]
    motion = run.ends[end]
    where = stretches if stretches is not None else ((0, run.time.riding.shape[0]),)
    travel = _samples(signal.travel_mm, run.time.riding, where)
    cleaned = _samples(signal.cleaned_mm, run.time.riding, where)
    airborne = run.time.airborne
    on_ground = travel
    if airborne is not None and run.time.flights:
        on_ground = _samples(signal.travel_mm, run.time.riding & ~airborne, where)

    def strokes(every: Strokes) -> Strokes:
        return every if stretches is None else every.where(inside(every.start, where))

    def events(every: Events) -> Events:
        return every if stretches is None else _events(every, where)

    return EndView(
        end=end,
        full_travel_mm=signal.full_travel_mm,
        travel_mm=travel,
        sag_travel_mm=on_ground,
        cleaned_max_mm=float(np.max(cleaned)) if cleaned.size else float("nan"),
        minutes=travel.shape[0] / run.time.rate_hz / 60.0,
        compressions=strokes(motion.compressions),
        hits=strokes(motion.hits),
        returns=strokes(motion.returns),
        bottom_outs=events(motion.bottom_outs),
        top_outs=events(motion.top_outs),
        recoveries=events(motion.recoveries),
        bursts=events(motion.bursts),
        knees=knees or Knees(),
        fewest_strokes=fewest_strokes,
    )
