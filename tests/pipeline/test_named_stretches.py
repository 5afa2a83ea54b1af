"""Named stretches of trail through the whole program: runs of unlike pace, a change that is only there, late naming."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.cli.checks import checked
from telemetry.model.analysis import Comparison
from telemetry.model.comparison import Result
from telemetry.model.day import Mark
from telemetry.pipeline import Selection, Study, analysis_of, look, study
from telemetry.pipeline.placing import places
from telemetry.pipeline.planning import runs_of
from telemetry.telling.cleaning import cleaning
from tests.cli.run_here import commanded
from tests.pipeline.small_days import FRONT_MM, RATE_HZ, make_day, trail, write_log

SECONDS = 60.0
FROM_S, TO_S = 20.0, 28.0
DEEPER_MM = 8.0
SETUPS = ("a", "b", "b", "a", "a", "b")
SAG = "dynamic_sag@braking bumps"
NAMED = f'[comparison]\nfocus = ["{SAG}:front"]\nnamed_at = 2026-05-16T0{{hour}}:00:00\n'
STRETCH = f'[[stretches]]\nname = "braking bumps"\nrun = "run_1"\nstart_s = {FROM_S:g}\nend_s = {TO_S:g}\n'


def at_own_pace(number: int, deeper_mm: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return a run's travels, deeper in the stretch only, and the place of each sample as seconds of the first run."""
    front, stroke = trail(SECONDS, number)
    at_s = np.arange(front.size) / RATE_HZ
    front = np.clip(front + deeper_mm * ((at_s >= FROM_S) & (at_s < TO_S)), 0.5, 159)
    if number == 1:
        return front, stroke, at_s
    ahead, longer = np.random.default_rng(number).uniform(-1, 1, 2)
    share = np.linspace(0, 1, round(front.size * (1 + 0.05 * longer)))
    place_s = SECONDS * (share + 0.02 * ahead * np.sin(np.pi * share))
    return np.interp(place_s, at_s, front), np.interp(place_s, at_s, stroke), place_s


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = make_day(tmp_path_factory.mktemp("bumps"), SETUPS, seconds=1.0, extra=STRETCH + NAMED.format(hour=8))
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for number, setup in enumerate(SETUPS, 1):
        write_log(folder / f"run_{number}.csv", *at_own_pace(number, DEEPER_MM * (setup == "b"))[:2])
        log = f'log = "run_{number}.csv"'
        text = text.replace(log, f"{log}\nstarted_at = 2026-05-16T0{number + 3}:30:00")
    file.write_text(text.replace("T08:00", "T04:00"), encoding="utf-8")
    return folder


def changed(day: Path, old: str, new: str) -> telemetry.RideDay:
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    try:
        file.write_text(text.replace(old, new), encoding="utf-8")
        return telemetry.read_ride_day(file)
    finally:
        file.write_text(text, encoding="utf-8")


def row_of(found: Comparison, measure: str) -> Result:
    (row,) = (row for row in found.verdicts.results if (row.measure, row.end) == (measure, "front"))
    return row


@pytest.fixture(scope="module")
def done(day: Path) -> Study:
    return study(telemetry.read_ride_day(day))


@pytest.fixture(scope="module")
def analysis(done: Study) -> telemetry.Analysis:
    return analysis_of(done)


def test_a_change_that_is_only_there_is_found_there(done: Study) -> None:
    seen = look(done, Selection())
    assert seen is not None
    found = seen.comparison
    assert found is not None
    there, everywhere = row_of(found, SAG), row_of(found, "dynamic_sag")
    assert (there.verdict, there.focus) == ("changed", True)
    assert there.difference == pytest.approx(100 * DEEPER_MM / FRONT_MM, abs=1.0)
    assert everywhere.verdict != "changed"
    assert "no trail section" not in there.reason
    assert SAG in json.dumps(found.to_dict())
    assert any("braking bumps: 20.0 to 28.0 s, as marked" in line for line in cleaning(found.conditioning))


