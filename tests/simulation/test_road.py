"""Roads against the spectrum they were asked for."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.signal import welch

from telemetry.simulation.road import GEOMETRIC_MEAN_M3, rough_road
from tests.published import iso_8608 as published
from tests.simulation.road_spectrum import band_rms_m, spectrum_m3

STEP_M = 0.05


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def test_classes_are_the_published_ones() -> None:
    assert dict(GEOMETRIC_MEAN_M3) == pytest.approx(published.GEOMETRIC_MEAN_M3, rel=1e-12)
    for letter in "BCDEFG":
        middle = math.sqrt(published.LOWER_LIMIT_M3[letter] * published.UPPER_LIMIT_M3[letter])
        assert GEOMETRIC_MEAN_M3[letter] == pytest.approx(middle, rel=1e-12)


@pytest.mark.parametrize("letter", "ABCDEFGH")
def test_levels_at_one_radian_a_metre_are_the_published_ones(letter: str) -> None:
    angular = spectrum_m3(np.array([1 / (2 * math.pi)]), GEOMETRIC_MEAN_M3[letter])[0] / (2 * math.pi)
    assert angular == pytest.approx(published.ANGULAR_M3[letter], rel=6e-3)
    assert angular / 4 ** "ABCDEFGH".index(letter) == pytest.approx(published.CLASS_A_ANGULAR_M3, rel=5e-6)


def test_the_spectrum_of_slope_is_the_published_constant() -> None:
    n = np.array([0.011, 0.1, 1.0, 2.83])
    slope = (2 * math.pi * n) ** 2 * spectrum_m3(n, GEOMETRIC_MEAN_M3["A"])
    assert slope == pytest.approx(published.SLOPE_LEVEL_A_M, rel=1e-6)


@pytest.mark.parametrize(("letter", "rms_mm"), published.RMS_MM.items())
def test_the_height_a_band_holds_is_the_published_one(letter: str, rms_mm: float) -> None:
    assert 1000 * band_rms_m(GEOMETRIC_MEAN_M3[letter], 2.0, published.BAND_CYCLES_M) == pytest.approx(rms_mm, rel=2e-5)


@pytest.mark.parametrize("waviness", [1.0, 1.5, 2.0, 2.6])
def test_the_height_a_band_holds_is_the_spectrums_integral(waviness: float) -> None:
    whole = quad(lambda n: float(spectrum_m3(np.array([n]), 1e-3, waviness)[0]), 0.02, 3.0, epsrel=1e-10, limit=200)[0]
    assert band_rms_m(1e-3, waviness, (0.02, 3.0)) ** 2 == pytest.approx(whole, rel=1e-8)


@pytest.mark.parametrize(("letter", "waviness"), [("A", 2.0), ("D", 2.0), ("F", 2.0), ("C", 1.6), ("C", 2.5)])
def test_a_long_road_has_the_asked_spectrum_within_a_decibel(letter: str, waviness: float) -> None:
    """Asked is 1 dB. With amplitudes fixed, a bin of 100 km in pieces of 200 m scatters by 0.05 dB, so 0.3 is told."""
    level = GEOMETRIC_MEAN_M3[letter]
    road = rough_road(rng(), 100_000.0, STEP_M, level_m3=level, waviness=waviness)
    n, power = welch(road, fs=1 / STEP_M, nperseg=4000, detrend="constant")
    inside = (n >= 0.05) & (n <= 3.0)
    error_db = 10 * np.log10(power[inside] / spectrum_m3(n[inside], level, waviness))
    assert np.max(np.abs(error_db)) < 0.3
    assert abs(np.mean(error_db)) < 0.01


@pytest.mark.parametrize("waviness", [2.0, 2.4])
def test_every_harmonic_has_exactly_its_share(waviness: float) -> None:
    """But for the band's two ends, where a harmonic holds half; the integral differs by 1 in 4 k², k 131 or more."""
    count = 2**17
    road = rough_road(rng(), count * STEP_M, STEP_M, level_m3=1e-3, waviness=waviness, band_cycles_m=(0.02, 8.0))
    n = np.fft.rfftfreq(count, STEP_M)
    power = 2 * STEP_M / count * np.abs(np.fft.rfft(road)) ** 2
    inside = (n >= 0.0202) & (n <= 7.9998)
    assert power[inside] == pytest.approx(spectrum_m3(n[inside], 1e-3, waviness), rel=5e-5)
    assert np.max(power[(n < 0.0198) | (n > 8.0002)]) < 1e-15


