"""Figures of inertial sensors on their own numbers."""

from __future__ import annotations

import numpy as np
import pytest
from bokeh.models.annotations import BoxAnnotation

from dashboards.content.panels import traces_of
from dashboards.figures.by_frequency import PASSED_ON, by_frequency
from dashboards.figures.lap_trace import felt_run, whole_run
from dashboards.figures.movement import time_moved
from dashboards.figures.peaks_harder import peaks_harder
from dashboards.theme import setup_styles
from telemetry.model.curves import Flight, InertialPicture, MovedCurves, RunPicture, Spectrum
from tests.dashboards.test_figures import sources

STYLES = setup_styles(["a", "b"], {"a": "as it came", "b": "softer"})


def test_peaks_are_drawn_as_a_band_of_runs_and_told_at_round_accelerations():
    grid = np.linspace(0.0, 100.0, 101)
    rates = {"a": [100.0 - grid, 200.0 - 2 * grid], "b": [50.0 - 0.5 * grid]}
    drawn = peaks_harder(rates, grid, STYLES, "rear", "wheel")
    band = next(iter(sources(drawn.plot))).data
    assert band["mean"][20] == pytest.approx(1.5 * 80)
    assert (band["least"][20], band["most"][20]) == (80, 160)
    assert drawn.numbers.rows[0] == ("harder than 20 m/s²", "120.0 a minute", "40.0 a minute")
    assert drawn.title == "wheel"
    assert "Rear, wheel" in drawn.alternative


def test_ends_by_frequency_share_their_axes_and_gaps_stay_gaps():
    front = Spectrum(frequency_hz=np.array([1.0, 10.0]), value=np.array([1.0, 0.1]))
    gap = Spectrum(frequency_hz=np.array([1.0, 2.0, 10.0]), value=np.array([2.0, np.nan, 0.4]))
    rear, forward = by_frequency(PASSED_ON, {"rear": {"a": [gap]}, "front": {"a": [front, gap]}}, STYLES)
    assert rear.plot.y_range.start == forward.plot.y_range.start == pytest.approx(0.1 / 1.3)
    assert rear.plot.x_range.end == forward.plot.x_range.end == pytest.approx(11.0)
    band = next(iter(sources(forward.plot))).data
    assert band["mean"] == pytest.approx([1.5, np.nan, 0.25], nan_ok=True)
    assert [row[0] for row in rear.numbers.rows] == ["1 Hz", "10 Hz"]  # nothing is told where no run tells anything
    assert forward.numbers.rows[1] == ("10 Hz", "0.25")


def test_nothing_by_frequency_and_no_movement_draw_nothing():
    assert by_frequency(PASSED_ON, {}, STYLES) == ()
    assert time_moved({}, STYLES) == ()


def test_movement_is_drawn_as_far_as_it_is_seen():
    edges = np.arange(-200.0, 202.5, 5.0)
    middle = (edges[1:] + edges[:-1]) / 2
    share = np.where(np.abs(middle) < 30, 100 / 12, 0.0)
    (drawn,) = time_moved({"front": {"a": [MovedCurves(edges_mm=edges, share_pct=share)]}}, STYLES)
    assert drawn.plot.x_range.end == pytest.approx(32.5)
    assert drawn.numbers.rows[0] == ("within 10 mm", "33 %")


def test_what_the_chassis_felt_is_drawn_in_g_on_one_axis_with_flights_shaded():
    felt = {"rear": np.array([-1.0, 3.0]), "front": np.array([0.0, 1.0])}
    picture = RunPicture(
        run="run_1",
        setup="a",
        order=1,
        riding_s=60.0,
        ends={},
        deep_hits=(),
        flights=(Flight(start_s=3.0, end_s=3.4),),
        worst_bursts={},
        overview_s=np.array([0.0, 1.0]),
        overview_pct={},
        inertial=InertialPicture(upward_g=felt),
    )
    rear, front = traces_of(picture, STYLES["a"], whole_run, felt_run)
    assert (rear.place, front.place) == ("rear", "front")
    assert next(iter(sources(rear.plot))).data["y"] == pytest.approx([-1.0, 3.0])
    assert rear.plot.y_range.start == front.plot.y_range.start <= -1.0
    assert rear.plot.y_range.end == front.plot.y_range.end >= 3.0
    (flown,) = rear.plot.select(BoxAnnotation)
    assert (flown.left, flown.right) == (3.0, 3.4)
    assert "−1.0 to 3.0 g" in rear.alternative
