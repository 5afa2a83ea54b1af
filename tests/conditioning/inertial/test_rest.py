"""Where a sensor is at rest, what it reads there, and which samples lie at the end of its range."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.inertial.blocks import blocks_of
from telemetry.conditioning.inertial.rest import least_noise, rest_of, still_blocks
from telemetry.conditioning.inertial.saturation import at_range
from tests.conditioning.inertial.felt import RATE_HZ, G, cleaned, columns, sensor, standing, trail
from tests.thresholds import threshold

STILL_SHARE = threshold("conditioning.inertial.rest.STILL_SHARE")
LEVEL_SHARE = threshold("conditioning.inertial.rest.LEVEL_SHARE")
STILL_RAD_S = threshold("conditioning.inertial.rest.STILL_RAD_S")
SHORTEST_S = threshold("conditioning.inertial.rest.SHORTEST_S")
BLOCK_S = threshold("conditioning.inertial.rest.BLOCK_S")
AT_RANGE = threshold("conditioning.inertial.saturation.AT_RANGE_SHARE")
FURTHER_G = threshold("conditioning.inertial.saturation.FURTHER_G")
FURTHER_RAD_S = threshold("conditioning.inertial.saturation.FURTHER_RAD_S")
STEEP_STEPS = threshold("conditioning.inertial.saturation.STEEP_STEPS")
COUNT = 2000
BLOCK = round(BLOCK_S * RATE_HZ)


def shaken(first: int, last: int, sd_g: float) -> np.ndarray:
    """Return gravity with every second sample of some off by the given spread, along z."""
    force = np.zeros((3, COUNT))
    force[2] = G
    force[2, first:last] += sd_g * G * np.where(np.arange(last - first) % 2, 1.0, -1.0)
    return force


def rests(force: np.ndarray, turning: np.ndarray | None = None, segments=((0, COUNT),)):
    still = still_blocks(force, RATE_HZ, segments)
    return (still if turning is None else still.not_turning(turning)).rests


def test_what_moves_is_no_rest() -> None:
    assert rests(shaken(600, 1400, 0.1)) == ((0, 600), (1400, COUNT))


@pytest.mark.parametrize(("factor", "still"), [(0.999, True), (1.001, False)])
def test_the_liveliest_that_is_still(factor: float, still: bool) -> None:
    """Where the middle of all lengths is 1 g."""
    assert (rests(shaken(600, 1400, factor * STILL_SHARE)) == ((0, COUNT),)) is still


@pytest.mark.parametrize(("factor", "still"), [(0.999, True), (1.001, False)])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_flight_is_still_but_no_rest(factor: float, sign: int, still: bool) -> None:
    force = shaken(0, 0, 0.0)
    force[2, 600:1000] *= 1 + sign * factor * LEVEL_SHARE
    assert (rests(force) == ((0, COUNT),)) is still


@pytest.mark.parametrize(
    ("blocks", "rested"), [(round(SHORTEST_S / BLOCK_S) - 1, False), (round(SHORTEST_S / BLOCK_S), True)]
)
def test_the_shortest_rest(blocks: int, rested: bool) -> None:
    force = shaken(0, COUNT, 0.5)
    force[2, 500 : 500 + blocks * BLOCK] = G
    assert bool(rests(force)) is rested


@pytest.mark.parametrize(("factor", "still"), [(0.99, True), (1.01, False)])
@pytest.mark.parametrize("sign", [1, -1])
def test_turning_is_no_rest(factor: float, sign: int, still: bool) -> None:
    spread, steady = np.zeros((3, COUNT)), np.zeros((3, COUNT))
    spread[0, 600:1000] = factor * STILL_RAD_S * np.where(np.arange(400) % 2, 1.0, -1.0)
    steady[1, 600:1000] = sign * factor * STILL_RAD_S
    force = shaken(0, 0, 0.0)
    assert (rests(force, spread) == ((0, COUNT),)) is still
    assert (rests(force, steady) == ((0, COUNT),)) is still


@pytest.mark.parametrize(("factor", "kept"), [(0.99, ((0, 1400),)), (1.01, ((0, 600), (1000, 1400)))])
def test_turning_is_no_rest_where_the_ride_moves_elsewhere_too(factor: float, kept: object) -> None:
    steady = np.zeros((3, COUNT))
    steady[1, 600:1000] = factor * STILL_RAD_S
    assert rests(shaken(1400, COUNT, 0.1), steady) == kept
    steady[0, 1400:] = 2 * STILL_RAD_S * np.where(np.arange(600) % 2, 1.0, -1.0)
    assert rests(shaken(0, 0, 0.0), steady) == kept


def test_a_block_of_a_slow_log_has_two_samples() -> None:
    assert still_blocks(shaken(0, 0, 0.0), 4.0, ((0, COUNT),)).blocks.size == 2


def test_no_rest_reaches_across_a_gap() -> None:
    force = shaken(0, 0, 0.0)
    assert rests(force, None, ((0, 1000), (1000, COUNT))) == ((0, 1000), (1000, COUNT))
    assert rests(force, None, ((0, 40), (40, 80))) == ()


def test_what_is_read_at_rest() -> None:
    read = columns(standing(8.0), noise_m_s2=0.05, bias_rad_s=(0.01, -0.02, 0.03))
    force = np.stack([read[axis] for axis in ("ax", "ay", "az")])
    turning = np.stack([read[axis] for axis in ("gx", "gy", "gz")])
    found = rest_of("still_1.csv", force, turning, RATE_HZ, ((0, 1600),))
    assert found is not None
    assert found.level_m_s2 == pytest.approx(G, abs=0.01)
    assert found.bias_rad_s == pytest.approx([0.01, -0.02, 0.03], abs=5e-4)
    assert found.noise_m_s2 == pytest.approx(0.05, rel=0.15)
    assert found.up == pytest.approx([0, 0, 1], abs=1e-3)
    assert found.residual_deg < 0.3
    assert rest_of("still_1.csv", force, turning, RATE_HZ, ()) is None


def test_the_scatter_of_two_rests_is_their_angle_to_the_middle() -> None:
    force = shaken(0, 0, 0.0)
    force[:, 1000:] = G * np.array([[np.sin(0.1)], [0.0], [np.cos(0.1)]])
    found = rest_of("x", force, None, RATE_HZ, ((0, 900), (1100, 2000)))
    assert found is not None
    assert found.residual_deg == pytest.approx(np.degrees(0.05))
    assert found.bias_rad_s is None


def test_the_scatter_of_a_single_rest_is_that_of_its_blocks() -> None:
    """A quarter of it is tilted, and lies further from the middle than the rest."""
    force = shaken(0, 0, 0.0)
    force[:, 1500:] = G * np.array([[np.sin(0.1)], [0.0], [np.cos(0.1)]])
    found = rest_of("x", force, None, RATE_HZ, ((0, 2000),))
    assert found is not None
    middle = np.arctan2(np.sin(0.1), 3 + np.cos(0.1))
    assert found.residual_deg == pytest.approx(np.degrees(0.1 - middle))


def test_of_two_rests_what_their_own_blocks_scatter_by_counts_for_nothing() -> None:
    force = shaken(0, 0, 0.0)
    for part, tilt in ((slice(1200, 1600), 0.1), (slice(1600, 2000), -0.1)):
        force[:, part] = G * np.array([[np.sin(tilt)], [0.0], [np.cos(tilt)]])
    found = rest_of("x", force, None, RATE_HZ, ((0, 800), (1200, 2000)))
    assert found is not None
    assert found.residual_deg == pytest.approx(0.0, abs=1e-6)


def test_a_sensor_never_at_rest_is_no_noisier_than_its_quietest_block() -> None:
    assert least_noise(shaken(0, 1000, 0.3), RATE_HZ, ((0, COUNT),)) == pytest.approx(0.0, abs=1e-6)
    assert least_noise(shaken(0, COUNT, 0.3), RATE_HZ, ((0, COUNT),)) == pytest.approx(0.3 * G)
    assert least_noise(shaken(0, COUNT, 0.3)[:, :20], RATE_HZ, ((0, 20),)) == pytest.approx(0.3 * G)


def test_blocks_against_numpy() -> None:
    signal = np.random.default_rng(3).normal(9.8, 0.4, (3, 103))
    blocks = blocks_of(((0, 50), (50, 103)), 10)
    cut = [signal[:, start : start + 10] for start in blocks.starts]
    assert blocks.means(signal) == pytest.approx(np.array([part.mean(axis=1) for part in cut]).T)
    assert blocks.spreads(signal) == pytest.approx([part.std(axis=1).max() for part in cut])


class TestTheEndOfTheRange:
    def test_stated(self) -> None:
        force = shaken(0, 0, 0.0)
        force[0, 700] = -16 * G * (AT_RANGE + 1e-6)
        force[1, 900] = 16 * G * (AT_RANGE - 1e-6)
        force[2, 1100] = AT_RANGE * (16 * G)
        assert np.flatnonzero(at_range(force, 16 * G, FURTHER_G * G)).tolist() == [700, 1100]

    @pytest.mark.parametrize(("in_a_row", "cut"), [(2, []), (3, [500, 501, 502, 1200])])
    def test_the_logs_own_extreme_read_three_times_in_a_row(self, in_a_row: int, cut: list[int]) -> None:
        force = shaken(0, 0, 0.0)
        force[0, 10] = 0.01  # a step of the converter
        force[0, [*range(500, 500 + in_a_row), 1200]] = 8 * G
        assert np.flatnonzero(at_range(force, None, FURTHER_G * G)).tolist() == cut

    @pytest.mark.parametrize(("factor", "cut"), [(1.001, True), (0.999, False)])
    def test_a_nearer_extreme_is_no_range(self, factor: float, cut: bool) -> None:
        force = shaken(0, 0, 0.0)
        force[1, 10] = 0.01  # a step of the converter
        force[1, 300:310] = -factor * FURTHER_G * G
        assert at_range(force, None, FURTHER_G * G).any() is np.bool_(cut)
        assert at_range(force, None, -force[1].min()).any()

    @pytest.mark.parametrize(("step_g", "cut"), [(0.05, False), (0.001, True)])
    def test_a_coarse_converter_holds_a_gentle_turn(self, step_g: float, cut: bool) -> None:
        """One and the same peak of 3 g, cut off at 2.5 or not: in steps of 0.05 g its top is as flat as a cut."""
        peak = 1.0 + 2.0 * np.exp(-(((np.arange(COUNT) - 1000) / 20.0) ** 2))
        force = shaken(0, 0, 0.0)
        force[2] = G * np.round((np.minimum(peak, 2.5) if cut else peak) / step_g) * step_g
        assert at_range(force, None, FURTHER_G * G).any() is np.bool_(cut)

    @pytest.mark.parametrize(("steps", "cut"), [(2.0, False), (STEEP_STEPS - 0.1, False), (STEEP_STEPS + 0.1, True)])
    @pytest.mark.parametrize("start", [0, 600, COUNT - 3])
    def test_entered_or_left_by_so_many_steps(self, start: int, steps: float, cut: bool) -> None:
        """Beside what is held for three readings, at the log's ends or in its middle; a step of 0.01 g elsewhere."""
        force = shaken(0, 0, 0.0)
        force[2, :] = 3.0 * G - 0.01 * G * steps
        force[2, 1000] -= 0.01 * G
        force[2, start : start + 3] = 3.0 * G
        assert at_range(force, None, FURTHER_G * G).any() is np.bool_(cut)

    @pytest.mark.parametrize("axis", ["ax", "gy"])
    @pytest.mark.parametrize(("factor", "told"), [(0.97, False), (1.03, True)])
    def test_without_a_stated_range_the_smallest_on_the_market_count(
        self, axis: str, factor: float, told: bool
    ) -> None:
        read = columns(standing(20.0))
        read[axis][1000:1005] = factor * (FURTHER_RAD_S if axis == "gy" else FURTHER_G * G)
        assert ("over_range" in [item.code for item in cleaned(read).findings]) is told

    def test_it_is_told(self) -> None:
        read = columns(trail())
        read["az"][3000:3006] = 16 * G
        read["gy"][5000] = 35.0
        found = cleaned(read, sensor(range_g=16.0, range_deg_s=2000.0))
        (told,) = found.findings
        assert told.code == "over_range"
        assert "reached the end of its range 2 times (7 samples; none is expected)" in told.message
        assert found.signal is not None
        assert np.flatnonzero(found.signal.saturated).tolist() == [3000, 3001, 3002, 3003, 3004, 3005, 5000]
