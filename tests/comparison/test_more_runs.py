"""How many more runs: by the design of the day as it was ridden."""

import math
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from telemetry import comparison
from tests.comparison.days import row, with_moments
from tests.statistics.by_the_library import fewest_runs, upper

SCATTER = [-0.5, -0.6, 0.1, 1.1, -0.3, -1.0, -0.7, 1.6]


def judged(order, **rules):
    """Return the answer on a day whose B lies 1 deeper, with the same scatter from run to run in any order."""
    values = [30 + (setup == "b") + noise for setup, noise in zip(order, SCATTER, strict=True)]
    found = comparison.verdicts(
        [row(order, values)], baseline="a", candidates=["b"], rules=comparison.Rules(**rules)
    ).results[0]
    design = np.column_stack([np.ones(8), [setup == "b" for setup in order], np.arange(8)])
    return found, sm.OLS(values, design).fit()


@pytest.mark.parametrize("order", ["abbabaab", "aaaabbbb", "aabbbbaa", "aaabbabb"])
def test_they_are_what_a_day_ridden_like_this_one_takes(order):
    """By the reference library's least squares on setup and place: s, and the error in those of s sqrt(2/n)."""
    found, fit = judged(order)
    s = math.sqrt(fit.mse_resid)
    times = fit.bse[1] / (s * math.sqrt(1 / 2))
    assert times == pytest.approx({"aaaabbbb": math.sqrt(63 / 15), "aaabbabb": times}.get(order, 1.0))
    assert found.verdict == "undecided"
    assert found.more_runs == max(1, fewest_runs(s * times, 2.0, 0.05) - 4)
    assert found.more_runs_upper == max(1, fewest_runs(upper(s, 5) * times, 2.0, 0.05) - 4)


def test_one_way_takes_many_more_than_rounds():
    assert judged("aaaabbbb")[0].more_runs > 2 * judged("abbabaab")[0].more_runs


def test_none_where_the_baseline_cannot_be_put_back():
    found, _ = judged("aaaabbbb", can_be_undone=False)
    assert (found.verdict, found.more_runs, found.more_runs_upper) == ("undecided", None, None)
    assert found.reason.endswith("; no more runs can settle this: the baseline can't be put back")


def made_of(s):
    """Return A B B A A B whose setups agree, with a pooled spread of exactly s."""
    a = with_moments(3, 30.0, s)
    return row("abbaab", [a[0], a[0], a[1], a[1], a[2], a[2]])


def test_an_early_look_asks_more_of_unchanged_too():
    """At 0.8 of the two tests' 0.10 the reach is t.96 + t.90 on 2n - 2, which takes more runs than "changed" does."""
    (found,) = comparison.verdicts(
        [made_of(2.3)], baseline="a", candidates=["b"], rules=comparison.Rules(planned_runs=(3,))
    ).results
    wanted = next(
        n
        for n in range(2, 40)
        if (stats.t.ppf(0.96, 2 * n - 2) + stats.t.ppf(0.90, 2 * n - 2)) * 2.3 * math.sqrt(2 / n) <= 2.0
    )
    assert wanted > fewest_runs(2.3, 2.0, 0.04)
    assert found.more_runs == wanted - 3


def test_a_second_day_costs_a_degree_of_freedom_of_further_runs():
    """Least squares on setup and day: s, its reach in those of s sqrt(2/n), and n runs on 2n - 3."""
    values, days = np.array([30.0, 31.68, 33.48, 30.12, 31.8, 30.72]), np.array([1, 1, 2, 1, 2, 2])
    made = row("abbaab", values)
    runs = [
        replace(run, run=replace(run.run, day=int(day), order_in_day=int((days[: place + 1] == day).sum())))
        for place, (run, day) in enumerate(zip(made.runs, days, strict=True))
    ]
    (found,) = comparison.verdicts([replace(made, runs=tuple(runs))], baseline="a", candidates=["b"]).results
    fit = sm.OLS(values, np.column_stack([np.ones(6), [0, 1, 1, 0, 0, 1], days == 2])).fit()
    s = math.sqrt(fit.mse_resid)
    times = fit.bse[1] / (s * math.sqrt(2 / 3))
    wanted, otherwise = (fewest_runs(s * times, 2.0, 0.05, further=nu) - 3 for nu in (-1, 0))
    assert (found.verdict, found.taken_out) == ("undecided", ("day",))
    assert wanted > otherwise
    assert found.more_runs == wanted


def test_a_spread_of_one_is_no_bar_and_none_at_all_is():
    values = [29.0, 30.0, 31.0, 30.0, 31.0, 32.0]
    (found,) = comparison.verdicts([row("abbaab", values)], baseline="a", candidates=["b"]).results
    assert found.more_runs is not None
    (still,) = comparison.verdicts([row("abba", [30, 31, 31, 30])], baseline="a", candidates=["b"]).results
    assert (still.more_runs, still.more_runs_upper) == (None, None)
