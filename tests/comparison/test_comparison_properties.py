"""What must hold for every day: invariances, and the promises the figures are drawn by."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from telemetry import comparison
from tests.comparison.days import row

ORDERS = st.sampled_from(["abba", "abbaab", "ababab", "aabbbbaa", "abbabaab", "aabb", "aaabbb", "abbab"])
SEEDS = st.integers(0, 10**6)
SPREAD = st.sampled_from([0.02, 0.3, 1.0, 3.0])
RAW = ("dynamic_sag", "travel_p95", "hit_depth_10_per_min")
LOG = ("rebound_speed_10_per_min", "compression_speed_10_per_min", "hits_per_min")


def day(order, seed, spread, *, measures=RAW, change=lambda values: values, swapped=False):
    """Return verdicts of a day of three rows at one end; the same seed gives the same riding."""
    rng = np.random.default_rng(seed)
    rows = []
    for name in measures:
        size = rng.choice([0.0, 1.0, 6.0])
        values = 30 + spread * rng.normal(size=len(order)) + size * np.array([setup == "b" for setup in order])
        assert (values > 0).all()
        noise = 0.5 * spread
        rows.append(row(order, list(change(values)), measure=name, noise=noise, seed=seed, focus=name == measures[0]))
    first, second = ("b", "a") if swapped else ("a", "b")
    return comparison.verdicts(rows, baseline=first, candidates=[second])


def close(one, other, rel=1e-6):
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=rel, abs_tol=1e-9)


@given(ORDERS, SEEDS, SPREAD)
def test_shown_interval_excludes_zero_exactly_for_the_selected(order, seed, spread):
    for found in day(order, seed, spread).results:
        assume(found.low is not None)
        barred = found.reason.startswith("can't tell")
        assert barred or (found.low > 0 or found.high < 0) == found.selected


@given(ORDERS, SEEDS, SPREAD, st.sampled_from([RAW, LOG]))
def test_inner_interval_lies_between_the_smallest_changes_exactly_when_inside(order, seed, spread, measures):
    for found in day(order, seed, spread, measures=measures).results:
        assume(found.inner_low is not None)
        between = found.smallest_change_low < found.inner_low and found.inner_high < found.smallest_change_high
        axis = abs(found.axis.difference) + (found.axis.inner_high - found.axis.difference)
        if abs(axis - 1) > 1e-9 and abs(abs(found.axis.inner_low) - 1) > 1e-9:
            inside = found.axis.inner_low > -1 and found.axis.inner_high < 1
            assert between == inside == (axis < 1)
            barred = found.reason.startswith("can't tell")
            assert barred or (found.verdict == "unchanged") == inside


@given(ORDERS, SEEDS, SPREAD, st.floats(-5, 40))
def test_raw_rows_do_not_depend_on_the_level(order, seed, spread, shift):
    plain = day(order, seed, spread).results
    moved = day(order, seed, spread, change=lambda values: values + shift).results
    for one, other in zip(plain, moved, strict=True):
        assert close(one.difference, other.difference)
        assert close(one.low, other.low)
        assert close(one.p, other.p)
        assert one.verdict == other.verdict


@given(ORDERS, SEEDS, st.sampled_from([0.3, 1.0]), st.floats(0.2, 50))
def test_log_rows_do_not_depend_on_the_unit(order, seed, spread, factor):
    rng = np.random.default_rng(seed)
    values = 30 + spread * rng.normal(size=len(order))
    plain, scaled = (
        comparison.verdicts(
            [row(order, list(values * by), measure="rebound_speed_10_per_min")], baseline="a", candidates=["b"]
        ).results[0]
        for by in (1.0, factor)
    )
    assert close(plain.difference * factor, scaled.difference)
    assert close(plain.p, scaled.p)
    assert close(plain.percent.difference, scaled.percent.difference)
    assert close(plain.percent.low, scaled.percent.low)
    assert plain.verdict == scaled.verdict


@given(ORDERS, SEEDS, SPREAD)
def test_swapping_the_setups_mirrors_the_answer(order, seed, spread):
    straight, mirrored = day(order, seed, spread), day(order, seed, spread, swapped=True)
    assert [family.selected for family in straight.families] == [family.selected for family in mirrored.families]
    for one, other in zip(straight.results, mirrored.results, strict=True):
        assert close(one.difference, -other.difference)
        assert one.low is None or close(one.low, -other.high)
        assert close(one.p, other.p)
        assert (one.verdict, one.more_runs) == (other.verdict, other.more_runs)


@given(ORDERS, SEEDS, SPREAD, st.randoms(use_true_random=False))
def test_the_order_of_rows_and_runs_in_the_file_does_not_matter(order, seed, spread, random):
    rng = np.random.default_rng(seed)
    values = [list(30 + spread * rng.normal(size=len(order))) for _ in RAW]
    places = list(range(len(order)))
    random.shuffle(places)
    shuffled = [
        row(
            [order[k] for k in places],
            [each[k] for k in places],
            measure=name,
            orders=[k + 1 for k in places],
        )
        for name, each in zip(RAW, values, strict=True)
    ]
    rows = [row(order, each, measure=name) for name, each in zip(RAW, values, strict=True)]
    random.shuffle(shuffled)
    straight = {it.measure: it for it in comparison.verdicts(rows, baseline="a", candidates=["b"]).results}
    for other in comparison.verdicts(shuffled, baseline="a", candidates=["b"]).results:
        one = straight[other.measure]
        assert close(one.difference, other.difference, 1e-9)
        assert close(one.low, other.low, 1e-9)
        assert (one.verdict, one.more_runs, one.reason) == (other.verdict, other.more_runs, other.reason)


@given(st.floats(0, 100_000))
def test_sections_last_five_seconds_or_more_and_are_as_many_as_that_allows(riding_s):
    count = comparison.section_count(riding_s)
    assert 1 <= count <= 20
    assert count == 1 or riding_s / count >= 5
    assert count == 20 or riding_s / (count + 1) < 5


@pytest.mark.parametrize(
    ("riding_s", "count"), [(0.0, 1), (4.0, 1), (10.0, 2), (43.0, 8), (99.9, 19), (100.0, 20), (900.0, 20)]
)
def test_section_count(riding_s, count):
    assert comparison.section_count(riding_s) == count
