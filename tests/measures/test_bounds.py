"""Which pushes bound a ride: how much movement lies between, before and after, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.bounds import find_pushes, start_and_end, with_bounds
from telemetry.model.motion import Pushes, PushGroup
from telemetry.model.ride import Ride
from tests.measures.bare_rides import bare_end, bare_ride
from tests.thresholds import threshold

RATE_HZ = 100.0
TOGETHER = round(threshold("measures.bounds.TOGETHER_S") * RATE_HZ)


def group(start: int, stop: int) -> PushGroup:
    return PushGroup(start=start, stop=stop)


@pytest.mark.parametrize(("between", "together"), [(TOGETHER - 1, True), (TOGETHER, False)])
def test_groups_with_under_3_s_of_movement_between_stand_at_one_place(between: int, *, together: bool) -> None:
    moving = np.zeros(3000, dtype=bool)
    first, second = group(100, 300), group(2000, 2200)
    moving[500 : 500 + between] = True
    moving[120:280] = moving[2020:2180] = True  # the pushes themselves
    moving[2300:2900] = True
    found = start_and_end((first, second), moving, RATE_HZ)
    assert found == ((second, None) if together else (first, second))


def test_of_each_place_the_group_next_to_the_riding_between_counts() -> None:
    moving = np.zeros(5000, dtype=bool)
    moving[1000:3000] = True
    groups = (group(0, 100), group(200, 300), group(4000, 4100), group(4200, 4300))
    assert start_and_end(groups, moving, RATE_HZ) == (groups[1], groups[2])
    middle = group(2000, 2100)
    assert start_and_end((groups[0], middle, groups[3]), moving, RATE_HZ) == (groups[0], groups[3])


@pytest.mark.parametrize(
    ("before", "after", "at_start"), [(500, 500, True), (501, 500, False), (0, 1, True), (1, 0, False)]
)
def test_a_single_place_is_the_start_where_as_much_movement_follows(before: int, after: int, *, at_start: bool) -> None:
    moving = np.zeros(3000, dtype=bool)
    moving[:before] = moving[3000 - after :] = moving[1010:1090] = True  # and what the pushes move
    one, again = group(1000, 1100), group(1200, 1300)
    assert start_and_end((one,), moving, RATE_HZ) == ((one, None) if at_start else (None, one))
    assert start_and_end((one, again), moving, RATE_HZ) == ((again, None) if at_start else (None, one))


def test_a_place_at_the_logs_first_sample_has_no_movement_before() -> None:
    one = group(0, 100)
    assert start_and_end((one,), np.zeros(300, dtype=bool), RATE_HZ) == (one, None)


def ridden(**keys: object) -> Ride:
    return bare_ride(bare_end("front", np.full(1001, 50.0)), **keys)  # type: ignore[arg-type]


def marked(at_start: PushGroup | None, at_end: PushGroup | None) -> Pushes:
    return Pushes(at_start=at_start, at_end=at_end)


def test_start_is_where_the_pushes_have_ended_and_end_where_they_begin() -> None:
    found = with_bounds(ridden(), marked(group(100, 200), group(800, 900)))
    assert (found.start_s, found.start_from, found.end_s, found.end_from) == (2.0, "pushes", 8.0, "pushes")
    step = found.history[-1]
    assert step.words == "start 2.00 s, by three pushes; end 8.00 s, by three pushes"
    assert step.parameters == {"start_s": 2.0, "start_from": "pushes", "end_s": 8.0, "end_from": "pushes"}
    whole = with_bounds(ridden(), marked(None, None))
    assert (whole.start_s, whole.start_from, whole.end_s, whole.end_from) == (0.0, "log", 10.0, "log")


@pytest.mark.parametrize(("stop", "counts"), [(499, True), (500, False), (501, False)])
def test_pushes_past_a_stated_end_mark_no_start(stop: int, *, counts: bool) -> None:
    ride = replace(ridden(), end_s=5.0, end_from="stated")
    found = with_bounds(ride, marked(group(400, stop), None))
    assert (found.start_from, found.start_s) == (("pushes", stop / 100) if counts else ("log", 0.0))
    assert (found.end_from, found.end_s) == ("stated", 5.0)


@pytest.mark.parametrize(("start", "counts"), [(499, False), (500, False), (501, True)])
def test_pushes_before_a_stated_start_mark_no_end(start: int, *, counts: bool) -> None:
    ride = replace(ridden(), start_s=5.0, start_from="stated")
    found = with_bounds(ride, marked(None, group(start, 600)))
    assert (found.end_from, found.end_s) == (("pushes", start / 100) if counts else ("log", 10.0))
    assert (found.start_from, found.start_s) == ("stated", 5.0)


def with_three(at: int, count: int, *, depth_mm: float = 40.0) -> tuple[np.ndarray, np.ndarray]:
    """Return travel and stillness: three pushes of half a second, 1 s apart, still for 2 s around them."""
    travel, still = np.full(count, 50.0), np.zeros(count, dtype=bool)
    still[at - 200 : at] = still[at + 250 : at + 450] = True
    push = depth_mm * np.sin(np.pi * np.arange(50) / 50) ** 2
    for number in range(3):
        travel[at + 100 * number : at + 100 * number + 50] += push
    return travel, still


def test_a_bike_that_is_carried_does_not_move() -> None:
    """Ridden a little longer before than after, were it not that it is lifted for a part of it."""
    travel, still = with_three(2000, 4000)
    ride = bare_ride(bare_end("front", travel, still=still), bare_end("rear", travel, still=still))
    assert find_pushes(ride).at_end is not None  # 1800 samples before, 1550 after
    lifted = travel.copy()
    lifted[200:1000] = 0.0
    ride = bare_ride(bare_end("front", lifted, still=still), bare_end("rear", lifted, still=still))
    found = find_pushes(ride)
    assert (found.at_start, found.at_end) == (found.groups[0], None)


def test_the_bike_moves_where_either_end_does() -> None:
    """A little more before than after, but for a part in which the rear alone is still."""
    travel, still = with_three(2000, 4000)
    rear = still.copy()
    rear[200:1000] = True
    ends = bare_end("front", travel, still=still), bare_end("rear", travel, still=rear)
    assert find_pushes(bare_ride(*ends)).at_end is not None


def test_pushes_the_wrong_way_are_told_where_no_others_are() -> None:
    travel, still = with_three(1000, 3000, depth_mm=-40.0)
    found = find_pushes(bare_ride(bare_end("front", travel, still=still)))
    assert (found.groups, len(found.upside_down)) == ((), 1)
    right, _ = with_three(2000, 3000)
    _, later = with_three(2000, 3000)
    both = bare_end("front", travel + right - 50, still=still | later)
    assert find_pushes(bare_ride(both)).upside_down == ()
    lone = bare_ride(bare_end("front", travel, still=still), bare_end("rear", 100 - travel, still=still))
    assert (len(find_pushes(lone).lone), find_pushes(lone).upside_down) == (1, ())
