"""Three pushes: found where they are pressed, not where they aren't, and used as start and end of a run."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures import find_motion, find_pushes, with_bounds
from telemetry.measures.bounds import start_and_end
from telemetry.measures.push_groups import pushes_of
from telemetry.model.motion import PushGroup
from tests.measures.made_pushes import with_pushes, without_pushes
from tests.measures.made_rides import FRONT_MM, REAR_MM, made_motion, made_ride

RATE_HZ = 500.0
FULL_MM = {"front": FRONT_MM, "rear": REAR_MM}


def rest(seconds: float, mm: float = 40.0) -> np.ndarray:
    return np.full(round(seconds * RATE_HZ), mm)


def push(mm: float, seconds: float = 0.4, level_mm: float = 40.0) -> np.ndarray:
    share = np.arange(round(seconds * RATE_HZ)) / round(seconds * RATE_HZ)
    return level_mm + mm * (1 - np.cos(2 * np.pi * share)) / 2


def ridden(seconds: float = 20.0) -> np.ndarray:
    """Return travel that works all the time and begins and ends at 40 mm."""
    return 40 + 25 * np.sin(2 * np.pi * 1.5 * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)


def pressed(*pushes: np.ndarray, between_s: float = 0.3, before_s: float = 1.5, after_s: float = 1.0) -> np.ndarray:
    parts = [rest(before_s)]
    for one in pushes:
        parts += [one, rest(between_s)]
    return np.concatenate([*parts[:-1], rest(after_s)])


THREE = pressed(push(40), push(45), push(38))


def groups(front: np.ndarray, rear: np.ndarray | None = None) -> list[tuple[float, float]]:
    """Return the groups' bounds, s, of a ride at both ends; the rear like the front where not given."""
    ride = made_ride({"front": front, "rear": front if rear is None else rear}, RATE_HZ)
    return [(float(ride.time_s[group.start]), float(ride.time_s[group.stop])) for group in find_pushes(ride).groups]


class TestFound:
    """After 1 s of standing, three hits of 10 % or more within 3 s, then 0.5 s still."""

    def test_where_they_are(self) -> None:
        (only,) = groups(np.concatenate([THREE, ridden()]))
        assert only == pytest.approx((1.5, 1.5 + 3 * 0.4 + 2 * 0.3), abs=0.05)

    @pytest.mark.parametrize(
        "pushed",
        [
            pytest.param(pressed(*[push(40, 0.9)] * 3, between_s=0.1), id="slow"),
            pytest.param(pressed(*[push(40, 0.4)] * 3, between_s=0.0), id="touching"),
            pytest.param(pressed(*[push(40, 0.3)] * 3, between_s=0.9), id="a second's rest between"),
            pytest.param(pressed(*[push(40)] * 3, before_s=1.1, after_s=0.6), id="just long enough"),
            pytest.param(pressed(push(40), push(30), push(60)), id="uneven"),
            pytest.param(pressed(*[push(18)] * 3), id="just deep enough"),
            pytest.param(np.concatenate([pressed(*[push(40)] * 3, after_s=0), push(12), rest(1)]), id="bouncing after"),
        ],
    )
    def test_however_the_rider_presses(self, pushed: np.ndarray) -> None:
        assert len(groups(np.concatenate([pushed, ridden()]))) == 1

    def test_the_rear_a_little_later(self) -> None:
        later = np.concatenate([rest(0.1), THREE])[: THREE.shape[0]]
        (only,) = groups(np.concatenate([THREE, ridden()]), np.concatenate([later, ridden()]))
        assert only == pytest.approx((1.5, 3.4), abs=0.05)

    @pytest.mark.parametrize("end", ["front", "rear"])
    def test_one_measured_end(self, end: str) -> None:
        assert len(find_pushes(made_ride({end: np.concatenate([THREE, ridden()])}, RATE_HZ)).groups) == 1

    @pytest.mark.parametrize("rate_hz", [100.0, 200.0, 1000.0])
    def test_at_any_rate(self, rate_hz: float) -> None:
        travel = np.concatenate([THREE, ridden()])
        at = np.arange(0, (travel.shape[0] - 1) / RATE_HZ, 1 / rate_hz)
        other = np.interp(at, np.arange(travel.shape[0]) / RATE_HZ, travel)
        assert len(find_pushes(made_ride({"front": other, "rear": other}, rate_hz)).groups) == 1


