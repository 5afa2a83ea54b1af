"""Movement on simulated natural trails, against the simulation's own travel at 4000 steps a second.

A sensor on each axle, one at the stem, one at the seat tube; noise of 0.3 mg over root Hz, 16 bits.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from telemetry.measures.inertial.moved import moved_end
from telemetry.measures.inertial.moved_strokes import (
    moved_compression_speed_10_per_min,
    moved_length_10_per_min,
    moved_rebound_speed_10_per_min,
)
from telemetry.measures.inertial.relative import Geometry
from telemetry.measures.inertial.view import inertial_view
from telemetry.measures.view import RunMotion
from telemetry.model.arrays import Floats
from telemetry.model.finding import ENDS, End
from telemetry.model.inertial import InertialSignal, On
from telemetry.model.motion import MovedEnd, Pushes, RidingTime
from telemetry.simulation.body import Place, felt
from telemetry.simulation.natural_ride import natural_ride
from telemetry.simulation.runs_made import MadeRun
from telemetry.simulation.truth import reversals
from tests.measures.inertial.two_sensors import STEPS_HZ, Fitted, above_1_hz, sampled, sensed_ride

OFF_M: dict[End, tuple[float, float]] = {"front": (-0.25, 0.50), "rear": (0.40, 0.45)}
GOOD = {
    "wheel": Fitted(noise_m_s2_rthz=0.003, bias_m_s2=0.2, range_g=100.0, gyro_bias_rad_s=0.004),
    "chassis": Fitted(noise_m_s2_rthz=0.002, bias_m_s2=-0.1, range_g=16.0, gyro_bias_rad_s=0.002),
}
SEEDS = (3, 6)


@cache
def ridden(seed: int) -> MadeRun:
    return natural_ride(seed, change={"trail": {"natural": {"length_m": 300}}})


def axle_m(run: MadeRun, end: End) -> tuple[float, float]:
    own = run.signals.body.geometry
    return (own.front_ahead_m, -own.front_down_m) if end == "front" else (-own.rear_behind_m, -own.rear_down_m)


def signal(run: MadeRun, end: End, on: On) -> InertialSignal:
    ahead, up = axle_m(run, end)
    place = Place(ahead_m=ahead + OFF_M[end][0], up_m=up + OFF_M[end][1])
    if on == "wheel":
        place = Place(on="front_axle" if end == "front" else "rear_axle")
    found = felt(run.signals.body, place)
    off = OFF_M[end] if on == "chassis" else None
    return sampled(found.force_m_s2, found.rotation_rad_s, (end, on), GOOD[on], stated_m=off)


@cache
def moved(seed: int, end: End, across: bool = False) -> tuple[MovedEnd, RunMotion, Floats]:
    run = ridden(seed)
    there: End = "rear" if end == "front" else "front"
    signals = signal(run, end, "wheel"), signal(run, there if across else end, "chassis")
    ride = sensed_ride(*signals, rate_hz=500.0)
    riding = (ride.time_s >= run.starts_s) & (ride.time_s <= run.ends_s)
    count = riding.size
    time = RidingTime(
        riding=riding,
        airborne=None,
        standing=((0, 500), (count - 500, count)),
        lifted=(),
        flights=(),
        why_no_flight="",
        rate_hz=500.0,
    )
    own = run.signals.body.geometry
    geometry = Geometry(
        head_angle_deg=float(np.degrees(np.arcsin(own.fork_sine))),
        wheelbase_mm=1e3 * (own.front_ahead_m + own.rear_behind_m),
    )
    found = moved_end(ride, end, time, geometry)
    assert isinstance(found, MovedEnd), found
    true = 1e3 * (run.signals.body.front_m if end == "front" else run.signals.body.rear_m)
    return found, RunMotion(ride=ride, time=time, pushes=Pushes(), ends={}, moved={end: found}), true


def true_figures(seed: int, true_mm: Floats) -> tuple[float, float, float]:
    """Return what ten a minute reach of the travel itself: speeds of strokes of 10 mm, and lengths of hits."""
    run = ridden(seed)
    turns = reversals(true_mm, 2.0)
    middle = (turns[1:] + turns[:-1]) / 2 / STEPS_HZ
    inside = (middle >= run.starts_s) & (middle <= run.ends_s)
    length = np.diff(true_mm[turns])
    speed = np.abs(np.gradient(true_mm)) * STEPS_HZ
    peak = np.maximum.reduceat(speed, np.column_stack([turns[:-1], turns[1:]]).ravel())[::2]
    rank = 10 * (run.ends_s - run.starts_s) / 60
    figures = peak[inside & (length >= 10)], peak[inside & (length <= -10)], length[inside & (length >= 10)]
    found = [float(np.interp(rank, np.arange(1, own.size + 1), np.sort(own)[::-1])) for own in figures]
    return found[0], found[1], found[2]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("end", ENDS)
def test_movement_above_1_hz_is_that_of_travel(seed: int, end: End) -> None:
    found, run, true = moved(seed, end)
    riding = run.time.riding
    own, other = above_1_hz(found.movement_mm, 500.0), above_1_hz(true[::8], 500.0)
    assert np.corrcoef(own[riding], other[riding])[0, 1] > 0.99
    carried, _, _ = moved(seed, end, across=True)
    assert np.corrcoef(above_1_hz(carried.movement_mm, 500.0)[riding], other[riding])[0, 1] > 0.95


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("end", ENDS)
def test_ten_a_minute_are_those_of_travel_speeds_within_six_hundredths(seed: int, end: End) -> None:
    _, run, true = moved(seed, end)
    view = inertial_view(run, end)
    measures = moved_compression_speed_10_per_min, moved_rebound_speed_10_per_min, moved_length_10_per_min
    *speeds, length = (measure(view) for measure in measures)
    *true_speeds, true_length = true_figures(seed, true)
    assert speeds == pytest.approx(true_speeds, rel=0.06)
    assert length == pytest.approx(true_length, rel=0.08)  # sums what speeds are off by


def test_impacts_that_fold_over_are_told_as_error() -> None:
    """Read 200 times a second without a low-pass, as simple loggers do: nothing is told."""
    run = ridden(3)
    slow = {on: Fitted(rate_hz=200.0, smoothed=False, range_g=fitted.range_g) for on, fitted in GOOD.items()}
    places = {"wheel": Place(on="front_axle"), "chassis": Place(ahead_m=0.5, up_m=0.3)}
    signals = []
    for on in ("wheel", "chassis"):
        found = felt(run.signals.body, places[on])
        signals.append(sampled(found.force_m_s2, found.rotation_rad_s, ("front", on), slow[on]))
    ride = sensed_ride(*signals, rate_hz=200.0)
    riding = (ride.time_s >= run.starts_s) & (ride.time_s <= run.ends_s)
    time = RidingTime(
        riding=riding,
        airborne=None,
        standing=((0, 200), (riding.size - 200, riding.size)),
        lifted=(),
        flights=(),
        why_no_flight="",
        rate_hz=200.0,
    )
    assert "movement is wrong by" in str(moved_end(ride, "front", time, Geometry(head_angle_deg=64.0)))
