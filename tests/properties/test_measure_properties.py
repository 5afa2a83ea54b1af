"""What must hold of the measures whatever was ridden: scale, shift, reversal, cutting in two, order of columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import accumulate
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.conditioning import RideRecipe
from telemetry.logs import read_log
from telemetry.measures import BikeFacts, RunMotion, find_motion, measure_run
from telemetry.measures.view import end_view
from telemetry.model.day import LogOptions, TimeColumn
from telemetry.model.finding import End
from telemetry.model.motion import Strokes
from telemetry.pipeline.rides import clean
from tests.measures.made_rides import FRONT_MM, REAR_MM, made_log, made_motion, path, recipe

RATE_HZ = 500.0
FACTS = BikeFacts(head_angle_deg=64.0, wheelbase_mm=1250.0, knees={}, hard_bottom_out_mm_s=600.0)
FULL_MM: Mapping[End, float] = {"front": FRONT_MM, "rear": REAR_MM}

# Low, high (mm), seconds down, seconds up: every stroke is far longer than 15 % and clear of both ends of the travel.
# Bottom-outs, top-outs and flights rest on millimetres and speeds that don't scale; they have tests of their own.
bumps = st.tuples(st.floats(20, 45), st.floats(80, 130), st.floats(0.1, 0.4), st.floats(0.1, 0.5))
rides = st.lists(bumps, min_size=8, max_size=24)

PERCENT = ("dynamic_sag", "dynamic_sag_median", "travel_p95", "travel_max", "hit_depth_p95")
MILLIMETRES = ("hit_length_p50", "hit_length_p95", "packing")
SPEEDS = (
    *("compression_speed_p50", "compression_speed_p95", "rebound_speed_p50", "rebound_speed_p95"),
    *("compression_speed_10_per_min", "rebound_speed_10_per_min"),
)
RATES = ("hits_per_min", "strokes_per_min", "deep_hits_per_min")
RATIOS = ("compression_speed_ratio", "rebound_speed_ratio")
OTHERS = ("hit_depth_10_per_min", "recovery_time", "strongest_slow_frequency", *RATIOS)
Values = dict[tuple[str, str], float]


def corners(ridden: list[tuple[float, float, float, float]]) -> list[tuple[float, float]]:
    return [corner for low, high, down_s, up_s in ridden for corner in ((high, down_s), (low, up_s))]


def travelled(ridden: list[tuple[float, float, float, float]]) -> np.ndarray:
    return path(*corners(ridden), start=30.0, rate_hz=RATE_HZ)


def both_ends(ridden: list[tuple[float, float, float, float]]) -> dict[End, np.ndarray]:
    """Return front travel, and rear travel that repeats it 60 ms later, shallower and with a drift of its own."""
    front = travelled(ridden)
    late = np.concatenate([np.full(30, front[0]), front[:-30]])
    return {"front": front, "rear": 8 + 0.9 * late + 3 * np.sin(np.arange(front.size) / 700)}


def motion_of(travel_mm: Mapping[End, np.ndarray], full_mm: Mapping[End, float] = FULL_MM) -> RunMotion:
    """Return motion at ends of a given full travel."""
    ends = []
    for end in travel_mm:
        plain = recipe(end)
        ends.append(replace(plain, setup=replace(plain.setup, full_travel_mm=full_mm[end], leverage=None)))
    plan = RideRecipe(name="made", setup="a", ends=tuple(ends), cutoff_hz=60.0)
    return find_motion(clean(made_log(dict(travel_mm), RATE_HZ), plan))


def values(motion: RunMotion) -> Values:
    sheet = measure_run(motion, FACTS, None)
    return {(row.measure, row.end): row.value for row in sheet.measures}


def assert_alike(found: Values, expected: Values, names: tuple[str, ...], *, times: float = 1.0) -> None:
    """Assert that the named measures are present in both or in neither, and `times` as large."""
    for key in {key for key in (*found, *expected) if key[0] in names}:
        assert key in found, key
        assert key in expected, key
        assert found[key] == pytest.approx(times * expected[key], rel=1e-6, abs=1e-7), key


@given(rides, st.floats(0.6, 1.6))
@settings(max_examples=25)
def test_a_bike_of_another_size_keeps_its_percents_and_rates(
    ridden: list[tuple[float, float, float, float]], times: float
) -> None:
    travel = both_ends(ridden)
    plain = values(motion_of(travel))
    grown = values(
        motion_of(
            {end: times * values for end, values in travel.items()},
            {end: times * full for end, full in FULL_MM.items()},
        )
    )
    assert {name for name, _ in plain} >= {*PERCENT, *RATES, *MILLIMETRES[:2], *SPEEDS[:4]}
    assert_alike(grown, plain, (*PERCENT, *RATES, *OTHERS))
    assert_alike(grown, plain, (*MILLIMETRES, *SPEEDS), times=times)


@given(rides, st.floats(-8, 25))
@settings(max_examples=25)
def test_a_zero_moved_moves_depths_alone(ridden: list[tuple[float, float, float, float]], shift_mm: float) -> None:
    travel = both_ends(ridden)
    plain = values(motion_of(travel))
    moved = values(motion_of({end: values + shift_mm for end, values in travel.items()}))
    assert_alike(moved, plain, (*MILLIMETRES, *SPEEDS, *RATES[:2], "strongest_slow_frequency", *RATIOS))
    for name in PERCENT:
        for end, full in FULL_MM.items():
            assert moved[name, end] - plain[name, end] == pytest.approx(100 * shift_mm / full, abs=1e-6)
    between = 100 * shift_mm * (1 / FRONT_MM - 1 / REAR_MM)
    assert moved["sag_difference", "both"] - plain["sag_difference", "both"] == pytest.approx(between, abs=1e-6)


@given(rides, st.floats(0.5, 2.0))
@settings(max_examples=25)
def test_the_same_motion_on_a_faster_clock_is_faster_by_as_much(
    ridden: list[tuple[float, float, float, float]], times: float
) -> None:
    """Rows as they are, the rate changed, and the low-pass with it: speeds and rates grow, depths and lengths don't."""

    def at(rate_hz: float) -> Values:
        plan = RideRecipe(name="made", setup="a", ends=(recipe("front"),), cutoff_hz=0.12 * rate_hz)
        return values(find_motion(clean(made_log({"front": travelled(ridden)}, rate_hz), plan)))

    plain, faster = at(RATE_HZ), at(times * RATE_HZ)
    assert_alike(faster, plain, (*PERCENT, *MILLIMETRES[:2]))
    assert_alike(faster, plain, (*SPEEDS[:4], *RATES), times=times)


