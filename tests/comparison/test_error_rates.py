"""How often the verdicts are wrong: 100 days a scenario against the limits, by a rule held equal to the product's."""

import numpy as np
import pytest

from telemetry import comparison
from tests.comparison import many_days
from tests.comparison.error_rates import SAG, mixed_effects, one, rates
from tests.comparison.made_days import CONTINUOUS, ORDERS, SCENARIOS, made_days, margins, rows_of

FOCUS = frozenset([(CONTINUOUS[SAG][0].name, CONTINUOUS[SAG][1])])
DAYS_HELD_EQUAL = 6


@pytest.mark.parametrize("runs", ORDERS)
@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario.name)
def test_the_rule_for_many_days_is_the_products(scenario, runs):
    """Two writings of the contract: every verdict alike, every difference, p and interval to 8 digits."""
    days = made_days(scenario, ORDERS[runs], DAYS_HELD_EQUAL, np.random.default_rng([5, runs]), mixed_effects())
    found = many_days.judge(days)
    told = many_days.tell(found, one(SAG))
    seen, sizes = set(), margins()
    for number in range(DAYS_HELD_EQUAL):
        product = comparison.verdicts(rows_of(days, number, FOCUS), baseline="a", candidates=["b"])
        assert product.family.m == np.count_nonzero(~found.barred[number])
        for place, result in enumerate(product.results):
            changed, unchanged = told.changed[number, place], told.unchanged[number, place]
            assert result.verdict == ("changed" if changed else "unchanged" if unchanged else "undecided")
            assert result.selected == told.selected[number, place]
            assert result.p == pytest.approx(found.p[number, place], rel=1e-8)
            assert result.axis.difference * sizes[place] == pytest.approx(found.d[number, place], rel=1e-8, abs=1e-12)
            inner = (result.axis.inner_high - result.axis.difference) * sizes[place]
            assert inner == pytest.approx(found.half_width(0.10)[number, place], rel=1e-7)
            seen.add(result.verdict)
    assert seen == {"changed", "unchanged", "undecided"}


@pytest.fixture(scope="module")
def hundred():
    return list(rates(100, seed=4))


def test_every_rate_of_error_keeps_its_limit(hundred):
    """Two binomial standard deviations are allowed for luck; `tests/benchmarks/error_rates.py` has 1000 days."""
    broken = [rate for rate in hundred if not rate.holds]
    assert not broken
    assert len(hundred) == 2 * 6 * 7 + 2 * 4 + 3


def test_the_limits_have_teeth(hundred):
    """On the same days: sections as replicates, and A A A A B B B B without the drift term, are wrong far too often."""
    teeth = [rate for rate in hundred if rate.name.startswith("teeth")]
    assert len(teeth) == 3
    assert all(rate.value > rate.limit for rate in teeth)
