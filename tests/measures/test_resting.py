"""Sag and friction from recordings off the trail, on arrays."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.measures.resting import friction_band_mm, resting_travel_mm, static_sag_pct
from tests.measures.bare_rides import bare_end, bare_ride
from tests.thresholds import threshold

REST_S = threshold("measures.resting.REST_S")


def test_sag_is_the_median_of_the_recording_in_per_cent() -> None:
    assert static_sag_pct(bare_end("front", np.array([30.0, 50.0, 100.0]), full_mm=125.0)) == 40.0


@pytest.mark.parametrize("rate_hz", [10.0, 1.0])
def test_an_end_rests_at_the_median_of_the_last_second_its_first_sample_included(rate_hz: float) -> None:
    travel = np.arange(40.0) ** 2
    end = bare_end("rear", travel)
    last = travel[-round(REST_S * rate_hz) - 1 :]
    assert resting_travel_mm(bare_ride(end, rate_hz=rate_hz), end) == np.median(last)


def test_the_friction_band_is_the_difference_of_both_means() -> None:
    assert friction_band_mm([50.0, 53.0, 62.0], [40.0, 41.0, 48.0]) == pytest.approx(12.0)
    assert friction_band_mm([40.0], [43.0]) == -3.0
