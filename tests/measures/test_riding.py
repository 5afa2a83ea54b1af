"""Standing, lifted, flown: each limit just below and just above, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.riding import find_lifted, find_riding, find_standing, near_zero, within
from telemetry.model.ride import Ride
from telemetry.units import STANDARD_GRAVITY_M_S2
from tests.measures.bare_rides import FULL_MM, bare_end, bare_ride
from tests.measures.phases.made_signals import chassis
from tests.thresholds import threshold

RATE_HZ = 100.0
STANDING_S, LIFTED_S = threshold("measures.riding.STANDING_S"), threshold("measures.riding.LIFTED_S")
NEAR_MM = threshold("measures.riding.NEAR_ZERO_SHARE") * FULL_MM
FLIGHT_S = threshold("measures.riding.FLIGHT_S")


def samples(seconds: float) -> int:
    return round(seconds * RATE_HZ)


def masked(count: int, start: int, stop: int) -> np.ndarray:
    mask = np.zeros(count, dtype=bool)
    mask[start:stop] = True
    return mask


def at_top(lasts: int, top_mm: float = 0.0, rear_mm: float | None = None, **keys: object) -> Ride:
    """Return a ride that is at full extension for so many samples from the 50th on."""
    travel = np.full(100 + lasts, 50.0)
    ends = [travel.copy(), travel.copy()]
    for end, mm in zip(ends, (top_mm, top_mm if rear_mm is None else rear_mm), strict=True):
        end[50 : 50 + lasts] = mm
    return bare_ride(bare_end("front", ends[0]), bare_end("rear", ends[1]), **keys)  # type: ignore[arg-type]


@pytest.mark.parametrize(("lasts", "stands"), [(samples(STANDING_S) - 1, False), (samples(STANDING_S), True)])
def test_standing_takes_2_s_of_stillness_at_every_end(lasts: int, *, stands: bool) -> None:
    count, still = 1000, masked(1000, 100, 100 + lasts)
    travel = np.full(count, 50.0)
    one = bare_ride(bare_end("front", travel, still=still))
    assert find_standing(one) == (((100, 100 + lasts),) if stands else ())
    assert find_riding(one).riding.sum() == count - (lasts if stands else 0)
    both = bare_ride(bare_end("front", travel, still=still), bare_end("rear", travel, still=masked(count, 150, 900)))
    assert find_standing(both) == ()
    cut = replace(one, segments=((0, 200), (200, count)))
    assert find_standing(cut) == ()


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(("share", "near"), [(1.0, True), (1.001, False)])
def test_full_extension_is_within_3_per_cent_of_zero_at_both_ends(share: float, sign: int, *, near: bool) -> None:
    for front, rear in ((sign * share, 0.0), (0.0, sign * share)):
        found = near_zero(at_top(20, front * NEAR_MM, rear * NEAR_MM))
        assert found is not None
        assert found.sum() == (20 if near else 0)
    assert near_zero(bare_ride(bare_end("rear", np.zeros(50)))) is None


@pytest.mark.parametrize(
    ("lasts", "flown", "lifted"),
    [
        (samples(FLIGHT_S) - 1, False, False),
        (samples(FLIGHT_S), True, False),
        (samples(LIFTED_S), True, False),
        (samples(LIFTED_S) + 1, False, True),
    ],
)
def test_a_flight_lasts_a_tenth_to_3_s_and_longer_is_lifted(lasts: int, *, flown: bool, lifted: bool) -> None:
    found = find_riding(at_top(lasts))
    there = ((50, 50 + lasts),)
    assert found.flights == (there if flown else ())
    assert found.airborne is not None
    assert found.airborne.sum() == (lasts if flown else 0)
    assert found.lifted == (there if lifted else ())
    assert found.riding.sum() == 100 + (0 if lifted else lasts)
    assert found.why_no_flight == ""


@pytest.mark.parametrize(("lasts", "lifted"), [(302, False), (303, True)])
def test_half_a_sample_more_than_3_s_is_no_longer_flown(lasts: int, *, lifted: bool) -> None:
    """At 100.5 rows a second 302 samples are 3 s and half a sample."""
    assert bool(find_lifted(at_top(lasts, rate_hz=100.5))) is lifted


def test_lifted_is_told_from_what_is_known_to_be_near_zero() -> None:
    ride = at_top(samples(LIFTED_S) + 1)
    assert find_lifted(ride) == find_lifted(ride, near_zero(ride)) == ((50, 351),)
    assert find_lifted(ride, np.zeros(ride.time_s.shape, dtype=bool)) == ()
    assert find_lifted(bare_ride(bare_end("front", np.zeros(500)))) == ()


def test_a_flight_across_a_gap_is_two() -> None:
    ride = at_top(30, segments=((0, 60), (60, 130)))
    assert find_riding(ride).flights == ((50, 60), (60, 80))


def test_with_a_chassis_sensor_travel_near_zero_is_no_flight_and_one_end_is_enough() -> None:
    up = np.zeros(800)
    up[100:200] = -STANDARD_GRAVITY_M_S2
    felt = chassis(up)
    travel = np.full(800, 50.0)
    travel[700:750] = 0.0
    front, rear = bare_end("front", travel), bare_end("rear", travel)
    for ends in ((front,), (front, rear)):
        found = find_riding(replace(bare_ride(*ends), inertial={felt.site: felt}))
        assert found.flights == ((99, 200),)
        assert found.airborne is not None
        assert found.airborne.sum() == 101


def test_flight_is_looked_for_where_it_is_ridden_only() -> None:
    travel = np.full(400, 50.0)
    travel[50:150] = 0.0
    ride = bare_ride(bare_end("front", travel), bare_end("rear", travel), bounds_s=(1.0, 3.0))
    assert find_riding(ride).flights == ((100, 150),)


def test_why_flight_cannot_be_told() -> None:
    one = find_riding(bare_ride(bare_end("front", np.full(100, 50.0))))
    assert one.airborne is None
    assert one.flights == ()
    assert "one end measured" in one.why_no_flight
    rough = find_riding(at_top(30, clocks="rough"))
    assert rough.airborne is None
    assert "clock" in rough.why_no_flight
    assert find_riding(at_top(30, clocks="near")).flights == ((50, 80),)


@pytest.mark.parametrize(("start_s", "end_s", "count"), [(0.2, 0.5, 4), (0.2001, 0.4999, 2), (0.2 + 1e-10, 0.5, 4)])
def test_start_and_end_are_within(start_s: float, end_s: float, count: int) -> None:
    assert within(np.arange(10) / 10, start_s, end_s).sum() == count
    ride = bare_ride(bare_end("front", np.full(10, 50.0)), rate_hz=10.0, bounds_s=(start_s, end_s))
    assert find_riding(ride).riding.sum() == count
