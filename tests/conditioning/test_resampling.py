"""Uneven stamps brought to an even clock, segment by segment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning.resampling import EvenClock, even_times
from telemetry.model.log import Log
from tests.conditioning.made_ends import front_end, ride_of
from tests.measures.made_rides import made_log

RATE_HZ = 100.0


def uneven(stamps: np.ndarray, segments: Sequence[tuple[int, int]] | None = None, **columns: np.ndarray) -> Log:
    """Return a log of these stamps; its rate is rows - 1 over time within segments."""
    kept = tuple(segments or ((0, stamps.size),))
    rows = sum(stop - start - 1 for start, stop in kept)
    span = sum(stamps[stop - 1] - stamps[start] for start, stop in kept)
    log = made_log(columns or {"A0": np.zeros(stamps.size)}, rows / span, kept)
    return replace(log, time_s=stamps, even=False)


def jittered(count: int, seed: int = 3, start_s: float = 0.0) -> np.ndarray:
    jitter = np.random.default_rng(seed).uniform(-0.4, 0.4, count)
    jitter[[0, -1]] = 0
    return start_s + (np.arange(count) + jitter) / RATE_HZ


class TestEvenTimes:
    @pytest.mark.parametrize(("first_s", "last_s"), [(0.0, 3.0), (12.34, 60.0), (3600.0, 7199.993)])
    @pytest.mark.parametrize("rate_hz", [99.7, 250.0])
    def test_steps_of_one_over_the_rate_that_reach_but_never_pass_the_last_stamp(
        self, first_s: float, last_s: float, rate_hz: float
    ) -> None:
        times = even_times(first_s, last_s, rate_hz)
        assert times[0] == first_s
        assert np.allclose(np.diff(times) * rate_hz, 1.0, rtol=1e-6, atol=0)
        assert last_s - 1 / rate_hz < times[-1] + 1e-9 <= last_s + 2e-9

    def test_a_last_stamp_that_rounding_puts_short_is_not_lost(self) -> None:
        assert even_times(0.0, 0.3 - 1e-13, 10.0).size == 4


class TestUneven:
    def test_lines_between_rows_are_followed_exactly(self) -> None:
        """A zigzag with its corners at the stamps is its own interpolation."""
        stamps = jittered(200)
        readings = np.random.default_rng(5).normal(size=200)
        clock = EvenClock(uneven(stamps))
        values = clock.values(readings)
        for place, now in enumerate(clock.time_s.tolist()):
            after = min(max(int(np.searchsorted(stamps, now)), 1), 199)
            share = (now - stamps[after - 1]) / (stamps[after] - stamps[after - 1])
            expected = readings[after - 1] + share * (readings[after] - readings[after - 1])
            assert values[place] == pytest.approx(expected, abs=1e-9)

    def test_a_straight_ride_stays_straight(self) -> None:
        stamps = jittered(300, start_s=7.0)
        clock = EvenClock(uneven(stamps))
        assert clock.values(2 - 3 * stamps) == pytest.approx(2 - 3 * clock.time_s, abs=1e-9)
        assert clock.segments == ((0, 300),)

    def test_a_sine_read_at_uneven_stamps_has_its_value_at_even_ones(self) -> None:
        stamps = jittered(1000)
        clock = EvenClock(uneven(stamps))
        error = clock.values(np.sin(2 * np.pi * 2 * stamps)) - np.sin(2 * np.pi * 2 * clock.time_s)
        widest = np.diff(stamps).max()
        assert np.abs(error).max() <= (2 * np.pi * 2 * widest) ** 2 / 8  # h^2 max|x''| / 8

    def test_source_rows_are_those_at_or_before(self) -> None:
        stamps = jittered(100)
        log = replace(uneven(stamps), source_rows=np.arange(100) * 2 + 5)
        clock = EvenClock(log)
        for sample, now in enumerate(clock.time_s.tolist()):
            source = clock.source_sample(sample)
            assert stamps[source] <= now + 1e-12
            assert source == 99 or stamps[source + 1] > now
            assert clock.row_of(sample) == 2 * source + 5


class TestGaps:
    STAMPS = np.concatenate([jittered(60), jittered(80, 4, 5.0), jittered(40, 6, 9.0)])
    SEGMENTS = ((0, 60), (60, 140), (140, 180))

    def test_no_time_lies_in_a_gap(self) -> None:
        clock = EvenClock(uneven(self.STAMPS, self.SEGMENTS))
        for (first, last), (start, stop) in zip(clock.segments, self.SEGMENTS, strict=True):
            assert clock.time_s[first] == self.STAMPS[start]
            assert clock.time_s[last - 1] <= self.STAMPS[stop - 1] + 1e-9

    def test_segments_cover_every_sample(self) -> None:
        clock = EvenClock(uneven(self.STAMPS, self.SEGMENTS))
        assert clock.segments[0][0] == 0
        assert clock.segments[-1][1] == clock.time_s.size
        assert all(one[1] == other[0] for one, other in zip(clock.segments, clock.segments[1:], strict=False))

    def test_nothing_is_interpolated_across(self) -> None:
        """Each segment holds one level of its own; a value between two levels would have crossed a gap."""
        levels = np.repeat([10.0, 500.0, -3.0], [60, 80, 40])
        clock = EvenClock(uneven(self.STAMPS, self.SEGMENTS))
        values = clock.values(levels)
        assert set(values.tolist()) == {10.0, 500.0, -3.0}
        for (first, last), level in zip(clock.segments, (10.0, 500.0, -3.0), strict=True):
            assert np.all(values[first:last] == level)

    def test_rows_outside_every_segment_are_left_out(self) -> None:
        clock = EvenClock(uneven(self.STAMPS, (self.SEGMENTS[0], self.SEGMENTS[2])))
        assert clock.values(np.repeat([1.0, 2.0, 3.0], [60, 80, 40])).tolist().count(2.0) == 0

    def test_a_segment_too_short_at_the_mean_rate_is_left_out(self) -> None:
        """20 rows in 0.1 s are 11 samples at the log's mean rate: too few for the low-pass."""
        stamps = np.concatenate([jittered(200), 5 + np.arange(20) / 200, jittered(200, 8, 9.0)])
        log = uneven(stamps, ((0, 200), (200, 220), (220, 420)), A0=np.full(420, 1500.0))
        clock = EvenClock(log)
        assert len(clock.segments) == 2
        assert not np.any((clock.time_s > 4) & (clock.time_s < 8))
        ride = ride_of(log, front_end())
        assert ride.time_s.size == ride.front.travel_mm.size == clock.time_s.size
        assert ride.front.travel_mm == pytest.approx(np.full(clock.time_s.size, 70.0))


