"""Coil spring, air gap above the oil, bump stop and top-out spring: closed forms, energy, continuity."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from telemetry.mechanics.coil_spring import AirGap, CoilSpring
from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.mechanics.stops import BumpStop, TopOut

COIL = CoilSpring(rate_n_m=9200.0, preload_m=0.008)
STOP = BumpStop(touch_m=0.27, rate_n_m=20e3, progression_n_m2=3e6)
TOP = TopOut(length_m=0.02, rate_n_m=12e3)
GAP = AirGap.from_compressed(area_m2=2 * 15.2e-4, level_m=0.1, full_m=0.3, spring_m3=60e-6)
"""An invented dirt-bike fork of 300 mm."""


@pytest.mark.parametrize("part", [COIL, STOP, TOP], ids=lambda part: type(part).__name__)
@pytest.mark.parametrize("x", [-0.03, -0.008, 0.0, 0.01, 0.02, 0.15, 0.27, 0.3])
def test_energy_is_the_integral_of_force(part: CoilSpring | BumpStop | TopOut, x: float) -> None:
    numeric, _ = quad(lambda at: float(part.force_n(np.array(at))), 0.0, x, points=[-0.008, 0.02, 0.27], epsabs=1e-10)
    assert float(part.energy_j(np.array(x))) == pytest.approx(numeric, abs=1e-8)


@pytest.mark.parametrize("part", [COIL, STOP, TOP], ids=lambda part: type(part).__name__)
def test_force_is_continuous_and_never_falls(part: CoilSpring | BumpStop | TopOut) -> None:
    at = np.linspace(-0.03, 0.32, 35001)
    steps = np.diff(part.force_n(at))
    assert np.all(steps >= 0)
    assert steps.max() < 1e-5 * 400e3


def test_a_coil_is_straight_and_lets_go_when_it_is_long() -> None:
    assert COIL.force_n(np.array([-0.02, -0.008, 0.0, 0.1])) == pytest.approx([0.0, 0.0, 73.6, 993.6])


def test_a_bump_stop_is_a_parabola_beyond_its_touch() -> None:
    assert STOP.force_n(np.array([0.0, 0.27, 0.28, 0.29])) == pytest.approx([0.0, 0.0, 500.0, 1600.0])


def test_a_top_out_spring_draws_in_near_the_top_only() -> None:
    assert TOP.force_n(np.array([-0.01, 0.0, 0.01, 0.02, 0.2])) == pytest.approx([-360.0, -240.0, -120.0, 0.0, 0.0])


def test_the_air_gap_written_out() -> None:
    at = np.linspace(0.0, 0.3, 31)
    gas = 2 * 15.2e-4 * 0.4 - 60e-6
    by_hand = 2 * 15.2e-4 * ATMOSPHERE_PA * ((gas / (gas - 2 * 15.2e-4 * at)) ** 1.3 - 1)
    assert GAP.force_n(at, 1.3) == pytest.approx(by_hand, rel=1e-9, abs=1e-9)
    numeric, _ = quad(lambda x: float(GAP.force_n(np.array(x), 1.3, 0.08)), 0.0, 0.3)
    assert float(GAP.energy_j(np.array(0.3), 1.3, 0.08)) == pytest.approx(numeric, rel=1e-8)
    assert np.gradient(GAP.force_n(at, 1.3), at)[1:-1] == pytest.approx(GAP.rate_n_m(at, 1.3)[1:-1], rel=0.06)


def test_more_oil_hardens_the_end_and_hardly_the_start() -> None:
    higher = AirGap.from_compressed(area_m2=2 * 15.2e-4, level_m=0.09, full_m=0.3, spring_m3=60e-6)
    more = higher.force_n(np.array([0.06, 0.27]), 1.3) - GAP.force_n(np.array([0.06, 0.27]), 1.3)
    assert 0 < more[0] < 10
    assert more[1] > 100


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: CoilSpring(rate_n_m=0.0), "rate_n_m is 0; it must be above 0"),
        (lambda: CoilSpring(rate_n_m=9e3, preload_m=-0.001), "preload_m is -0.001"),
        (lambda: BumpStop(touch_m=0.1, rate_n_m=0.0), "rate_or_progression is 0"),
        (lambda: BumpStop(touch_m=0.1, rate_n_m=-5.0), "rate_n_m is -5"),
        (lambda: TopOut(length_m=-0.1, rate_n_m=1e3), "length_m is -0.1"),
        (lambda: AirGap(area_m2=3e-3, oil_level_m=0.0), "oil_level_m is 0"),
        (lambda: AirGap(area_m2=3e-3, oil_level_m=0.02, spring_m3=60e-6), r"air gap of 20\.0 mm: volume_m3 is"),
        (lambda: GAP.force_n(np.array([0.39]), 1.3), r"air gap of 400\.0 mm: no gas left at 390\.0 mm"),
    ],
)
def test_impossible_parts_are_refused(build, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        build()
