"""Each limit of joining two loggers' clocks just within and just beyond, on presses and rides put together by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from telemetry.conditioning import ClockLine
from telemetry.model.day import RunEntry
from telemetry.model.finding import End
from telemetry.model.ride import Ride
from telemetry.pipeline.joining import Join, drift_words, find_join, join_words, overlap_words, unmoved
from tests.measures.bare_rides import FULL_MM, bare_end, bare_ride

RATE_HZ = 10.0
RUN = RunEntry(name="run_1", log=Path("run_1.csv"), rear_log=Path("rear.csv"), setup="a", order=1, sensors={})


def ride(end: End, speed_mm_s: np.ndarray, *, still: np.ndarray | None = None) -> Ride:
    """Return a ride at 10 Hz of one end that goes down so fast."""
    return bare_ride(bare_end(end, np.full(speed_mm_s.size, 40.0), speed_mm_s=speed_mm_s, still=still), rate_hz=RATE_HZ)


RESTING: dict[End, Ride] = {"front": ride("front", np.zeros(600)), "rear": ride("rear", np.zeros(600))}


def joined(front: list[float], rear: list[float], name: str = "lap") -> Join | None:
    return find_join(RESTING, {"front": {"lap": np.array(front)}, "rear": {name: np.array(rear)}})


class TestTheSameStamps:
    """A file for each sensor, of one logger: what hands or wheels do a little later at the rear moves no clock."""

    def test_are_one_clock(self) -> None:
        join = find_join(RESTING, {"front": {}, "rear": {}}, "own")
        assert join is not None
        assert (join.clocks, join.line.offset_s, join.line.rate) == ("one", 0.0, 1.0)
        assert find_join(RESTING, {"front": {}, "rear": {}}) is None

    @pytest.mark.parametrize(("off_s", "offset_s"), [(0.49, 0.0), (0.51, 0.51)])
    def test_unless_both_ends_are_found_half_a_second_apart(self, off_s: float, offset_s: float) -> None:
        """By presses that lie too far off a line to be sure."""
        front, rear = np.array([2.0, 12.0, 22.0]), np.array([2.0, 12.06, 22.0]) - off_s - 0.02
        join = find_join(RESTING, {"front": {"lap": front}, "rear": {"lap": rear}}, "own")
        assert join is not None
        assert join.line.offset_s == pytest.approx(offset_s, abs=0.005)

    @pytest.mark.parametrize(("off_s", "offset_s"), [(0.09, 0.0), (0.11, 0.11)])
    def test_counted_from_zero_only_where_presses_agree(self, off_s: float, offset_s: float) -> None:
        """Two loggers that ran equally long have these stamps, too."""
        assert find_join(RESTING, {"front": {}, "rear": {}}, "counted") is None
        front, rear = np.array([2.0, 12.0, 22.0]), np.array([2.0, 12.06, 22.0]) - off_s - 0.02
        join = find_join(RESTING, {"front": {"lap": front}, "rear": {"lap": rear}}, "counted")
        assert join is not None
        assert join.line.offset_s == pytest.approx(offset_s, abs=0.005)

    def test_presses_on_a_line_know_better(self) -> None:
        presses = {"front": {"lap": np.array([2.1, 12.1])}, "rear": {"lap": np.array([2.0, 12.0])}}
        join = find_join(RESTING, presses, "own")
        assert join is not None
        assert join.line.offset_s == pytest.approx(0.1)


class TestMarkers:
    @pytest.mark.parametrize(("off_s", "clocks"), [(0.00749, "one"), (0.00751, "rough")])
    def test_presses_lie_within_5_ms_of_a_line(self, off_s: float, clocks: str) -> None:
        """The middle of three lies two thirds of what it is off from the line through all."""
        join = joined([2.0, 12.0 + off_s, 22.0], [0.0, 10.0, 20.0])
        assert join is not None
        assert (join.clocks, join.line.worst_s) == (clocks, pytest.approx(off_s * 2 / 3))
        assert join.by.startswith("3 presses of marker 'lap', within 5.0 ms")

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("ppm", "clocks"), [(999.9, "one"), (1000.1, "rough")])
    def test_and_clocks_drift_by_1000_ppm_at_most(self, ppm: float, clocks: str, sign: int) -> None:
        join = joined([5.0, 5.0 + 1000 * (1 + sign * ppm / 1e6)], [0.0, 1000.0])
        assert join is not None
        assert join.clocks == clocks
        assert join.line.drift_ppm == pytest.approx(sign * ppm)

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("ppm", "is_one"), [(19_999.0, True), (20_001.0, False)])
    def test_by_more_than_20_000_ppm_it_is_another_ride(self, ppm: float, sign: int, *, is_one: bool) -> None:
        assert (joined([0.0, 1000 * (1 + sign * ppm / 1e6)], [0.0, 1000.0]) is not None) is is_one

    def test_two_presses_of_one_marker_on_both_are_needed(self) -> None:
        assert joined([1.0, 2.0], [0.0, 1.0]) is not None
        assert joined([1.0], [0.0]) is None
        assert joined([1.0, 2.0, 3.0], [0.0, 1.0]) is None
        assert joined([1.0, 2.0], [0.0, 1.0], name="other") is None


class TestShaking:
    @pytest.mark.parametrize(("share", "moves"), [(0.00999, False), (0.01001, True)])
    def test_an_end_moves_from_a_hundredth_of_its_travel_a_second(self, share: float, *, moves: bool) -> None:
        lively, slow = np.full(600, 0.5 * FULL_MM), np.full(600, share * FULL_MM)
        for end, other in (("front", "rear"), ("rear", "front")):
            rides: dict[End, Ride] = {end: ride(end, lively), other: ride(other, slow)}  # type: ignore[arg-type, dict-item]
            assert unmoved(rides) == (None if moves else other)

    def test_neither_of_two_is_the_one(self) -> None:
        assert unmoved(RESTING) is None
        assert find_join(RESTING, {"front": {}, "rear": {}}) is None

    def test_the_offset_is_that_at_which_both_shake_most_alike(self) -> None:
        loud = 20 + 400 * np.exp(-(((np.arange(600) - 250) / 40) ** 2))
        later = np.roll(loud, 70)
        join = find_join({"front": ride("front", later), "rear": ride("rear", loud)}, {"front": {}, "rear": {}})
        assert join is not None
        assert (join.clocks, join.line.rate) == ("rough", 1.0)
        assert join.line.offset_s == pytest.approx(7.0, abs=0.1)
        assert join.by.startswith("how both ends shake (alike to ")


class TestDrift:
    LINE = ClockLine(offset_s=0.0, rate=1.0, worst_s=0.0)

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("ppm", "told"), [(199.9, False), (200.1, True)])
    def test_from_200_ppm_on_it_is_told(self, ppm: float, sign: int, *, told: bool) -> None:
        join = Join(line=replace(self.LINE, rate=1 + sign * ppm / 1e6), by="made", clocks="one")
        found = drift_words(RUN, join, 500.0)
        assert [item.code for item in found] == (["loggers_drift"] if told else [])
        assert all("0.100 s over the log (limit 200 ppm)" in item.message for item in found)

    def test_without_a_join_nothing_is_told_of_drift(self) -> None:
        assert drift_words(RUN, None, 500.0) == ()


def overlap(
    moving_s: float, lost_s: float, run: RunEntry = RUN, rests_s: float = 0.0
) -> list[tuple[str, float | None]]:
    """Return what is told of a front that moves from 0 on, where the rear's log lacks the last of it."""
    moving, resting = round(moving_s * RATE_HZ), round(rests_s * RATE_HZ)
    still = np.arange(moving + resting) >= moving
    front = ride("front", np.full(moving + resting, 100.0), still=still)
    shared = ((0, moving - round(lost_s * RATE_HZ)),)
    return [(item.severity, item.second) for item in overlap_words(run, front, replace(front, segments=shared))]


