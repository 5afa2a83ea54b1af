"""How alike two ends have to move for their clocks to be joined by pushes or by shaking, just below and above."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from telemetry.model.finding import End
from telemetry.model.motion import PushGroup
from telemetry.model.ride import Ride
from telemetry.pipeline.joining import _down, _same_moment, find_join
from tests.measures.bare_rides import FULL_MM, bare_end, bare_ride
from tests.measures.inertial_rides import inertial, inertial_ride

RATE_HZ = 1000.0
NO_PRESSES = {"front": {}, "rear": {}}


def moving(
    end: End, speed_mm_s: np.ndarray, rate_hz: float = RATE_HZ, first_s: float = 0.0, **keys: np.ndarray
) -> Ride:
    """Return a ride of one end that goes down so fast, its clock at `first_s` first."""
    travel = keys.pop("travel_mm", np.full(speed_mm_s.size, 40.0))
    time_s = first_s + np.arange(speed_mm_s.size) / rate_hz
    return bare_ride(bare_end(end, travel, speed_mm_s=speed_mm_s, **keys), rate_hz=rate_hz, time_s=time_s)


def wave(count: int, middle: float, wide: float) -> np.ndarray:
    """Return down and back up again."""
    at = (np.arange(count) - middle) / wide
    return np.asarray(at * np.exp(-(at**2) / 2))


def likeness(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Return the correlation of both about their means at every lag."""
    a, b = one - one.mean(), other - other.mean()
    return np.asarray(np.correlate(a, b, "full") / np.sqrt((a @ a) * (b @ b)))


def so_alike(one: np.ndarray, other: np.ndarray, alike: float, seen: slice | None = None) -> np.ndarray:
    """Return a mixture of both that is like the first by so much, where it is seen."""
    part = seen or slice(None)

    def more(share: float) -> float:
        return float(likeness(one[part], (share * one + (1 - share) * other)[part]).max()) - alike

    share = brentq(more, 0.02, 0.98, xtol=1e-7)
    return np.asarray(share * one + (1 - share) * other)


