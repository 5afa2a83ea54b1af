"""A gyroscope in another unit, or one that turns the other way round, is left out; a sound one isn't."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, freqz_sos

from telemetry.conditioning.inertial.turning import TurnsTold, turns_told
from tests.conditioning.inertial.felt import RATE_HZ, G, Motion, cleaned, columns, sensor, standing, trail
from tests.thresholds import documented, threshold

DEG = 57.29577951
LIKENESS = threshold("conditioning.inertial.turning.LEAST_LIKENESS")
MOST_TIMES = threshold("conditioning.inertial.turning.MOST_TIMES")
LIVELIEST = threshold("conditioning.inertial.turning.LIVELIEST_RAD_S")
CALMEST = threshold("conditioning.inertial.turning.CALMEST_RAD_S")
A_SHAKE = threshold("conditioning.inertial.turning.CALMEST_A_SHAKE")
MOVING_S = threshold("conditioning.inertial.turning.MOVING_S")
TRAIL = trail(60.0)


@pytest.mark.parametrize(
    ("stated", "a_rad_s", "named"),
    [
        ("rad/s", DEG, "is it rotation_unit = 'deg/s' in place of rotation_unit = 'rad/s'?"),
        ("deg/s", 1.0, "is it rotation_unit = 'rad/s' in place of rotation_unit = 'deg/s'?"),
        ("deg/s", 16.4 * DEG * 8, "check its columns and rotation_unit = 'deg/s'"),
    ],
)
def test_another_unit_is_named_and_the_gyroscope_left_out(stated: str, a_rad_s: float, named: str) -> None:
    found = cleaned(columns(TRAIL, a_rad_s=a_rad_s), sensor(rotation_unit=stated))
    assert found.signal is not None
    assert found.signal.rotation_rad_s is None
    told = next(item for item in found.findings if item.code == "odd_rotation")
    assert named in told.message
    assert "it is left out" not in told.message.partition("so it is left out")[2]


@pytest.mark.parametrize(("stated", "a_rad_s"), [("rad/s", 1.0), ("deg/s", DEG)])
def test_the_right_unit_is_not_accused(stated: str, a_rad_s: float) -> None:
    found = cleaned(columns(TRAIL, a_rad_s=a_rad_s), sensor(rotation_unit=stated))
    assert found.findings == ()
    assert found.signal is not None
    assert found.signal.rotation_rad_s is not None


def test_a_sensor_that_stands_is_not_accused() -> None:
    assert cleaned(columns(standing(60.0))).findings == ()


def tipped() -> Motion:
    """Return a bike tipped about by hand, slowly: gravity's direction shows every turn."""
    time_s = np.arange(8000) / RATE_HZ
    none = np.zeros(8000)
    return Motion(rate_hz=RATE_HZ, upward=none, forward=none, pitch=0.5 * np.sin(2 * np.pi * 0.4 * time_s), roll=none)


def test_turns_are_as_fast_as_gravitys_direction() -> None:
    force, turning = tipped().felt()
    told = turns_told(force.T, turning.T, RATE_HZ, ((0, 8000),), ())
    assert told.times == pytest.approx(1.0, abs=0.02)
    assert told.likeness > 0.99


@pytest.mark.parametrize("edge", [0, 1])
def test_turns_within_the_band_are_compared(edge: int) -> None:
    """One right turn in its middle, and at its edge one three times as fast as gravity's direction shows."""
    band_hz = documented()["conditioning.inertial.turning.BAND_HZ"]
    hertz = np.array([0.55, band_hz[edge]])
    time_s = np.arange(40_000) / RATE_HZ
    rates = 0.1 * np.cos(2 * np.pi * hertz[:, None] * time_s)
    pitch = np.sum(0.1 * np.sin(2 * np.pi * hertz[:, None] * time_s) / (2 * np.pi * hertz[:, None]), axis=0)
    force = np.stack([-G * np.sin(pitch), 0 * pitch, G * np.cos(pitch)])
    turning = np.stack([0 * pitch, rates[0] + 3 * rates[1], 0 * pitch])
    kept = np.abs(freqz_sos(butter(2, band_hz, "bandpass", fs=20.0, output="sos"), hertz, fs=20.0)[1]) ** 4
    shown = np.sinc(2 * hertz / 20.0)  # what differences of neighbours leave of a slope
    told = turns_told(force, turning, RATE_HZ, ((0, 40_000),), ())
    both, turned, seen = (kept * shown) @ [1, 3], kept @ [1, 9], (kept * shown**2) @ [1, 1]
    assert told.times == pytest.approx(both / turned, rel=0.01)
    assert told.likeness == pytest.approx(both / np.sqrt(turned * seen), rel=0.01)


