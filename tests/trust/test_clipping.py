"""Readings that ran out of range: flat at an end, met or left faster than 200 mm/s."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.trust.clipping import find_clipped, find_clipped_at_own, own_ends
from tests.conditioning.made_ends import codes, fork, front_end, front_ride
from tests.measures.made_rides import path

TOP = 4095.0
ENDS = (0.0, TOP)
LEAST = 8.0  # readings a sample: 200 mm/s at 0.05 mm a reading and 500 samples a second


def found(readings: list[float], ends: tuple[float, ...] = ENDS) -> list[tuple[int, int, float]]:
    return [(flat.start, flat.stop, flat.reading) for flat in find_clipped(np.array(readings), LEAST, 1.0, ends)]


class TestStretches:
    def test_three_equal_readings_met_at_speed(self) -> None:
        assert found([4000, 4060, TOP, TOP, TOP, 4093, 4090]) == [(2, 5, TOP)]

    def test_or_left_at_speed(self) -> None:
        assert found([4090, 4093, TOP, TOP, TOP, 4060, 4000]) == [(2, 5, TOP)]

    def test_two_are_a_peak(self) -> None:
        assert found([4000, 4060, TOP, TOP, 4060, 4000]) == []

    @pytest.mark.parametrize(("before", "expected"), [(TOP - LEAST, 0), (TOP - LEAST - 1, 1)])
    def test_the_limit_is_exceeded_not_met(self, before: float, expected: int) -> None:
        assert len(found([2 * before - TOP, before, TOP, TOP, TOP, TOP, 4094])) == expected

    @pytest.mark.parametrize(("before", "expected"), [(TOP - 2 * LEAST, 0), (TOP - 2 * LEAST - 1, 1)])
    def test_a_last_step_that_the_range_cut_short_tells_the_speed_with_the_one_before_it(
        self, before: float, expected: int
    ) -> None:
        assert len(found([2 * before - TOP, before, TOP - 2, TOP, TOP, TOP, 4094])) == expected

    def test_the_low_end_too(self) -> None:
        assert found([100, 50, 0, 0, 0, 0, 3]) == [(2, 6, 0.0)]

    def test_equal_readings_elsewhere_are_none(self) -> None:
        assert found([4000, 4050, 4090, 4090, 4090, 4050, 4000]) == []

    def test_a_stretch_at_the_logs_start_or_end_has_one_side(self) -> None:
        assert found([TOP, TOP, TOP, 4000, 3900, 3900, TOP, TOP, TOP]) == [(0, 3, TOP), (6, 9, TOP)]
        assert found([TOP] * 20) == []

    def test_stretches_of_both_ends_come_in_time_order(self) -> None:
        readings = [2000, TOP, TOP, TOP, 2000, 0, 0, 0, 2000, TOP, TOP, TOP, 2000]
        assert [flat[2] for flat in found(readings)] == [TOP, 0.0, TOP]

    def test_a_jump_to_the_end_is_out_of_range_too(self) -> None:
        assert found([2000, 2000, 2000, TOP, TOP, TOP, TOP, 2000, 2000, 2000]) == [(3, 7, TOP)]

    @pytest.mark.parametrize(
        ("readings", "expected"),
        [
            ([79, 79, 79, 80, 80, 80, 79, 79], 0),  # a slow turn, or noise of one step
            ([79, 80, 79, 80, 80, 80, 80, 79, 80], 0),
            ([76, 78, 79, 80, 80, 80, 79, 79], 1),  # still further off before: it moves
            ([79, 79, 80, 80, 80, 79, 78, 76], 1),
            ([78, 78, 80, 80, 80, 79, 79], 1),  # two steps at once
        ],
    )
    def test_a_single_step_of_a_coarse_converter_tells_no_speed(self, readings: list[float], expected: int) -> None:
        assert len(find_clipped(np.array(readings, dtype=float), 0.8, 1.0, (80.0,))) == expected

    def test_without_ends_there_is_none(self) -> None:
        assert found([2000, TOP, TOP, TOP, 2000], ()) == []


class TestAtTheLogsOwnExtremes:
    """A wheel may turn there too; what it does evenly, or noise by chance, is no cut."""

    @staticmethod
    def own(readings: list[float]) -> int:
        return len(find_clipped_at_own(np.array(readings), [(0, len(readings))], 3.0, 1.0, (max(readings),)))

    @pytest.mark.parametrize(
        ("peak", "expected"),
        [
            ([0, 20, 40, 60, 80, 80, 80, 60, 40, 20, 0], 2),
            ([60, 66, 71, 75, 78, 80, 80, 80, 78, 75, 71], 0),  # turns within one step: 4 steps, then 9
            ([60, 66, 71, 75, 76, 80, 80, 80, 76, 75, 71], 0),
            ([50, 60, 70, 75, 80, 80, 80, 80, 80, 75, 70], 2),  # five samples on it: 2.25 steps, then 4
        ],
    )
    def test_what_an_even_turn_explains_is_none(self, peak: list[float], expected: int) -> None:
        level = [30.0] * 100
        assert self.own([*level, *peak, *level, *peak, *level]) == expected

    def test_a_value_that_is_never_reached_again_is_no_end_of_a_range(self) -> None:
        level, cut = [30.0] * 100, [0.0, 20.0, 40.0, 60.0, *[80.0] * 12, 60.0, 40.0, 20.0]
        assert self.own([*level, *cut, *level]) == 0
        assert self.own([*level, *cut, *level, *cut[:4], 80.0, *cut[-3:], *level]) == 0  # a peak, no stay
        assert self.own([*level, *cut, *level, *cut, *level]) == 2

    def test_noise_makes_three_readings_of_one_turn_equal_by_chance_but_not_of_two(self) -> None:
        noise = np.rint(np.random.default_rng(2).normal(30.0, 2.0, 200)).tolist()
        peak = [55.0, 68.0, 80.0, 80.0, 80.0, 69.0, 56.0]
        assert self.own([*noise, *peak, *noise]) == 0
        assert self.own([*noise, *peak, *noise, *peak, *noise]) == 2

    def test_friction_holds_one_turn_which_is_left_slowly(self) -> None:
        level, held = [30.0] * 100, [0.0, 48.0, 103.0, 132.0, 132.0, 132.0, 132.0, 130.0, 126.0, 120.0]
        assert self.own([*level, *held, *level]) == 0
        assert self.own([*level, *held, *level, *held, *level]) == 2

    def test_no_leg_stops_but_at_its_ends(self) -> None:
        readings = np.array([100.0, 2100.0])
        assert own_ends(readings, np.array([0.0, 100.0]), 160.0) == (2100.0,)
        assert own_ends(readings, np.array([4.8, 158.4]), 160.0) == ()
        assert own_ends(readings, np.array([4.9, 158.3]), 160.0) == (100.0, 2100.0)


class TestInARide:
    HITS = path(*[corner for _ in range(8) for corner in ((150.0, 0.2), (40.0, 0.4))], start=40.0)

    def readings(self, top_mm: float = 300.0) -> np.ndarray:
        return np.round(np.minimum(self.HITS, top_mm) / 0.05 + 100)

    def test_a_ride_inside_the_range_is_not(self) -> None:
        assert codes(front_ride(self.readings())) == []

    def test_a_ride_cut_at_130_mm_is_told_once(self) -> None:
        ride = front_ride(self.readings(130.0))
        (finding,) = ride.findings
        assert (finding.code, finding.severity, finding.end) == ("clipped", "warning", "front")
        assert "8 times 3 or more equal readings at 2700" in finding.message
        assert "depth is cut at 130.0 mm" in finding.message
        assert finding.second is not None
        first = int(np.flatnonzero(self.HITS >= 130.0)[0])
        assert finding.second == pytest.approx(first / 500, abs=0.0021)

    def test_a_range_that_ends_above_half_of_the_travel_cuts_depths(self) -> None:
        (finding,) = front_ride(self.readings(80.0)).findings
        assert "depth is cut at 80.0 mm" in finding.message

    @pytest.mark.parametrize("top", [4095.0, 2700.0])
    def test_the_logs_own_extreme_is_judged_beside_the_stated_range(self, top: float) -> None:
        (finding,) = front_ride(self.readings(130.0), end=front_end(fork(counts_range=(0.0, top)))).findings
        assert finding.code == "clipped"
        assert finding.message.count("8 times") == 1

    def test_a_coarse_converter_in_a_fast_log_is_not_out_of_range_at_rest(self) -> None:
        """0.25 mm a count at 1000 rows a second: noise of one count is 250 mm/s on paper."""
        sensor = fork(((0.0, 0.0), (680.0, 170.0)))
        readings = np.repeat(np.random.default_rng(3).integers(180, 182, 1000), 4)
        assert codes(front_ride(readings, 1000.0, front_end(sensor))) == []

    def test_nor_where_it_turns_slowly_at_its_deepest(self) -> None:
        sensor = fork(((0.0, 0.0), (680.0, 170.0)))
        time_s = np.arange(4000) / 1000.0
        readings = np.round((60 + 30 * np.sin(2 * np.pi * time_s)) / 0.25)
        assert codes(front_ride(readings, 1000.0, front_end(sensor))) == []

    def test_a_spike_to_the_end_of_the_range_is_a_spike(self) -> None:
        readings = self.readings()
        readings[1000:1003] = 4095.0
        assert codes(front_ride(readings, end=front_end(fork(counts_range=(0.0, 4095.0))))) == ["spikes"]

    def test_a_spike_does_not_hide_readings_out_of_range(self) -> None:
        """The log's own extreme is that of what was ridden."""
        readings = self.readings(130.0)
        readings[40] = 4000.0
        assert codes(front_ride(readings)) == ["spikes", "clipped"]
