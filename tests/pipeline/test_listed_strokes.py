"""Hits and returns as frames: every one that the measures count, and none else."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import telemetry
from telemetry.model.analysis import Analysis
from telemetry.model.finding import ENDS
from tests.pipeline.small_days import make_day, trail, write_log

MARKS = "".join(
    f'[[marks]]\nrun = "run_{run}"\nat_s = {at_s}\nname = "{name}"\n'
    for run in (1, 2, 3)
    for at_s, name in ((5.0, "gate"), (15.0, "drop"), (30.0, "bridge"))
)
STRETCH = '[[stretches]]\nname = "roots"\nrun = "run_1"\nstart_s = 20.0\nend_s = 28.0\n'


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    """Return a day whose front bottoms in run 2, whose rear is stuck in run 3, and that isn't ridden in run 4."""
    folder = make_day(tmp_path_factory.mktemp("day"), "abab", deeper_mm={"b": 80.0}, extra=MARKS + STRETCH)
    for run in (3, 4):
        front, rear = trail(40.0, run)
        rear[3000:6000] = rear[3000]
        front, rear = (front, rear) if run == 3 else (0 * front + 40, 0 * rear + 15)
        write_log(folder / f"run_{run}.csv", front, rear)
    return telemetry.read_ride_day(folder)


@pytest.fixture(scope="module")
def analysis(day: telemetry.RideDay) -> Analysis:
    return telemetry.analyse(day)


def tenth_a_minute(values: pd.Series, minutes: float) -> float:
    """Return what ten a minute reach, as the handbook says it: between ranks by ``numpy.interp``."""
    ordered = np.sort(values)[::-1]
    return float(np.interp(10 * minutes, np.arange(1, len(ordered) + 1), ordered))


HITS: dict[str, Callable[[pd.DataFrame, float], float]] = {
    "hits_per_min": lambda hits, minutes: len(hits) / minutes,
    "hit_depth_10_per_min": lambda hits, minutes: tenth_a_minute(hits.depth_percent, minutes),
    "hit_depth_p95": lambda hits, _: hits.depth_percent.quantile(0.95),
    "deep_hits_per_min": lambda hits, minutes: (hits.depth_percent > 80).sum() / minutes,
    "bottom_outs": lambda hits, _: hits.bottomed.sum(),
    "hit_length_p50": lambda hits, _: hits.length_mm.median(),
    "hit_length_p95": lambda hits, _: hits.length_mm.quantile(0.95),
    "compression_speed_p95": lambda hits, _: hits.peak_wheel_mm_s.quantile(0.95),
    "compression_speed_10_per_min": lambda hits, minutes: tenth_a_minute(hits.peak_wheel_mm_s, minutes),
    "shaft_compression_speed_p95": lambda hits, _: hits.peak_shaft_mm_s.quantile(0.95),
}
RETURNS: dict[str, Callable[[pd.DataFrame, float], float]] = {
    "rebound_speed_p50": lambda returns, _: returns.peak_wheel_mm_s.median(),
    "rebound_speed_10_per_min": lambda returns, minutes: tenth_a_minute(returns.peak_wheel_mm_s, minutes),
    "shaft_rebound_speed_p95": lambda returns, _: returns.peak_shaft_mm_s.quantile(0.95),
}


def test_measures_can_be_worked_out_of_the_frames(analysis: Analysis) -> None:
    tried = 0
    for frame, measures in ((analysis.hits(), HITS), (analysis.returns(), RETURNS)):
        for (run, end), own in frame.groupby(["run", "end"]):
            answer = next(one for one in analysis.runs if one.entry.name == run)
            riding_s = answer.value("riding_time", "both")
            assert riding_s is not None
            for measure, worked_out in measures.items():
                assert worked_out(own, riding_s / 60) == pytest.approx(answer.value(measure, str(end)), rel=1e-12)
                tried += 1
    assert tried == 5 * (len(HITS) + len(RETURNS))  # two runs of two ends, one of one
    assert analysis.hits().bottomed.sum() > 5


