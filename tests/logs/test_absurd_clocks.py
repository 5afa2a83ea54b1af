"""Clocks that no logger has: refused, or the rows left out that show them; just inside the limits all is read."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.errors import LogError
from telemetry.logs.stamps import FURTHEST_STAMP_S, LONGEST_RUN_S, MOST_FAR_SHARE, Stamps, number_stamps
from telemetry.logs.table import LARGEST_READING, LARGEST_STAMP, Wanted

ROWS = 1000


def stamps(seconds: np.ndarray) -> Stamps:
    return number_stamps(seconds, "t", "s", "log.csv, column 't'")


def run(*, step_s: float = 0.002, start_s: float = 0.0) -> np.ndarray:
    return start_s + step_s * np.arange(ROWS, dtype=float)


class TestLongestRun:
    def test_the_whole_clock(self) -> None:
        """As of a clock in ns or us that is stated in s."""
        longest = run(step_s=LONGEST_RUN_S / (ROWS - 1) * (1 - 1e-9))
        assert np.isfinite(stamps(longest).seconds).all()
        with pytest.raises(LogError, match=r"column 't': found a clock that runs over 1e\+03 years; expected the time"):
            stamps(10 * longest)

    def test_one_row(self) -> None:
        """From the middle stamp: a clock that is set meanwhile jumps by the years since 1970."""
        seconds = run()
        middle = float(np.median(seconds))
        for sign in (1, -1):
            seconds[3] = middle + sign * LONGEST_RUN_S * (1 - 1e-9)
            assert np.isfinite(stamps(seconds).seconds).all()
            seconds[3] = middle + sign * LONGEST_RUN_S * (1 + 1e-3)
            found = stamps(seconds).seconds
            assert np.flatnonzero(~np.isfinite(found)).tolist() == [3]
            np.testing.assert_allclose(np.delete(found, 3), np.delete(run(), 3), atol=1e-12)

    @pytest.mark.parametrize("far", [1e10, 4294967296.0, 1e13, 1e15, LARGEST_STAMP, -1e10])
    def test_as_many_rows_as_may_be_far_off(self, far: float) -> None:
        seconds, most = run(), round(MOST_FAR_SHARE * ROWS)
        seconds[-most:] = far
        found = stamps(seconds).seconds
        assert np.count_nonzero(~np.isfinite(found)) == most
        seconds[-most - 1 :] = far
        with pytest.raises(LogError, match=r"found a clock that runs over .* years; expected the time of a ride"):
            stamps(seconds)


class TestFurthestStamp:
    def test_a_clock_that_starts_late(self) -> None:
        """Steps of a second: there a double tells no shorter ones."""
        last = run(step_s=1.0, start_s=FURTHEST_STAMP_S - ROWS)
        assert np.diff(stamps(last).seconds).tolist() == [1.0] * (ROWS - 1)
        with pytest.raises(LogError, match=r"found a clock that shows 3\.17e\+04 years; expected the time of a ride"):
            stamps(last + ROWS)

    @pytest.mark.parametrize("unit", ["s", "ms", "us", "ns", "min", "days"])
    def test_in_every_unit(self, unit: str) -> None:
        with pytest.raises(LogError, match=r"found a clock that shows .* years"):
            number_stamps(np.full(ROWS, LARGEST_STAMP) * 1e3 + np.arange(ROWS), "t", unit, "log.csv")


def test_numbers_beyond_are_no_readings_of_a_sensor_but_may_be_a_clocks() -> None:
    wanted = Wanted(numbers=(0, 1), clock=0)
    assert (wanted.largest(0), wanted.largest(1)) == (LARGEST_STAMP, LARGEST_READING)
