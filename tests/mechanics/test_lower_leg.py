"""Gas in the lower legs: closed forms, oil, crossover, and what the trade sees."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.mechanics.lower_leg import LowerLegs

FULL_M = 0.170
STANCHION_M2 = np.pi / 4 * 0.036**2
ML = 1e-6


def legs(*oil_ml: float, volume_ml: tuple[float, ...] = (270.0,), crossover: bool = False, closed_at_m: float = 0.0):
    return LowerLegs(
        volume_each_m3=tuple(ML * volume for volume in volume_ml),
        oil_each_m3=tuple(ML * oil for oil in oil_ml),
        area_each_m2=(STANCHION_M2,),
        crossover=crossover,
        closed_at_m=closed_at_m,
    )


@given(st.floats(0.0, FULL_M), st.floats(1.0, 1.4), st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_two_legs_written_out(x: float, n: float, left: float, right: float) -> None:
    by_hand = 0.0
    for oil in (left, right):
        gas = (270 - oil) * ML
        by_hand += STANCHION_M2 * ATMOSPHERE_PA * ((gas / (gas - STANCHION_M2 * x)) ** n - 1)
    assert float(legs(left, right).force_n(np.array(x), n)) == pytest.approx(by_hand, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("exponent", [1.2, 1.3, 1.4])
@pytest.mark.parametrize("settled", [None, 0.25 * FULL_M])
def test_less_oil_takes_off_what_the_trade_sees(exponent: float, settled: float | None) -> None:
    """30 to 12 ml a leg: tens of N at 60 % of travel, around 100 N at 90 % (common practice, no source)."""
    at = np.array([0.6, 0.9]) * FULL_M
    off = legs(30.0).force_n(at, exponent, settled) - legs(12.0).force_n(at, exponent, settled)
    assert 15 < off[0] < 50
    assert 75 < off[1] < 150


def test_isothermally_it_takes_off_less_and_at_sag_hardly_anything() -> None:
    at = np.array([0.2, 0.6, 0.9]) * FULL_M
    slow = legs(30.0).force_n(at, 1.0) - legs(12.0).force_n(at, 1.0)
    fast = legs(30.0).force_n(at, 1.3) - legs(12.0).force_n(at, 1.3)
    assert np.all(slow < fast)
    assert 0 < slow[0] < 3


@given(st.floats(0.0, FULL_M), st.floats(1.0, 1.4))
def test_a_crossover_between_like_legs_changes_nothing(x: float, n: float) -> None:
    at = np.array(x)
    apart, joined = legs(20.0), legs(20.0, crossover=True)
    assert apart.force_n(at, n) == pytest.approx(joined.force_n(at, n), rel=1e-12, abs=1e-9)
    assert apart.rate_n_m(at, n) == pytest.approx(joined.rate_n_m(at, n), rel=1e-12)


@given(st.floats(0.01, FULL_M), st.floats(1.0, 1.4), st.floats(5.0, 30.0))
def test_a_crossover_between_unlike_legs_softens(x: float, n: float, apart_ml: float) -> None:
    at = np.array(x)
    apart = legs(40.0 - apart_ml, 40.0).force_n(at, n)
    assert legs(40.0 - apart_ml, 40.0, crossover=True).force_n(at, n) < apart


def test_joined_legs_are_one_chamber_of_both() -> None:
    at = np.linspace(0.0, FULL_M, 18)
    gas, area = (270 + 240 - 30 - 12) * ML, 2 * STANCHION_M2
    by_hand = area * ATMOSPHERE_PA * ((gas / (gas - area * at)) ** 1.3 - 1)
    found = legs(30.0, 12.0, volume_ml=(270.0, 240.0), crossover=True)
    assert found.force_n(at, 1.3) == pytest.approx(by_hand, rel=1e-9, abs=1e-9)


def test_closed_part_way_in_the_legs_draw_the_fork_in_above_it() -> None:
    before, there, after = legs(20.0, closed_at_m=0.03).force_n(np.array([0.0, 0.03, 0.1]), 1.0)
    assert before < -10
    assert there == pytest.approx(0.0, abs=1e-9)
    assert 0 < after < legs(20.0).force_n(np.array(0.1), 1.0)


@given(st.floats(0.001, FULL_M), st.floats(1.0, 1.4), st.booleans(), st.floats(0.0, 0.05))
def test_energy_is_the_integral_of_force(x: float, n: float, crossover: bool, closed: float) -> None:
    part = legs(30.0, 12.0, crossover=crossover, closed_at_m=closed)
    numeric, _ = quad(lambda at: float(part.force_n(np.array(at), n, 0.04)), 0.0, x, epsabs=1e-9)
    assert float(part.energy_j(np.array(x), n, 0.04)) == pytest.approx(numeric, abs=1e-6)


@pytest.mark.parametrize("crossover", [False, True])
def test_force_rises_with_its_rate(crossover: bool) -> None:
    at = np.linspace(0.0, FULL_M, 1001)
    part = legs(30.0, 12.0, crossover=crossover)
    force = part.force_n(at, 1.3, 0.04)
    assert np.all(np.diff(force) > 0)
    assert np.gradient(force, at)[1:-1] == pytest.approx(part.rate_n_m(at, 1.3, 0.04)[1:-1], rel=1e-3)


def test_oil_that_leaves_no_gas_within_travel_says_travel_and_volumes() -> None:
    words = (
        r"lower leg 2 \(270\.0 ml empty, 110\.0 ml of oil\): no gas left at 160\.0 mm of travel: 160\.0 ml topped out"
    )
    with pytest.raises(ValueError, match=words):
        legs(20.0, 110.0).force_n(np.array([0.1, 0.16, 0.17]), 1.3)
    with pytest.raises(ValueError, match=r"joined lower legs \(540\.0 ml empty, 220\.0 ml of oil\): no gas left"):
        legs(110.0, crossover=True).force_n(np.array([0.17]), 1.3)


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: legs(270.0), r"270\.0 ml of oil don't go into 270\.0 ml"),
        (lambda: legs(20.0, 20.0, 20.0), "oil_each_m3 has 3 values; it takes one for both legs, or two"),
        (legs, "oil_each_m3 has 0 values"),
        (lambda: legs(-1.0), "oil_each_m3 is -1e-06; it must be 0 or more"),
        (lambda: legs(20.0, volume_ml=(270.0, 0.0)), "volume_each_m3 is 0; it must be above 0"),
        (lambda: legs(20.0, closed_at_m=0.3), "no gas left at 300"),
    ],
)
def test_impossible_legs_are_refused(build, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        build()
