"""Trails: the same for every run but for its line; speeds; wheels that roll over them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import welch

from telemetry.simulation.obstacles import Bump, Drop, Kerb
from telemetry.simulation.road import BAND_CYCLES_M, GEOMETRIC_MEAN_M3
from telemetry.simulation.trail import BRAKING_M_S2, Profile, Stretch, Trail, profile, wheel_path
from tests.published import square_edge
from tests.simulation.road_spectrum import band_rms_m, spectrum_m3

STEP_M = 0.01


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def rough(length_m: float = 400.0, letter: str = "D", speed_m_s: float = 7.0, **more: object) -> Stretch:
    return Stretch(length_m=length_m, level_m3=GEOMETRIC_MEAN_M3[letter], speed_m_s=speed_m_s, **more)  # type: ignore[arg-type]


def smooth(length_m: float = 100.0, speed_m_s: float = 7.0, **more: object) -> Stretch:
    return Stretch(length_m=length_m, level_m3=0.0, speed_m_s=speed_m_s, **more)  # type: ignore[arg-type]


def trail(*stretches: Stretch, seed: int = 5) -> Trail:
    return Trail(stretches=stretches, seed=seed)


def run(of: Trail, line: int = 1, line_share: float = 0.03) -> Profile:
    return profile(of, line_rng=rng(line), line_share=line_share)


def test_without_a_line_of_its_own_every_run_is_the_same() -> None:
    of = trail(rough(obstacles=(Bump(at_m=20.0, height_m=0.1, length_m=0.3),)), rough(letter="C"))
    assert np.array_equal(run(of, 1, 0.0).height_m, run(of, 2, 0.0).height_m)
    assert np.array_equal(run(of, 1).height_m, run(of, 1).height_m)
    assert not np.array_equal(run(of, 1).height_m, run(of, 2).height_m)


def test_another_seed_is_another_trail() -> None:
    first, other = (run(trail(rough(2000.0), seed=seed), line_share=0.0).height_m for seed in (1, 2))
    assert abs(np.corrcoef(first, other)[0, 1]) < 0.3


@pytest.mark.parametrize("share", [0.02, 0.05, 0.2])
def test_runs_differ_by_the_line_share(share: float) -> None:
    """Two lines' difference is sqrt(2) s of a road, in slope within 0.2 %, in height, of fewer waves, within 2.3 %."""
    of = trail(rough(4000.0))
    first, second = (run(of, line, share).height_m for line in (1, 2))
    whole = band_rms_m(GEOMETRIC_MEAN_M3["D"], 2.0, BAND_CYCLES_M)
    assert np.std(first - second) == pytest.approx(math.sqrt(2) * share * whole, rel=0.07)
    slopes = np.diff(first), np.diff(second)
    assert np.std(slopes[0] - slopes[1]) == pytest.approx(math.sqrt(2) * share * np.std(slopes[0]), rel=0.01)
    assert np.corrcoef(*slopes)[0, 1] == pytest.approx(1 - share**2, abs=0.02 * share**2)


@pytest.mark.parametrize("share", [0.0, 0.03, 0.3])
def test_a_line_keeps_the_spectrum(share: float) -> None:
    height = run(trail(rough(20_000.0, letter="C", waviness=2.2)), 3, share).height_m
    n, power = welch(height, fs=1 / STEP_M, nperseg=20_000, detrend="constant")
    inside = (n >= 0.05) & (n <= 3.0)
    error_db = 10 * np.log10(power[inside] / spectrum_m3(n[inside], GEOMETRIC_MEAN_M3["C"], 2.2))
    assert np.max(np.abs(error_db)) < 1.0 + 2.0 * (share > 0.1)  # off-line ground interferes with the trail's own
    assert abs(np.mean(error_db)) < 0.05


def test_each_stretch_has_its_own_roughness_and_the_trail_begins_and_ends_smooth() -> None:
    of = trail(rough(1000.0, "B"), rough(1000.0, "E"), rough(1000.0, "C"))
    height = run(of).height_m
    assert height.shape == (300_000,)
    assert height[[0, -1]] == pytest.approx(0.0, abs=1e-4)
    assert np.diff(height[:3]) == pytest.approx(0.0, abs=1e-6)
    for k, letter in enumerate("BEC"):
        part = np.diff(height[100_000 * k + 1000 : 100_000 * (k + 1) - 1000]) / STEP_M
        slope_rms = 2 * math.pi * math.sqrt(GEOMETRIC_MEAN_M3[letter] * 0.1**2 * (BAND_CYCLES_M[1] - BAND_CYCLES_M[0]))
        assert part.std() == pytest.approx(slope_rms, rel=0.03)


