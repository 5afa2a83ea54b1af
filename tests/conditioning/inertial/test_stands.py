"""A ride that stands for a moment only, and one that turns one way all along without ever standing."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.conditioning.inertial.mounting import UpFound
from telemetry.conditioning.inertial.rest import Rest, still_blocks
from telemetry.conditioning.inertial.stands import stands_of, up_by_moments
from tests.conditioning.inertial.felt import RATE_HZ, G, cleaned, columns, trail
from tests.thresholds import threshold

MOMENT_S = threshold("conditioning.inertial.rest.MOMENT_S")
BLOCK_S = threshold("conditioning.inertial.rest.BLOCK_S")
STILL_RAD_S = threshold("conditioning.inertial.rest.STILL_RAD_S")
UNTOUCHED_RAD_S = threshold("conditioning.inertial.rest.UNTOUCHED_RAD_S")
AGREE_DEG = threshold("conditioning.inertial.mounting.AGREE_DEG")
CASE = Rotation.from_euler("xyz", [20.0, -35.0, 60.0], degrees=True)
BIAS = 0.01, -0.02, 0.03
COUNT = 2000


def ridden(*stands: tuple[int, int], tilt_deg: float = 0.0) -> np.ndarray:
    """Return gravity, shaken by half of itself but where it stands; there it is tilted about y."""
    force = np.zeros((3, COUNT))
    force[2] = G * (1.0 + 0.5 * np.where(np.arange(COUNT) % 2, 1.0, -1.0))
    for start, stop in stands:
        force[:, start:stop] = G * np.array([[np.sin(np.radians(tilt_deg))], [0.0], [np.cos(np.radians(tilt_deg))]])
    return force


def found(force: np.ndarray, mean_off_deg: float = 3.0, residual_deg: float = 2.0):
    still = still_blocks(force, RATE_HZ, ((0, COUNT),))
    return stands_of(force, None, RATE_HZ, still, mean(mean_off_deg, residual_deg))


def mean(off_deg: float, residual_deg: float) -> UpFound:
    up = np.array([0.0, np.sin(np.radians(off_deg)), np.cos(np.radians(off_deg))])
    return UpFound(up=up, residual_deg=residual_deg, source="its mean")


@pytest.mark.parametrize("stand_s", [0.8, 1.2])
def test_a_moment_tells_up_and_the_gyroscopes_bias(stand_s: float) -> None:
    """The trail stands for 5 s first; so much of that is left, and none of its end."""
    cut = slice(round((5.0 - stand_s) * RATE_HZ) - 17, -1800)
    read = {axis: values[cut] for axis, values in columns(trail(), CASE, bias_rad_s=BIAS).items()}
    signal = cleaned(read).signal
    assert signal is not None
    off = np.degrees((Rotation.from_matrix(signal.mounting.to_bike) * CASE.inv()).magnitude())
    assert off < 1.5
    assert signal.mounting.found_from.startswith("where the ride stands")
    assert signal.rotation_rad_s is not None
    true = trail().felt()[1][cut]
    assert np.abs((signal.rotation_rad_s - true).mean(axis=0)).max() < 0.005
    assert signal.attitude.within_deg < 4.0


BLOCKS = round(MOMENT_S / BLOCK_S)


@pytest.mark.parametrize(("blocks", "stood"), [(BLOCKS - 1, False), (BLOCKS, True)])
def test_the_shortest_moment(blocks: int, *, stood: bool) -> None:
    stands = found(ridden((500, 500 + round(blocks * BLOCK_S * RATE_HZ))))
    assert (stands.rest is not None) is stood
    assert stands.up.source == ("where the ride stands for a moment" if stood else "its mean")
    assert not stands.lasting
    assert bool(stands.rests) is stood


def test_a_longer_stand_counts_alone() -> None:
    force = ridden((500, 800))
    force[:, 1000:1100] = ridden((1000, 1100), tilt_deg=10.0)[:, 1000:1100]
    stands = found(force)
    assert stands.lasting
    assert stands.rests == ((500, 800),)
    assert (stands.up.up, stands.up.residual_deg) == (pytest.approx([0, 0, 1]), pytest.approx(0.0, abs=1e-6))


def test_a_single_moment_is_known_to_half_of_what_the_mean_differs() -> None:
    assert found(ridden((500, 600))).up.residual_deg == pytest.approx(1.5)


def moments(residual_deg: float, stretches: int = 2) -> Rest:
    up = np.array([0.0, 0.0, 1.0])
    own = {"bias_rad_s": None, "noise_m_s2": 0.01, "level_m_s2": G, "source": "moments"}
    return Rest(up=up, stretches=stretches, residual_deg=residual_deg, **own)  # type: ignore[arg-type]


@pytest.mark.parametrize(("factor", "believed"), [(0.999, True), (1.001, False)])
def test_moments_that_agree_worse_than_the_rides_parts_or_lie_far_off_tell_nothing(
    factor: float, *, believed: bool
) -> None:
    told = up_by_moments(moments(2.0 * factor), mean(1.0, 2.0))
    assert (told is not None) is believed
    if told is not None:
        assert told.residual_deg == pytest.approx(2.0 * factor)
    assert (up_by_moments(moments(0.1), mean(factor * AGREE_DEG, 2.0)) is not None) is believed
    assert (up_by_moments(moments(0.1, 1), mean(factor * AGREE_DEG, 2.0)) is not None) is believed


@pytest.mark.parametrize(("shaken", "rests"), [(0.99, True), (1.01, False)])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_steady_turn_over_smooth_ground_is_no_bias(shaken: float, sign: int, *, rests: bool) -> None:
    force, turning = ridden((0, COUNT)), np.zeros((3, COUNT))
    turning[2] = sign * 0.19
    turning[0] = shaken * UNTOUCHED_RAD_S * np.where(np.arange(COUNT) % 2, 1.0, -1.0)
    still = still_blocks(force, RATE_HZ, ((0, COUNT),))
    assert bool(still.not_turning(turning).rests) is rests
    turning[2] = sign * 0.99 * STILL_RAD_S
    assert still.not_turning(turning).rests


def test_who_rides_in_circles_without_ever_standing_turns() -> None:
    """About up nothing is taken for bias; across it the middle of what is read is."""
    cut = slice(1300, -1800)
    read = {axis: values[cut] for axis, values in columns(trail(), bias_rad_s=(0.02, -0.03, 0.0)).items()}
    circling = read | {"gz": read["gz"] + 0.19}
    signal = cleaned(circling).signal
    assert signal is not None
    assert signal.rotation_rad_s is not None
    true = trail().felt()[1][cut] + np.array([0.0, 0.0, 0.19])
    turned = np.median(signal.rotation_rad_s @ signal.mounting.to_bike - true, axis=0)
    assert np.abs(turned).max() < 0.01
