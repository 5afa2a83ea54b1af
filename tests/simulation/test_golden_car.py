"""The golden car against what is printed about it, and roads against the golden car."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from telemetry.simulation.road import GEOMETRIC_MEAN_M3, rough_road
from tests.published import golden_car as published
from tests.simulation import golden_quarter_car as car
from tests.simulation.road_spectrum import spectrum_m3

STEP_M = 0.05
ROAD_M = 20_000.0


@pytest.mark.parametrize(
    ("step_m", "s", "p"), [(0.25, published.S250, published.P250), (0.1, published.S100, published.P100)]
)
def test_its_transition_is_the_printed_one(step_m: float, s: tuple, p: tuple) -> None:
    found_s, found_p = car.transition(step_m)
    assert found_s == pytest.approx(np.array(s), rel=2e-6)
    assert found_p[1:] == pytest.approx(p[1:], rel=2e-6)
    assert found_p[0] == pytest.approx(p[0], rel=1e-3)


def test_step_by_step_with_the_printed_matrices_it_is_the_same() -> None:
    slope = np.random.default_rng(1).standard_normal(400)
    start = np.array([0.3, 0.0, 0.3, 0.0])
    state, by_hand = start, []
    for value in slope:
        state = np.array(published.S250) @ state + np.array(published.P250) * value
        by_hand.append(state)
    assert car.states(slope, 0.25, start) == pytest.approx(np.array(by_hand), rel=1e-4, abs=1e-4)


def test_its_modes_are_the_printed_ones() -> None:
    stiffness = -car.STATE[np.ix_([1, 3], [0, 2])]
    found = np.sqrt(np.sort(np.linalg.eigvals(stiffness))) / (2 * math.pi)
    assert found == pytest.approx(published.COUPLED_HZ, rel=1e-6)


@pytest.mark.parametrize(("at", "height"), published.PEAKS)
def test_its_gain_peaks_where_printed(at: float, height: float) -> None:
    peak = minimize_scalar(
        lambda n: -float(car.gain(np.array([n]))[0]),
        bounds=(0.8 * at, 1.2 * at),
        method="bounded",
        options={"xatol": 1e-8},
    )
    assert peak.x == pytest.approx(at, rel=1e-5)
    assert -peak.fun == pytest.approx(height, rel=1e-6)


@pytest.mark.parametrize(("wavelength_m", "gain"), published.GAIN_AT.items())
def test_its_gain_off_the_peaks(wavelength_m: float, gain: float) -> None:
    assert car.gain(np.array([1 / wavelength_m]))[0] == pytest.approx(gain, rel=2e-6)


@pytest.mark.parametrize(("n", "iri"), published.SINE_IRI.items())
def test_a_sine_gives_its_roughness(n: float, iri: float) -> None:
    closed = car.gain(np.array([n]))[0] * 2 / math.pi * 2 * math.pi * n
    assert closed == pytest.approx(iri, rel=2e-5)
    height = 0.001 * np.sin(2 * math.pi * n * np.arange(0, 4000, 0.05))
    assert car.iri_m_km(height, 0.05) == pytest.approx(iri, rel=3e-3)  # it starts out of step with the sine


def test_a_triangle_gives_the_printed_strokes() -> None:
    x = np.arange(0.25, 30.1, 0.25)
    height = np.interp(x, [1.0, 3.0, 5.0], [0.0, 2.0, 0.0])
    stroke = car.strokes(height, 0.25)
    running = np.cumsum(stroke) / np.arange(1, stroke.shape[0] + 1)
    for at, mean in published.TRIANGLE.items():
        assert running[round(at / 0.25) - 2] == pytest.approx(mean, abs=6e-6)
    at_3 = car.states(np.diff(height) / 0.25, 0.25, np.zeros(4))[10]
    assert at_3 == pytest.approx(published.TRIANGLE_STATE_AT_3, abs=6e-5)


def theory_iri(level_m3: float, step_m: float) -> float:
    """Return m/km of a Gaussian road of w = 2; slopes over a step smooth it by a sinc."""

    def density(n: float) -> float:
        smooth = np.sinc(n * step_m) if step_m else 1.0
        wave = np.array([n])
        return float((2 * math.pi * n) ** 2 * spectrum_m3(wave, level_m3)[0] * (car.gain(wave)[0] * smooth) ** 2)

    parts = [quad(density, *ends, limit=400, epsrel=1e-8)[0] for ends in ((1e-6, 0.2), (0.2, 1.0), (1.0, 50.0))]
    return 1000 * math.sqrt(2 / math.pi * sum(parts))


@pytest.mark.parametrize("letter", "AB")
def test_theory_gives_the_published_roughness_of_a_class(letter: str) -> None:
    theory = theory_iri(GEOMETRIC_MEAN_M3[letter], 0.0)
    assert theory == pytest.approx(published.CLASS_IRI[letter], rel=1e-4)
    assert theory == pytest.approx(published.FITTED_IRI[letter], rel=2e-3)


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("letter", "AB")
def test_a_road_of_a_class_has_its_roughness(letter: str, seed: int) -> None:
    """Within 0.5 %, five times the scatter over 40 seeds: a whole repeat's mean square is exact."""
    rng = np.random.default_rng(seed)
    road = rough_road(rng, ROAD_M, STEP_M, level_m3=GEOMETRIC_MEAN_M3[letter], band_cycles_m=(0.005, 10.0))
    found = car.iri_m_km(road, STEP_M)
    assert found == pytest.approx(theory_iri(GEOMETRIC_MEAN_M3[letter], STEP_M), rel=0.005)
    assert found == pytest.approx(published.CLASS_IRI[letter], rel=0.006)