@pytest.mark.parametrize("letters", ["DD", "CE", "EC"])
def test_stretches_meet_at_constant_power(letters: str) -> None:
    """At the middle of a border both grounds weigh half: over 800 trails the variance there is their mean."""
    levels = []
    for seed in range(800):
        of = trail(*(rough(60.0, letter) for letter in letters), seed=seed)
        levels.append(profile(of, line_rng=rng(), line_share=0.0, step_m=0.05).height_m[1200])
    mean = sum(GEOMETRIC_MEAN_M3[letter] for letter in letters) / 2
    assert np.std(levels) == pytest.approx(band_rms_m(mean, 2.0, BAND_CYCLES_M), rel=0.08)  # standard error 2.5 %


def test_stretches_meet_without_a_step() -> None:
    """Class E's slope has a standard deviation of 1.27; a step would stand out in one of 30 trails."""
    for seed in range(30):
        height = run(trail(rough(60.0, "C"), rough(60.0, "E"), seed=seed), line_share=0.0).height_m
        assert np.abs(np.diff(height[5700:6300])).max() < 3.5 * 1.27 * STEP_M


def test_changing_one_stretch_leaves_the_others() -> None:
    first = run(trail(rough(200.0), rough(200.0), rough(200.0))).height_m
    second = run(trail(rough(200.0), rough(200.0, "F"), rough(200.0))).height_m
    assert np.array_equal(first[:19_700], second[:19_700])
    assert np.array_equal(first[40_300:], second[40_300:])


def test_an_obstacle_lies_where_its_stretch_puts_it() -> None:
    bump, kerb = Bump(at_m=10.0, height_m=0.1, length_m=0.5), Kerb(at_m=20.0, height_m=0.15)
    found = run(trail(smooth(), smooth(obstacles=(bump, kerb)), smooth()), line_share=0.0)
    x_m = found.distance_m - 100.0
    assert found.height_m == pytest.approx(bump.heights(x_m) + kerb.heights(x_m), abs=1e-12)
    assert found.height_m[-1] == pytest.approx(0.15)


def test_a_line_varies_heights_and_places_of_obstacles() -> None:
    """Height by 3 %, place by 0.15 m: standard errors over 500 lines are 3 % of each."""
    of = trail(smooth(20.0, obstacles=(Bump(at_m=10.0, height_m=0.1, length_m=0.5),)))
    runs = [run(of, line).height_m for line in range(500)]
    tops = np.array([height.max() for height in runs])
    places = np.array([height.argmax() * STEP_M for height in runs])
    assert (tops.mean(), places.mean()) == pytest.approx((0.1, 10.25), rel=3e-3)
    assert tops.std() == pytest.approx(0.003, rel=0.1)
    assert places.std() == pytest.approx(0.15, rel=0.1)
    assert np.abs(tops - 0.1).max() < 0.0091


def test_a_step_down_lasts_with_the_height_the_line_found() -> None:
    of = trail(smooth(20.0, obstacles=(Drop(at_m=8.0, height_m=0.5),)), smooth(20.0))
    height = run(of, 9).height_m
    assert height[-1] == pytest.approx(height.min(), abs=1e-12)
    assert height[-1] == pytest.approx(-0.5, rel=0.1)
    assert height[-1] != pytest.approx(-0.5, rel=1e-6)


def test_speed_is_each_stretchs_own_and_changes_gently() -> None:
    speeds = (6.0, 10.0, 4.0)
    found = run(trail(*(smooth(100.0, speed) for speed in speeds)))
    assert found.speed_m_s[[5000, 15_000, 25_000]] == pytest.approx(speeds)
    x_m, square = found.distance_m, found.speed_m_s**2
    change = np.gradient(square, x_m) / 2
    assert np.max(np.abs(change)) == pytest.approx(BRAKING_M_S2, rel=1e-3)
    assert square[10_000] == pytest.approx((36 + 100) / 2)
    rising = found.speed_m_s[5000:15_000]
    assert np.all(np.diff(rising) >= 0)


def test_speeds_of_short_stretches_are_still_reached() -> None:
    found = run(trail(smooth(50.0, 10), smooth(5.0, 4), smooth(50.0, 10)))  # whole numbers, as a file may give them
    assert found.speed_m_s.min() == pytest.approx(4.0, rel=1e-3)
    assert found.speed_m_s[5250] == pytest.approx(4.0, rel=1e-3)


