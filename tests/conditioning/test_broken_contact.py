"""Steps no wheel makes: how fast, how long, alone, and undone or not, on arrays."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.broken_contact import find_broken_contact, lasting_steps
from tests.thresholds import threshold


class TestLimitsOnArrays:
    """Steps at the limit, runs of fast samples that last too long, and what stands beside them."""

    LEAST_MM, SPEED = (
        threshold("conditioning.broken_contact.LEAST_MM"),
        threshold("conditioning.despiking.SPEED_LIMIT_MM_S"),
    )

    def stepping(self, mm: float, *, within: int = 1, count: int = 60) -> np.ndarray:
        """Return travel that steps up so far within some samples."""
        travel = np.full(count, 40.0)
        travel[30:] += mm
        travel[29 + 1 : 29 + within] = 40 + mm * np.arange(1, within) / within
        return travel

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("rate_hz", "over"), [(500.0, 1), (2000.0, 1), (2001.0, 2), (4000.0, 2), (4001.0, 3)])
    def test_a_step_is_over_10_m_s_over_as_many_samples_as_5_mm_take(
        self, rate_hz: float, over: int, sign: int
    ) -> None:
        assert over == max(1, int(np.ceil(self.LEAST_MM * rate_hz / self.SPEED)))
        limit = over * self.SPEED / rate_hz
        assert find_broken_contact(self.stepping(sign * 0.999 * limit), rate_hz).tolist() == []
        assert find_broken_contact(self.stepping(sign * 1.001 * limit), rate_hz).tolist() == [30]

    def test_exactly_10_m_s_is_none(self) -> None:
        assert find_broken_contact(self.stepping(20.0), 500.0).tolist() == []

    @pytest.mark.parametrize("fast", [None, np.array([29]), np.array([3, 29, 40]), np.array([3])])
    def test_where_the_fast_steps_are_known_only_they_are_looked_at(self, fast: np.ndarray | None) -> None:
        """The answer is the same, but for a step that isn't among them."""
        found = find_broken_contact(self.stepping(30.0), 500.0, fast)
        assert found.tolist() == ([] if fast is not None and fast.tolist() == [3] else [30])
        limit = find_broken_contact(self.stepping(20.0), 500.0, np.array([29]))
        assert limit.tolist() == []
        over_two = find_broken_contact(self.stepping(6.0), 4000.0, np.empty(0, dtype=np.int64))
        assert over_two.tolist() == [30]

    @pytest.mark.parametrize(("within", "counts"), [(2, True), (3, False)])
    def test_it_lasts_no_longer_than_two_samples(self, within: int, *, counts: bool) -> None:
        travel = self.stepping(30.0 * within, within=within)
        assert bool(find_broken_contact(travel, 500.0).size) is counts

    def test_of_two_samples_the_larger_step_is_told(self) -> None:
        travel = np.full(60, 40.0)
        travel[30], travel[31:] = 65.0, 100.0
        assert find_broken_contact(travel, 500.0).tolist() == [31]
        travel[30] = 75.0
        assert find_broken_contact(travel, 500.0).tolist() == [30]

    @pytest.mark.parametrize("place", [-2, 1])
    @pytest.mark.parametrize(("share", "alone"), [(0.499, True), (0.5, False)])
    def test_just_before_and_after_it_moves_the_same_way_at_less_than_half_the_speed(
        self, share: float, place: int, *, alone: bool
    ) -> None:
        moves = np.zeros(60)
        moves[30] = 32.0
        moves[30 + place + (1 if place < 0 else 0)] = share * 32.0
        assert bool(find_broken_contact(40 + np.cumsum(moves), 500.0).size) is alone
        assert bool(find_broken_contact(200 - np.cumsum(moves), 500.0).size) is alone
        moves[30 + place + (1 if place < 0 else 0)] = -15.0  # the other way it may be as fast as a wheel can be
        assert find_broken_contact(40 + np.cumsum(moves), 500.0).size == 1

    @pytest.mark.parametrize("first", [True, False])
    def test_at_an_end_of_the_stretch_one_side_is_enough(self, *, first: bool) -> None:
        travel = np.full(20, 40.0)
        travel[1 if first else 19 :] += 40.0
        assert find_broken_contact(travel, 500.0).tolist() == [1 if first else 19]

    @pytest.mark.parametrize(
        ("moves", "expected"),
        [
            ([20.0, 45.0, 20.0], [31]),  # beside it just the limit: fast it isn't, and less than half
            ([25.0, 60.0, 18.0], [31]),  # the faster of two samples counts, the second
            ([60.0, 25.0, 18.0], [30]),  # or the first
            ([30.0, 30.0, 18.0], []),
        ],
    )
    def test_what_stands_beside_is_held_against_the_fastest(self, moves: list[float], expected: list[int]) -> None:
        whole = np.zeros(60)
        whole[30:33] = moves
        assert find_broken_contact(40 + np.cumsum(whole), 500.0).tolist() == expected

    def test_the_first_and_the_last_move_of_a_stretch_stand_beside_too(self) -> None:
        assert find_broken_contact(40 + np.r_[0, 18, np.full(8, 48.0)], 500.0).tolist() == []
        assert find_broken_contact(40 + np.r_[np.zeros(8), 30, 30], 500.0).tolist() == [8]

    def test_known_steps_down_and_at_the_very_end_are_looked_at(self) -> None:
        assert find_broken_contact(self.stepping(-30.0), 500.0, np.array([29])).tolist() == [30]
        assert find_broken_contact(self.stepping(30.0)[:31], 500.0, np.array([29])).tolist() == [30]

    def test_steps_both_ways_stand_in_order(self) -> None:
        travel = np.full(90, 40.0)
        travel[20:30] += 60
        travel[50:70] -= 30
        assert find_broken_contact(travel, 500.0).tolist() == [20, 30, 50, 70]


