"""A report that knows what the change should have done: its section, and what disagrees where it must be seen."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

import telemetry
from dashboards.report import render_report
from telemetry.cli.on_paper import report_on_paper
from telemetry.model.prediction import Predicted, RidesBack
from telemetry.pipeline import report_parts, ridden_alike, unstated
from tests.expected_rows import expected_row
from tests.pipeline.small_days import make_day

SAID = "the rear should ride at the same height, and it rides higher, by 2.6 points"


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    return telemetry.read_ride_day(make_day(tmp_path_factory.mktemp("report") / "day", ("a", "b", "b", "a")))


def test_what_disagrees_stands_on_the_first_sheet_beside_fairness_and_in_its_section(day: telemetry.RideDay) -> None:
    row = expected_row("dynamic_sag", "rear", (0.0, 0.1), (-1.3, 0.3), agreement="disagrees")
    predicted = Predicted(
        day=day,
        baseline="a",
        candidate="b",
        runs=("run_1",),
        rides_back=RidesBack(holds=True, reason="", criterion=""),
        predictions=(row,),
    )
    parts = report_parts(day)
    page = render_report(*parts, predicted=(predicted,))
    first, behind = page.split('<div class="evidence">')
    assert f"By the parts as stated, {SAID}" in first.replace("\u00a0", " ")
    assert behind.replace("\u00a0", " ").count(f"T{SAID[1:]}") == 3  # beside fairness, in its section, on its row
    assert "<p>Look first:</p>" in behind
    assert '<rect class="hollow"' in behind
    assert "What should it have done?" not in render_report(*parts)


def test_what_a_day_must_state_is_told_an_end_a_line(day: telemetry.RideDay) -> None:
    gone = unstated(day, "a", "b")
    assert [item.what for item in gone] == ["the front", "the rear"]
    sample = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    assert unstated(sample, "oil_20", "oil_8") == ()


def test_a_report_rides_nothing_on_paper_where_nothing_that_differs_is_ridden() -> None:
    sample = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    assert ridden_alike(sample, "oil_20", "oil_8") == ""
    as_front = replace(sample.setups["oil_8"], front=sample.setups["oil_20"].front)
    alike = replace(sample, setups=MappingProxyType({**sample.setups, "oil_8": as_front}))
    assert "differ in nothing" in ridden_alike(alike, "oil_20", "oil_8")
    analysis, comparison = report_parts(alike)[:2]
    assert report_on_paper(analysis, comparison, asked=None) == ()
