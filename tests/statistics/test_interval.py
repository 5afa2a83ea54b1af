"""Intervals as what they are: two ends, a level, another inside."""

import math

import pytest

from telemetry.model.interval import Ends, Interval, about


def between(low, high, level=0.05, inner=None):
    return Interval(low=low, high=high, level=level, inner=inner)


def test_about_a_middle_with_its_half_width():
    inner = about(3.0, 1.0, 0.10)
    assert about(3.0, 2.0, 0.01, inner) == between(1.0, 5.0, 0.01, between(2.0, 4.0, 0.10))
    assert about(3.0, None, 0.01) is None


def test_mapped_with_its_inner_one_and_without_an_end_that_is_beyond_numbers():
    found = between(-1.0, 2.0, inner=between(0.0, 1.0, 0.10)).map(math.exp)
    assert found == between(math.exp(-1), math.exp(2), inner=between(1.0, math.e, 0.10))
    cut = between(-1.0, 2.0).map(lambda end: None if end > 0 else end)
    assert (cut.low, cut.high, cut.level, cut.inner) == (-1.0, None, 0.05, None)
    assert cut.map(math.exp) == between(math.exp(-1), None)


@pytest.mark.parametrize(
    ("low", "high", "within", "reaches"),
    [
        (-1.9, 1.9, True, True),
        (-2.0, 1.9, False, True),
        (-1.9, 2.0, False, True),
        (1.9, 3.0, False, True),
        (2.0, 3.0, False, False),
        (-3.0, -1.9, False, True),
        (-3.0, -2.0, False, False),
        (None, 1.0, False, True),
        (1.0, None, False, True),
        (2.0, None, False, False),
        (None, -2.0, False, False),
    ],
)
def test_within_a_limit_or_reaching_within(low, high, within, reaches):
    found = between(low, high)
    assert (found.within(2.0), found.reaches_within(2.0)) == (within, reaches)


def test_ends_by_name_are_none_where_there_is_no_interval():
    class Something(Ends):
        def __init__(self, interval):
            self.interval = interval

    def ends(interval):
        it = Something(interval)
        return it.low, it.high, it.inner_low, it.inner_high

    assert ends(None) == (None,) * 4
    assert ends(between(1.0, 4.0)) == (1.0, 4.0, None, None)
    assert ends(between(1.0, 4.0, inner=between(2.0, 3.0))) == (1.0, 4.0, 2.0, 3.0)
