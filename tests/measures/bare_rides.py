"""Rides put together from arrays, nothing cleaned: for thresholds, which are tried on the very numbers they judge."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from telemetry.measures.view import EndView, Knees
from telemetry.model.finding import End
from telemetry.model.motion import EndMotion, Events, RidingTime, Strokes
from telemetry.model.ride import Clocks, EndSignal, GroundSpeed, Noise, Ride

FULL_MM = 200.0


def bare_end(
    end: End,
    travel_mm: np.ndarray,
    *,
    full_mm: float = FULL_MM,
    still: np.ndarray | None = None,
    speed_mm_s: np.ndarray | None = None,
    noise_mm: float = 0.0,
    step_mm: float = 0.05,
) -> EndSignal:
    """Return one end whose cleaned and filtered travel are the same."""
    travel = np.asarray(travel_mm, dtype=float)
    return EndSignal(
        end=end,
        cleaned_mm=travel,
        travel_mm=travel,
        speed_mm_s=np.zeros(travel.shape) if speed_mm_s is None else speed_mm_s,
        still=np.zeros(travel.shape, dtype=bool) if still is None else still,
        full_travel_mm=full_mm,
        bumper_touch_mm=None,
        noise=Noise(travel_mm=noise_mm, speed_mm_s=0.0, sensor_step_mm=step_mm, source="sensor step"),
        shaft_ratio=None,
    )


def bare_ride(
    *ends: EndSignal,
    rate_hz: float = 100.0,
    segments: tuple[tuple[int, int], ...] | None = None,
    bounds_s: tuple[float, float] | None = None,
    ground_m_s: np.ndarray | None = None,
    time_s: np.ndarray | None = None,
    clocks: Clocks = "one",
) -> Ride:
    """Return a ride of these ends, the log's own bounds unless stated."""
    count = ends[0].travel_mm.shape[0]
    time = np.arange(count) / rate_hz if time_s is None else time_s
    start_s, end_s = bounds_s or (float(time[0]), float(time[-1]))
    return Ride(
        name="bare",
        setup="a",
        time_s=time,
        rate_hz=rate_hz,
        segments=segments or ((0, count),),
        ends={signal.end: signal for signal in ends},
        start_s=start_s,
        end_s=end_s,
        start_from="stated" if bounds_s else "log",
        end_from="stated" if bounds_s else "log",
        ground_speed=None if ground_m_s is None else GroundSpeed(speed_m_s=ground_m_s, source="ground_speed"),
        findings=(),
        history=(),
        clocks=clocks,
    )


def riding_time(riding: np.ndarray, rate_hz: float = 100.0, airborne: np.ndarray | None = None) -> RidingTime:
    """Return riding time that is given sample by sample."""
    return RidingTime(
        riding=riding, airborne=airborne, standing=(), lifted=(), flights=(), why_no_flight="", rate_hz=rate_hz
    )


def strokes(*bounds: tuple[int, int], mm: Mapping[int, float] | np.ndarray, peak_mm_s: float = 1000.0) -> Strokes:
    """Return strokes between samples; `mm` gives travel there."""
    start, stop = np.array(bounds, dtype=np.int64).reshape(-1, 2).T
    return Strokes(
        start=start,
        stop=stop,
        start_mm=np.array([mm[place] for place in start.tolist()], dtype=float),
        stop_mm=np.array([mm[place] for place in stop.tolist()], dtype=float),
        peak_mm_s=np.full(start.shape, peak_mm_s),
        peak_shaft_mm_s=None,
    )


def no_events() -> Events:
    return Events(start=np.empty(0, dtype=np.int64), value=np.empty(0), weight=np.empty(0))


def bare_motion(
    end: End,
    hits: Strokes,
    returns: Strokes | None = None,
    *,
    bottom: tuple[int, ...] = (),
    bursts: Events | None = None,
) -> EndMotion:
    """Return an end's motion: its hits, its returns, where it bottoms out, its bursts."""
    count = len(bottom)
    return EndMotion(
        end=end,
        full_travel_mm=FULL_MM,
        compressions=hits,
        rebounds=returns or strokes(mm={}),
        hits=hits,
        returns=returns or strokes(mm={}),
        bottom_outs=Events(start=np.array(bottom, dtype=np.int64), value=np.zeros(count), weight=np.ones(count)),
        top_outs=no_events(),
        recoveries=no_events(),
        bursts=bursts or no_events(),
        line_mm=190.0,
    )


def bare_view(travel_mm: np.ndarray | None = None, *, minutes: float = 1.0, full_mm: float = FULL_MM) -> EndView:
    """Return what measures look at, without an event or a stroke."""
    travel = np.empty(0) if travel_mm is None else travel_mm
    none = strokes(mm={})
    return EndView(
        end="front",
        full_travel_mm=full_mm,
        travel_mm=travel,
        sag_travel_mm=travel,
        cleaned_max_mm=float(travel.max(initial=np.nan)) if travel.size else float("nan"),
        minutes=minutes,
        compressions=none,
        hits=none,
        returns=none,
        bottom_outs=no_events(),
        top_outs=no_events(),
        recoveries=no_events(),
        bursts=no_events(),
        knees=Knees(),
        fewest_strokes=1,
    )