def test_a_profile_cannot_be_written_to() -> None:
    found = run(trail(smooth()))
    with pytest.raises(ValueError, match="read-only"):
        found.height_m[0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        found.speed_m_s[0] = 1.0


def test_impossible_trails_are_refused() -> None:
    with pytest.raises(ValueError, match="0 m at 5 m/s: both have to be above 0"):
        smooth(0.0, 5.0)
    with pytest.raises(ValueError, match="roughness is -1 m³"):
        Stretch(length_m=1.0, level_m3=-1.0, speed_m_s=1.0)
    with pytest.raises(ValueError, match=r"ends at 100\.3 m, but the stretch is from 0 to 100 m"):
        smooth(100.0, obstacles=(Bump(at_m=100.0, height_m=0.1, length_m=0.3),))
    with pytest.raises(ValueError, match="a stretch or more"):
        trail()
    with pytest.raises(ValueError, match=r"a share from 0 to 0\.3, not 0\.5"):
        run(trail(smooth()), line_share=0.5)
    with pytest.raises(ValueError, match=r"doesn't fit steps of 0\.1 m"):
        profile(trail(smooth()), line_rng=rng(), step_m=0.1)


def slow_path(height_m: np.ndarray, step_m: float, radius_m: float) -> list[float]:
    """Return the enveloping written out: for each axle the highest the circle has to stand."""
    places = np.arange(height_m.shape[0])
    path = []
    for axle in places:
        beside_m = np.abs(places - axle) * step_m
        under = beside_m < radius_m
        path.append(float(np.max(height_m[under] + np.sqrt(radius_m**2 - beside_m[under] ** 2) - radius_m)))
    return path


grounds = st.lists(st.floats(-0.5, 0.5), min_size=1, max_size=80).map(np.array)
radii = st.floats(0.2, 0.45)


@given(grounds, radii, st.sampled_from([0.01, 0.03, 0.2]))
@settings(max_examples=80)
def test_a_wheel_rolls_as_written_out(height_m: np.ndarray, radius_m: float, step_m: float) -> None:
    assert wheel_path(height_m, step_m, radius_m) == pytest.approx(slow_path(height_m, step_m, radius_m), abs=1e-9)


@given(grounds, radii, st.floats(-3.0, 3.0))
@settings(max_examples=80)
def test_a_wheel_stays_above_ground_is_seen_both_ways_and_lifts_with_it(
    height_m: np.ndarray, radius_m: float, lift_m: float
) -> None:
    before = height_m.copy()
    path = wheel_path(height_m, STEP_M, radius_m)
    assert np.all(path >= height_m)
    assert path.max() == height_m.max()
    assert wheel_path(height_m[::-1], STEP_M, radius_m)[::-1] == pytest.approx(path, abs=1e-12)
    assert wheel_path(height_m + lift_m, STEP_M, radius_m) == pytest.approx(path + lift_m, abs=1e-9)
    assert np.array_equal(before, height_m)


@given(grounds, radii, st.floats(1.0, 1.5))
@settings(max_examples=50)
def test_a_larger_wheel_sinks_less(height_m: np.ndarray, radius_m: float, larger: float) -> None:
    path = wheel_path(height_m, STEP_M, radius_m)
    assert np.all(wheel_path(height_m, STEP_M, larger * radius_m) >= path - 1e-9)


@given(st.floats(-5.0, 5.0), radii)
def test_flat_stays_flat(level_m: float, radius_m: float) -> None:
    assert np.array_equal(wheel_path(np.full(200, level_m), STEP_M, radius_m), np.full(200, level_m))


def test_a_bump_narrower_than_the_wheel_is_seen_at_full_height_and_longer() -> None:
    x_m = STEP_M * np.arange(400)
    ground = Bump(at_m=1.95, height_m=0.06, length_m=0.1).heights(x_m)
    path = wheel_path(ground, STEP_M, 0.36)
    assert path.max() == pytest.approx(0.06)
    reach = math.sqrt(2 * 0.36 * 0.06 - 0.06**2)
    assert np.sum(path > 1e-9) * STEP_M == pytest.approx(2 * reach, abs=3 * STEP_M)


def test_a_hole_narrower_than_the_wheel_is_bridged() -> None:
    """Resting on both edges of a slit w wide, the wheel hangs down by ``R - sqrt(R² - w²/4)``."""
    ground = np.where(np.abs(STEP_M * np.arange(401) - 2.0) < 0.0999, -1.0, 0.0)
    path = wheel_path(ground, STEP_M, 0.36)
    assert path.min() == pytest.approx(math.sqrt(0.36**2 - 0.1**2) - 0.36, rel=1e-9)


@given(st.floats(0.0, 0.8), radii)
@settings(max_examples=40)
def test_on_a_slope_it_touches_beside_the_axle(slope: float, radius_m: float) -> None:
    x_m = 0.001 * np.arange(2000)
    lift_m = (wheel_path(slope * x_m, 0.001, radius_m) - slope * x_m)[600:1400]
    assert lift_m == pytest.approx(radius_m * (math.sqrt(1 + slope**2) - 1), abs=2e-6)


@pytest.mark.parametrize(("speed_m_s", "height_m", "lift_m_s"), square_edge.LIFT_M_S)
def test_a_square_edge_lifts_the_axle_as_fast_as_computed(speed_m_s: float, height_m: float, lift_m_s: float) -> None:
    step_m = 1e-4
    ground = np.where(step_m * np.arange(10_000) < 0.6, 0.0, height_m)
    path = wheel_path(ground, step_m, square_edge.RADIUS_M)
    first = int(np.argmax(path > 0))
    reach = math.sqrt(2 * square_edge.RADIUS_M * height_m - height_m**2)
    assert first * step_m == pytest.approx(0.6 - reach, abs=2 * step_m)
    rise = (path[first + 1] - path[first]) / step_m * speed_m_s
    assert rise == pytest.approx(lift_m_s, rel=3e-3)