def test_measures_within_a_named_stretch_can_too(analysis: Analysis) -> None:
    hits = analysis.hits()
    roots = hits[(hits.place == "roots") & (hits.from_place_s == 0)]
    for run in analysis.runs[:2]:
        riding_s = run.value("riding_time@roots", "both")
        assert riding_s is not None
        for end in ENDS:
            own = roots[(roots.run == run.entry.name) & (roots.end == end)]
            assert len(own) > 3
            assert len(own) / (riding_s / 60) == pytest.approx(run.value("hits_per_min@roots", end), rel=1e-12)


def test_places_and_sections_are_those_of_marks_and_stretches(analysis: Analysis) -> None:
    hits = analysis.hits()
    own = hits[hits.run == "run_1"]
    between = pd.cut(own.start_s, [-1, 5, 15, 30, 99], right=False, labels=[0, 1, 2, 0], ordered=False)
    assert (own.section.fillna(0) == between.astype(int)).all()
    assert own.section.isna().any()
    away = pd.DataFrame({"gate": own.start_s - 5, "drop": own.start_s - 15, "bridge": own.start_s - 30})
    away["roots"] = (own.start_s - 28).clip(lower=0) + (own.start_s - 20).clip(upper=0)
    assert own.from_place_s.abs().to_numpy() == pytest.approx(away.abs().min(axis=1).to_numpy(), abs=0.01)
    assert (own.place == away.abs().idxmin(axis=1)).mean() > 0.98  # two as far are either


def test_a_hit_and_the_return_after_it_meet_where_it_is_deepest(analysis: Analysis) -> None:
    hits, returns = analysis.hits(), analysis.returns()
    assert (hits.start_s + hits.duration_s).to_numpy() == pytest.approx(hits.time_s.to_numpy(), abs=1e-9)
    assert (returns.start_s == returns.time_s).all()
    both = hits.merge(returns, on=["run", "end", "time_s"])
    assert len(both) > 0.5 * len(hits)
    assert (both.depth_mm_x == both.depth_mm_y).all()
    assert (both.bottomed_x == both.bottomed_y).all()
    assert (hits.to_mm == hits.depth_mm).all()
    assert (returns.from_mm == returns.depth_mm).all()
    assert (returns.to_mm < returns.from_mm).all()


def test_a_ride_lists_what_the_day_lists_of_it(day: telemetry.RideDay, analysis: Analysis) -> None:
    for name, ends in (("run_1", []), ("run_3", ["run_3, rear"])):
        ride = telemetry.load_ride(day, name)
        for own, every in ((ride.hits(), analysis.hits()), (ride.returns(), analysis.returns())):
            wanted = every[every.run == name].drop(columns=["run", "setup"]).reset_index(drop=True)
            pd.testing.assert_frame_equal(own, wanted)
            assert list(own.attrs["absent"]) == ends
    assert set(analysis.hits().attrs["absent"]) == {"run_3, rear", "run_4"}


def test_a_run_that_cant_be_measured_says_why(day: telemetry.RideDay) -> None:
    ride = telemetry.load_ride(day, "run_4")
    with pytest.raises(telemetry.CallError, match=r"run_4\.csv: found .*; expected a run that can be measured"):
        ride.hits()
    with pytest.raises(ValueError, match="run_4 isn't a ride of a ride day's"):
        replace(ride, strokes=None).returns()


def test_the_handbook_says_what_each_column_is(analysis: Analysis) -> None:
    text = (Path(__file__).parents[2] / "docs" / "export.md").read_text(encoding="utf-8")
    section = text.partition("## Hits and returns")[2].partition("\n## ")[0]
    told = [name for row in re.findall(r"^\| (`.*?) \|", section, re.MULTILINE) for name in re.findall(r"`(\w+)`", row)]
    assert told == list(analysis.hits().columns)[2:]  # after run and setup


def test_a_day_without_any_hit_gives_the_same_columns(day: telemetry.RideDay, analysis: Analysis) -> None:
    only = telemetry.analyse(replace(day, runs=day.runs[3:], marks=(), stretches=()))
    assert list(only.hits().columns) == list(analysis.hits().columns)
    assert len(only.hits()) == len(only.returns()) == 0
    assert (only.hits().dtypes == analysis.hits().dtypes).drop(["run", "setup", "end", "place"]).all()