@pytest.mark.parametrize(("length_m", "waviness"), [(8.0, 2.0), (60.0, 2.0), (60.0, 1.0), (1234.0, 2.3)])
def test_a_place_on_many_roads_varies_as_the_band_holds(length_m: float, waviness: float) -> None:
    """Over 3000 roads the standard error is 1.3 %."""
    band = (0.02, 4.0)
    places = [
        rough_road(rng(seed), length_m, 0.1, level_m3=1e-3, waviness=waviness, band_cycles_m=band)[40]
        for seed in range(3000)
    ]
    assert np.std(places) == pytest.approx(band_rms_m(1e-3, waviness, band), rel=0.04)


@pytest.mark.parametrize("band", [(0.02, 10.0), (0.05, 3.0), (0.5, 2.0)])
def test_its_height_is_what_the_band_holds(band: tuple[float, float]) -> None:
    road = rough_road(rng(4), 20_000.0, STEP_M, level_m3=1e-3, band_cycles_m=band)
    assert road.std() == pytest.approx(band_rms_m(1e-3, 2.0, band), rel=1e-5)


def test_heights_are_normal() -> None:
    road = rough_road(rng(5), 50_000.0, STEP_M, level_m3=1e-3, band_cycles_m=(0.1, 10.0))
    standard = road / road.std()
    assert np.mean(standard**3) == pytest.approx(0.0, abs=0.1)
    assert np.mean(standard**4) == pytest.approx(3.0, abs=0.2)


def test_a_short_road_is_not_a_closed_loop() -> None:
    """Ends of a loop would lie within a step of each other; here they are apart as any two places are."""
    ends = [rough_road(rng(seed), 20.0, 0.01, level_m3=1e-3)[[0, -1]] for seed in range(200)]
    n = np.linspace(0.02, 10.0, 200_001)
    apart = np.trapezoid(2 * spectrum_m3(n, 1e-3) * (1 - np.cos(2 * math.pi * n * 19.99)), n)
    assert np.mean(np.diff(ends) ** 2) == pytest.approx(apart, rel=0.3)  # 200 draws: standard error 10 %


def test_the_same_seed_gives_the_same_road_and_another_another() -> None:
    first, again, other = (rough_road(rng(seed), 50.0, 0.01, level_m3=1e-3) for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert abs(np.corrcoef(first, other)[0, 1]) < 0.9


@given(st.floats(1e-6, 1e-1), st.floats(0.5, 30.0), st.sampled_from([0.01, 0.02, 0.05]))
@settings(max_examples=30)
def test_roughness_scales_height_by_its_root(level_m3: float, length_m: float, step_m: float) -> None:
    road = rough_road(rng(), length_m, step_m, level_m3=level_m3)
    unit = rough_road(rng(), length_m, step_m, level_m3=1.0)
    assert road.shape == (round(length_m / step_m),)
    assert road == pytest.approx(math.sqrt(level_m3) * unit, rel=1e-9, abs=1e-12)


def test_what_a_step_cannot_hold_is_refused() -> None:
    with pytest.raises(ValueError, match=r"0\.02 to 10 cycles/m doesn't fit steps of 0\.1 m"):
        rough_road(rng(), 100.0, 0.1, level_m3=1e-3)
    with pytest.raises(ValueError, match="0 to 3 cycles/m"):
        rough_road(rng(), 100.0, 0.1, level_m3=1e-3, band_cycles_m=(0.0, 3.0))
    with pytest.raises(ValueError, match="above 0 m, not 0 and"):
        rough_road(rng(), 0.0, 0.01, level_m3=1e-3)
