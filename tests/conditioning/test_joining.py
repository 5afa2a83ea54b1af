"""Two clocks joined: the line between them, shapes that lag, readings on one clock."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.conditioning import clock_line, joined_log, on_one_clock, shape_lag_s
from telemetry.model.finding import Finding, Step
from telemetry.model.log import Log
from tests.thresholds import threshold

NOTE = Finding(severity="note", code="rounded_clock", message="m")


def log(time_s: np.ndarray, segments: tuple[tuple[int, int], ...] | None = None, first_row: int = 2) -> Log:
    return Log(
        path=Path("run.csv"),
        time_s=time_s,
        columns={"A0": 100 + 50 * np.sin(2 * np.pi * 1.5 * time_s)},
        rate_hz=(time_s.shape[0] - 1) / (time_s[-1] - time_s[0]),
        even=True,
        segments=segments or ((0, time_s.shape[0]),),
        gap_s=0.0,
        stamp_resolution_s=0.001,
        first_row=first_row,
        source_rows=None,
        first_stamp=None,
        findings=(),
        history=(),
    )


@given(offset=st.floats(-100, 100), ppm=st.floats(-900, 900), moments=st.integers(2, 9), seed=st.integers(0, 1000))
def test_the_line_is_found_again(offset: float, ppm: float, moments: int, seed: int) -> None:
    """Over ten minutes, to a thousandth of a millisecond."""
    there = np.sort(np.random.default_rng(seed).uniform(0, 600, moments)) + np.arange(moments)
    line = clock_line((offset + (1 + ppm / 1e6) * there).tolist(), there.tolist())
    assert line.drift_ppm == pytest.approx(ppm, abs=0.01)
    assert np.abs(line.here(there) - (offset + (1 + ppm / 1e6) * there)).max() < 1e-6
    assert line.worst_s < 1e-6


def test_moments_off_the_line_are_told() -> None:
    assert clock_line([0.0, 10.0, 20.3, 30.0], [0.0, 10.0, 20.0, 30.0]).worst_s == pytest.approx(0.21, abs=0.03)


def test_one_moment_gives_the_offset_only() -> None:
    line = clock_line([12.0], [5.0])
    assert (line.offset_s, line.rate) == (7.0, 1.0)


@pytest.mark.parametrize("lag_s", [-0.31, -0.0123, 0.0, 0.0377, 0.25])
def test_a_lag_is_found_between_samples(lag_s: float) -> None:
    time_s = np.arange(0, 3, 0.001)

    def shape(at_s: np.ndarray) -> np.ndarray:
        return sum(np.exp(-(((at_s - middle) / 0.08) ** 2)) for middle in (0.8, 1.5, 2.3))  # type: ignore[return-value]

    found, alike = shape_lag_s(shape(time_s - lag_s), shape(time_s), 1000.0, 0.5)
    assert found == pytest.approx(lag_s, abs=6e-4)
    assert alike > 0.97


def test_nothing_to_go_by_is_not_alike() -> None:
    assert shape_lag_s(np.ones(50), np.arange(50.0), 100.0, 0.2)[1] == 0.0


def test_readings_stand_on_one_clock() -> None:
    """The rear's clock starts 2 s later, runs 300 ppm slow and ticks at half the rate."""
    rate = 1 + 300e-6
    front = log(np.arange(0, 60, 0.002))
    rear = log(np.arange(0, 55, 0.004), first_row=5)
    line = clock_line([2.0, 2.0 + 50 * rate], [0.0, 50.0])
    whole = joined_log(front, rear, line, {"A0": "rear A0"})
    (start, stop) = whole.segments[0]
    assert whole.time_s[start] == pytest.approx(2.0, abs=0.003)
    assert whole.time_s[stop - 1] == pytest.approx(2 + rate * 54.996, abs=0.003)
    truth = 100 + 50 * np.sin(2 * np.pi * 1.5 * (whole.time_s[start:stop] - 2.0) / rate)
    np.testing.assert_allclose(whole.columns["rear A0"][start:stop], truth, atol=0.02)
    np.testing.assert_array_equal(whole.columns["A0"], front.columns["A0"])
    assert whole.gap_s == pytest.approx(60 - 0.002 - (whole.time_s[stop - 1] - whole.time_s[start]), abs=1e-9)
    own = whole.own["rear A0"]
    assert own.row_of(int(np.searchsorted(own.time_s, 2.0 + rate * 4.0))) == pytest.approx(5 + 1000, abs=1)
    assert own.rate_hz == pytest.approx(250 / rate)


