"""Readings that repeat themselves to the last digit: no rest, and no scale by them."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.inertial.frozen import frozen_stretches, living_stretches
from tests.conditioning.inertial.felt import RATE_HZ, G, cleaned, columns, sensor, trail
from tests.thresholds import threshold

FROZEN_S = threshold("model.inertial.FROZEN_S")
FINE_SHARE = threshold("conditioning.inertial.frozen.FINE_SHARE")
JUMP_SHARE = threshold("conditioning.inertial.frozen.JUMP_SHARE")
COUNT = 2000
WHOLE = ((0, COUNT),)
FROZEN = round(FROZEN_S * RATE_HZ)


def noisy() -> np.ndarray:
    """Return gravity with some noise."""
    return G * np.random.default_rng(1).normal([[0.0], [0.0], [1.0]], 0.01, (3, COUNT))


def frozen(start: int, count: int, *, jump_g: float = 0.3, step_g: float = 1e-6) -> np.ndarray:
    """Return what repeats its reading at `start` so many times, `jump_g` off along x, in steps."""
    force = noisy()
    force[:, start : start + count + 1] = np.array([[jump_g], [0.0], [1.0]]) * G
    force[0, [start - 1, (start + count + 1) % COUNT]] = 0.0
    return np.round(force / (step_g * G)) * step_g * G


@pytest.mark.parametrize(("repeats", "told"), [(FROZEN - 1, False), (FROZEN, True)])
def test_so_long(repeats: int, *, told: bool) -> None:
    expected = ((501, 501 + repeats),) if told else ()
    assert frozen_stretches(frozen(500, repeats), None, RATE_HZ, WHOLE) == expected


def test_what_lives_is_not_frozen() -> None:
    assert frozen_stretches(noisy(), None, RATE_HZ, WHOLE) == ()
    assert frozen_stretches(noisy()[:, :1], None, RATE_HZ, ((0, 1),)) == ()


def test_a_gyroscope_that_lives_shows_that_the_sensor_does() -> None:
    force, turning = frozen(500, 800), noisy()
    assert frozen_stretches(force, turning, RATE_HZ, WHOLE) == ()
    turning[:, 500:1301] = turning[:, [500]]
    assert frozen_stretches(force, turning, RATE_HZ, WHOLE) == ((501, 1301),)


@pytest.mark.parametrize(("factor", "told"), [(0.97, True), (1.03, False)])
def test_coarse_steps_hide_noise(factor: float, *, told: bool) -> None:
    force = frozen(500, 800, jump_g=0.1, step_g=factor * FINE_SHARE)
    assert bool(frozen_stretches(force, None, RATE_HZ, WHOLE)) is told


@pytest.mark.parametrize(("factor", "told"), [(1.02, True), (0.98, False)])
@pytest.mark.parametrize("start", [500, 1, 1199])
def test_it_jumps_there_or_away(start: int, factor: float, *, told: bool) -> None:
    """From the first reading on, in the middle, or up to the last one."""
    force = frozen(start, 800, jump_g=factor * JUMP_SHARE)
    assert bool(frozen_stretches(force, None, RATE_HZ, WHOLE)) is told


def test_what_differs_across_a_gap_is_no_jump() -> None:
    force = frozen(500, 800)
    assert frozen_stretches(force, None, RATE_HZ, ((0, 500), (500, 1301), (1301, COUNT))) == ()
    assert frozen_stretches(force, None, RATE_HZ, ((0, 500), (500, COUNT))) == ((501, 1301),)


def test_what_is_left_lives() -> None:
    segments = ((0, 900), (900, COUNT))
    assert living_stretches(COUNT, ((500, 900),), segments) == ((0, 500), (900, COUNT))
    assert living_stretches(COUNT, (), segments) == segments
    assert living_stretches(COUNT, WHOLE, segments) == segments


@pytest.mark.parametrize("start", [2000, 6000, 7003])
@pytest.mark.parametrize("gyroscope", [True, False])
def test_a_sensor_frozen_for_half_a_ride_keeps_its_scale_and_its_way_up(start: int, *, gyroscope: bool) -> None:
    read = columns(trail())
    for values in read.values():
        values[start : start + 9000] = values[start]
    found = cleaned(read, sensor(gyroscope=gyroscope))
    assert found.signal is not None
    assert found.findings == ()
    assert found.signal.frozen == ((start + 1, start + 9000),)
    assert found.signal.mounting.to_bike[2] == pytest.approx([0, 0, 1], abs=0.01)
    if found.signal.rotation_rad_s is not None:
        assert not found.signal.rotation_rad_s[start + 1 : start + 9000].any()