def test_runs_of_unlike_pace_have_it_in_its_place(analysis: telemetry.Analysis) -> None:
    """What was ridden there is known in closed form: the sag of the level it was ridden at, deeper by so much."""
    for number, run in enumerate(analysis.runs, 1):
        front, _, place_s = at_own_pace(number, DEEPER_MM * (SETUPS[number - 1] == "b"))
        inside = (place_s >= FROM_S) & (place_s < TO_S)
        assert run.value(SAG, "front") == pytest.approx(100 * front[inside].mean() / FRONT_MM, abs=0.5)
        assert run.value("riding_time@braking bumps", "both") == pytest.approx(inside.sum() / RATE_HZ, abs=0.6)
        (step,) = (step.words for step in run.history if step.stage == "stretches")
        assert ("as marked" in step) is (number == 1)
        assert ("carried over from run_1 by travel, known to 0.5 s" in step) is (number > 1)


def test_a_plan_counts_with_the_minutes_of_the_stretch(analysis: telemetry.Analysis) -> None:
    """A rate there times the whole run's minutes would promise eight times the events."""
    found = runs_of(analysis, "hits_per_min@braking bumps", "front")
    assert len(found.values) == len(SETUPS)
    assert max(found.minutes) < 10 / 60
    assert min(runs_of(analysis, "hits_per_min", "front").minutes) > 50 / 60


@pytest.mark.parametrize(
    ("named_at", "why"),
    [(dt.datetime(2026, 5, 16, 12), "named after riding began"), (None, "named_at isn't stated")],
)
def test_a_stretch_named_after_riding_gets_numbers_and_no_verdict(
    done: Study, named_at: dt.datetime | None, why: str
) -> None:
    late = replace(done.day, comparison=replace(done.day.comparison, named_at=named_at))
    found = look(replace(done, day=late), Selection())
    assert found is not None
    assert found.comparison is not None
    row = row_of(found.comparison, SAG)
    assert row.verdict is None
    assert why in row.reason
    assert row.difference is not None
    assert row.difference > 3


def test_a_stretch_that_no_run_places_yet_is_told_and_absent(day: Path) -> None:
    before = changed(day, STRETCH, '[[stretches]]\nname = "braking bumps"\n')
    row = row_of(telemetry.compare(before), SAG)
    assert (row.difference, row.verdict) == (None, "undecided")
    assert "no run says yet where it lies" in row.reason
    found = telemetry.analyse(before)
    assert "Not placed yet: braking bumps" in str(checked(found)["unplaced"])
    absent = {(item.measure, item.reason) for item in found.runs[0].absent}
    assert ("riding_time@braking bumps", "no run says yet where it lies") in absent
    planned = telemetry.plan(before)
    assert any("Not placed yet: braking bumps" in line for line in planned.advice)


def test_a_comparison_says_that_its_stretch_lies_nowhere_yet(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a", "b"), seconds=10.0, extra='[[stretches]]\nname = "roots"\n')
    assert "Not placed yet: roots" in commanded("compare", folder).stdout


def test_a_stretch_outside_of_what_was_ridden_is_a_finding(day: Path) -> None:
    found = telemetry.analyse(changed(day, "end_s = 28", "end_s = 90"))
    (told,) = (item for item in found.runs[0].findings if item.code == "stretch_not_placed")
    assert "stated from 20 to 90 s, and the run goes from 0.0 to 60.0 s" in told.message
    assert "marked only in run_1, which can't be used" not in told.message


def test_presses_place_a_stretch_only_where_both_runs_have_as_many(done: Study) -> None:
    """A press in each run beside the stretch makes its place surer; with one missing the rest are other places."""
    pressed = [
        Mark(run=run, at_s=at_s, name=f"button {number}", marker="button")
        for run in ("run_1", "run_2")
        for number, at_s in enumerate((18.0, 30.0), 1)
    ]
    motions = {run.entry.name: run.moved for run in done.runs[:2]}
    for marks, by in ((pressed, "by riding time, known to 0.3 s"), (pressed[1:], "by travel, known to 0.5 s")):
        marked = replace(done.day, marks=tuple(marks))
        (step,) = places(marked, motions, frozenset(motions))["run_2"].steps
        assert step.words.endswith(by)
