"""A report that knows what the change should have done: its section, and what disagrees where it must be seen."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

import telemetry
from dashboards.content.expected import expected_parts
from dashboards.report import render_report
from telemetry.cli.on_paper import report_on_paper
from telemetry.model.prediction import Predicted, Prediction, RidesBack, Suggestion
from telemetry.pipeline import asks_what_next, report_parts, ridden_alike, unstated
from tests.bench.bench_days import written
from tests.expected_rows import expected_row
from tests.pipeline.small_days import make_day

SAID = "the rear should ride at the same height, and it rides higher, by 2.6 points"


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    return telemetry.read_ride_day(make_day(tmp_path_factory.mktemp("report") / "day", ("a", "b", "b", "a")))


def predicted_of(day: telemetry.RideDay, row: Prediction) -> Predicted:
    return Predicted(
        day=day,
        baseline="a",
        candidate="b",
        runs=("run_1",),
        rides_back=RidesBack(holds=True, reason="", criterion=""),
        predictions=(row,),
    )


def test_what_disagrees_stands_on_the_first_sheet_beside_fairness_and_in_its_section(day: telemetry.RideDay) -> None:
    row = expected_row("dynamic_sag", "rear", (0.0, 0.1), (-1.3, 0.3), agreement="disagrees")
    predicted = predicted_of(day, row)
    parts = report_parts(day)
    page = render_report(*parts, predicted=(predicted,))
    first, behind = page.split('<div class="evidence">')
    assert f"By the parts as stated, {SAID}" in first.replace("\u00a0", " ")
    assert behind.replace("\u00a0", " ").count(f"T{SAID[1:]}") == 3  # beside fairness, in its section, on its row
    assert "<p>Look first:</p>" in behind
    assert re.search(r"What should it have done\?</h2>\s*<p><strong>The rear should", behind.replace("\u00a0", " "))
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


def test_with_one_setup_ridden_the_report_says_what_to_try_next(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "a"))
    file = folder / "ride_day.toml"
    file.write_text(f'{file.read_text(encoding="utf-8")}\n[wish]\nless = "dynamic_sag:front"\n', encoding="utf-8")
    day = telemetry.read_ride_day(folder)
    assert asks_what_next(day)
    row = expected_row("dynamic_sag", "front", (-1.2, 0.3))
    change = Suggestion(
        change="air pressure, front: 5.0 → 5.3 bar",
        wished=(row,),
        kept=(),
        keeps=True,
        side_effects=(),
        runs_each=4,
        cautions=(),
    )
    predicted = Predicted(
        day=day,
        baseline="a",
        candidate=None,
        runs=("run_1",),
        rides_back=RidesBack(holds=True, reason="", criterion=""),
        predictions=(),
        try_next=(change,),
    )
    page = render_report(*report_parts(day), predicted=(predicted,)).replace("\u00a0", " ")
    assert page.count("What to try next") == 2  # the question, and its table's caption
    assert "Furthest the wished way by a single change: air pressure, front: 5.0 → 5.3 bar; front, " in page
    assert "Below it what was measured" not in page


def test_a_day_asks_what_next_by_a_wish_or_another_setup_while_one_was_ridden(day: telemetry.RideDay) -> None:
    one = replace(day, runs=tuple(run for run in day.runs if run.setup == "a"))
    assert asks_what_next(one)
    assert not asks_what_next(day)
    assert not asks_what_next(replace(one, setups={"a": day.setups["a"]}))


def test_the_first_sheet_of_a_day_of_parts_alone_says_what_they_do_and_what_is_stated(tmp_path: Path) -> None:
    page = render_report(*report_parts(telemetry.read_ride_day(written(tmp_path))))
    first, behind = page.replace("\u00a0", " ").split('<div class="evidence">')
    assert "<h2>What do the parts do?</h2>" in first
    assert "of the front's travel, as it rides" in first.replace("&#39;", "'")
    assert "8 ml" in first[first.index("<table") :]
    assert "<h2>What do the parts do?</h2>" in behind
    assert "Can the logs be trusted?" not in behind


def test_what_to_try_next_stands_once_however_many_candidates(day: telemetry.RideDay) -> None:
    row = expected_row("dynamic_sag", "front", (-1.2, 0.3))
    step = Suggestion(
        change="a step", wished=(row,), kept=(), keeps=True, side_effects=(), runs_each=4, cautions=("mind it",)
    )
    own = replace(predicted_of(day, row), try_next=(step,))
    parts = expected_parts((own, replace(own, try_next=None), replace(own, try_next=None)), None, {})
    assert [part.tried is not None for part in parts] == [False, False, True]
    assert [part.cautions for part in parts] == [(), (), ("A step: mind it.",)]
