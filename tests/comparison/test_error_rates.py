"""Simulated days with a known truth: how often the verdicts are wrong. Small here; margins allow for luck."""

import numpy as np
import pytest

from telemetry import comparison
from telemetry.model.catalogue import FAMILY
from tests.comparison.days import row

ROWS = [(spec, end) for spec in FAMILY if spec.scale != "count" for end in spec.ends]


def simulated(order, rng, *, step=0.0, changed=(), drift=0.0):
    """Return verdicts of one day: run sd 0.9 points or 4 %, sections rough enough to matter."""
    rows = []
    for spec, end in ROWS:
        sd = 0.9 if spec.scale == "raw" else 0.04
        values = sd * (rng.normal(size=len(order)) + drift * np.arange(len(order)))
        if (spec.name, end) in changed:
            values = values + step * np.array([setup == "b" for setup in order])
        on_unit = 30 + values if spec.scale == "raw" else 1000 * np.exp(values)
        rows.append(row(order, list(on_unit), measure=spec.name, end=end, seed=int(rng.integers(10**6))))
    return comparison.verdicts(rows, baseline="a", candidates=["b"]).results


@pytest.mark.parametrize(("order", "drift"), [("abbaab", 0.0), ("aabbbbaa", 0.5), ("aaaabbbb", 0.5)])
def test_days_without_a_true_change_rarely_show_one(order, drift):
    """At most 5 % of days are wrong in the long run; two binomial standard deviations are allowed for luck."""
    rng = np.random.default_rng(20)
    days = 60
    wrong = sum(any(r.verdict == "changed" for r in simulated(order, rng, drift=drift)) for _ in range(days))
    assert wrong <= 0.05 * days + 2 * np.sqrt(0.05 * 0.95 * days)


def test_a_change_of_four_points_is_found_and_a_change_at_the_margin_is_not_called_unchanged():
    rng = np.random.default_rng(21)
    days = 40
    large = {("dynamic_sag", "front")}
    found = sum(simulated("abbabaab", rng, step=4.0, changed=large)[0].verdict == "changed" for _ in range(days))
    missed = sum(simulated("abbabaab", rng, step=2.0, changed=large)[0].verdict == "unchanged" for _ in range(days))
    assert found > 0.5 * days
    assert missed <= 0.05 * days + 2 * np.sqrt(0.05 * 0.95 * days)
