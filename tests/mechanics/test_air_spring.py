"""Air spring with positive and negative chamber."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from telemetry.mechanics.air_spring import AirSpring
from telemetry.mechanics.gas import ATMOSPHERE_PA
from tests.published.polytropic_gas import SINGLE_CHAMBER, WITH_OIL

FORK = AirSpring(area_m2=9.1e-4, volume_m3=230e-6, pressure_pa=6.6e5, negative_area_m2=8.3e-4, negative_volume_m3=40e-6)
"""An invented trail fork of 170 mm."""
FULL_M = 0.170


def net_by_hand(x: float, n: float) -> float:
    """Return the fork's force, written out."""
    positive = 6.6e5 * (230e-6 / (230e-6 - 9.1e-4 * x)) ** n
    negative = 6.6e5 * (40e-6 / (40e-6 + 8.3e-4 * x)) ** n
    return 9.1e-4 * (positive - ATMOSPHERE_PA) - 8.3e-4 * (negative - ATMOSPHERE_PA)


@pytest.mark.parametrize("exponent", SINGLE_CHAMBER["exponents"])
def test_a_single_chamber_is_the_table(exponent: float) -> None:
    travel, _, force, rate, energy = np.array(SINGLE_CHAMBER["exponents"][exponent]).T
    spring = AirSpring(**{key: SINGLE_CHAMBER[key] for key in ("area_m2", "volume_m3", "pressure_pa")})
    assert spring.force_n(travel, exponent) == pytest.approx(force, rel=2e-7)
    assert spring.rate_n_m(travel, exponent) == pytest.approx(rate, rel=5e-7)
    assert spring.energy_j(travel, exponent) == pytest.approx(energy, abs=1e-5)


@given(st.floats(0.0, FULL_M), st.floats(1.0, 1.4))
def test_the_net_force_written_out(x: float, n: float) -> None:
    assert float(FORK.force_n(np.array(x), n)) == pytest.approx(net_by_hand(x, n), rel=1e-9, abs=1e-6)


def test_topped_out_only_the_rod_is_pressed_out() -> None:
    assert FORK.force_n(np.array(0.0), 1.3) == pytest.approx((9.1e-4 - 8.3e-4) * (6.6e5 - ATMOSPHERE_PA), rel=1e-9)


def test_the_negative_chamber_takes_force_off_the_top_and_hardly_any_off_the_end() -> None:
    alone = replace(FORK, negative_area_m2=0.0, negative_volume_m3=0.0)
    gained = FORK.force_n(np.array([0.0, 0.02, 0.16]), 1.0) - alone.force_n(np.array([0.0, 0.02, 0.16]), 1.0)
    assert gained[0] < -400
    assert gained[0] < gained[1] < gained[2]


def test_a_lower_negative_pressure_leaves_a_harder_top() -> None:
    weak = replace(FORK, negative_pressure_pa=3e5)
    assert weak.force_n(np.array(0.0), 1.0) > FORK.force_n(np.array(0.0), 1.0) + 200


@given(st.floats(0.001, FULL_M), st.floats(1.0, 1.4), st.floats(0.02, 0.08))
def test_energy_is_the_integral_of_the_net_force(x: float, n: float, settled: float) -> None:
    numeric, _ = quad(lambda at: float(FORK.force_n(np.array(at), n, settled)), 0.0, x, epsabs=1e-9)
    assert float(FORK.energy_j(np.array(x), n, settled)) == pytest.approx(numeric, abs=1e-6)


@pytest.mark.parametrize(("exponent", "settled"), [(1.0, None), (1.3, None), (1.3, 0.04), (1.4, 0.07)])
def test_force_rises_throughout_with_its_rate(exponent: float, settled: float | None) -> None:
    at = np.linspace(0.0, FULL_M, 2001)
    force, rate = FORK.force_n(at, exponent, settled), FORK.rate_n_m(at, exponent, settled)
    assert np.all(np.diff(force) > 0)
    assert np.gradient(force, at)[1:-1] == pytest.approx(rate[1:-1], rel=1e-3)


def test_sag_is_the_isothermal_one_and_a_ride_moves_about_it() -> None:
    load_n = 420.0
    sag = brentq(lambda x: float(FORK.force_n(np.array(x), 1.0)) - load_n, 0.0, FULL_M)
    assert 0.15 < sag / FULL_M < 0.35
    about = np.array([sag - 0.01, sag, sag + 0.01])
    slow, fast = FORK.force_n(about, 1.0), FORK.force_n(about, 1.35, sag)
    assert fast[1] == pytest.approx(load_n, rel=1e-9)
    assert fast[0] < slow[0]
    assert fast[2] > slow[2]
    assert FORK.rate_n_m(about[1:2], 1.35, sag) == pytest.approx(1.35 * FORK.rate_n_m(about[1:2], 1.0), rel=1e-9)


@pytest.mark.parametrize(("oil", "ratio", "force"), WITH_OIL["rows"])
def test_volume_taken_away_raises_the_end(oil: float, ratio: float, force: float) -> None:
    area = np.pi / 4 * WITH_OIL["bore_m"] ** 2
    spring = AirSpring(area_m2=area, volume_m3=WITH_OIL["volume_m3"], pressure_pa=WITH_OIL["pressure_pa"])
    full = spring.with_spacers(oil)
    end = np.array([WITH_OIL["travel_m"]])
    assert full.volume_m3 / full.chambers[0].volume_at_m3(end) == pytest.approx(ratio, abs=0.005)
    assert full.force_n(end, WITH_OIL["exponent"]) == pytest.approx(force, abs=50.0)


def test_spacers_leave_the_top_and_the_old_spring_alone() -> None:
    with_some = FORK.with_spacers(20e-6)
    assert FORK.volume_m3 == 230e-6
    assert with_some.with_spacers(-20e-6).volume_m3 == pytest.approx(FORK.volume_m3)
    gained = with_some.force_n(np.array([0.0, 0.04, 0.1, 0.16]), 1.3) - FORK.force_n(
        np.array([0.0, 0.04, 0.1, 0.16]), 1.3
    )
    assert gained[0] == pytest.approx(0.0, abs=1e-9)
    assert np.all(np.diff(gained) > 0)


def test_spacers_that_do_not_go_in() -> None:
    with pytest.raises(ValueError, match=r"230\.0 ml of spacers don't go into 230\.0 ml"):
        FORK.with_spacers(230e-6)


def test_no_gas_left_names_the_chamber() -> None:
    with pytest.raises(ValueError, match="positive chamber: no gas left at 260"):
        FORK.force_n(np.array([0.26]), 1.3)
    with pytest.raises(ValueError, match="negative chamber: no gas left at -60"):
        FORK.force_n(np.array([-0.06]), 1.3)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"area_m2": 0.0}, "area_m2 is 0; it must be above 0"),
        ({"pressure_pa": float("nan")}, "pressure_pa is nan"),
        ({"negative_volume_m3": 0.0}, "needs both an area and a volume"),
        ({"negative_area_m2": 0.0}, "needs both an area and a volume"),
        ({"negative_area_m2": -1e-4}, "negative_area_m2 is -0.0001; it must be 0 or more"),
        ({"negative_pressure_pa": -1.0}, "negative_pressure_pa is -1"),
    ],
)
def test_impossible_springs_are_refused(changes: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        replace(FORK, **changes)
