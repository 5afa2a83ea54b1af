"""What the pages draw of inertial sensors is what the measures tell."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry import measures
from telemetry.measures.fixed_rate import reached_ten_a_minute
from telemetry.measures.inertial.control import acceleration_10_per_min
from telemetry.measures.inertial.curves import inertial_picture, spectrum_of
from telemetry.measures.inertial.view import inertial_view
from telemetry.model.curves import ShakenCurves
from tests.measures.inertial.test_run_measures import both, run_of


def test_a_spectrum_has_a_gap_where_a_band_between_has_no_value():
    found = spectrum_of({"1": 0.9, "1.6": 0.7, "2": 0.6})
    assert found.frequency_hz == pytest.approx([1.0, 10**0.1, 10**0.2, 10**0.3])
    assert found.value == pytest.approx([0.9, np.nan, 0.7, 0.6], nan_ok=True)


def test_the_drawn_peaks_give_the_measure_at_ten_a_minute():
    run = run_of(*both("front"))
    drawn = inertial_picture(run)
    assert set(drawn.shaken) == {("front", "wheel"), ("front", "chassis")}
    assert set(drawn.passed_on) == {"front"}
    for on in ("wheel", "chassis"):
        own = drawn.shaken["front", on]
        told = acceleration_10_per_min(inertial_view(run, "front"), on)
        assert reached_ten_a_minute(own.peaks_m_s2, own.minutes, "peaks") == pytest.approx(told)


def test_an_end_without_inertial_sensors_has_nothing_drawn_of_it():
    drawn = inertial_picture(run_of(*both("rear")))
    assert {end for end, _ in drawn.shaken} == set(drawn.passed_on) == {"rear"}


@pytest.mark.parametrize(("per_min", "reached"), [(0.5, 9.0), (1.0, 7.0), (5.0, 2.0)])
def test_the_peak_that_comes_so_often_is_that_rank_and_the_last_where_there_are_fewer(per_min: float, reached: float):
    curves = ShakenCurves(peaks_m_s2=np.array([2.0, 9.0, 7.0]), minutes=2.0)
    assert measures.reached_often(curves, per_min) == reached


def test_without_a_peak_none_is_reached():
    assert measures.reached_often(ShakenCurves(peaks_m_s2=np.empty(0), minutes=2.0), 0.5) == 0.0
