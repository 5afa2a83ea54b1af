"""The figure of what a change should have done, on numbers written down by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.content.expected import expected_parts
from dashboards.figures.expected import expected_figure
from telemetry.model.prediction import Budget, Predicted, Prediction, RidesBack
from telemetry.ride_day import read_ride_day
from telemetry.telling.prediction import with_sentences

SAG = Prediction(
    measure="dynamic_sag",
    end="front",
    unit="%",
    scale="raw",
    label="Dynamic sag",
    expected=-3.0,
    low=-4.0,
    high=-2.0,
    smallest_change=2.0,
    budget=Budget(parts=0.9, unseen_ground=0.1, runs=0.3, model=0.3),
    holds_if="air pressure, front is as taken",
    axis=-1.5,
    axis_half=0.5,
    measured=0.4,
    measured_low=-0.2,
    measured_high=1.0,
    measured_axis=(0.2, 0.3),
    agreement="disagrees",
)
STILL = replace(SAG, measure="packing", label="Packing", axis=0.01, axis_half=0.1, agreement="agrees")
UNRIDDEN = replace(SAG, end="rear", measured_axis=None, measured=None, agreement=None)
DAY = """\
[ride_day]
title = "Stiffer"
date = 2026-05-16
[bike.front]
travel_mm = 170
[setups.a]
[setups.b]
label = "5.8 bar"
"""


@pytest.fixture
def predicted(tmp_path: Path) -> Predicted:
    (tmp_path / "ride_day.toml").write_text(DAY, encoding="utf-8")
    return with_sentences(
        Predicted(
            day=read_ride_day(tmp_path),
            baseline="a",
            candidate="b",
            runs=("run_1",),
            rides_back=RidesBack(holds=True, reason="", criterion=""),
            predictions=(SAG, STILL, UNRIDDEN),
        )
    )


def test_a_box_stands_for_what_is_expected_and_a_disc_for_what_was_measured(predicted: Predicted) -> None:
    figure = expected_figure(predicted)
    first, unridden = figure.rows
    assert figure.scale.reach == 2.0
    assert first.box == (0.0, 25.0)  # -2 to -1 on an axis from -2 to 2
    assert first.middle == 12.5
    assert first.at == pytest.approx(55.0)
    assert first.thin == pytest.approx((47.5, 62.5))
    assert (first.word, first.bold, first.one_is) == ("disagrees", True, "1 = 2 pt")
    assert (unridden.at, unridden.thin, unridden.word) == (None, None, "not measured")


def test_rows_that_neither_tell_nor_move_are_left_to_the_table(predicted: Predicted) -> None:
    assert [row.label for row in expected_figure(predicted).rows] == ["Front, dynamic sag", "Rear, dynamic sag"]
    parts = expected_parts(predicted, {})
    assert len(parts["tables"][0].rows) == 3  # type: ignore[index]


def test_what_disagrees_is_asked_about(predicted: Predicted) -> None:
    (line,) = expected_parts(predicted, {})["disagreeing"]  # type: ignore[misc]
    assert line.startswith(
        "Front, dynamic sag: should change by −3.0 points (90 %: −4.0 to −2.0); measured +0.4 points"
    )
    assert "the other way" in line


def test_a_model_that_does_not_hold_says_so_and_draws_nothing(predicted: Predicted) -> None:
    lost = RidesBack(holds=False, reason="the rear pushes with 120 %", criterion="")
    parts = expected_parts(replace(predicted, rides_back=lost, predictions=()), {})
    assert parts["lead"] == "The model doesn't hold for this day, and nothing is predicted: the rear pushes with 120 %."
    assert parts["figure"].rows == ()  # type: ignore[attr-defined]
    assert parts["tables"] == ()
