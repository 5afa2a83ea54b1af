"""Drift, equal ground speed, who differs from whom, two days, A B A: against the reference library and closed forms."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from statsmodels.stats.multitest import multipletests

from telemetry import comparison
from telemetry.comparison.equal_speed import FEWEST_RUNS, equal_speed, slope_within
from telemetry.comparison.second_looks import drift, pair_differences
from telemetry.statistics.difference import FEWEST_SECTIONS, difference, riding_of
from telemetry.telling.second_looks import second_sentences
from tests.comparison.days import row, sample

CLOSE = 1e-9


def only(*args, **more):
    return comparison.verdicts([row(*args, **more)], baseline="a", candidates=["b"]).results[0]


def test_the_slope_a_run_is_the_libraries_least_squares():
    values, order = [30.0, 33.1, 33.9, 31.2, 31.6, 35.3], "abbaab"
    found = drift(row(order, values), "a", "b")
    design = np.column_stack([np.ones(6), [setup == "b" for setup in order], np.arange(1, 7)])
    fit = sm.OLS(values, design).fit()
    low, high = fit.conf_int(0.10)[2]
    assert (found.slope, found.p) == (pytest.approx(fit.params[2], rel=CLOSE), pytest.approx(fit.pvalues[2]))
    assert (found.low, found.high) == (pytest.approx(low, rel=CLOSE), pytest.approx(high, rel=CLOSE))
    assert found.order_shift == pytest.approx(1 / 3)
    assert found.could_move == pytest.approx(max(abs(low), abs(high)) / 3, rel=CLOSE)
    assert found.unit == "points"


def test_what_a_drift_could_have_moved_has_no_sign():
    values, order = [30.0, 33.1, 33.9, 31.2, 31.6, 35.3], "abbaab"
    there = drift(row(order, values), "a", "b")
    falling, sooner = drift(row(order, [-value for value in values]), "a", "b"), drift(row(order, values), "b", "a")
    assert (falling.slope, sooner.slope) == pytest.approx((-there.slope, there.slope))
    assert sooner.order_shift == -there.order_shift
    assert [item.could_move for item in (falling, sooner)] == pytest.approx([there.could_move] * 2)
    assert (falling.p, there.could_move > 0) == (pytest.approx(there.p), True)
    assert drift(row(order, [30.0] * 6), "a", "b").p is None


def test_on_the_log_scale_the_slope_is_in_percent_a_run():
    values = 1000 * np.exp(0.02 * np.arange(6) + 0.001 * np.array([1, -1, 1, -1, 1, -1]))
    found = drift(row("abbaab", list(values), measure="rebound_speed_10_per_min"), "a", "b")
    fit = sm.OLS(np.log(values), np.column_stack([np.ones(6), [0, 1, 1, 0, 0, 1], np.arange(6)])).fit()
    assert found.slope == pytest.approx(100 * np.expm1(fit.params[2]), rel=CLOSE)
    assert found.unit == "%"


def test_under_five_runs_and_for_counts_no_drift_is_told():
    assert drift(row("abba", [30, 31, 32, 30]), "a", "b") is None
    assert drift(row("abbaa", [30, 31, 32, 30, 31]), "a", "b") is not None
    assert drift(row("abbaab", [3, 6, 9, 3, 3, 6], measure="bottom_outs_per_min"), "a", "b") is None


def test_a_drift_among_many_rows_is_said_only_where_it_stands_among_them():
    """p = 0.009 says something of one row and nothing of twenty; p = 2e-5 does."""
    quiet = [row("abbaab", [30, 31, 30, 31, 30, 31.2]) for _ in range(19)]
    slight = row("abbaab", [30, 30.6, 31.2, 31.4, 31.2, 32.3], end="rear")
    clear = row("abbaab", [30, 31.1, 31.9, 33, 34.1, 35.0], end="rear")
    for rows, stand in (([slight], 1), ([slight, *quiet], 0), ([clear, *quiet], 1)):
        found = comparison.second_looks(rows, baseline="a", candidates=["b"], q=0.05, speeds_m_s={}).drift
        assert [item.stands for item in found] == [True] * stand + [False] * (len(rows) - stand)


def test_two_days_are_fitted_with_a_level_of_their_own():
    """A on both days, B on the second: least squares on setup, day and place within the day."""
    values = np.array([30.1, 30.4, 29.8, 33.0, 36.1, 36.4, 33.2, 35.8])
    setup, day = np.array([0, 0, 0, 0, 1, 1, 0, 1.0]), np.array([1, 1, 1, 2, 2, 2, 2, 2.0])
    order = np.arange(1, 9)
    parts = [sample(values[setup == k], order[setup == k]) for k in (0, 1)]
    a, b = (replace(part, days=day[setup == k]) for k, part in enumerate(parts))
    found = difference(a, b)
    within = riding_of(a.ridden, b.ridden).shift
    centred = order - np.where(day == 1, order[day == 1].mean(), order[day == 2].mean())
    assert float(within) == pytest.approx(centred[setup == 1].mean() - centred[setup == 0].mean())
    fit = sm.OLS(values, np.column_stack([np.ones(8), setup, day])).fit()
    assert found.nu == fit.df_resid == 5
    assert found.d == pytest.approx(fit.params[1], rel=CLOSE)
    assert found.se == pytest.approx(fit.bse[1], rel=CLOSE)
    assert not riding_of(a.ridden, b.ridden).one_after_the_other


def test_a_setup_a_day_can_not_be_told_from_the_day():
    a = replace(sample([30, 30.4, 29.8], [1, 2, 3]), days=np.ones(3))
    b = replace(sample([33, 33.4, 32.8], [4, 5, 6]), days=np.full(3, 2.0))
    assert difference(a, b) is None


def test_one_after_the_other_is_said_of_one_day_only():
    def after(a, b):
        return riding_of(a.ridden, b.ridden).one_after_the_other

    a, b = sample([30.0, 30.4], [1, 2]), sample([33.0, 33.4], [3, 4])
    assert after(a, b)
    assert after(b, a)
    days = np.array([1.0, 2.0])
    assert not after(replace(a, days=days), replace(b, days=days))
    assert not after(sample([30.0, 30.4], [1, 4]), sample([33.0, 33.4], [2, 3]))


def test_ridden_one_way_the_verdict_says_what_it_cannot():
    there = only("aaaabbbb", [30, 30.1, 29.9, 30.2, 36.1, 36, 36.2, 35.9])
    assert "ridden one way" in there.reason
    assert "ridden one way" not in only("aabbbbaa", [30, 30.1, 36, 36.1, 35.9, 36.2, 29.9, 30.2]).reason


def test_a_b_a_says_how_far_apart_the_two_are_and_tests_nothing():
    found = only("aba", [30.0, 33.0, 30.4])
    assert (
        found.reason
        == "fewer than two runs of one setup; the two runs of a, 2 places apart, differ by +0.4 points themselves"
    )
    assert (found.verdict, found.p) == ("undecided", None)
    assert "by +10.0 % themselves" in only("bab", [1000, 1300, 1100], measure="rebound_speed_10_per_min").reason
    assert "by +2 events themselves" in only("aba", [1, 4, 5 / 3], measure="bottom_outs_per_min").reason
    assert "by +5 events themselves" in only("aba", [0, 4, 5 / 3], measure="bottom_outs_per_min").reason
    assert "by −5 events themselves" in only("aba", [5 / 3, 4, 0], measure="bottom_outs_per_min").reason
    assert "themselves" not in only("aab", [30.0, 30.4, 33.0]).reason


def speed_day(beta, faster, n=20, seed=3):
    """Return a row whose sections follow ground speed by `beta` a log unit, and the speeds of each run."""
    rng = np.random.default_rng(seed)
    order = "abbaab"
    trail = rng.normal(size=n)
    speeds, rows = {}, row(order, [30.0] * 6)
    runs = []
    for run in rows.runs:
        log_speed = np.log(6) + 0.2 * trail + 0.03 * rng.normal(size=n) + faster * (run.run.setup == "b")
        sections = 30 + 2 * trail + beta * log_speed + 1.5 * (run.run.setup == "b")
        speeds[run.run.run] = np.exp(log_speed)
        runs.append(replace(run, value=float(sections.mean()), sections=sections))
    return replace(rows, runs=tuple(runs)), speeds


def test_at_equal_speed_only_what_the_setup_did_is_left():
    made, speeds = speed_day(beta=12.0, faster=0.05)
    found = equal_speed(made, "a", "b", speeds)
    assert found.at_equal_speed == pytest.approx(1.5, abs=1e-9)
    assert found.difference == pytest.approx(1.5 + 12 * np.log1p(found.speed_difference_percent / 100), abs=1e-9)
    assert found.per_percent == pytest.approx(12 * np.log(1.01), rel=1e-9)


def test_the_slope_is_that_of_a_regression_with_a_level_for_every_run_and_every_section():
    rng = np.random.default_rng(8)
    x, y = rng.normal(size=(5, 7)), rng.normal(size=(5, 7))
    run, section = np.divmod(np.arange(35), 7)
    dummies = np.column_stack([run[:, None] == np.arange(5), section[:, None] == np.arange(1, 7)]).astype(float)
    fit = sm.OLS(y.ravel(), np.column_stack([x.ravel(), dummies])).fit()
    assert slope_within(y, x) == pytest.approx(fit.params[0], rel=CLOSE)
    assert slope_within(y, np.add.outer(np.arange(5.0), np.arange(7.0))) is None


def test_a_slope_on_speed_takes_three_runs_and_five_sections():
    made, speeds = speed_day(beta=12.0, faster=0.05)
    two, three = (replace(made, runs=made.runs[:count]) for count in (FEWEST_RUNS - 1, FEWEST_RUNS))
    assert equal_speed(two, "a", "b", speeds) is None
    assert equal_speed(three, "a", "b", speeds) is not None
    for count, told in ((FEWEST_SECTIONS - 1, False), (FEWEST_SECTIONS, True)):
        speeds["run_1"] = np.where(np.arange(20) < count, speeds["run_2"], np.nan)
        assert (equal_speed(made, "a", "b", speeds) is not None) == told
    standing = {run: np.where(np.arange(20) < 15, speed, 0.0) for run, speed in speed_day(12.0, 0.05)[1].items()}
    assert equal_speed(made, "a", "b", standing).per_percent == pytest.approx(12 * np.log(1.01))


def test_without_speeds_everywhere_nothing_is_said():
    made, speeds = speed_day(beta=12.0, faster=0.05)
    assert equal_speed(made, "a", "b", {}) is None
    del speeds["run_3"]
    assert equal_speed(made, "a", "b", speeds) is None
    made, speeds = speed_day(beta=12.0, faster=0.05)
    assert equal_speed(made, "a", "b", speeds | {"run_1": np.full(20, np.nan)}) is None


def three_setups():
    rng = np.random.default_rng(12)
    order = "abccbaabc"
    levels = {"a": 30.0, "b": 30.2, "c": 36.0}
    return [
        row(order, [levels[s] + 0.6 * rng.normal() for s in order], measure=name, end=end, seed=k)
        for k, (name, end) in enumerate(
            [
                ("dynamic_sag", "front"),
                ("dynamic_sag", "rear"),
                ("travel_p95", "front"),
                ("hit_depth_10_per_min", "front"),
            ]
        )
    ]


def test_who_differs_from_whom_is_benjamini_hochberg_over_all_pairs():
    """statsmodels multipletests fdr_bh over the pooled t of every pair and row."""
    rows = three_setups()
    found = pair_differences(rows, ["a", "b", "c"], 0.05)
    assert [(item.first, item.second) for item in found[::4]] == [("a", "b"), ("a", "c"), ("b", "c")]
    p_values = []
    for first, second in (("a", "b"), ("a", "c"), ("b", "c")):
        for item in rows:
            x, y = ([r.value for r in item.runs if r.run.setup == s] for s in (first, second))
            p_values.append(stats.ttest_ind(y, x).pvalue)
    assert [item.p for item in found] == pytest.approx(p_values, rel=1e-7)
    assert [item.differs for item in found] == multipletests(p_values, 0.05, "fdr_bh")[0].tolist()
    assert {item.differs for item in found[:4]} == {False}
    for item in found:
        assert (item.low > 0 or item.high < 0) == item.differs


def test_a_row_that_gets_no_verdict_differs_nowhere_else_either():
    rows = three_setups()
    late = [*rows, replace(rows[0], withheld="named after riding began")]
    each = [
        comparison.second_looks(these, baseline="a", candidates=["b", "c"], q=0.05, speeds_m_s={})
        for these in (rows, late)
    ]
    assert each[0].pairs == each[1].pairs
    assert len(each[0].pairs) == 3 * len(rows)


def test_each_pair_is_shown_at_the_level_it_is_judged_at():
    """Of six judged two stand out: they are shown at 2 q/6, the rest at 3 q/6, the barred ones at q/6."""
    clear = row("abccba", [30.0, 30.3, 40.0, 40.4, 30.5, 30.1])
    barred = row("abccba", [30.0, 30.3, 40.0, 40.4, 30.5, 30.1], end="rear", sections=4)
    close = row("abccba", [30.0, 30.9, 30.3, 30.8, 30.1, 30.5], measure="travel_p95")
    found = pair_differences([clear, barred, close], "abc", 0.05)
    assert [item.differs for item in found] == [False, None, False, True, None, False, True, None, False]
    for item in found:
        level = {True: 2 * 0.05 / 6, False: 3 * 0.05 / 6, None: 0.05 / 6}[item.differs]
        x, y = (
            [run.value for run in {"travel_p95": close}.get(item.measure, clear).runs if run.run.setup == setup]
            for setup in (item.first, item.second)
        )
        test = stats.ttest_ind(y, x)
        assert (item.difference, item.p) == pytest.approx((np.mean(y) - np.mean(x), test.pvalue))
        assert (item.low, item.high) == pytest.approx(tuple(test.confidence_interval(1 - level)))


def test_two_setups_have_no_table_of_pairs_and_barred_pairs_say_why():
    assert pair_differences(three_setups(), ["a", "b"], 0.05) == ()
    found = pair_differences([row("aabbc", [30, 30.1, 33, 33.2, 31])], ["a", "b", "c"], 0.05)
    assert [item.differs for item in found] == [None] * 3
    assert found[0].reason == "can't tell the change from the order ridden"
    assert found[1].reason.startswith("fewer than two runs")


LABELS = {"a": "stock", "b": "light oil", "c": "heavy oil"}


def told(rows, candidates, speeds=None, wanted=()):
    second = comparison.second_looks(rows, baseline="a", candidates=candidates, q=0.05, speeds_m_s=speeds or {})
    return dict(second_sentences(second, wanted, LABELS))


def test_drift_is_told_with_its_interval_and_what_it_could_have_moved():
    seen = row("abbaab", [30, 31.1, 31.9, 33, 34.1, 35.0])
    quiet = row("abbaab", [30, 30.1, 29.9, 30, 30.1, 29.9], end="rear")
    lines = told([seen, quiet], ["b"])["Drift through the day"]
    assert lines[0].startswith(
        "Front, dynamic sag drifted +1.0 points a run (90 % interval +1.0 to +1.1); light oil came 0.3"
    )
    assert "could have moved the difference by 0.4 points at most" in lines[0]
    assert lines[1] == "No drift seen in 1 measure: that is no evidence of none: the order ridden is the protection"


def test_equal_speed_is_told_of_the_rows_wanted_only():
    made, speeds = speed_day(beta=12.0, faster=0.05)
    wanted = {("b", "dynamic_sag", "front")}
    (line,) = told([made], ["b"], speeds, wanted)["At equal ground speed"]
    assert "+1.5 points at equal speed instead of +2.1" in line
    assert "a second line only" in line
    assert "At equal ground speed" not in told([made], ["b"], speeds)


def test_each_pair_of_three_setups_gets_a_line():
    lines = told(three_setups(), ["b", "c"])["Who differs from whom"]
    assert lines[0] == "light oil against stock: no difference seen in 4 measures judged"
    assert lines[2].startswith("heavy oil against light oil: front, dynamic sag +5.")
    assert "points, between +" in lines[2]
