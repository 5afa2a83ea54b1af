"""The truth's measures on motions whose measures are known by closed forms or by an obvious slow count."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.dynamics.half_car import Motion
from telemetry.model.arrays import Floats
from telemetry.simulation.truth import TrueRun, crossings, flights, reversals, true_run

RATE_HZ = 4000.0
FULL_M = (0.170, 0.160)


def motion_of(
    front_m: Floats, rear_m: Floats, tyres_n: tuple[Floats, Floats] | None = None, rate_hz: float = RATE_HZ
) -> Motion:
    zero, pressed = np.zeros_like(front_m), np.full_like(front_m, 500.0)
    front_n, rear_n = (pressed, pressed) if tyres_n is None else tyres_n
    return Motion(
        rate_hz=rate_hz,
        front_m=front_m,
        rear_m=rear_m,
        front_m_s=np.gradient(front_m) * rate_hz,
        rear_m_s=np.gradient(rear_m) * rate_hz,
        front_tyre_n=front_n,
        rear_tyre_n=rear_n,
        front_along_n=zero,
        rear_along_n=zero,
        heave_m=zero,
        pitch_rad=zero,
        rider_m=zero,
        work_j={},
    )


def truth_of(motion: Motion, bumper_m: tuple[float | None, float | None] = (None, None)) -> TrueRun:
    count = motion.front_m.shape[0]
    return true_run(motion, slice(0, count), np.full(count, 6.0), FULL_M, bumper_m)


def sine(mean_m: float, amplitude_m: float, hz: float, seconds: float) -> Floats:
    time = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return mean_m - amplitude_m * np.cos(2 * np.pi * hz * time)


def test_two_sines_by_their_closed_forms() -> None:
    """60 s: front 45 mm and 30 mm about it at 2 Hz, rear 60 mm and 20 mm about it at 3 Hz."""
    truth = truth_of(motion_of(sine(0.045, 0.030, 2.0, 60), sine(0.060, 0.020, 3.0, 60)))
    for end, mean, amplitude, hz, full in (("front", 0.045, 0.03, 2.0, 0.17), ("rear", 0.06, 0.02, 3.0, 0.16)):
        table = truth.ends[end]
        peak = 2e3 * np.pi * hz * amplitude
        assert table["dynamic_sag"] == pytest.approx(100 * mean / full, rel=1e-6)
        above = mean + amplitude * np.cos(np.pi * 0.05)  # a twentieth of the time is spent above
        assert table["travel_p95"] == pytest.approx(100 * above / full, rel=1e-4)
        for name in ("travel_max", "hit_depth_p95"):
            assert table[name] == pytest.approx(100 * (mean + amplitude) / full, rel=1e-6)
        for name in ("compression_speed", "rebound_speed"):
            for part in ("p50", "p95"):
                assert table[f"{name}_{part}"] == pytest.approx(peak, rel=1e-4)
        assert table["hits_per_min"] == pytest.approx(60 * hz, abs=1.01)
        assert table["strokes_per_min"] == table["hits_per_min"]
        assert table["deep_hits_per_min"] == 0
        assert table["bottom_outs"] == 0
    assert truth.both["riding_time"] == 60
    assert truth.both["airborne_time"] == 0
    assert truth.both["ground_speed"] == 6.0
    assert truth.both["sag_difference"] == pytest.approx(100 * (0.045 / 0.17 - 0.06 / 0.16), rel=1e-6)


def test_a_stroke_is_a_hit_from_six_hundredths_of_travel_and_deep_beyond_four_fifths() -> None:
    for swing, is_hit in ((0.059 * 0.17, False), (0.061 * 0.17, True)):
        table = truth_of(motion_of(sine(0.05, swing / 2, 2.0, 30), sine(0.05, 0.02, 2.0, 30))).ends["front"]
        assert (table["hits_per_min"] > 0) is is_hit
        assert ("hit_depth_p95" in table) is is_hit
        assert ("rebound_speed_p50" in table) is is_hit
        assert table["strokes_per_min"] == pytest.approx(120, abs=2.1)
    for top, deep in ((0.79, False), (0.81, True)):
        swing = sine(0.17 * (top - 0.1), 0.17 * 0.1, 2.0, 30)
        table = truth_of(motion_of(swing, swing)).ends["front"]
        assert table["deep_hits_per_min"] == (table["hits_per_min"] if deep else 0)


def test_below_the_gate_nothing_turns() -> None:
    table = truth_of(motion_of(sine(0.05, 0.00099, 5.0, 20), sine(0.05, 0.00101, 5.0, 20))).ends
    assert table["front"]["strokes_per_min"] == 0
    assert table["rear"]["strokes_per_min"] == pytest.approx(300, abs=3.1)


def peaks_at(heights_m: list[float], valleys_m: list[float]) -> Floats:
    """Return travel through peaks a second apart with valleys between, straight from one to the next."""
    places = [valleys_m[0]]
    for peak, valley in zip(heights_m, valleys_m, strict=True):
        places += [peak, valley]
    return np.interp(np.arange(round(RATE_HZ * len(heights_m))) / RATE_HZ, 0.5 * np.arange(len(places)), places)


def test_bottoming_counts_again_only_after_it_came_back() -> None:
    """The line lies 3.4 mm before 170 mm; 8.5 mm back arm it again."""
    line, back = 0.17 - 0.0034, 0.0085
    again, not_yet = line - back - 1e-4, line - back + 1e-4
    front = peaks_at([line + 1e-4, line + 1e-4, line - 1e-4, 0.17, 0.171], [not_yet, again, again, 0.05, 0.05])
    truth = truth_of(motion_of(front, np.full_like(front, 0.05)))
    assert truth.ends["front"]["bottom_outs"] == 3
    rises = ((0, not_yet, line + 1e-4), (3, again, 0.17), (4, 0.05, 0.171))
    reached = [second + 0.5 * (line - low) / (high - low) for second, low, high in rises]
    assert truth.bottom_outs_s["front"] == pytest.approx(reached, abs=1.01 / RATE_HZ)
    assert truth.bottom_outs_s["rear"] == []


def test_where_a_bumper_is_felt_halfway_into_it_counts() -> None:
    line = (0.150 + 0.170) / 2
    front = peaks_at([line - 1e-4, line + 1e-4, 0.1], [0.05, 0.05, 0.05])
    motion = motion_of(front, front)
    assert truth_of(motion, (0.150, None)).ends["front"]["bottom_outs"] == 1
    assert truth_of(motion).ends["front"]["bottom_outs"] == 0


def test_the_ridden_part_alone_counts_and_seconds_are_those_of_the_whole() -> None:
    still, moving = np.full(8000, 0.05), sine(0.11, 0.06, 1.0, 10)
    front = np.concatenate([still, moving, still])
    motion = motion_of(front, front)
    truth = true_run(motion, slice(8000, 48_000), np.full(front.shape[0], 5.0), FULL_M)
    assert truth.both["riding_time"] == 10
    assert truth.ends["front"]["dynamic_sag"] == pytest.approx(100 * 0.11 / 0.17, rel=1e-6)
    first = 2 + np.arccos((0.11 - 0.1666) / 0.06) / (2 * np.pi)
    assert truth.bottom_outs_s["front"][0] == pytest.approx(first, abs=1 / RATE_HZ)
    assert len(truth.bottom_outs_s["front"]) == 10
    seconds = sorted(second for second, _, _ in truth.hits["front"])
    assert seconds == pytest.approx([2.5 + k for k in range(10) if 2.5 + k in np.round(seconds, 3)], abs=1e-3)
    assert len(seconds) >= 9


def test_hits_are_told_deepest_first_and_at_most_twenty() -> None:
    rng = np.random.default_rng(4)
    heights = rng.uniform(0.07, 0.16, 30)
    front = peaks_at(heights.tolist(), [0.04] * 30)
    rows = truth_of(motion_of(front, front)).hits["front"]
    assert len(rows) == 20
    assert [depth for _, depth, _ in rows] == pytest.approx(np.sort(heights)[::-1][:20] / 0.0017, rel=1e-3)
    at = 0.5 + np.argsort(-heights)[:20]
    assert [second for second, _, _ in rows] == pytest.approx(at, abs=1e-3)
    rises = (heights - 0.04) / 0.5 * 1e3
    assert [speed for _, _, speed in rows] == pytest.approx(np.sort(rises)[::-1][:20], rel=1e-3)


def test_flight_is_both_tyres_off_for_a_tenth_to_three_seconds() -> None:
    count = round(12 * RATE_HZ)
    front_n, rear_n = np.full(count, 400.0), np.full(count, 500.0)

    def off(tyre: Floats, start_s: float, length_s: float) -> None:
        tyre[round(start_s * RATE_HZ) : round((start_s + length_s) * RATE_HZ)] = 0.0

    off(front_n, 1.0, 0.5)  # the rear leaves 0.1 s later: 0.4 s of flight
    off(rear_n, 1.1, 0.6)
    off(front_n, 3.0, 0.5)  # a wheelie
    for tyre in (front_n, rear_n):
        off(tyre, 4.0, 0.09)  # too short
        off(tyre, 5.0, 0.101)
        off(tyre, 6.0, 3.1)  # no flight takes as long
        off(tyre, 11.5, 0.5)  # still in the air at the end
    level = sine(0.03, 0.01, 2.0, 12)
    dropped = np.where(front_n + rear_n == 0, 0.0, level)
    motion = motion_of(dropped, level, (front_n, rear_n))
    mask = flights(motion)
    time = np.arange(count) / RATE_HZ
    expected = ((time >= 1.1) & (time < 1.5)) | ((time >= 5) & (time < 5.101)) | (time >= 11.5)
    assert np.array_equal(mask, expected)
    truth = truth_of(motion)
    assert truth.both["flown_time"] == pytest.approx(0.4 + 0.101 + 0.5, abs=1e-9)
    assert truth.both["airborne_time"] == 0  # the rear's leg never extends
    on_the_ground = truth.ends["front"]["dynamic_sag_on_the_ground"]
    assert on_the_ground == pytest.approx(100 * dropped[~expected].mean() / 0.17, rel=1e-9)
    assert truth.ends["front"]["dynamic_sag"] == pytest.approx(100 * dropped.mean() / 0.17, rel=1e-9)


def test_legs_show_a_flight_once_both_are_within_three_hundredths_of_topped_out() -> None:
    count = round(12 * RATE_HZ)
    front, rear = np.full(count, 0.05), np.full(count, 0.04)

    def topped(travel: Floats, start_s: float, length_s: float, level_m: float = 0.0) -> None:
        travel[round(start_s * RATE_HZ) : round((start_s + length_s) * RATE_HZ)] = level_m

    topped(front, 1.0, 0.5)  # the rear follows 0.1 s later: 0.4 s
    topped(rear, 1.1, 0.6)
    for travel, full in ((front, FULL_M[0]), (rear, FULL_M[1])):
        topped(travel, 3.0, 0.09)  # too short
        topped(travel, 4.0, 0.2, -0.0299 * full)
        topped(travel, 5.0, 0.2, 0.0301 * full)
        topped(travel, 6.0, 3.1)  # lifted
    truth = truth_of(motion_of(front, rear))
    time = np.arange(count) / RATE_HZ
    expected = ((time >= 1.1) & (time < 1.5)) | ((time >= 4) & (time < 4.2))
    assert truth.both["airborne_time"] == pytest.approx(0.6, abs=1e-9)
    assert truth.both["flown_time"] == 0
    for end, travel, full in (("front", front, FULL_M[0]), ("rear", rear, FULL_M[1])):
        assert truth.ends[end]["dynamic_sag"] == pytest.approx(100 * travel[~expected].mean() / full, rel=1e-9)


def test_ground_speed_is_told_by_mean_and_by_median() -> None:
    travel = np.full(4000, 0.05)
    speed = np.where(np.arange(4000) < 1000, 2.0, 8.0)
    truth = true_run(motion_of(travel, travel), slice(0, 4000), speed, FULL_M)
    assert truth.both["ground_speed"] == pytest.approx(6.5)
    assert truth.both["ground_speed_median"] == 8.0


def plain_reversals(signal: list[float], gate: float) -> list[int]:
    """Return the turns by their definition: from every sample outward, one turn at a time.

    Look from the last turn for the first sample that came back by the gate from the farthest so far; the farthest,
    the latest where several are as far, is the next turn.
    """
    found: list[int] = []
    start, way = 0, 0
    while True:
        turn = None
        for n in range(start, len(signal)):
            seen = signal[start : n + 1]
            high, low = max(seen), min(seen)
            if way >= 0 and high - signal[n] >= gate:
                turn, way = max(k for k in range(start, n + 1) if signal[k] == high), -1
            elif way <= 0 and signal[n] - low >= gate:
                turn, way = max(k for k in range(start, n + 1) if signal[k] == low), 1
            if turn is not None:
                start = turn
                break
        if turn is None:
            return found
        found.append(turn)


@settings(max_examples=200)
@given(st.lists(st.integers(0, 12), min_size=1, max_size=60))
def test_reversals_are_those_of_an_obvious_slow_search(levels: list[int]) -> None:
    signal = np.array(levels, dtype=float)
    assert reversals(signal, 3.0).tolist() == plain_reversals(signal.tolist(), 3.0)


@settings(max_examples=200)
@given(st.lists(st.integers(0, 12), min_size=2, max_size=60))
def test_crossings_are_those_of_an_obvious_slow_count(levels: list[int]) -> None:
    signal = np.array(levels, dtype=float)
    found = crossings(signal, 9.0, 4.0).tolist()
    slow = [
        n
        for n in range(1, len(levels))
        if levels[n] >= 9
        and (before := [k for k in range(n) if levels[k] <= 5 or (k == 0 and levels[0] < 9)])
        and all(levels[k] < 9 for k in range(before[-1], n))
    ]
    assert found == slow


def test_the_dictionary_holds_every_measure_once() -> None:
    truth = truth_of(motion_of(sine(0.1, 0.068, 1.0, 20), sine(0.06, 0.02, 3.0, 20)))
    told = truth.to_dict()
    measures = told["measures"]
    assert isinstance(measures, list)
    keys = [(row["end"], row["measure"]) for row in measures]
    assert len(set(keys)) == len(keys) == 2 * 16 + 6
    assert all(np.isfinite(row["value"]) for row in measures)
    assert told["bottom_outs_s"] == truth.bottom_outs_s