class TestNotInvented:
    """Anything else is riding."""

    @pytest.mark.parametrize(
        "pushed",
        [
            pytest.param(pressed(*[push(40)] * 2), id="two"),
            pytest.param(pressed(*[push(40, 0.3)] * 4), id="four"),
            pytest.param(pressed(*[push(14)] * 3), id="too light"),
            pytest.param(pressed(push(40), push(40), push(14)), id="one too light"),
            pytest.param(pressed(*[push(40, 0.2)] * 3, between_s=0.0), id="too fast for a rider"),
            pytest.param(pressed(*[np.append(push(-20), push(10))] * 3), id="lifted as far as pressed"),
            pytest.param(np.concatenate([rest(1.5), push(-40), *[push(25)] * 3, rest(1)]), id="as bumps move an end"),
            pytest.param(pressed(*[push(40)] * 3, before_s=0.8), id="no standing before"),
            pytest.param(pressed(*[push(40)] * 3, after_s=0.3), id="no stillness after"),
            pytest.param(pressed(*[push(40, 0.9)] * 3, between_s=0.45), id="over more than 3 s"),
            pytest.param(pressed(push(20), push(20), push(100)), id="too uneven"),
            pytest.param(np.concatenate([pressed(*[push(40)] * 3, after_s=0), rest(2, 75)]), id="got on"),
        ],
    )
    def test_what_is_less(self, pushed: np.ndarray) -> None:
        assert groups(np.concatenate([pushed, ridden()])) == []

    def test_ends_one_after_the_other(self) -> None:
        front = np.concatenate(
            [rest(1.5), push(40, 0.3), rest(0.4), push(40, 0.3), rest(0.4), push(40, 0.3), rest(1.5)]
        )
        rear = np.concatenate([rest(0.35), front])[: front.shape[0]]
        assert len(groups(np.concatenate([front, ridden()]))) == 1
        assert groups(np.concatenate([front, ridden()]), np.concatenate([rear, ridden()])) == []

    def test_across_a_gap(self) -> None:
        travel = np.concatenate([THREE, ridden()])
        cut = round(2.0 * RATE_HZ)
        ride = made_ride({"front": travel, "rear": travel}, RATE_HZ, segments=((0, cut), (cut, travel.shape[0])))
        assert find_pushes(ride).groups == ()

    def test_three_of_a_piece_that_begins_high(self) -> None:
        assert pushes_of(np.concatenate([rest(0.1, 90), push(40), push(40), rest(0.1)]), FRONT_MM) == ()


class TestOneEndOnly:
    """A group at one end while the other stays still or moves the other way proves that something is wrong."""

    def test_the_other_stays_still(self) -> None:
        front = np.concatenate([THREE, ridden()])
        rear = np.concatenate([rest(THREE.shape[0] / RATE_HZ), ridden()])
        pushes = find_pushes(made_ride({"front": front, "rear": rear}, RATE_HZ))
        (lone,) = pushes.lone
        assert (pushes.groups, lone.end, lone.other, lone.opposite) == ((), "front", "rear", False)
        assert lone.other_share == pytest.approx(0, abs=1e-6)

    def test_the_other_moves_the_other_way(self) -> None:
        rear = np.concatenate([THREE, ridden()])
        pushes = find_pushes(made_ride({"front": 80 - rear, "rear": rear}, RATE_HZ))
        (lone,) = pushes.lone
        assert (pushes.groups, lone.end, lone.other, lone.opposite) == ((), "rear", "front", True)

    def test_pressed_lightly_at_the_other_end_is_nothing_to_warn_of(self) -> None:
        front = np.concatenate([THREE, ridden()])
        rear = np.concatenate([pressed(*[push(12)] * 3), ridden()])
        pushes = find_pushes(made_ride({"front": front, "rear": rear}, RATE_HZ))
        assert (pushes.groups, pushes.lone) == ((), ())


def bounds(travel: np.ndarray, *stated: float | None) -> tuple[float, str, float, str]:
    motion = made_motion({"front": travel, "rear": travel}, RATE_HZ, bounds_s=stated or (None, None))
    ride = motion.ride
    return ride.start_s, ride.start_from, ride.end_s, ride.end_from


