"""What bars a row and what a verdict rests on, just within and just beyond each limit, on made runs."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from telemetry import comparison
from telemetry.comparison.judging import judge
from telemetry.comparison.values import sample_of, usable_values
from telemetry.model.day import SmallestChange
from telemetry.statistics.counting import FEWEST_EVENTS
from telemetry.statistics.difference import FEWEST_SECTIONS
from telemetry.statistics.family import FALSE_DISCOVERY_RATE, INNER_LEVEL
from tests.comparison.days import row, with_moments
from tests.statistics.by_the_library import fewest_runs, upper

TWO_POINTS = SmallestChange(amount=2.0, form="points", entered="2 points")
ORDER = "can't tell the change from the order ridden"


def judged(setups, values, **more):
    return judge(row(setups, values, **more), "a", "b")


def results(*rows, **rules):
    return comparison.verdicts(rows, baseline="a", candidates=["b"], rules=comparison.Rules(**rules)).results


def exact(d, s, level=30.0):
    """Return A B B A A B whose setups differ by exactly d, with a pooled spread of exactly s."""
    a, b = with_moments(3, level, s), with_moments(3, level + d, s)
    return [a[0], b[0], b[1], a[1], a[2], b[2]]


def half(s, level, nu=4):
    return stats.t.isf(level / 2, nu) * s * math.sqrt(2 / 3)


class TestBarred:
    """Two of each: one place apart is allowed, five sections are enough."""

    def test_one_place_apart_and_more(self):
        values = [30, 36, 30.1, 36.1]
        assert judged("abab", values).barred == ""
        assert judged("abab", values, orders=[1, 2, 3, 5]).barred == ORDER
        assert judged("baba", values, orders=[1, 2, 3, 5]).barred == ORDER

    def test_three_of_each_further_apart_have_a_drift_fitted_instead(self):
        values = [30, 36, 30.1, 36.1, 30.2, 35.8]
        assert (judged("ababab", values).barred, judged("ababab", values).found.nu) == ("", 4)
        apart = judged("ababab", values, orders=[1, 2, 3, 4, 5, 7])
        assert (apart.barred, apart.found.nu) == ("", 3)

    def test_sections(self):
        values = [30, 36, 36.1, 30.1]
        assert judged("abba", values, sections=FEWEST_SECTIONS).barred == ""
        assert judged("abba", values, sections=FEWEST_SECTIONS - 1).barred.startswith("fewer than 5 trail sections")
        three = judged("abbaab", [*values, 30.2, 36.2], sections=FEWEST_SECTIONS - 1)
        assert three.barred == ""
        assert three.notes[0].startswith("spread between trail sections not looked at: fewer than 5")
        assert judged("abbaab", [*values, 30.2, 36.2], sections=FEWEST_SECTIONS).notes == ()

    @pytest.mark.parametrize(("setups", "reason"), [
        ("abba", ""), ("abbab", ""), ("abbaab", ""), ("babbab", "2 runs against 4: ride more of it"),
        ("bbabbab", "2 runs against 5: ride more of it"), ("aababaa", "2 runs against 5: ride more of it"),
    ])  # fmt: skip
    def test_two_runs_against_many(self, setups, reason):
        values = [36.0 + k / 9 if setup == "b" else 30.0 + k / 7 for k, setup in enumerate(setups)]
        assert judged(setups, values).barred == reason
        assert (judged(setups, values).p is None) == bool(reason)

    def test_a_setup_without_runs_and_one_without_values(self):
        assert judged("aa", [30, 31]).barred == "no usable run of b"
        assert judged("bb", [30, 31]).barred == "no usable run of a"
        assert judged("aab", [30, 31, None]).barred == "3 hits, at least 5 needed"
        zero = judged("aab", [30, 31, 0.0], measure="recovery_time")
        assert zero.barred == "a value of zero or less has no percent change"
        assert (zero.d, zero.p, zero.candidate_value) == (None, None, None)

    @pytest.mark.parametrize(("events", "barred"), [(FEWEST_EVENTS - 1, True), (FEWEST_EVENTS, False)])
    def test_events_of_both_together(self, events, barred):
        counts = [y / 3 for y in (2, 2, 2, events - 6)]
        assert bool(judged("abba", counts, measure="bottom_outs_per_min").barred) == barred

    def test_counts_one_place_apart_and_more(self):
        counts = [y / 3 for y in (20, 60, 22, 66)]
        measure = "bottom_outs_per_min"
        assert judged("abab", counts, measure=measure).barred == ""
        assert judged("abab", counts, measure=measure, orders=[1, 2, 3, 5]).barred == ORDER
        six = [y / 3 for y in (20, 60, 22, 66, 21, 61)]
        assert judged("aaabbb", six, measure=measure).barred == ORDER

    def test_counts_are_told_as_rates_of_each_setup(self):
        """20 and 22 in three minutes each, 60 and 66."""
        found = judged("abba", [20 / 3, 20.0, 22.0, 22 / 3], measure="bottom_outs_per_min")
        assert (found.baseline_value, found.candidate_value) == (pytest.approx(7.0), pytest.approx(21.0))
        assert (found.barred, found.interval(0.05, 0.1).low > 0) == ("", True)
        none = judged("abba", [0.0, 20.0, 22.0, 22 / 3], measure="bottom_outs_per_min")
        assert none.baseline_value == pytest.approx(22 / 6)
        missing = judged("aa", [20 / 3, 22 / 3], measure="bottom_outs_per_min")
        assert (missing.baseline_value, missing.candidate_value) == (pytest.approx(7.0), None)
        assert (missing.barred, missing.interval(0.05, 0.1)) == ("no usable run of b", None)
        other = judged("bb", [20 / 3, 22 / 3], measure="bottom_outs_per_min")
        assert (other.barred, other.candidate) == ("no usable run of a", "b")

    def test_a_run_without_riding_time_counts_for_no_rate(self):
        rows = row("abba", [20 / 3, 20.0, 22.0, 22 / 3], measure="bottom_outs_per_min")
        still = replace(rows, runs=(replace(rows.runs[0], minutes=0.0), *rows.runs[1:]))
        assert judge(still, "a", "b").baseline_value == pytest.approx(22 / 3)
        brief = replace(rows, runs=(replace(rows.runs[0], minutes=0.5), *rows.runs[1:]))
        assert judge(brief, "a", "b").baseline_value == pytest.approx(42 / 3.5)

    def test_counts_of_one_run_of_each(self):
        assert judged("ab", [20 / 3, 20.0], measure="bottom_outs_per_min").barred.startswith("one run of each")

    def test_one_run_of_a_setup(self):
        assert judged("ab", [30, 31]).barred.startswith("one run of each")
        assert judged("abb", [30, 31, 31.2]).barred == judged("aab", [30, 30.2, 31]).barred
        assert judged("abb", [30, 31, 31.2]).barred == "fewer than two runs of one setup"
        counts = [y / 3 for y in (20, 60, 66)]
        assert judged("abb", counts, measure="bottom_outs_per_min").barred == "fewer than two runs of one setup"


class TestOneRun:
    """One run of a setup: d of the runs, its interval by the sections, at 95 %, with no p."""

    def test_difference_is_of_the_runs_and_the_interval_as_wide_as_sections_differ(self):
        made = row("ab", [30, 31], noise=0.4, sections=12, seed=3)
        each = made.runs[1].sections - made.runs[0].sections
        d, interval = judge(made, "a", "b").pair
        low, high = stats.t.interval(0.95, 11, loc=1.0, scale=stats.sem(each))
        assert (d, interval.low, interval.high) == pytest.approx((1.0, low, high))
        assert (interval.level, interval.inner) == (0.05, None)

    def test_under_five_sections_the_runs_alone_and_no_interval(self):
        assert judged("ab", [30, 31], noise=0.4, sections=FEWEST_SECTIONS - 1).pair == (1.0, None)
        assert judged("ab", [30, 31], noise=0.4, sections=FEWEST_SECTIONS).pair[1] is not None

    def test_two_runs_of_the_other_setup_count_by_their_mean(self):
        d, _ = judged("abb", [30, 31, 32], sections=8).pair
        assert d == pytest.approx(1.5)


class TestTwoDays:
    """Places count within their day, days have a level of their own."""

    @staticmethod
    def on(made, days):
        """Return the row with its runs on these days, numbered anew on each."""
        runs = []
        for place, (run, day) in enumerate(zip(made.runs, days, strict=True)):
            used = replace(run.run, day=day, order_in_day=days[: place + 1].count(day))
            runs.append(replace(run, run=used))
        return replace(made, runs=tuple(runs))

    def test_a_sample_holds_place_within_the_day_and_the_day(self):
        made = self.on(row("abba", [30, 31, 32, 33]), [1, 1, 2, 2])
        found = sample_of(usable_values(made, "a"), "raw")
        assert (found.orders.tolist(), found.days.tolist()) == ([1.0, 2.0], [1.0, 2.0])
        whole = sample_of(usable_values(row("abba", [30, 31, 32, 33]), "a"), "raw")
        assert (whole.orders.tolist(), whole.days.tolist()) == ([1.0, 4.0], [1.0, 1.0])

    def test_what_would_be_far_apart_on_one_day_is_not_within_two(self):
        """a 1 3, b 2 | b 1 2 as places within their days; on one day a comes 1, 3 and b 2, 4, 5."""
        values = [30, 36, 30.2, 36.2, 36.3]
        assert judged("ababb", values).barred == ORDER
        found = judge(self.on(row("ababb", values), [1, 1, 1, 2, 2]), "a", "b")
        assert (found.barred, found.found.nu) == ("", 5 - 3)
        design = np.column_stack([np.ones(5), [0, 1, 0, 1, 1], [0, 0, 0, 1, 1]])
        level, d, day = np.linalg.lstsq(design, np.array(values), rcond=None)[0]
        assert found.d == pytest.approx(d)
        assert found.baseline_value == pytest.approx(level + 0.4 * day)  # two of five runs on the second day
        assert found.candidate_value - found.baseline_value == pytest.approx(d)

    def test_a_setup_a_day_can_not_be_told(self):
        made = self.on(row("aaabbb", [30, 30.2, 30.1, 36, 36.2, 36.1]), [1, 1, 1, 2, 2, 2])
        assert judge(made, "a", "b").barred == "can't tell the change from the day ridden"


class TestVerdicts:
    """The inner interval decides "unchanged", the shown one what may be less."""

    def test_may_be_less_goes_by_the_shown_interval(self):
        reaching, clear = (
            results(row("abbaab", exact(2.5, s), change=TWO_POINTS))[0]
            for s in (0.6 / half(1, 0.05), 0.45 / half(1, 0.05))
        )
        assert reaching.low == pytest.approx(1.9)
        assert reaching.inner_low > 2.0
        assert (reaching.verdict, reaching.reason) == ("changed", "may be less than what matters")
        assert clear.low == pytest.approx(2.05)
        assert (clear.verdict, clear.reason) == ("changed", "")

    @pytest.mark.parametrize("sign", [1, -1])
    def test_unchanged_goes_by_the_inner_interval(self, sign):
        """The inner end lies at 1.95 of 2, the shown one beyond; a little more spread and it is open."""
        inside, outside = (
            results(row("abbaab", exact(sign * 0.5, reach / half(1, 0.10)), change=TWO_POINTS))[0]
            for reach in (1.45, 1.55)
        )
        shown = inside.high if sign > 0 else inside.low
        assert abs(shown) > 2.0
        assert (inside.verdict, outside.verdict) == ("unchanged", "undecided")
        inner = inside.inner_high if sign > 0 else inside.inner_low
        assert inner == pytest.approx(sign * 1.95)

    def test_levels_of_both_intervals(self):
        """At the planned three of each: 0.8 of q over the rows, 0.8 of the two one-sided tests' level."""
        rows = (row("abbaab", exact(1.0, 1.0)), row("abbaab", exact(1.0, 1.0), end="rear"))
        level, inner = 0.8 * FALSE_DISCOVERY_RATE / 2, 0.8 * INNER_LEVEL
        for found in results(*rows, planned_runs=(3,)):
            assert found.interval.level == found.level == pytest.approx(level)
            assert found.interval.inner.level == pytest.approx(inner)
            assert found.low == pytest.approx(1.0 - half(1.0, level))
            assert found.inner_high == pytest.approx(1.0 + half(1.0, inner))

    def test_a_barred_row_is_shown_at_q_over_the_rows_that_are_not(self):
        barred, *_ = results(
            row("aabb", [30, 30.4, 40, 40.3]),
            row("abbaab", exact(1.0, 1.0), end="rear"),
            row("abbaab", exact(1.0, 1.0), measure="travel_p95"),
        )
        assert barred.reason == ORDER
        assert barred.level == FALSE_DISCOVERY_RATE / 2
        assert not barred.selected

    def test_more_runs_are_the_fewest_with_both_chances_at_the_rows_own_level(self):
        """A focus row by itself is planned at 0.8 q, each of four others at 0.2 q/4: by the library's noncentral t."""
        s, names = 1.3, ("travel_p95", "hit_depth_10_per_min", "packing", "hits_per_min")
        rest = [row("abbaab", exact(1.0, s), measure=name) for name in names]
        focus, other, *_ = results(row("abbaab", exact(1.0, s), change=TWO_POINTS, focus=True), *rest)
        assert (focus.verdict, other.verdict) == ("undecided", "undecided")
        for found, level in ((focus, 0.04), (other, 0.0025)):
            margin = found.smallest_change_high
            assert found.more_runs == fewest_runs(s, margin, level) - 3
            assert found.more_runs_upper == fewest_runs(upper(s, 4), margin, level) - 3

    def test_more_runs_go_by_a_row_alone_and_by_the_setup_with_fewer(self):
        """Beside two that stand out the open row is shown at 3 q/3, but planned at q/3; three runs against four."""
        clear = [row("abbabab", [30, 40, 40.1, 30.1, 40.2, 30.2, 40], end=end) for end in ("front", "rear")]
        a, b = with_moments(3, 30.0, 0.8), with_moments(4, 31.0, 0.8)
        values = [a[0], b[0], b[1], a[1], b[2], a[2], b[3]]
        *_, found = results(*clear, row("abbabab", values, measure="travel_p95", change=TWO_POINTS))
        assert (found.verdict, found.level) == ("undecided", pytest.approx(0.05))
        wanted, otherwise = (fewest_runs(0.8, 2.0, level) for level in (0.05 / 3, 0.05))
        assert wanted > otherwise
        assert found.more_runs == max(1, wanted - 3)

    def test_what_is_decided_needs_no_more_runs(self):
        changed, unchanged = results(row("abbaab", exact(6.0, 0.2)), row("abbaab", exact(0.0, 0.2), end="rear"))
        assert (changed.verdict, unchanged.verdict) == ("changed", "unchanged")
        assert (changed.more_runs, changed.more_runs_upper, unchanged.more_runs) == (None, None, None)
        (two,) = results(row("abba", [30, 30.1, 30.2, 30.3], sections=4))
        assert two.reason.startswith("fewer than 5")
        assert two.more_runs is not None
