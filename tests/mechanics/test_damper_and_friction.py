"""Damper, oil and friction: shape of force, work per cycle, free decay."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from telemetry.mechanics.damper import Damper, DamperSide, end_factor
from telemetry.mechanics.friction import friction_n
from telemetry.mechanics.oil import oil_viscosity_cst
from tests.published.motorcycle_shock import (
    DAMPED_PERIOD_S,
    DAMPING_N_S_M,
    HALF_CYCLE_RATIO,
    MASS_KG,
    PRINTED_TO,
    REACHED_M,
    SPEED_M_S,
    SPEED_TO,
    STIFFNESS_N_M,
)

COMPRESSION = DamperSide(slope_below_n_s_m=500.0, knee_m_s=0.4, slope_above_n_s_m=150.0)
REBOUND = DamperSide(slope_below_n_s_m=900.0, knee_m_s=0.3, slope_above_n_s_m=400.0)
DAMPER = Damper(compression=COMPRESSION, rebound=REBOUND)


def straight_lines(side: DamperSide, speed: np.ndarray) -> np.ndarray:
    below = side.slope_below_n_s_m * np.minimum(speed, side.knee_m_s)
    return below + side.slope_above_n_s_m * np.maximum(speed - side.knee_m_s, 0.0)


def work_per_cycle(force, amplitude_m: float, omega: float) -> float:
    """Return the integral of force over one cycle of a sinusoid, by the midpoint rule in phase."""
    phase = (np.arange(200_000) + 0.5) * 2 * np.pi / 200_000
    speed = amplitude_m * omega * np.cos(phase)
    return float(np.mean(force(speed) * speed) * 2 * np.pi / omega)


@pytest.mark.parametrize(("amplitude", "hz"), [(0.01, 1.0), (0.005, 4.0), (0.002, 18.0)])
def test_work_per_cycle_below_the_knee_is_the_closed_form(amplitude: float, hz: float) -> None:
    omega = 2 * np.pi * hz
    both = Damper(compression=COMPRESSION, rebound=COMPRESSION)
    assert amplitude * omega < 0.8 * COMPRESSION.knee_m_s
    closed = np.pi * 500.0 * omega * amplitude**2
    assert work_per_cycle(both.force_n, amplitude, omega) == pytest.approx(closed, rel=1e-9)
    mean = np.pi * (500.0 + 900.0) / 2 * omega * amplitude**2
    assert work_per_cycle(DAMPER.force_n, 0.5 * amplitude, omega) == pytest.approx(mean / 4, rel=1e-9)


@pytest.mark.parametrize("peak", [0.6, 1.0, 3.0])
def test_work_per_cycle_above_the_knee_is_that_of_two_straight_lines(peak: float) -> None:
    omega = 2 * np.pi * 3.0
    amplitude, knee = peak / omega, COMPRESSION.knee_m_s
    both = Damper(compression=COMPRESSION, rebound=COMPRESSION)
    turn = np.arccos(knee / peak)  # phase within which the speed is above the knee, to either side of the crossing
    excess = 350.0 * peak**2 * (turn / 2 + np.sin(2 * turn) / 4) - 350.0 * knee * peak * np.sin(turn)
    closed = np.pi * 500.0 * omega * amplitude**2 - 4 * excess / omega
    exact_lines = work_per_cycle(lambda v: np.sign(v) * straight_lines(COMPRESSION, np.abs(v)), amplitude, omega)
    assert exact_lines == pytest.approx(closed, rel=1e-8)
    assert work_per_cycle(both.force_n, amplitude, omega) == pytest.approx(closed, rel=0.01)


def test_outside_its_band_the_knee_is_sharp_and_within_it_off_by_little() -> None:
    speed = np.concatenate([np.linspace(0.0, 0.32, 50), np.linspace(0.48, 5.0, 50)])
    assert COMPRESSION.force_n(speed) == pytest.approx(straight_lines(COMPRESSION, speed), rel=1e-12)
    within = np.linspace(0.32, 0.48, 50)
    off = straight_lines(COMPRESSION, within) - COMPRESSION.force_n(within)
    assert np.all(off >= -1e-9)
    assert off.max() <= 350.0 * 0.08 / 4 + 1e-9


@given(st.floats(10.0, 2000.0), st.floats(0.05, 1.0), st.floats(0.0, 1.0))
def test_force_and_slope_are_continuous_rising_and_digressive(below: float, knee: float, share: float) -> None:
    side = DamperSide(slope_below_n_s_m=below, knee_m_s=knee, slope_above_n_s_m=share * below)
    speed = np.linspace(0.0, 3 * knee, 3001)
    slope = np.diff(side.force_n(speed)) / np.diff(speed)
    assert np.all(slope >= share * below - 1e-6 * below)
    assert np.all(np.diff(slope) <= 1e-6 * below)
    assert np.abs(np.diff(slope)).max() <= 0.0026 * below  # the whole change takes 0.4 knees: 400 steps


@given(st.floats(-5.0, 5.0), st.floats(0.2, 3.0))
def test_force_has_the_speeds_sign_and_goes_with_viscosity(v: float, share: float) -> None:
    found = float(DAMPER.force_n(np.array(v)))
    assert np.sign(found) == np.sign(v)
    side = COMPRESSION if v > 0 else REBOUND
    assert abs(found) == pytest.approx(float(side.force_n(np.array(v))))
    thinner = Damper(compression=COMPRESSION, rebound=REBOUND, viscosity_share=share)
    assert float(thinner.force_n(np.array(v))) == pytest.approx(share * found)


@given(st.floats(0.0, 5.0))
def test_like_sides_make_an_odd_force(v: float) -> None:
    both = Damper(compression=REBOUND, rebound=REBOUND)
    there, back = both.force_n(np.array([v, -v]))
    assert there == -back


def test_the_textbooks_motorcycle() -> None:
    """Rao, Example 2.14: 250 mm reached, then a sixteenth of it a whole cycle of 2 s later."""
    side = DamperSide(slope_below_n_s_m=DAMPING_N_S_M, knee_m_s=100.0, slope_above_n_s_m=0.0)
    damper = Damper(compression=side, rebound=side)

    def motion(_: float, state: np.ndarray) -> list[float]:
        return [state[1], -(STIFFNESS_N_M * state[0] + float(damper.force_n(state[1]))) / MASS_KG]

    def turning(_: float, state: np.ndarray) -> float:
        return state[1]

    found = solve_ivp(motion, (0.0, 4.0), [0.0, SPEED_M_S], events=turning, rtol=1e-10, atol=1e-13)
    times, peaks = found.t_events[0], found.y_events[0][:, 0]
    omega, zeta = np.sqrt(STIFFNESS_N_M / MASS_KG), DAMPING_N_S_M / (2 * np.sqrt(STIFFNESS_N_M * MASS_KG))
    closed = SPEED_M_S / omega * np.exp(-zeta * np.arccos(zeta) / np.sqrt(1 - zeta**2))
    assert peaks[0] == pytest.approx(closed, rel=1e-8)
    assert peaks[0] == pytest.approx(REACHED_M, rel=SPEED_TO)
    assert peaks[1] / peaks[0] == pytest.approx(-HALF_CYCLE_RATIO, rel=PRINTED_TO)
    assert times[2] - times[0] == pytest.approx(DAMPED_PERIOD_S, rel=PRINTED_TO)


def test_the_end_factor_rises_smoothly_from_one() -> None:
    at = np.linspace(-0.01, 0.18, 1901)
    found = end_factor(at, 0.17, 0.8, 3.0)
    assert np.all(found[at <= 0.8 * 0.17] == 1.0)
    assert np.all(found[at >= 0.17] == 3.0)
    assert np.all(np.diff(found) >= 0)
    assert np.diff(found).max() < 1e-4 * 1.5 * 2.0 / (0.2 * 0.17) + 1e-9
    assert end_factor(np.array([0.9 * 0.17]), 0.17, 0.8, 3.0) == pytest.approx(2.0)
    assert np.all(end_factor(at, 0.17, 0.8, 1.0) == 1.0)


@pytest.mark.parametrize(("amplitude", "hz"), [(0.02, 1.5), (0.005, 12.0)])
def test_friction_takes_four_times_force_times_amplitude_a_cycle(amplitude: float, hz: float) -> None:
    omega = 2 * np.pi * hz
    band = 1e-3 * amplitude * omega
    lost = work_per_cycle(lambda v: friction_n(v, 25.0, band), amplitude, omega)
    assert lost == pytest.approx(4 * 25.0 * amplitude, rel=1e-5)
    wide = work_per_cycle(lambda v: friction_n(v, 25.0, 100 * amplitude * omega), amplitude, omega)
    assert wide == pytest.approx(np.pi * 25.0 / (100 * amplitude * omega) * omega * amplitude**2, rel=1e-4)


def test_friction_alone_takes_four_times_force_over_rate_off_each_cycle() -> None:
    """30 N on 10 N/mm: 12 mm a cycle [Rao2011]."""
    mass, rate, dry = 10.0, 10e3, 30.0

    def motion(_: float, state: np.ndarray) -> list[float]:
        return [state[1], -(rate * state[0] + float(friction_n(state[1], dry, 1e-3))) / mass]

    def turning(_: float, state: np.ndarray) -> float:
        return state[1]

    found = solve_ivp(
        motion, (0.0, 1.0), [0.1, -1e-9], events=turning, rtol=1e-8, atol=1e-10, max_step=2e-3, method="LSODA"
    )
    peaks = np.abs(found.y_events[0][:, 0])
    peaks = peaks[peaks < 0.0999][:6]
    assert 0.1 - peaks[0] == pytest.approx(0.006, abs=5e-5)
    assert peaks[:-2] - peaks[2:] == pytest.approx(0.012, abs=1e-4)


@given(st.floats(-3.0, 3.0), st.floats(0.0, 100.0))
def test_friction_is_odd_bounded_and_zero_at_rest(v: float, dry: float) -> None:
    there, back, rest = friction_n(np.array([v, -v, 0.0]), dry, 0.01)
    assert there == -back
    assert rest == 0
    assert abs(there) <= dry
    assert there * v >= 0


def test_friction_reaches_seven_tenths_at_its_band() -> None:
    assert friction_n(np.array([0.01]), 30.0, 0.01) == pytest.approx(30 / np.sqrt(2.0))
    assert friction_n(np.array([0.1, -1.0]), 30.0, 0.01) == pytest.approx([30.0, -30.0], rel=5.1e-3)


@given(st.floats(0.01, 0.99), st.floats(1e-3, 0.1))
def test_a_part_held_off_its_balance_creeps(share: float, band: float) -> None:
    creep = band * share / np.sqrt(1 - share**2)
    assert friction_n(np.array([creep]), 40.0, band) == pytest.approx(share * 40.0)


def test_oil_passes_through_its_data_sheet_and_is_straight_on_walthers_paper() -> None:
    at = np.linspace(-10.0, 120.0, 27)
    found = oil_viscosity_cst(at, 16.1, 3.9)
    assert oil_viscosity_cst(np.array([40.0, 100.0]), 16.1, 3.9) == pytest.approx([16.1, 3.9], rel=1e-12)
    assert np.all(np.diff(found) < 0)
    paper = np.polyfit(np.log10(at + 273.15), np.log10(np.log10(found + 0.7)), 1, full=True)
    assert paper[1][0] < 1e-24


def test_oil_that_thins_less_is_thicker_hot_and_thinner_cold() -> None:
    cold, hot = oil_viscosity_cst(np.array([0.0, 80.0]), 16.0, 4.2) - oil_viscosity_cst(
        np.array([0.0, 80.0]), 16.0, 3.6
    )
    assert cold < 0 < hot


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: DamperSide(slope_below_n_s_m=-1.0, knee_m_s=0.3, slope_above_n_s_m=0.0), "slope_below_n_s_m is -1"),
        (lambda: DamperSide(slope_below_n_s_m=1.0, knee_m_s=0.0, slope_above_n_s_m=0.0), "knee_m_s is 0"),
        (lambda: Damper(compression=REBOUND, rebound=REBOUND, viscosity_share=0.0), "viscosity_share is 0"),
        (lambda: end_factor(np.zeros(1), 0.17, 1.0, 2.0), "from_share is 1; it must be below 1"),
        (lambda: end_factor(np.zeros(1), 0.0, 0.8, 2.0), "full_m is 0"),
        (lambda: friction_n(np.zeros(1), 30.0, 0.0), "band_m_s is 0"),
        (lambda: friction_n(np.zeros(1), -1.0, 0.1), "coulomb_n is -1"),
        (lambda: oil_viscosity_cst(np.zeros(1), 4.0, 16.0), "the second must be > 0 and smaller"),
        (lambda: oil_viscosity_cst(np.zeros(1), 4.0, 0.2), "too thin"),
    ],
)
def test_impossible_figures_are_refused(build, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        build()


def test_the_excess_above_the_knee_by_quadrature() -> None:
    """The closed form used above, once more by adaptive quadrature in time."""
    omega, peak = 2 * np.pi * 3.0, 1.0
    side = Damper(compression=COMPRESSION, rebound=COMPRESSION)
    power = quad(
        lambda t: float(side.force_n(np.array(peak * np.cos(omega * t)))) * peak * np.cos(omega * t),
        0.0,
        np.pi / 2 / omega,
        epsabs=1e-10,
        limit=200,
    )[0]
    assert work_per_cycle(side.force_n, peak / omega, omega) == pytest.approx(4 * power, rel=1e-8)