def test_a_gap_in_either_log_is_a_gap() -> None:
    front = log(np.arange(0, 30, 0.01), segments=((0, 1000), (1500, 3000)))
    rear = log(np.arange(0, 30, 0.01), segments=((200, 2000), (2100, 3000)))
    whole = joined_log(front, rear, clock_line([0.0, 1.0], [0.0, 1.0]), {"A0": "rear A0"})
    assert whole.segments == ((200, 1000), (1500, 2000), (2100, 3000))
    assert not joined_log(front, front, clock_line([0.0, 1.0], [0.0, 1.0]), {"A0": "rear A0"}).own


class TestShapesLaid:
    """Steps of one sample apart, by hand."""

    SHAPE = np.array([0.0, 0.0, 1.0, 4.0, 2.0, 0.0, 0.0, 0.0])

    def test_the_lag_is_how_much_later_the_first_comes(self) -> None:
        later = np.roll(self.SHAPE, 2)
        found, alike = shape_lag_s(later, self.SHAPE, 10.0, 0.5)
        assert found == pytest.approx(0.2, abs=0.02)
        assert alike == pytest.approx(0.9, abs=0.1)
        assert shape_lag_s(self.SHAPE, later, 10.0, 0.5)[0] == pytest.approx(-found)
        assert shape_lag_s(self.SHAPE, self.SHAPE, 10.0, 0.5) == (pytest.approx(0.0), pytest.approx(1.0))

    def test_likeness_is_the_correlation_of_both_about_their_means(self) -> None:
        one, other = np.array([1.0, 4.0, 2.0, 9.0]), np.array([3.0, 5.0, 1.0, 8.0])
        expected = np.correlate(one - one.mean(), other - other.mean(), "full") / np.sqrt(
            np.sum((one - one.mean()) ** 2) * np.sum((other - other.mean()) ** 2)
        )
        assert shape_lag_s(one, other, 1.0, 10.0)[1] == pytest.approx(expected.max())
        assert shape_lag_s(5 * one + 70, other, 1.0, 10.0) == pytest.approx(shape_lag_s(one, other, 1.0, 10.0))

    @pytest.mark.parametrize(("most_s", "looked_at"), [(0.3, True), (0.2999, False)])
    def test_only_so_large_a_lag_is_looked_at(self, most_s: float, *, looked_at: bool) -> None:
        here, there = np.zeros(40), np.zeros(40)
        there[10:13], here[13:16] = (1, 3, 1), (1, 3, 1)
        found, alike = shape_lag_s(here, there, 10.0, most_s)
        assert (found == pytest.approx(0.3, abs=0.01)) is looked_at
        assert (alike > 0.9) is looked_at
        assert (shape_lag_s(there, here, 10.0, most_s)[0] == pytest.approx(-0.3, abs=0.01)) is looked_at

    def test_a_parabola_refines_it(self) -> None:
        here, there = np.zeros(60), np.zeros(60)
        there[30], here[29:32] = 1.0, (0.5, 1.0, 0.7)
        a, b = here - here.mean(), there - there.mean()
        left, middle, right = np.correlate(a, b, "full")[58:61]
        expected = (left - right) / (2 * (left - 2 * middle + right))
        assert shape_lag_s(here, there, 1.0, 5.0)[0] == pytest.approx(expected)

    @pytest.mark.parametrize("turned", [False, True])
    def test_at_the_longest_lag_there_is_it_stays_where_it_is(self, *, turned: bool) -> None:
        here, there = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
        found, _ = shape_lag_s(*((there, here) if turned else (here, there)), 1.0, 9.0)
        assert found == (2.0 if turned else -2.0)

    @pytest.mark.parametrize("turned", [False, True])
    def test_one_step_short_of_it_a_parabola_still_refines_it(self, *, turned: bool) -> None:
        one, other = np.array([0.5, 1.0, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 1.0])
        here, there = (other, one) if turned else (one, other)
        likeness = np.correlate(here - here.mean(), there - there.mean(), "full")
        lag = 2 if turned else -2
        left, middle, right = likeness[lag + 2 : lag + 5]
        expected = lag + (left - right) / (2 * (left - 2 * middle + right))
        assert abs(expected - lag) > 0.05
        assert shape_lag_s(here, there, 1.0, 9.0)[0] == pytest.approx(expected)

    def test_signals_of_unlike_length_are_counted_from_their_first_samples(self) -> None:
        long = np.concatenate([self.SHAPE, np.zeros(30)])
        assert shape_lag_s(np.roll(long, 3), self.SHAPE, 1.0, 10.0)[0] == pytest.approx(3.0, abs=0.1)

    @pytest.mark.parametrize("still", [np.zeros(9), np.full(9, 3.5)])
    def test_where_one_does_not_move_nothing_is_told(self, still: np.ndarray) -> None:
        assert shape_lag_s(still, np.arange(9.0), 1.0, 5.0) == (0.0, 0.0)
        assert shape_lag_s(np.arange(9.0), still, 1.0, 5.0) == (0.0, 0.0)


