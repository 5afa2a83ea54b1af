"""A rider on legs and arms, down a natural trail: a damper a quarter lighter must be told as lighter."""

from __future__ import annotations

import numpy as np

from telemetry.measures.force import bodies_seen, common_rider, force_maps
from telemetry.model.force import ForceMap
from tests.measures.force.natural_force import natural_force

LIGHTER = {"setups": {"a": {"front": {"viscosity_share": 0.75}}}}
TRAIL = {"trail": {"natural": {"length_m": 700, "speed_m_s": 8.5}}}


def test_a_lighter_damper_is_told_as_lighter_and_bands_hold_the_truth() -> None:
    rides = [natural_force(1, line, change=TRAIL | change) for line, change in ((0, {}), (1, LIGHTER))]
    rider = common_rider([one for ride in rides for one in bodies_seen(ride.run, ride.smoothing)])
    before, after = (force_maps(ride.run, ride.smoothing, rider) for ride in rides)
    for ride, maps in zip(rides, (before, after), strict=True):
        for found in maps:
            assert isinstance(found, ForceMap), found
            spring, damper = ride.held(found)
            assert damper.mean() >= 0.88
            assert spring.mean() >= 0.75  # a few points of one short ride
            assert np.corrcoef(ride.true_spring(found.end, found.spring.at), found.spring.per_kg)[0, 1] >= 0.97
    for (was, now), (low, high) in zip(zip(before, after, strict=True), ((0.70, 0.93), (0.94, 1.06)), strict=True):
        assert isinstance(was, ForceMap)
        assert isinstance(now, ForceMap)
        for at in (-0.3, -0.1, 0.1, 0.3):
            one, other = was.damper.value_at(at), now.damper.value_at(at)
            assert one is not None
            assert other is not None
            assert low < other / one < high
