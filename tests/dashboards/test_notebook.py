"""Figures by name: those of the pages, of what was asked for, on the paper of a theme."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from bokeh.document import Document
from bokeh.models import ColumnDataSource
from bokeh.models.annotations import Legend

import dashboards
import telemetry
from dashboards.content.panels import travel_panels
from dashboards.content.styles import styles_of
from dashboards.report import render_report
from dashboards.theme import DARK, LIGHT
from telemetry.model.analysis import Analysis, Comparison
from telemetry.pipeline import report_parts, shown_of
from tests.dashboards.test_words_in_figures import FORMULAS, words_of
from tests.pipeline.small_days import make_day

OF_TRAVEL = ("travel", "depth", "speed", "speed_time", "both_ends", "trail", "average_hit", "lap", "close_ups")
OF_SETUPS = ("in_order", "visible")
OF_OTHERS = ("sag", "chassis_peaks", "passed_on", "spring", "forces_seen")


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    labels = {"a": FORMULAS[0], "b": FORMULAS[1]}
    folder = make_day(tmp_path_factory.mktemp("day"), "abba", deeper_mm={"b": 2.0}, labels=labels, seconds=30.0)
    return telemetry.read_ride_day(folder)


@pytest.fixture(scope="module")
def analysis(day: telemetry.RideDay) -> Analysis:
    return telemetry.analyse(day)


@pytest.fixture(scope="module")
def comparison(day: telemetry.RideDay) -> Comparison:
    return telemetry.compare(day)


def lines(shown: Any) -> list[np.ndarray]:
    """Return every column of numbers that is drawn, in no order."""
    sources = shown.select({"type": ColumnDataSource})
    found = [np.asarray(values) for source in sources for values in source.data.values()]
    return sorted((values for values in found if values.size > 2), key=lambda values: values.tobytes())


def documented(shown: Any) -> Document:
    document = Document()
    document.add_root(shown)
    return document


@pytest.mark.parametrize("name", [*OF_TRAVEL, *OF_SETUPS])
def test_each_is_drawn_and_whole(name: str, analysis: Analysis) -> None:
    documented(dashboards.figure(name, analysis)).validate()


@pytest.mark.parametrize("name", ["travel", "trail", "lap"])
def test_an_analysis_and_a_comparison_of_all_its_runs_show_the_same(
    name: str, analysis: Analysis, comparison: Comparison
) -> None:
    for one, other in zip(*(lines(dashboards.figure(name, answer)) for answer in (analysis, comparison)), strict=True):
        np.testing.assert_array_equal(one, other)


@pytest.mark.parametrize("name", OF_OTHERS)
def test_what_the_day_doesnt_tell_is_said(name: str, comparison: Comparison) -> None:
    with pytest.raises(telemetry.CallError, match=f"found nothing that figure '{name}' shows; expected sensors"):
        dashboards.figure(name, comparison)


def test_it_is_the_pages_own(comparison: Comparison) -> None:
    done, seen = shown_of(comparison)
    styles = styles_of(comparison.day, seen, "a")
    assert done.day.title == comparison.day.title
    for plot, panel in zip(
        dashboards.figure("travel", comparison).children, travel_panels(seen.pictures, styles)[0], strict=True
    ):
        own = lines(plot)
        assert len(own) == 8  # grid, least, mean and most of two setups
        for one, other in zip(own, lines(panel.plot), strict=True):
            np.testing.assert_array_equal(one, other)


def test_the_verdict_figure_is_the_pages_own(comparison: Comparison) -> None:
    shown = dashboards.figure("verdicts", comparison, theme="dark")
    page = render_report(*report_parts(comparison.day))
    lines = re.findall(r'<div class="figure-of.*?</div>|<line class="th.*?/>', shown.text, re.DOTALL)
    assert len(lines) > 20
    assert all(line in page for line in lines)
    assert "In the grey band a difference is too small to matter" in shown.text
    assert f"--paper:{DARK['paper']}" in shown.stylesheets[0]
    assert shown.disable_math  # labels are named like formulas


def test_only_what_was_compared_is_drawn(day: telemetry.RideDay) -> None:
    shown = dashboards.figure("trail", telemetry.compare(day, runs=["run_1", "run_2"]))
    named = {source.name for source in shown.select({"type": ColumnDataSource})}
    assert {"run_1", "run_2"} <= named
    assert not {"run_3", "run_4"} & named


def test_the_run_that_is_asked_for_is_drawn(analysis: Analysis) -> None:
    first, last = (lines(dashboards.figure("lap", analysis, run=run)) for run in ("run_1", None))
    assert any(one.shape != other.shape or (one != other).any() for one, other in zip(first, last, strict=False))
    with pytest.raises(telemetry.CallError, match="found no run 'run_9' that is shown; expected one of run_1, run_2"):
        dashboards.figure("lap", analysis, run="run_9")


@pytest.mark.parametrize("name", ["travel", "trail", "lap"])
def test_nothing_of_the_light_paper_is_left_on_the_dark(name: str, comparison: Comparison) -> None:
    for theme, own, other in (("light", LIGHT, DARK), ("dark", DARK, LIGHT)):
        drawn = dashboards.figure(name, comparison, theme=theme)  # type: ignore[arg-type]
        colours = set(re.findall(r"#[0-9a-fA-F]{6}\b", str(Document.to_json(documented(drawn)))))
        found = {colour.lower() for colour in colours}
        assert own["paper"].lower() in found
        assert own["setup-1"].lower() in found
        assert not found & {colour.lower() for colour in other.values()}


@pytest.mark.parametrize("name", ["trail", "close_ups"])
def test_no_name_from_a_file_becomes_a_formula(name: str, comparison: Comparison) -> None:
    shown = dashboards.figure(name, comparison)
    assert {type(words).__name__ for model in shown.references() for _, words in words_of(model)} == {"PlainText"}
    keys = [item.label.value for legend in shown.select({"type": Legend}) for item in legend.items]
    assert ("$ $x^2$ $" in keys) == (name != "close_ups")
    assert not any("$$" in key for key in keys)


def test_what_there_isnt_is_answered_with_what_there_is(comparison: Comparison) -> None:
    with pytest.raises(
        telemetry.CallError, match=r"figure 'travl'; expected one of travel, depth, speed, .*, forces_seen, verdicts"
    ):
        dashboards.figure("travl", comparison)
    with pytest.raises(telemetry.CallError, match="theme 'sepia'; expected one of light, dark"):
        dashboards.figure("travel", comparison, theme="sepia")  # type: ignore[arg-type]
    with pytest.raises(telemetry.CallError, match="found a RideDay; expected an analysis or a comp"):
        dashboards.figure("travel", comparison.day)  # type: ignore[arg-type]