class TestPushes:
    COUNT, GROUP = 2400, PushGroup(start=800, stop=1600)

    def moment(self, front: np.ndarray, rear: np.ndarray, later: int = 0) -> tuple[float, float] | None:
        """Return what is found where the front's pushes are found so many samples later on its clock."""
        rides: dict[End, Ride] = {"front": moving("front", front), "rear": moving("rear", rear, first_s=100.0)}
        group = PushGroup(start=self.GROUP.start + later, stop=self.GROUP.stop + later)
        return _same_moment(rides, group, self.GROUP)

    def test_the_moment_is_that_at_which_both_are_alike(self) -> None:
        pushed = wave(self.COUNT, 1200, 60)
        found = self.moment(wave(self.COUNT, 1240, 60), pushed)
        assert found is not None
        assert found == pytest.approx((0.5 + 0.040, 100.5), abs=1e-4)

    def test_each_end_has_its_own_group(self) -> None:
        found = self.moment(wave(self.COUNT, 1740, 60), wave(self.COUNT, 1200, 60), later=500)
        assert found == pytest.approx((1.0 + 0.040, 100.5), abs=1e-4)

    @pytest.mark.parametrize(("factor", "told"), [(1.003, True), (0.997, False)])
    def test_both_are_alike_to_six_tenths(self, factor: float, *, told: bool) -> None:
        one, other = wave(self.COUNT, 1200, 60), wave(self.COUNT, 1100, 15)
        rear = so_alike(one, other, 0.6 * factor, slice(500, 1900))
        assert (self.moment(one, rear) is not None) is told

    @pytest.mark.parametrize(("lag", "told"), [(499, True), (503, False)])
    @pytest.mark.parametrize("sign", [1, -1])
    def test_one_comes_half_a_second_later_at_most(self, lag: int, sign: int, *, told: bool) -> None:
        spike = np.zeros(self.COUNT)
        spike[1200] = 1.0
        found = self.moment(np.roll(spike, sign * (lag // 2)), np.roll(spike, sign * (lag // 2 - lag)))
        assert (found is not None) is told

    @pytest.mark.parametrize(("ahead", "told"), [(299, True), (305, False)])
    def test_they_are_looked_at_from_three_tenths_before_to_three_tenths_after(self, ahead: int, *, told: bool) -> None:
        """Nothing else moves: what lies further off isn't seen."""
        spike, late = np.zeros(self.COUNT), np.zeros(self.COUNT)
        spike[800 - ahead] = late[1600 + ahead - 2] = 1.0
        assert (self.moment(spike, spike) is not None) is told
        assert (self.moment(late, late) is not None) is told


class TestThreePushes:
    """At 100 Hz: stands, three pushes, a ride of 10 s and more, three pushes; another moves alike on its own clock."""

    RATE_HZ, RODE = 100.0, 1000

    def run(self, end: End, *, first: bool = True, last: bool = True) -> Ride:
        """Return one end's ride; the rear's log begins 3 s sooner."""
        sooner = 300 if end == "rear" else 0
        second = sooner + 1200 + self.RODE
        count = second + 1200
        travel, still = np.full(count, 60.0), np.zeros(count, dtype=bool)
        for start, pushed in ((sooner, first), (second, last)):
            still[start + 100 : start + 400] = still[start + 800 : start + 1100] = True
            for hit in range(3 if pushed else 0):
                depth_mm = 40 - 20 * np.cos(2 * np.pi * np.arange(30) / 30)
                travel[start + 520 + 60 * hit : start + 550 + 60 * hit] += depth_mm
        riding = slice(second - self.RODE, second)
        travel[riding] = 60 + 20 * np.sin(np.arange(self.RODE) * (0.3 if end == "front" else 0.41))
        speed = np.gradient(travel) * self.RATE_HZ
        speed[riding] = 0.0
        return moving(end, speed, self.RATE_HZ, travel_mm=travel, still=still)

    @pytest.mark.parametrize(
        ("first", "last", "clocks", "words"),
        [
            (True, True, "near", "the three pushes at start and end"),
            (True, False, "rough", "the three pushes at one end of the run only, so the drift isn't known"),
            (False, True, "rough", "the three pushes at one end of the run only, so the drift isn't known"),
        ],
    )
    def test_pushes_at_both_ends_tell_drift(self, clocks: str, words: str, *, first: bool, last: bool) -> None:
        rides: dict[End, Ride] = {end: self.run(end, first=first, last=last) for end in ("front", "rear")}  # type: ignore[misc, arg-type]
        join = find_join(rides, NO_PRESSES)
        assert join is not None
        assert (join.clocks, join.by) == (clocks, words)
        assert (join.line.offset_s, join.line.rate) == pytest.approx((-3.0, 1.0), abs=1e-4)

    @pytest.mark.parametrize("lacking", ["front", "rear"])
    def test_pushes_of_one_end_alone_join_nothing(self, lacking: End) -> None:
        rides: dict[End, Ride] = {end: self.run(end, last=end != lacking) for end in ("front", "rear")}  # type: ignore[misc, arg-type]
        join = find_join(rides, NO_PRESSES)
        assert join is not None
        assert join.by.startswith("the three pushes at one end of the run only")

    @pytest.mark.parametrize(("ppm", "clocks"), [(990.0, "near"), (1010.0, "rough")])
    @pytest.mark.parametrize("sign", [1, -1])
    def test_of_1000_ppm_at_most(self, ppm: float, sign: int, clocks: str) -> None:
        front = self.run("front")
        rides: dict[End, Ride] = {
            "front": replace(front, time_s=front.time_s * (1 + sign * ppm / 1e6)),
            "rear": self.run("rear"),
        }
        join = find_join(rides, NO_PRESSES)
        assert join is not None
        assert join.line.drift_ppm == pytest.approx(sign * ppm, abs=6)
        assert join.clocks == clocks


class TestShaking:
    """At 20 Hz, as it is compared; half a second is ten samples."""

    RATE_HZ, COUNT = 20.0, 2500

    def envelope(self, loud: np.ndarray) -> np.ndarray:
        return np.convolve(loud, np.ones(10) / 10, "same")

    def told(self, front: np.ndarray, rear: np.ndarray):
        rides: dict[End, Ride] = {
            "front": moving("front", front * FULL_MM, self.RATE_HZ, 5.0),
            "rear": moving("rear", rear * FULL_MM, self.RATE_HZ, 2.0),
        }
        return find_join(rides, NO_PRESSES)

    @pytest.mark.parametrize(("factor", "told"), [(1.01, True), (0.99, False)])
    def test_envelopes_are_alike_to_three_tenths(self, factor: float, *, told: bool) -> None:
        """One changes slowly, the other from sample to sample; the last moment of a ride isn't among those compared."""
        one, other = np.random.default_rng(4).random((2, self.COUNT)) ** 4
        one = np.convolve(one, np.ones(40) / 40, "same")
        seen = self.envelope(one[:-1]), self.envelope(other[:-1])
        rear = so_alike(*seen, 0.3 * factor)
        share = np.linalg.lstsq(np.column_stack(seen), rear, rcond=None)[0]
        join = self.told(one, share[0] * one + share[1] * other)
        assert (join is not None) is told
        if join is not None:
            assert join.line.offset_s == pytest.approx(3.0, abs=0.01)
            assert join.by == f"how both ends shake (alike to {0.3 * factor:.2f})"

    @pytest.mark.parametrize(("share", "told"), [(0.0099, False), (0.0101, True)])
    def test_each_shakes_by_a_hundredth_of_its_travel_a_second(self, share: float, *, told: bool) -> None:
        shape = np.random.default_rng(5).random(self.COUNT)
        shape /= shape[:-1].mean()
        assert (self.told(shape, share * shape) is not None) is told
        assert (self.told(share * shape, shape) is not None) is told

    @pytest.mark.parametrize("short", ["front", "rear"])
    def test_a_short_log_is_found_anywhere_in_a_long_one(self, short: str) -> None:
        whole = np.random.default_rng(7).random(self.COUNT)
        whole[2_000:2_400] *= 8
        part = whole[1_900:]
        join = self.told(part, whole) if short == "front" else self.told(whole, part)
        assert join is not None
        assert join.line.offset_s == pytest.approx(3.0 + (-95.0 if short == "front" else 95.0), abs=0.05)

    def test_down_and_up_count_alike(self) -> None:
        shape = np.random.default_rng(6).random(self.COUNT)
        join = self.told(shape, np.where(np.arange(self.COUNT) % 2, -shape, shape))
        assert join is not None
        assert join.by == "how both ends shake (alike to 1.00)"


class TestByAcceleration:
    """Where only acceleration tells how an end moves: upward, summed, without what drifts slower than 0.3 Hz."""

    RATE_HZ = 200.0

    def down(self, hertz: float) -> float:
        """Return by how much of what it is a speed of one frequency is told, over shares of 150 mm."""
        time_s = np.arange(20_000) / self.RATE_HZ
        turn = 2 * np.pi * hertz
        upward = 0.15 * turn * np.cos(turn * time_s)
        ride = inertial_ride(inertial(upward), inertial(0 * upward, on="wheel"), rate_hz=self.RATE_HZ)
        told = _down(ride, "front")[8_000:12_000]
        return float(told @ -np.sin(turn * time_s[8_000:12_000]) / 2_000)

    def test_the_chassis_counts_downward(self) -> None:
        assert self.down(3.0) == pytest.approx(1.0, abs=0.02)

    def test_half_of_what_turns_at_0_3_hz_is_left(self) -> None:
        """The low-pass, gone through twice, lets half the power of its edge pass; what it lets pass is taken out."""
        assert self.down(0.3) == pytest.approx(1 - np.sqrt(0.5), abs=0.02)

    def test_stretches_are_summed_each_by_itself_and_an_axle_does_where_there_is_no_chassis(self) -> None:
        upward = np.random.default_rng(2).standard_normal(4_000)
        cut = inertial_ride(inertial(upward, on="wheel"), rate_hz=self.RATE_HZ, segments=((0, 2_500), (2_500, 4_000)))
        first, last = (
            inertial_ride(inertial(part, on="wheel"), rate_hz=self.RATE_HZ) for part in (upward[:2_500], upward[2_500:])
        )
        together = np.concatenate([_down(first, "front"), _down(last, "front")])
        np.testing.assert_allclose(_down(cut, "front"), together, atol=1e-12)
