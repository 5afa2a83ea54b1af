"""Weighted Benjamini-Hochberg: against statsmodels with equal weights, and a slow obvious version."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests

from telemetry.statistics.family import alone_levels, focus_weights, select

P_VALUES = st.lists(st.floats(1e-9, 1.0), min_size=1, max_size=30)


def selected(chosen):
    return [row.selected for row in chosen]


def levels(chosen):
    return [row.level for row in chosen]


def slow_select(p, focus, q):
    """Return selected, level shown: the rule read aloud, without arrays."""
    m, f = len(p), sum(focus)
    weights = [1.0] * m
    if f and m > 4 * f:
        weights = [4.0 if named else (m - 4 * f) / (m - f) for named in focus]
    largest = 0
    for i in range(1, m + 1):
        small_enough = [k for k in range(m) if p[k] <= q and p[k] / weights[k] <= i * q / m]
        if len(small_enough) >= i:
            largest = i
    selected = [largest > 0 and p[k] <= min(weights[k] * largest * q / m, q) for k in range(m)]
    levels = [min(weights[k] * (largest if selected[k] else largest + 1) * q / m, q) for k in range(m)]
    return selected, levels


@given(P_VALUES)
def test_equal_weights_as_statsmodels(p):
    theirs, *_ = multipletests(p, alpha=0.05, method="fdr_bh")
    assert selected(select(p, [False] * len(p), 0.05)) == list(theirs)


@given(st.lists(st.tuples(st.floats(1e-9, 0.2), st.booleans()), min_size=1, max_size=30), st.sampled_from([0.05, 0.01]))
def test_weighted_as_the_slow_version(rows, q):
    p, focus = [row[0] for row in rows], [row[1] for row in rows]
    found = select(p, focus, q)
    slow, shown = slow_select(p, focus, q)
    assert selected(found) == slow
    assert levels(found) == pytest.approx(shown, rel=1e-12)


@given(st.lists(st.tuples(st.floats(1e-9, 0.2), st.booleans()), min_size=1, max_size=30))
def test_a_row_is_below_the_level_it_is_shown_at_exactly_when_selected(rows):
    """So the shown interval excludes zero exactly for the selected."""
    p, focus = [row[0] for row in rows], [row[1] for row in rows]
    found = select(p, focus, 0.05)
    assert [value <= level for value, level in zip(p, levels(found), strict=True)] == selected(found)


@pytest.mark.parametrize(
    ("m", "f", "focus_weight", "rest"),
    [
        (29, 3, 4.0, 17 / 26),
        (29, 0, 1.0, 1.0),
        (12, 3, 1.0, 1.0),
        (13, 3, 4.0, 0.1),
        (5, 1, 4.0, 0.25),
        (4, 1, 1.0, 1.0),
    ],
)
def test_weights(m, f, focus_weight, rest):
    weights = focus_weights([place < f for place in range(m)])
    assert weights[:f] == (focus_weight,) * f
    assert weights[f:] == pytest.approx([rest] * (m - f))
    assert sum(weights) == pytest.approx(m)


def test_a_focus_row_stands_where_another_would_not():
    p = [0.006] + [0.5] * 22
    assert select(p, [True] + [False] * 22, 0.05)[0].selected
    assert not select(p, [False] * 23, 0.05)[0].selected


def test_no_weight_lifts_a_row_above_q():
    assert not any(selected(select([0.06] * 5, [True] + [False] * 4, 0.05)))


def test_a_row_above_q_does_not_count_for_others_whatever_its_weight():
    """p/w of the first is 0.015 <= 2 q/5 and would bring in the second at rank 2; it can't be selected itself."""
    assert selected(select([0.06, 0.0045, 0.9, 0.9, 0.9], [True] + [False] * 4, 0.05)) == [False] * 5
    assert selected(select([0.05, 0.0045, 0.9, 0.9, 0.9], [True] + [False] * 4, 0.05)) == [True, True, *[False] * 3]


def test_no_level_is_above_q():
    found = select([0.04, 0.001, 0.9, 0.9, 0.9], [True] + [False] * 4, 0.05)
    assert levels(found) == pytest.approx([0.05, 0.005, 0.0075, 0.0075, 0.0075])
    assert levels(select([0.9] * 5, [True] + [False] * 4, 0.05)) == pytest.approx([0.04] + [0.0025] * 4)
    two = select([0.001, 0.9, 0.9, 0.9, 0.9, 0.9], [False, True] + [False] * 4, 0.06)
    assert levels(two)[:2] == pytest.approx([0.004, 0.06])


def test_a_row_by_itself_has_the_level_of_rank_one():
    found = select([0.001, 0.001, 0.9, 0.9, 0.9], [True] + [False] * 4, 0.05)
    assert [row.alone for row in found] == pytest.approx([0.04] + [0.0025] * 4)
    assert alone_levels([True] + [False] * 4, 0.05) == pytest.approx([0.04] + [0.0025] * 4)
    assert alone_levels([False], 0.05) == (0.05,)


def test_rows_without_a_p_take_no_part_and_are_shown_at_q_over_the_others():
    found = select([None, 0.001, 0.9, None], [True, False, False, False], 0.05)
    assert found[1:3] == select([0.001, 0.9], [False, False], 0.05)
    assert [(row.selected, row.level, row.alone) for row in (found[0], found[3])] == [(None, 0.025, 0.025)] * 2
    assert [(row.level, row.alone) for row in select([None, None], [True, False], 0.05)] == [(0.05, 0.05)] * 2


def test_an_empty_family():
    assert select([], [], 0.05) == ()


@given(P_VALUES, st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(p, random):
    focus = [place == 0 for place in range(len(p))]
    places = list(range(len(p)))
    random.shuffle(places)
    straight = select(p, focus, 0.05)
    shuffled = select([p[k] for k in places], [focus[k] for k in places], 0.05)
    assert shuffled == tuple(straight[k] for k in places)
