"""A body's motion under known forces, against closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.bench.paper.body import EMPTY_END, NO_WHEEL
from telemetry.bench.paper.movement import movement
from telemetry.dynamics.car import Bike, Frame
from tests.simulation.made_bike import NOBODY

RATE_HZ, MASS_KG, INERTIA_KG_M2 = 500.0, 40.0, 9.0
BIKE = Bike(
    frame=Frame(mass_kg=MASS_KG, pitch_inertia_kg_m2=INERTIA_KG_M2, front_ahead_m=0.7, rear_behind_m=0.5),
    rider=NOBODY,
    front_wheel=NO_WHEEL,
    rear_wheel=NO_WHEEL,
    front=EMPTY_END,
    rear=EMPTY_END,
)
MIDDLE = slice(4000, -4000)
WHOLE = slice(10_000, 20_000)
"""Whole waves, away from where the force sets in."""


def along(signal: np.ndarray, hertz: float) -> float:
    """Return the size of a signal's part that goes with the force."""
    wave = np.sin(2 * np.pi * hertz * np.arange(signal.shape[0]) / RATE_HZ)
    return float(2 * np.mean((signal * wave)[WHOLE]))


def swinging(hertz: float, front_n: float, rear_n: float) -> np.ndarray:
    seconds = np.arange(30_000) / RATE_HZ
    wave = np.sin(2 * np.pi * hertz * seconds)
    return np.array([300 + front_n * wave, 500 + rear_n * wave])


@pytest.mark.parametrize("hertz", [1.0, 4.0, 15.0])
def test_a_frame_heaves_and_pitches_as_newton_says(hertz: float) -> None:
    found = movement(BIKE, swinging(hertz, 100, 60), RATE_HZ)
    swing = (2 * np.pi * hertz) ** 2
    assert along(found.place[0], hertz) == pytest.approx(-160 / (MASS_KG * swing), rel=0.01)
    assert along(found.place[1], hertz) == pytest.approx(-(0.7 * 100 - 0.5 * 60) / (INERTIA_KG_M2 * swing), rel=0.01)
    assert along(found.acceleration[0], hertz) == pytest.approx(160 / MASS_KG, rel=0.01)


def test_what_moves_nothing_stays_as_a_load() -> None:
    found = movement(BIKE, swinging(3.0, 100, 0), RATE_HZ)
    assert found.slow_n[0, MIDDLE] == pytest.approx(300, abs=1)
    assert found.slow_n[1, MIDDLE] == pytest.approx(500, abs=1)


def test_forces_that_change_slowly_do_not_carry_the_body_away() -> None:
    found = movement(BIKE, swinging(0.05, 200, 0), RATE_HZ)
    assert np.abs(found.place[0]).max() < 0.1  # 50 m where it is integrated as it stands


def test_a_rider_on_a_spring_is_left_behind_above_his_own_frequency() -> None:
    rate = 70 * (2 * np.pi * 1.8) ** 2
    rider = replace(NOBODY, mass_kg=70.0, arms_n_m=rate, arms_n_s_m=500.0)
    slow, fast = (
        movement(replace(BIKE, rider=rider), swinging(hertz, 50, 50), RATE_HZ).acceleration[:, MIDDLE].max(axis=1)
        for hertz in (0.6, 12.0)
    )
    assert slow[2] == pytest.approx(slow[0], rel=0.2)  # as one mass: 100 N on 110 kg
    assert slow[0] == pytest.approx(100 / (MASS_KG + 70), rel=0.2)
    assert fast[0] == pytest.approx(100 / MASS_KG, rel=0.1)
    assert fast[2] < 0.15 * fast[0]
