"""A chassis that is shaken harder than its wheel, by their inertial sensors: each entered as the other. On arrays."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.trust import wheel_calmer
from tests.measures.bare_rides import riding_time
from tests.measures.inertial_rides import inertial, inertial_ride, shaken
from tests.thresholds import threshold

MOST = threshold("trust.inertial_entered.MOST_TIMES")
SHAKEN = shaken(20.0, 1)


@pytest.mark.parametrize(("times", "is_told"), [(0.5, False), (1.0, False), (0.99 * MOST, False), (1.01 * MOST, True)])
@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_chassis_shaken_so_many_times_as_hard(end: str, times: float, *, is_told: bool) -> None:
    level = 0.2 * SHAKEN  # 1 g is never passed downward: the length of what is felt is the upward axis
    ride = inertial_ride(inertial(level, end=end, on="wheel"), inertial(times * level, end=end, on="chassis"))
    told = wheel_calmer(ride, riding_time(np.ones(level.shape[0], dtype=bool), ride.rate_hz))
    assert [(item.code, item.end) for item in told] == ([("wheel_calmer", end)] if is_told else [])
    assert all("Check `on` and the columns of both" in item.message for item in told)


def test_only_riding_counts_and_a_sensor_alone_is_told_nothing() -> None:
    riding = np.zeros(SHAKEN.shape[0], dtype=bool)
    riding[:2000] = True
    both = inertial_ride(
        inertial(np.where(riding, SHAKEN, 0.0), on="wheel"), inertial(np.where(riding, 0.5, 4.0) * SHAKEN)
    )
    assert wheel_calmer(both, riding_time(riding, both.rate_hz)) == ()
    assert [item.code for item in wheel_calmer(both, riding_time(~riding, both.rate_hz))] == ["wheel_calmer"]
    assert wheel_calmer(both, riding_time(np.zeros_like(riding), both.rate_hz)) == ()
    alone = inertial_ride(inertial(SHAKEN))
    assert wheel_calmer(alone, riding_time(riding, alone.rate_hz)) == ()