class TestEven:
    def test_an_even_log_is_taken_as_it_stands(self) -> None:
        log = made_log({"A0": np.arange(100.0)}, RATE_HZ)
        clock = EvenClock(log)
        assert clock.values(log.columns["A0"]) is log.columns["A0"]
        assert np.shares_memory(clock.time_s, log.time_s)
        assert [clock.row_of(sample) for sample in (0, 50, 99)] == [2, 52, 101]

    def test_an_even_log_with_a_gap_loses_only_the_gap(self) -> None:
        log = made_log({"A0": np.arange(100.0)}, RATE_HZ, ((0, 40), (50, 100)))
        clock = EvenClock(log)
        assert clock.values(log.columns["A0"]).tolist() == [*range(40), *range(50, 100)]
        assert clock.segments == ((0, 40), (40, 90))
        assert clock.time_s[40] == pytest.approx(0.5)
        assert clock.row_of(40) == 52


def test_resampling_is_written_into_the_history_of_an_uneven_log_only() -> None:
    stamps = jittered(200)
    readings = np.full(200, 1500.0)
    steps = [step for step in ride_of(uneven(stamps, A0=readings), front_end()).history if step.stage == "resampling"]
    assert [step.words for step in steps] == ["uneven clock: linearly interpolated to 100.000 rows a second"]
    even = ride_of(made_log({"A0": readings}, RATE_HZ), front_end())
    assert not [step for step in even.history if step.stage == "resampling"]
