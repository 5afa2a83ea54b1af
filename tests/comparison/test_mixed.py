"""Rows weighed into one number a run."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import ttest_ind

from telemetry.comparison import mixed_difference
from telemetry.model.comparison import RunValue, UsedRun

ORDER = "abbaab"
FRONT, REAR = np.array([30.1, 32.4, 31.0, 28.8, 29.9, 33.0]), np.array([29.6, 29.0, 30.4, 31.1, 30.2, 28.3])


def rows(setup: str, order: str = ORDER) -> list[list[RunValue]]:
    places = [at for at, own in enumerate(order) if own == setup]
    return [
        [
            RunValue(
                run=UsedRun(run=f"run_{at}", setup=setup, order=at + 1), value=float(values[at]), sections=np.array([])
            )
            for at in places
        ]
        for values in (FRONT, REAR)
    ]


def test_it_is_students_difference_of_the_weighed_values() -> None:
    found = mixed_difference(rows("a"), rows("b"), [1.0, 0.8])
    assert found is not None
    both = FRONT + 0.8 * REAR
    own = np.array([setup == "b" for setup in ORDER])
    half = ttest_ind(both[own], both[~own]).confidence_interval(0.9)
    assert found.d == pytest.approx(both[own].mean() - both[~own].mean())
    assert found.half_width(0.1) == pytest.approx((half.high - half.low) / 2)


def test_a_run_that_lacks_a_row_or_an_order_that_hides_the_change_gives_none() -> None:
    lost = rows("a")
    lost[1][0] = RunValue(run=lost[1][0].run, value=None, sections=np.array([]))
    assert mixed_difference(lost, rows("b"), [1.0, 0.8]) is None
    assert mixed_difference(rows("a", "aabb"), rows("b", "aabb"), [1.0, 0.8]) is None
