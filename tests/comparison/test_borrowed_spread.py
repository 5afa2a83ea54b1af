"""What earlier days' spread does to a row: pooled with today's, unless today scatters more than they let expect."""

import math

import numpy as np
import pytest
from scipy import stats

from telemetry import comparison
from telemetry.comparison.fairness.of_values import spread_unlike
from telemetry.statistics.earlier_days import Borrowed
from tests.comparison.days import row, with_moments
from tests.statistics.by_the_library import fewest_runs, upper

EARLIER = Borrowed(variance=0.25, nu=6.0, days=3)


def judged(made, lent=EARLIER):
    key = (made.spec.name, made.end)
    rules = comparison.Rules(borrowed={} if lent is None else {key: lent})
    found = comparison.verdicts([made], baseline="a", candidates=["b"], rules=rules)
    return found.results[0]


def day(d, s, **more):
    a, b = with_moments(3, 30.0, s), with_moments(3, 30.0 + d, s)
    return row("abbaab", [a[0], b[0], b[1], a[1], a[2], b[2]], **more)


def two(apart=0.1, d=6.0, sections=20):
    return row("abba", [30, 30 + d, 30 + d + apart, 30 + apart], sections=sections)


def test_both_spreads_are_pooled_and_their_freedom_added():
    """s^2 = (6 x 0.25 + 4 x 1)/10 on 10 degrees of freedom, by hand."""
    found = judged(day(1.0, 1.0))
    se = math.sqrt(0.55 * 2 / 3)
    assert found.p == pytest.approx(2 * stats.t.sf(1.0 / se, 10))
    assert found.high - found.difference == pytest.approx(stats.t.isf(0.025, 10) * se)
    assert found.inner_high - found.difference == pytest.approx(stats.t.isf(0.05, 10) * se)
    assert not found.unlike_earlier
    assert found.difference == judged(day(1.0, 1.0), None).difference


@pytest.mark.parametrize(("times", "unlike"), [(0.999, False), (1.001, True)])
def test_a_day_that_scatters_beyond_one_in_a_hundred_keeps_its_own_spread(times, unlike):
    s = times * math.sqrt(0.25 * stats.f.ppf(0.99, 4, 6))
    found, alone = judged(day(1.0, s)), judged(day(1.0, s), None)
    assert found.unlike_earlier is unlike
    assert (found.p == alone.p) is unlike
    assert (found.low == alone.low) is unlike


def test_two_of_each_without_a_section_floor_are_judged_with_earlier_days_and_barred_where_unlike():
    quiet, wild = two(sections=4), two(apart=9.0, sections=4)
    assert judged(quiet, None).reason.startswith("fewer than 5 trail sections")
    found = judged(quiet)
    assert found.verdict == "changed"
    assert found.reason.startswith("spread between trail sections not looked at")  # said so, all the same
    barred = judged(wild)
    assert (barred.verdict, barred.unlike_earlier) == ("undecided", True)
    assert barred.reason.startswith("fewer than 5 trail sections")


@pytest.mark.parametrize(
    ("setups", "reason"),
    [("aabb", "can't tell the change from the order ridden"), ("bbabbab", "2 runs against 5: ride more of it")],
)
def test_what_the_order_or_the_numbers_bar_stays_barred(setups, reason):
    found = judged(row(setups, [30 + k / 7 for k in range(len(setups))]))
    assert (found.verdict, found.reason) == ("undecided", reason)


def test_runs_that_do_not_vary_borrow_nothing():
    found = judged(row("abba", [30, 31, 31, 30]))
    assert (found.verdict, found.reason) == ("undecided", "does not vary at this resolution")


def test_counts_borrow_nothing():
    counts = row("abbaab", [y / 3 for y in (20, 60, 66, 24, 22, 58)], measure="bottom_outs_per_min")
    assert judged(counts) == judged(counts, None)


def test_the_floor_of_the_sections_stands_below_a_borrowed_spread():
    rough = day(1.0, 0.05, noise=8.0)
    assert judged(rough).low == judged(rough, None).low


def test_with_a_drift_taken_out_its_degree_of_freedom_is_gone_before_pooling():
    values = [30.0, 30.9, 31.2, 30.3, 30.6, 30.8, 31.1, 29.9]
    made = row("abbaabba", values)
    design = np.column_stack([np.ones(8), [0, 1, 1, 0, 0, 1, 1, 0], np.arange(8)])
    (left,) = np.linalg.lstsq(design, np.array(values), rcond=None)[1]
    reach = math.sqrt(np.linalg.inv(design.T @ design)[1, 1])
    found = judged(made)
    half = stats.t.isf(0.025, 6 + 5) * math.sqrt((6 * 0.25 + left) / (6 + 5)) * reach
    assert found.high - found.difference == pytest.approx(half)


def test_more_runs_count_on_what_is_borrowed():
    """The library's noncentral t with six degrees of freedom more; the upper figure by the ten there are."""
    found = judged(day(1.0, 1.4))
    s = math.sqrt((6 * 0.25 + 4 * 1.4**2) / 10)
    assert found.verdict == "undecided"
    assert found.more_runs == max(1, fewest_runs(s, 2.0, 0.05, further=6) - 3)
    assert found.more_runs_upper == max(1, fewest_runs(upper(s, 10), 2.0, 0.05, further=6) - 3)
    assert judged(day(1.0, 1.4), None).more_runs > found.more_runs


def test_rows_that_scatter_unlike_earlier_days_are_noted_once():
    wild, quiet = day(1.0, 4.0), day(1.0, 0.1)
    (note,) = spread_unlike([judged(wild), judged(wild)], [wild])
    assert (note.severity, note.code) == ("note", "spread_unlike")
    assert note.message.startswith("front dynamic sag: runs of one setup scatter more today")
    assert spread_unlike([judged(quiet)], [quiet]) == ()