def assert_mirrored(found: Strokes, expected: Strokes, last: int) -> None:
    """Assert that strokes are others read from the end, `last` being the last sample."""
    assert found.start.tolist() == (last - expected.stop[::-1]).tolist()
    assert found.stop.tolist() == (last - expected.start[::-1]).tolist()
    assert found.start_mm == pytest.approx(expected.stop_mm[::-1], abs=1e-6)
    assert found.peak_mm_s == pytest.approx(expected.peak_mm_s[::-1], rel=1e-6)


@given(rides)
@settings(max_examples=25)
def test_time_run_backwards_swaps_hits_and_returns(ridden: list[tuple[float, float, float, float]]) -> None:
    """From the second bump to the last but one: strokes at a log's ends are unfinished on one side only."""
    travel = travelled(ridden)
    last = travel.size - 1
    turns = list(accumulate(round(seconds * RATE_HZ) for _, seconds in corners(ridden)))
    first, end = turns[1], turns[-3]
    bounds, turned_bounds = (first / RATE_HZ, end / RATE_HZ), ((last - end) / RATE_HZ, (last - first) / RATE_HZ)
    forward = made_motion({"front": travel}, RATE_HZ, bounds_s=bounds)
    backward = made_motion({"front": travel[::-1]}, RATE_HZ, bounds_s=turned_bounds)
    assert len(forward.ends["front"].hits) >= len(ridden) - 2
    assert_mirrored(backward.ends["front"].hits, forward.ends["front"].returns, last)
    assert_mirrored(backward.ends["front"].returns, forward.ends["front"].hits, last)
    plain, turned = values(forward), values(backward)
    assert_alike(turned, plain, (*PERCENT[:4], "riding_time"))
    swapped = {
        (
            name.replace("compression", "rebound") if "compression" in name else name.replace("rebound", "compression"),
            end,
        ): value
        for (name, end), value in plain.items()
    }
    assert_alike(turned, swapped, SPEEDS)


