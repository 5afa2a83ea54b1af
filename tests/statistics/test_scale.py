"""Smallest changes and differences on their scales: by hand."""

import math

import pytest

from telemetry.model.catalogue import SPECS
from telemetry.model.day import SmallestChange
from telemetry.statistics.scale import Measuring, in_shown_unit, margin, shown_unit_of


def change(amount, form):
    return SmallestChange(amount=amount, form=form, entered="")


def test_the_smallest_change_on_each_scale():
    assert margin(change(2.0, "points"), "raw", 500.0) == 2.0
    assert margin(change(8.0, "percent"), "log", 500.0) == pytest.approx(math.log(1.08), rel=1e-12)
    assert margin(change(25.0, "unit"), "log", 500.0) == pytest.approx(math.log(525 / 500), rel=1e-12)
    assert margin(change(1.5, "factor"), "count", 500.0) == pytest.approx(math.log(1.5), rel=1e-12)


def test_back_in_the_measures_unit_and_in_percent():
    assert Measuring(scale="raw", centre=500.0).back(2.0) == 2.0
    for scale in ("log", "count"):
        measuring = Measuring(scale=scale, centre=500.0)
        assert measuring.back(math.log(1.2)) == pytest.approx(100.0)
        assert measuring.percent(math.log(1.2)) == pytest.approx(20.0)


def test_beyond_all_numbers_there_is_none():
    measuring = Measuring(scale="log", centre=1e300)
    assert measuring.back(800.0) is None
    assert measuring.back(300.0) is None  # the power is a number, its product isn't
    assert measuring.back(1.0) == pytest.approx(1.718281828459045e300)
    assert in_shown_unit(800.0, "log") == math.inf


def test_people_read_points_millimetres_or_per_cent():
    names = ("dynamic_sag", "packing", "rebound_speed_p95", "bottom_outs_per_min")
    assert [shown_unit_of(SPECS[name]) for name in names] == ["points", "mm a hit", "%", "%"]
    assert in_shown_unit(0.4, "raw") == 0.4
    assert in_shown_unit(math.log(1.2), "log") == pytest.approx(20.0)
    assert in_shown_unit(math.log(1.2), "count") == pytest.approx(20.0)
