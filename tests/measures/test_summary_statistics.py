"""Means, medians, percentiles and deviations as the measures and comparisons take them, against certified values."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.measures import Knees
from telemetry.measures.recovery import recovery_time
from telemetry.measures.sag import dynamic_sag, dynamic_sag_median
from telemetry.measures.stroke_speed import (
    compression_speed_p50,
    compression_speed_p95,
    reached_ten_a_minute,
    rebound_speed_p50,
    rebound_speed_p95,
    shaft_compression_speed_p95,
    shaft_rebound_speed_p95,
)
from telemetry.measures.travel import hit_depth_p95, hit_length_p50, hit_length_p95, stroke_percentile, travel_p95
from telemetry.measures.view import EndView
from telemetry.model.motion import Events, Strokes
from telemetry.statistics.difference import Sample, difference, section_floor
from tests.published.nist_univariate import CERTIFIED, NUM_ACC_1, PERCENTILES

SETS = sorted(CERTIFIED)
HUNDRED_MM = 100.0  # full travel, so that percents are millimetres


def strokes(values: np.ndarray) -> Strokes:
    """Return strokes from 0 whose every figure is the value itself."""
    places = np.arange(values.shape[0], dtype=np.int64)
    zero = np.zeros(values.shape[0])
    return Strokes(
        start=2 * places, stop=2 * places + 1, start_mm=zero, stop_mm=values, peak_mm_s=values, peak_shaft_mm_s=values
    )


def view_of(values: Sequence[float]) -> EndView:
    """Return a view in which travel, hits, returns and recoveries all are these values."""
    each = np.array(values, dtype=float)
    none = Events(start=np.empty(0, dtype=np.int64), value=np.empty(0), weight=np.empty(0))
    every = Events(start=np.arange(each.shape[0]), value=each, weight=np.ones(each.shape[0]))
    return EndView(
        end="front",
        full_travel_mm=HUNDRED_MM,
        travel_mm=each,
        sag_travel_mm=each,
        cleaned_max_mm=float(each.max()),
        minutes=1.0,
        compressions=strokes(each),
        hits=strokes(each),
        returns=strokes(each),
        bottom_outs=none,
        top_outs=none,
        recoveries=every,
        bursts=none,
        knees=Knees(),
        fewest_strokes=1,
    )


def definition_7(values: Sequence[float], share: float) -> float:
    """Return Hyndman and Fan's definition 7: ranks 1 to n spread evenly over shares 0 to 1, linear between them."""
    ordered = sorted(values)
    place = share * (len(ordered) - 1)
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


@pytest.mark.parametrize("name", SETS)
def test_dynamic_sag_is_the_certified_mean(name: str) -> None:
    known = CERTIFIED[name]
    assert len(known["data"]) == known["n"]
    assert dynamic_sag(view_of(known["data"])) == pytest.approx(known["mean"], rel=1e-13)


@pytest.mark.parametrize("name", SETS)
def test_the_spread_between_sections_is_the_certified_deviation(name: str) -> None:
    """Differences of one candidate run from a baseline of zeros are the data themselves."""
    known = CERTIFIED[name]
    data = np.array([known["data"]], dtype=float)
    one = {"values": np.zeros(1), "orders": np.ones(1), "days": np.ones(1)}
    floor = section_floor(Sample(**one, sections=np.zeros_like(data)), Sample(**one, sections=data))
    assert floor.nu == known["n"] - 1
    assert floor.se * math.sqrt(known["n"]) == pytest.approx(known["sd"], rel=10.0 ** -known["digits"])


def test_the_spread_between_runs_is_the_certified_deviation() -> None:
    """Two setups of three runs with the same values: pooled, their deviation is that of either."""
    runs = {"values": np.array(NUM_ACC_1, dtype=float), "sections": np.empty((3, 0)), "days": np.ones(3)}
    found = difference(
        Sample(orders=np.array([1.0, 4.0, 5.0]), **runs), Sample(orders=np.array([2.0, 3.0, 6.0]), **runs)
    )
    assert (found.s, found.d, found.nu) == (1.0, 0.0, 4)
    assert found.se == pytest.approx(math.sqrt(2 / 3), rel=1e-15)


@pytest.mark.parametrize("name", SETS)
def test_medians_are_the_middle_of_the_ordered_values(name: str) -> None:
    data = [abs(value) for value in CERTIFIED[name]["data"]]  # lengths and speeds have no sign
    ordered, half = sorted(data), len(data) // 2
    middle = ordered[half] if len(data) % 2 else (ordered[half - 1] + ordered[half]) / 2
    for median in (dynamic_sag_median, recovery_time, hit_length_p50, compression_speed_p50, rebound_speed_p50):
        assert median(view_of(data)) == pytest.approx(middle, rel=1e-15), median.__name__


def test_a_percentile_is_the_published_one_of_definition_7_and_no_other() -> None:
    found = stroke_percentile(np.array(PERCENTILES["data"]), PERCENTILES["share"], 1, "hits")
    assert found == pytest.approx(PERCENTILES["definition_7"], abs=1e-10)
    assert abs(found - PERCENTILES["definition_6"]) > 0.002


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize(
    "measure",
    [
        travel_p95,
        hit_depth_p95,
        hit_length_p95,
        compression_speed_p95,
        rebound_speed_p95,
        shaft_compression_speed_p95,
        shaft_rebound_speed_p95,
    ],
    ids=lambda measure: measure.__name__,
)
def test_every_95th_percentile_is_of_definition_7(measure: Callable[[EndView], float], name: str) -> None:
    data = [abs(value) for value in CERTIFIED[name]["data"]]
    assert measure(view_of(data)) == pytest.approx(definition_7(data, 0.95), rel=1e-14)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=60), st.floats(0, 1))
@settings(max_examples=200)
def test_percentiles_of_any_values_are_of_definition_7(values: list[float], share: float) -> None:
    found = stroke_percentile(np.array(values), share, 1, "hits")
    assert found == pytest.approx(definition_7(values, share), rel=1e-9, abs=1e-6)


@given(st.lists(st.floats(0, 5000), min_size=10, max_size=80), st.floats(0.1, 1.0))
@settings(max_examples=100)
def test_the_ten_a_minute_speed_has_so_many_hits_above_it(values: list[float], minutes: float) -> None:
    rank = 10 * minutes
    found = reached_ten_a_minute(np.array(values), minutes, "hits")
    above = sum(value > found for value in values)
    not_below = sum(value >= found - 1e-9 for value in values)
    assert above <= rank
    assert not_below >= math.floor(rank)