@given(rides)
@settings(max_examples=25)
def test_travel_turned_upside_down_swaps_hits_and_returns(ridden: list[tuple[float, float, float, float]]) -> None:
    travel = travelled(ridden)
    upright = made_motion({"front": travel}, RATE_HZ).ends["front"]
    turned_motion = made_motion({"front": FRONT_MM - travel}, RATE_HZ)
    turned = turned_motion.ends["front"]
    for found, expected in ((turned.hits, upright.returns), (turned.returns, upright.hits)):
        assert found.start.tolist() == expected.start.tolist()
        assert found.stop_mm == pytest.approx(FRONT_MM - expected.stop_mm, abs=1e-8)
        assert found.peak_mm_s == pytest.approx(expected.peak_mm_s, rel=1e-9)
    plain = values(made_motion({"front": travel}, RATE_HZ))["dynamic_sag", "front"]
    assert values(turned_motion)["dynamic_sag", "front"] == pytest.approx(100 - plain, abs=1e-9)


@given(rides, st.floats(0.1, 0.9))
@settings(max_examples=25)
def test_a_ride_looked_at_in_two_parts_is_the_whole(
    ridden: list[tuple[float, float, float, float]], share: float
) -> None:
    motion = made_motion({"front": travelled(ridden)}, RATE_HZ)
    count = motion.time.riding.size
    cut = round(share * count)
    whole = end_view(motion, "front")
    parts = [end_view(motion, "front", stretches=(part,)) for part in ((0, cut), (cut, count))]
    assert sum(part.minutes for part in parts) == pytest.approx(whole.minutes, rel=1e-12)
    for name in ("compressions", "hits", "returns"):
        assert sum(len(getattr(part, name)) for part in parts) == len(getattr(whole, name))
    joined = np.concatenate([part.hits.peak_mm_s for part in parts])
    assert np.array_equal(joined, whole.hits.peak_mm_s)
    weighted = sum(part.minutes * float(np.mean(part.sag_travel_mm)) for part in parts) / whole.minutes
    assert weighted == pytest.approx(float(np.mean(whole.sag_travel_mm)), rel=1e-12)
    assert max(part.cleaned_max_mm for part in parts) == whole.cleaned_max_mm


@given(rides, st.floats(0.2, 0.8))
@settings(max_examples=25)
def test_a_log_with_a_gap_is_two_logs(ridden: list[tuple[float, float, float, float]], share: float) -> None:
    """Nothing reaches across a gap: not the low-pass, not the speed, not a stroke."""
    travel = travelled(ridden)
    cut = round(share * travel.size)
    parts = [made_motion({"front": part}, RATE_HZ) for part in (travel[:cut], travel[cut:])]
    whole = made_motion({"front": travel}, RATE_HZ, segments=((0, cut), (cut, travel.size)))
    for name in ("travel_mm", "speed_mm_s"):
        alone = np.concatenate([getattr(part.ride.front, name) for part in parts])
        assert np.array_equal(getattr(whole.ride.front, name), alone)
    for name in ("compressions", "rebounds", "hits", "returns"):
        alone = [getattr(part.ends["front"], name) for part in parts]
        found = getattr(whole.ends["front"], name)
        assert found.start.tolist() == [*alone[0].start.tolist(), *(alone[1].start + cut).tolist()]
        assert np.array_equal(found.peak_mm_s, np.concatenate([part.peak_mm_s for part in alone]))


NAMES = ("t_s", "front", "rear", "brake", "note")


@given(rides, st.permutations(range(len(NAMES))))
@settings(max_examples=12)
def test_the_order_of_columns_in_a_log_changes_nothing(
    ridden: list[tuple[float, float, float, float]], order: list[int]
) -> None:
    travel = both_ends(ridden)
    rows = [
        (f"{place / RATE_HZ:.3f}", f"{front:.3f}", f"{rear:.3f}", str(place % 3), "dry")
        for place, (front, rear) in enumerate(zip(travel["front"], travel["rear"], strict=True))
    ]
    plan = RideRecipe(name="made", setup="a", ends=(recipe("front"), recipe("rear")), cutoff_hz=60.0)
    options = LogOptions(time=TimeColumn(column="t_s", unit="s"))
    found = []
    with TemporaryDirectory() as folder:
        for columns in (range(len(NAMES)), order):
            file = Path(folder) / "run.csv"
            lines = [",".join(row[column] for column in columns) for row in (NAMES, *rows)]
            file.write_text("\n".join(lines) + "\n", encoding="ascii")
            log = read_log(file, needed=("front", "rear"), options=options)
            found.append(values(find_motion(clean(log, plan))))
    assert found[0] == found[1]
    assert len(found[0]) > 40