def test_too_short_a_stretch_tells_nothing() -> None:
    force, turning = tipped().felt()
    turning[6_200:] *= -1.0
    told = turns_told(force.T, turning.T, RATE_HZ, ((0, 6_200), (6_200, 8_000)), ())
    assert told.times == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("axis", ["gx", "gy", "gz"])
def test_the_wrong_way_round(axis: str) -> None:
    read = columns(tipped())
    read[axis] = -read[axis]
    found = cleaned(read)
    codes = [item.code for item in found.findings]
    assert (codes == ["odd_rotation"]) is (axis == "gy")
    if codes:
        assert "the other way round than gravity's direction does: check signs and order" in found.findings[0].message


@pytest.mark.parametrize(
    ("told", "wrong"),
    [
        ({"spread_rad_s": LIVELIEST * 1.001}, "too large"),
        ({"spread_rad_s": LIVELIEST * 0.999}, ""),
        ({"spread_rad_s": CALMEST * 0.999}, "too small"),
        ({"spread_rad_s": A_SHAKE * 13.0 * 0.999, "shaken_m_s2": 13.0}, "too small"),
        ({"spread_rad_s": A_SHAKE * 13.0 * 1.001, "shaken_m_s2": 13.0}, ""),
        ({"spread_rad_s": CALMEST * 1.001}, ""),
        ({"spread_rad_s": LIVELIEST}, ""),
        ({"spread_rad_s": CALMEST}, ""),
        ({"times": MOST_TIMES}, ""),
        ({"times": 1 / MOST_TIMES}, ""),
        ({"times": -1.0, "likeness": LIKENESS}, "reversed"),
        ({"times": MOST_TIMES * 1.001}, "too small"),
        ({"times": MOST_TIMES * 0.999}, ""),
        ({"times": 0.999 / MOST_TIMES}, "too large"),
        ({"times": 1.001 / MOST_TIMES}, ""),
        ({"times": -1.0}, "reversed"),
        ({"times": -1.0, "likeness": LIKENESS * 0.999}, ""),
        ({"times": 50.0, "likeness": LIKENESS * 0.999}, ""),
        ({"times": 1.0, "spread_rad_s": None}, ""),
    ],
)
def test_limits(told: dict[str, float], wrong: str) -> None:
    assert TurnsTold(**({"times": 1.0, "likeness": LIKENESS * 1.001, "spread_rad_s": 0.5} | told)).wrong == wrong


@pytest.mark.parametrize(("seconds", "judged"), [(MOVING_S - 0.1, False), (MOVING_S + 0.1, True)])
def test_so_much_movement_is_needed(seconds: float, judged: bool) -> None:
    count = round(seconds * RATE_HZ)
    force, turning = np.ones((3, count)), np.ones((3, count))
    assert (turns_told(force, turning, RATE_HZ, ((0, count),), ()).spread_rad_s is not None) is judged
    told = turns_told(force, turning, RATE_HZ, ((0, count),), ((0, 100),))
    assert told.spread_rad_s is None


@pytest.mark.parametrize(("rests_to", "judged"), [(105, True), (106, False)])
def test_a_block_moves_where_its_middle_does(rests_to: int, judged: bool) -> None:
    """Ten samples a block at 200 Hz: the middle of the eleventh is sample 105, and without it there are too few."""
    count = round((MOVING_S + 0.5) * RATE_HZ)
    force, turning = np.ones((3, count)), np.ones((3, count))
    told = turns_told(force, turning, RATE_HZ, ((0, count),), ((0, rests_to),))
    assert (told.spread_rad_s is not None) is judged


def test_what_is_turned_at_rest_counts_for_nothing() -> None:
    """In the first block alone."""
    count = round(2 * MOVING_S * RATE_HZ)
    force, turning = np.ones((3, count)), np.zeros((3, count))
    turning[0, :10] = 1.0
    assert turns_told(force, turning, RATE_HZ, ((0, count),), ((0, 6),)).spread_rad_s == 0.0


def test_a_block_of_a_slow_log_is_one_sample() -> None:
    """At 20 Hz the second of 20.05 s rests: the others are just enough."""
    count = round(MOVING_S * 20.0) + 1
    force, turning = np.ones((3, count)), np.ones((3, count))
    assert turns_told(force, turning, 20.0, ((0, count),), ((1, 2),)).spread_rad_s is not None