def test_a_line_through_two_moments_leaves_none_off_it() -> None:
    line = clock_line([10.0, 30.0], [0.0, 19.0])
    assert (line.offset_s, line.rate) == pytest.approx((10.0, 20 / 19))
    assert line.worst_s == pytest.approx(0.0, abs=1e-9)
    assert line.drift_ppm == pytest.approx(1e6 / 19)
    assert line.here(np.array([9.5])) == pytest.approx([20.0])


class TestWhatBothCover:
    FEWEST = int(threshold("conditioning.joining.FEWEST_ROWS"))
    SHORTEST_S = threshold("conditioning.joining.SHORTEST_S")
    SAME = clock_line([0.0, 1.0], [0.0, 1.0])

    def shared(self, step_s: float, covered: tuple[int, int]) -> tuple[tuple[int, int], ...]:
        """Join a log with one that covers some of its samples."""
        here = log(np.arange(200) * step_s)
        there = log(np.arange(*covered) * step_s)
        return joined_log(here, there, self.SAME, {"A0": "rear A0"}).segments

    @pytest.mark.parametrize(("rows", "counts"), [(0, True), (-1, False)])
    def test_a_stretch_is_16_rows_long(self, rows: int, *, counts: bool) -> None:
        """From the other log's first sample to its last."""
        stop = 50 + self.FEWEST + rows
        assert self.shared(0.05, (50, stop)) == (((50, stop),) if counts else ())

    @pytest.mark.parametrize(("rows", "counts"), [(0, True), (-1, False)])
    def test_and_lasts_a_quarter_of_a_second(self, rows: int, *, counts: bool) -> None:
        """From its first sample to its last, in samples of 1/128 s, which add up to the last digit."""
        stop = 50 + round(self.SHORTEST_S * 128) + 1 + rows
        assert self.shared(1 / 128, (50, stop)) == (((50, stop),) if counts else ())

    def test_what_lies_between_is_a_gap(self) -> None:
        here = log(3 + np.arange(200) / 10, segments=((0, 80), (100, 200)))
        there = log(3 + np.arange(40, 160) / 10)
        whole = joined_log(here, there, self.SAME, {"A0": "rear A0"})
        assert whole.segments == ((40, 80), (100, 160))
        assert whole.gap_s == pytest.approx(19.9 - 3.9 - 5.9)

    def test_findings_and_history_are_those_of_both(self) -> None:
        here = replace(log(np.arange(200) / 10), findings=(NOTE,), history=(Step(stage="here", words="w"),))
        there = replace(log(np.arange(200) / 10), findings=(NOTE, NOTE), history=(Step(stage="there", words="w"),))
        whole = joined_log(here, there, self.SAME, {"A0": "rear A0"})
        assert whole.findings == (NOTE, NOTE, NOTE)
        assert [step.stage for step in whole.history] == ["here", "there"]


def test_what_was_logged_apart_keeps_its_own_rows_and_samples() -> None:
    here = log(np.arange(0, 3, 0.1))
    there = log(np.arange(0.05, 2.0, 0.05), first_row=7)
    whole = on_one_clock((here, replace(there, columns={"A1": there.columns["A0"]})), ("A0", "A1"))
    assert whole.rate_hz == there.rate_hz == pytest.approx(20)
    own = whole.own["A0"]
    np.testing.assert_array_equal(own.time_s, here.time_s)
    np.testing.assert_array_equal(own.columns["A0"], here.columns["A0"])
    assert whole.row_of(4) == 11
    assert own.row_of(4) == here.first_row + 4
    assert list(whole.own) == ["A0"]


def test_of_clocks_as_fast_the_first_is_kept() -> None:
    first = log(np.arange(300) / 100)
    later = replace(log(0.004 + np.arange(300) / 100.5), columns={"A1": first.columns["A0"]})
    np.testing.assert_array_equal(on_one_clock((first, later), ("A0", "A1")).time_s, first.time_s)
    faster = replace(log(0.004 + np.arange(300) / 102), columns={"A1": first.columns["A0"]})
    np.testing.assert_array_equal(on_one_clock((first, faster), ("A0", "A1")).time_s, faster.time_s)


def test_a_gap_of_what_is_not_counted_is_none_of_the_others() -> None:
    ends = log(np.arange(300) / 100)
    speed = replace(log(np.arange(100) / 50 + 0.5, segments=((0, 30), (60, 100))), columns={"gps": np.arange(100.0)})
    assert on_one_clock((ends, speed), ("A0",)).segments == ((0, 300),)
    assert on_one_clock((ends, speed), ("A0", "gps")).segments == ((50, 109), (170, 249))