class TestOverlap:
    @pytest.mark.parametrize(("lost_s", "told"), [(1.0, False), (1.1, True)])
    def test_a_second_may_be_lacking(self, lost_s: float, *, told: bool) -> None:
        assert overlap(50.0, lost_s) == ([("warning", 50.0 - lost_s)] if told else [])

    @pytest.mark.parametrize(("lost_s", "told"), [(5.0, False), (5.1, True)])
    def test_or_a_hundredth_of_a_long_ride(self, lost_s: float, *, told: bool) -> None:
        assert overlap(500.0, lost_s) == ([("warning", 500.0 - lost_s)] if told else [])

    @pytest.mark.parametrize(("lost_s", "severity"), [(10.0, "warning"), (10.1, "error")])
    def test_over_a_fifth_the_front_stands_alone(self, lost_s: float, severity: str) -> None:
        assert overlap(50.0, lost_s) == [(severity, 50.0 - lost_s)]

    def test_only_riding_between_stated_bounds_counts(self) -> None:
        assert overlap(50.0, 0.0, rests_s=20.0) == []
        assert overlap(50.0, 10.0, replace(RUN, end_s=40.8)) == []
        assert overlap(50.0, 10.0, replace(RUN, start_s=45.0)) == [("error", 45.0)]

    def test_the_samples_at_stated_bounds_count(self) -> None:
        """Eleven samples of a tenth of a second are lost, more than a second may be."""
        assert overlap(50.0, 10.0, replace(RUN, end_s=41.0)) == [("warning", 40.0)]
        assert overlap(50.0, 10.0, replace(RUN, start_s=48.9)) == [("error", 48.9)]


def test_what_is_told_of_a_join_says_how_sure_it_is() -> None:
    line = ClockLine(offset_s=1.25, rate=1.0001, worst_s=0.001)
    told = {
        clocks: join_words(RUN, Join(line=line, by="made", clocks=clocks))  # type: ignore[arg-type]
        for clocks in ("one", "near", "rough")
    }
    assert [item.code for item in told.values()] == ["loggers_joined", "loggers_joined", "loggers_not_joined"]
    assert all("offset +1.250 s, drift +100 ppm, by made" in item.message for item in told.values())
    assert told["one"].message.endswith("nothing to do")
    assert "too far for ground speed by lag" in told["near"].message
    dead = join_words(RUN, None, "rear")
    assert (dead.severity, dead.code, dead.end) == ("error", "loggers_not_joined", "rear")
    assert join_words(RUN, None).severity == "error"
    assert "to 5 ms and 1000 ppm" in join_words(RUN, None).message
