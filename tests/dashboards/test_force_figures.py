"""Figures of spring and damper on their own numbers."""

from __future__ import annotations

import numpy as np
import pytest

from dashboards.figures.forces import cells_ridden, damper_curves, reach_of, spring_curves
from dashboards.theme import setup_styles
from telemetry.model.force import ForceCells, ForceCurve, ForceMap
from tests.dashboards.test_figures import sources

STYLES = setup_styles(["a", "b"], {"a": "as it came", "b": "softer"})


def curve(at: list[float], per_kg: list[float]) -> ForceCurve:
    middle = np.array(per_kg)
    return ForceCurve(at=np.array(at), per_kg=middle, low=middle - 1, high=middle + 1)


def force_map(spring: list[float], damper: list[float]) -> ForceMap:
    cells = ForceCells(
        travel_edges_mm=np.array([0.0, 50.0, 100.0]),
        speed_edges_m_s=np.array([-1.0, 0.0, 1.0]),
        seconds=np.array([[3.0, 0.0], [0.5, 0.5]]),
        counted=np.array([[True, False], [True, False]]),
    )
    return ForceMap(
        end="front",
        full_travel_mm=200.0,
        spring=curve([20.0, 100.0, 180.0], spring),
        damper=curve([-1.0, 0.0, 1.0], damper),
        speed_of="shaft",
        friction=0.5,
        friction_low=0.3,
        friction_high=0.7,
        lag_ms=0.0,
        rider=None,
        cells=cells,
        minutes=4.0,
        explained=0.9,
        limits=(),
    )


MAPS = {"a": [force_map([4, 10, 20], [-30, 0, 20]), force_map([4, 12, 20], [-30, 0, 24])]}


def test_a_spring_is_drawn_over_the_depths_that_were_ridden_with_how_far_the_runs_bands_reach():
    drawn = spring_curves(MAPS, STYLES, "front", reach_of(MAPS))
    band = next(iter(sources(drawn.plot))).data
    depth = band["x"]
    assert np.isnan(band["mean"][depth < 9.9]).all()
    assert np.isnan(band["mean"][depth > 90.1]).all()
    middle = int(np.argmin(np.abs(depth - 50)))
    assert (band["least"][middle], band["mean"][middle], band["most"][middle]) == pytest.approx((9, 11, 13))
    assert [row[0] for row in drawn.numbers.rows] == ["10 % deep", "30 % deep", "50 % deep", "70 % deep", "90 % deep"]
    assert drawn.numbers.rows[2][1] == "11.0 N/kg"


def test_a_damper_is_drawn_with_compression_to_the_right_and_says_where_its_speed_is():
    drawn = damper_curves(MAPS, STYLES, "front", reach_of(MAPS))
    band = next(iter(sources(drawn.plot))).data
    assert np.nanmin(band["mean"][band["x"] > 0.5]) > 0 > np.nanmax(band["mean"][band["x"] < -0.5])
    assert "shaft speed" in drawn.plot.xaxis[0].axis_label.text
    assert drawn.numbers.rows[0] == ("1.0 m/s compression", "22.0 N/kg")


def test_cells_that_count_are_filled_and_the_share_of_riding_in_them_is_told():
    drawn = cells_ridden(MAPS["a"][0], reach_of(MAPS))
    assert "88 %" in drawn.alternative  # 3.5 of 4 s
    assert drawn.numbers.rows == (("counted", "2"), ("ridden", "3"))