class TestStartAndEnd:
    """Which group marks what; stated bounds hold, each by itself."""

    WHOLE = np.concatenate([THREE, ridden(), THREE])
    START_S = 1.5 + 1.8
    END_S = (THREE.shape[0] + ridden().shape[0]) / RATE_HZ + 1.5

    def test_before_and_after(self) -> None:
        start_s, start_from, end_s, end_from = bounds(self.WHOLE)
        assert (start_from, end_from) == ("pushes", "pushes")
        assert (start_s, end_s) == pytest.approx((self.START_S, self.END_S), abs=0.05)

    def test_riding_time_is_what_lies_between(self) -> None:
        whole = made_motion({"front": self.WHOLE, "rear": self.WHOLE}, RATE_HZ)
        stated = made_motion(
            {"front": self.WHOLE, "rear": self.WHOLE}, RATE_HZ, bounds_s=(whole.ride.start_s, whole.ride.end_s)
        )
        np.testing.assert_array_equal(whole.time.riding, stated.time.riding)
        assert whole.time.riding_s == pytest.approx(self.END_S - self.START_S, abs=0.1)

    def test_only_before(self) -> None:
        start_s, start_from, _, end_from = bounds(np.concatenate([THREE, ridden()]))
        assert (start_from, end_from) == ("pushes", "log")
        assert start_s == pytest.approx(self.START_S, abs=0.05)

    def test_only_after(self) -> None:
        _, start_from, end_s, end_from = bounds(np.concatenate([ridden(), THREE]))
        assert (start_from, end_from) == ("log", "pushes")
        assert end_s == pytest.approx(21.5, abs=0.05)

    def test_twice_at_the_start_is_one_place_and_the_later_counts(self) -> None:
        start_s, start_from, _, end_from = bounds(np.concatenate([THREE, THREE, ridden()]))
        assert (start_from, end_from) == ("pushes", "log")
        assert start_s == pytest.approx(THREE.shape[0] / RATE_HZ + self.START_S, abs=0.05)

    def test_riding_to_the_start_counts_for_nothing_where_both_are_marked(self) -> None:
        """Twice as much riding before as after, yet the first group is the start: another one follows."""
        start_s, _, end_s, _ = bounds(np.concatenate([ridden(40), self.WHOLE]))
        assert (start_s, end_s) == pytest.approx((40 + self.START_S, 40 + self.END_S), abs=0.05)

    def test_each_stated_bound_stands_by_itself(self) -> None:
        assert bounds(self.WHOLE, 8.0, None)[:2] == (8.0, "stated")
        assert bounds(self.WHOLE, 8.0, None)[3] == "pushes"
        assert bounds(self.WHOLE, None, 20.0)[2:] == (20.0, "stated")
        assert bounds(self.WHOLE, None, 20.0)[1] == "pushes"
        assert bounds(self.WHOLE, 2.0, 19.0) == (2.0, "stated", 19.0, "stated")

    def test_pushes_beyond_a_stated_bound_mark_nothing(self) -> None:
        assert bounds(self.WHOLE, None, 1.0)[1] == "log"
        assert bounds(self.WHOLE, 26.0, None)[3] == "log"

    def test_values_of_a_run_with_stated_bounds_do_not_change(self) -> None:
        ride = made_ride({"front": self.WHOLE, "rear": self.WHOLE}, RATE_HZ, bounds_s=(5.0, 21.0))
        bounded = with_bounds(ride, find_pushes(ride))
        assert replace(bounded, history=ride.history) == ride
        assert bounded.history[-1].words == "start 5.00 s, as stated; end 21.00 s, as stated"

    def test_one_place_goes_by_what_moves_before_and_after(self) -> None:
        moving = np.ones(1000, dtype=bool)
        early, late = PushGroup(start=400, stop=450), PushGroup(start=700, stop=750)
        assert start_and_end((early,), moving, 10.0) == (early, None)
        assert start_and_end((late,), moving, 10.0) == (None, late)
        assert start_and_end((early, late), moving, 10.0) == (early, late)
        assert start_and_end((early, late), moving, 100.0) == (None, early)
        assert start_and_end((), moving, 10.0) == (None, None)


class TestSimulatedRuns:
    """99 % found, none invented; `tests.benchmarks.found_pushes` shows the same with many more runs."""

    RUNS = 40

    def test_found_on_simulated_runs(self) -> None:
        missed = []
        for seed in range(self.RUNS):
            made = with_pushes(seed, 12.0)
            ride = find_motion(made.ride).ride
            found = (
                ride.start_s if ride.start_from == "pushes" else None,
                ride.end_s if ride.end_from == "pushes" else None,
            )
            if not made.found(*found):
                missed.append((seed, made.words, found, made.start_s, made.end_s))
        assert len(missed) <= 1, missed

    def test_none_invented_on_simulated_sessions(self) -> None:
        for seed in range(self.RUNS):
            made = without_pushes(seed, 12.0)
            assert find_pushes(made.ride).groups == (), (seed, made.words)