class TestWhatLasts:
    """A step is undone where travel comes back by half of it, within so many samples, before it or after."""

    WITHIN = int(threshold("conditioning.broken_contact.LEFT_SPIKE"))

    def lost(self, samples: int, back: float = 1.0) -> np.ndarray:
        travel = np.full(60, 40.0)
        travel[30 : 30 + samples] += 60.0
        travel[30 + samples :] += 60.0 * (1 - back)
        return travel

    @pytest.mark.parametrize(("more", "lasts"), [(0, False), (1, True)])
    def test_a_loss_of_up_to_five_samples_is_undone(self, more: int, *, lasts: bool) -> None:
        samples = self.WITHIN + more
        steps = np.array([30, 30 + samples])
        assert lasting_steps(self.lost(samples), steps).tolist() == [lasts, lasts]
        assert lasting_steps(120 - self.lost(samples), steps).tolist() == [lasts, lasts]

    @pytest.mark.parametrize(("back", "lasts"), [(0.501, False), (0.5, True), (0.499, True)])
    def test_by_half_of_it(self, back: float, *, lasts: bool) -> None:
        assert lasting_steps(self.lost(4, back), np.array([30])).tolist() == [lasts]
        turned = self.lost(4, back)[::-1].copy()
        assert lasting_steps(turned, np.array([30])).tolist() == [lasts]

    def test_half_of_the_step_itself(self) -> None:
        travel = self.lost(4, 35 / 60)
        travel[29] += 20.0
        assert lasting_steps(travel, np.array([30])).tolist() == [True]

    @pytest.mark.parametrize("place", [26, 27, 32, 36])
    def test_a_single_sample_elsewhere_tells_nothing(self, place: int) -> None:
        travel = self.lost(4)
        travel[place] += 50.0
        assert lasting_steps(travel, np.array([30])).tolist() == [False]
        turned = travel[::-1].copy()
        assert lasting_steps(turned, np.array([30])).tolist() == [False]

    def test_near_an_end_what_there_is_is_looked_at(self) -> None:
        travel = np.full(12, 40.0)
        travel[1:4] += 60.0
        assert lasting_steps(travel, np.array([1, 4])).tolist() == [False, False]
        travel = np.full(12, 40.0)
        travel[10:] += 60.0
        assert lasting_steps(travel, np.array([10])).tolist() == [True]
        back = np.full(12, 100.0)
        back[9:11] -= 60.0
        assert lasting_steps(back, np.array([11])).tolist() == [False]


def test_an_end_that_takes_its_time_to_be_so_fast_is_none() -> None:
    """A hard landing: 12 m/s, reached and lost within 8 ms either way (150 g)."""
    time = np.arange(400) / 1000
    speed = 12_000 * np.clip(1 - np.abs(time - 0.2) / 0.008, 0, None)
    travel = np.cumsum(speed) / 1000
    assert np.abs(np.diff(travel)).max() > 11
    assert find_broken_contact(travel, 1000.0).size == 0


@pytest.mark.parametrize("rate_hz", [100.0, 500.0, 2000.0, 10_000.0])
def test_at_any_rate_the_sample_after_the_step(rate_hz: float) -> None:
    rng = np.random.default_rng(3)
    count = round(4 * rate_hz)
    travel = 50 + 20 * np.sin(2 * np.pi * 2 * np.arange(count) / rate_hz) + rng.normal(0, 0.2, count)
    first, stop = count // 2, count // 2 + max(4, count // 40)
    travel[first:stop] += 130.0
    assert find_broken_contact(travel, rate_hz).tolist() == [first, stop]


def test_a_contact_that_bounces_tells_each_of_its_steps() -> None:
    travel = np.full(60, 40.0)
    travel[30:38] = [150, 10, 150, 10, 150, 10, 150, 10]
    assert find_broken_contact(travel, 500.0).tolist() == [30, 31, 32, 33, 34, 35, 36, 37, 38]


@pytest.mark.parametrize("count", [0, 1, 2])
def test_too_little_to_step(count: int) -> None:
    assert find_broken_contact(np.arange(count) * 100.0, 500.0).size == (1 if count > 1 else 0)
