"""What no bike does is left out with a word; what one may just do is kept."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.ground import believable_speed
from telemetry.model.ride import GroundSpeed
from tests.thresholds import threshold

FASTEST_M_S = threshold("conditioning.ground.FASTEST_M_S")
MEAN_OVER_S = threshold("conditioning.ground.MEAN_OVER_S")
RATE_HZ = 100.0
OVER = round(MEAN_OVER_S * RATE_HZ)


def told(speed_m_s: np.ndarray) -> tuple[bool, list[str]]:
    """Return whether a ground speed is kept, and what is said of it."""
    ground = GroundSpeed(speed_m_s=speed_m_s, source="ground_speed")
    kept, findings = believable_speed("run_1", ground, RATE_HZ)
    assert kept in (ground, None)
    return kept is not None, [f"{finding.code}: {finding.message}" for finding in findings]


@pytest.mark.parametrize("sign", [1, -1])
def test_a_second_at_the_highest_speed(sign: int) -> None:
    speed = np.full(5 * OVER, 6.0)
    speed[OVER : 2 * OVER] = sign * FASTEST_M_S * (1 - 1e-6)
    assert told(speed) == (True, [])
    speed[OVER : 2 * OVER] = sign * FASTEST_M_S * (1 + 1e-6)
    kept, (words,) = told(speed)
    assert not kept
    assert words.startswith("odd_ground_speed: run_1: the ground-speed sensor tells 100 m/s over a second (100 at most")


def test_single_samples_may_be_faster() -> None:
    """A pulse counter tells all of a turn in one sample."""
    speed = np.zeros(5 * OVER)
    speed[::OVER] = OVER * FASTEST_M_S * (1 - 1e-6)
    assert told(speed) == (True, [])
    speed[::OVER] = OVER * FASTEST_M_S * (1 + 1e-6)
    assert not told(speed)[0]


@pytest.mark.parametrize("speed", [1e9, 1e300])
def test_a_log_shorter_than_a_second_is_judged_as_a_whole(speed: float) -> None:
    assert told(np.full(OVER // 2, FASTEST_M_S * (1 - 1e-6))) == (True, [])
    assert not told(np.full(OVER // 2, speed))[0]


def test_no_movement_is_no_reading_either() -> None:
    kept, (words,) = told(np.zeros(5 * OVER))
    assert not kept
    assert "tells no movement at all: it is left out" in words
    assert told(np.r_[np.zeros(5 * OVER), 1e-3]) == (True, [])


def test_nothing_is_said_of_no_sensor() -> None:
    assert believable_speed("run_1", None, RATE_HZ) == (None, ())
