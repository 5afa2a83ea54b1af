"""Benjamini-Hochberg: against statsmodels, and a slow obvious version; families that spend shares of one rate."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests

from telemetry.statistics.family import FALSE_DISCOVERY_RATE, FOCUS_SHARE, alone_levels, group_of, group_rates, select

P_VALUES = st.lists(st.floats(1e-9, 1.0), min_size=1, max_size=30)


def selected(chosen):
    return [row.selected for row in chosen]


def levels(chosen):
    return [row.level for row in chosen]


def slow_select(p, q):
    """Return selected, level shown: the rule read aloud, without arrays."""
    m, largest = len(p), 0
    for i in range(1, m + 1):
        if sum(value <= i * q / m for value in p) >= i:
            largest = i
    chosen = [largest > 0 and value <= largest * q / m for value in p]
    return chosen, [(largest if one else largest + 1) * q / m for one in chosen]


@given(P_VALUES, st.sampled_from([0.05, 0.01]))
def test_selected_as_statsmodels(p, q):
    theirs, *_ = multipletests(p, alpha=q, method="fdr_bh")
    assert selected(select(p, q)) == list(theirs)


@given(st.lists(st.floats(1e-9, 0.2), min_size=1, max_size=30), st.sampled_from([0.05, 0.01]))
def test_selected_and_shown_as_the_slow_version(p, q):
    found = select(p, q)
    slow, shown = slow_select(p, q)
    assert selected(found) == slow
    assert levels(found) == pytest.approx(shown, rel=1e-12)


@given(st.lists(st.floats(1e-9, 0.2), min_size=1, max_size=30))
def test_a_row_is_below_the_level_it_is_shown_at_exactly_when_selected(p):
    """So the shown interval excludes zero exactly for the selected."""
    found = select(p, 0.05)
    assert [value <= level for value, level in zip(p, levels(found), strict=True)] == selected(found)


def test_the_focus_spends_four_fifths_and_all_others_the_rest():
    assert (FALSE_DISCOVERY_RATE, FOCUS_SHARE) == (0.05, 0.8)
    rates = group_rates([True, False, False], 0.05)
    assert rates == {"focus": pytest.approx(0.04), "other": pytest.approx(0.01)}
    assert [group_of(named, rates) for named in (True, False)] == ["focus", "other"]
    assert group_rates([False, False], 0.05) == {"all": 0.05}
    assert group_of(False, {"all": 0.05}) == "all"


def test_the_level_of_a_row_by_itself_is_its_families_rate_over_its_rows():
    assert alone_levels([True] + [False] * 4, 0.05) == pytest.approx([0.04] + [0.0025] * 4)
    assert alone_levels([True, True, False], 0.05) == pytest.approx([0.02, 0.02, 0.01])
    assert alone_levels([False, False], 0.05) == (0.025, 0.025)
    assert [row.alone for row in select([0.001, 0.001, 0.9, 0.9], 0.05)] == [0.0125] * 4


def test_a_row_at_its_threshold_is_selected_and_just_above_not():
    assert selected(select([0.0125, 0.9, 0.9, 0.9], 0.05)) == [True, False, False, False]
    assert selected(select([0.0125000001, 0.9, 0.9, 0.9], 0.05)) == [False] * 4
    assert selected(select([0.02, 0.025, 0.9, 0.9], 0.05)) == [True, True, False, False]


def test_rows_without_a_p_take_no_part_and_are_shown_at_q_over_the_others():
    found = select([None, 0.001, 0.9, None], 0.05)
    assert found[1:3] == select([0.001, 0.9], 0.05)
    assert [(row.selected, row.level, row.alone) for row in (found[0], found[3])] == [(None, 0.025, 0.025)] * 2
    assert [(row.level, row.alone) for row in select([None, None], 0.05)] == [(0.05, 0.05)] * 2


def test_an_empty_family():
    assert select([], 0.05) == ()


@given(P_VALUES, st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(p, random):
    places = list(range(len(p)))
    random.shuffle(places)
    straight = select(p, 0.05)
    assert select([p[k] for k in places], 0.05) == tuple(straight[k] for k in places)
