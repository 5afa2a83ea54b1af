"""How long a wheel is unloaded, by accelerations alone, against the tyres' own forces on a simulated natural trail."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.dynamics.half_car import axle_loads_n
from telemetry.measures.inertial.band import low_passed, upper_edge_hz
from telemetry.measures.inertial.unloading import RIDER_HZ, UNLOADED_SHARE, load_share, load_shares, unloaded_pct
from telemetry.simulation.body import Place, felt
from telemetry.simulation.natural_ride import natural_ride
from telemetry.simulation.runs_made import MadeRun
from telemetry.units import STANDARD_GRAVITY_M_S2

LOG_HZ = 500.0
RIDER_KG = 70.0


@pytest.fixture(scope="module")
def run() -> MadeRun:
    return natural_ride(2, change={"trail": {"natural": {"length_m": 220, "speed_m_s": 6.0}}})


@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_wheel_is_unloaded_for_as_long_as_its_tyre_says(run: MadeRun, end: str):
    motion, bike, body = run.whole.motion, run.whole.bike, run.signals.body
    front = end == "front"
    own, at_rest_n = (bike.front_wheel if front else bike.rear_wheel), axle_loads_n(bike)[0 if front else 1]
    static_n = at_rest_n + own.mass_kg * STANDARD_GRAVITY_M_S2
    load = (motion.front_tyre_n if front else motion.rear_tyre_n) / static_n
    geometry = body.geometry
    ahead_m = geometry.front_ahead_m if front else -geometry.rear_behind_m
    chassis = felt(body, Place(ahead_m=ahead_m)).force_m_s2[:, 2] - STANDARD_GRAVITY_M_S2
    wheel = chassis + (body.front_m_s2 * geometry.fork_sine if front else body.rear_m_s2)
    starts = round(run.starts_s * body.rate_hz)
    ridden = slice(starts, starts + load.size)
    edge_hz = upper_edge_hz(LOG_HZ)
    slow, low, high = (
        low_passed(signal, body.rate_hz, edge)[ridden]
        for signal, edge in ((chassis, RIDER_HZ), (chassis, edge_hz), (wheel, edge_hz))
    )
    bike_kg = bike.frame.mass_kg + bike.front_wheel.mass_kg + bike.rear_wheel.mass_kg
    told = load_share(high, low, slow, load_shares(bike_kg / (bike_kg + RIDER_KG)))
    true_pct = 100 * float(np.mean(load < UNLOADED_SHARE))
    assert 8 < true_pct < 25
    assert unloaded_pct([told]) == pytest.approx(true_pct, abs=5)
    assert np.corrcoef(told, load[: told.size])[0, 1] > 0.8
    stiff = load_share(high, low, low, load_shares(bike_kg / (bike_kg + RIDER_KG)))
    assert unloaded_pct([stiff]) > true_pct + 12, "a rider fixed to the frame isn't what was ridden"
