"""How many more runs: by the design of the day as it was ridden."""

import math

import numpy as np
import pytest
import statsmodels.api as sm

from telemetry import comparison
from tests.comparison.days import row
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
