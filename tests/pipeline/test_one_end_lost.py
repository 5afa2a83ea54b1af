"""An end with false readings leaves the other end's measures and verdicts standing."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import Analysis, RunAnalysis, usable
from telemetry.model.finding import ENDS, End, Finding
from telemetry.pipeline.valuing import FLOWN_SHARE, NO_FLIGHTS
from tests.cli.run_here import commanded
from tests.pipeline.small_days import make_day, trail, write_log

Spoil = Callable[[np.ndarray], np.ndarray]


def stuck(travel: np.ndarray) -> np.ndarray:
    return np.concatenate([travel[:3000], np.full(3000, travel[3000]), travel[6000:]])


def loose(travel: np.ndarray) -> np.ndarray:
    """A slider that slips out by a quarter of travel: far more than one sample in a hundred lies beyond."""
    return travel - 40


def scaled(travel: np.ndarray) -> np.ndarray:
    return travel * 3


def spoilt(folder: Path, run: int, end: End, spoil: Spoil, deeper_mm: float = 0.0) -> Path:
    front, rear = trail(40.0, run, deeper_mm)
    write_log(folder / f"run_{run}.csv", *((spoil(front), rear) if end == "front" else (front, spoil(rear))))
    return folder


def other(end: End) -> End:
    return ENDS[1 - ENDS.index(end)]


def analysed(folder: Path) -> Analysis:
    return telemetry.analyse(telemetry.read_ride_day(folder))


def error_of(run: RunAnalysis) -> Finding:
    return next(finding for finding in run.findings if finding.severity == "error")


@pytest.mark.parametrize(("end", "spoil"), [("rear", stuck), ("front", stuck), ("rear", loose), ("rear", scaled)])
def test_the_sound_end_is_measured_and_the_other_absent_by_its_error(tmp_path: Path, end: End, spoil: Spoil) -> None:
    sound = analysed(make_day(tmp_path, "aa", seconds=40)).runs[1]
    run = analysed(spoilt(tmp_path, 2, end, spoil)).runs[1]
    left, code = other(end), error_of(run).code
    assert error_of(run).end == end
    assert {row.end for row in run.measures} == {left, "both"}
    assert {gone.reason for gone in run.absent if gone.end == end} == {code}
    of_both = {gone.measure: gone.reason for gone in run.absent if gone.end == "both"}
    for measure in ("sag_difference", "compression_speed_ratio", "ground_speed"):
        assert of_both[measure] == code
    for row in sound.measures:
        if row.end == left:
            assert run.value(row.measure, row.end) == pytest.approx(row.value, rel=1e-3), row.measure
    assert (run.usable, run.without) == ("with care", f"without its {end}")


def test_its_run_keeps_verdicts_at_the_sound_end_and_says_which_end_is_lost(tmp_path: Path) -> None:
    deeper = {"b": 9.0}
    whole = telemetry.compare(telemetry.read_ride_day(make_day(tmp_path, "abba", deeper_mm=deeper)))
    found = telemetry.compare(telemetry.read_ride_day(spoilt(tmp_path, 2, "rear", stuck, 9.0)))
    sag = {row.end: row for row in found.verdicts.results if row.measure == "dynamic_sag"}
    before = next(row for row in whole.verdicts.results if (row.measure, row.end) == ("dynamic_sag", "front"))
    assert (sag["front"].n_baseline, sag["front"].n_candidate, sag["front"].verdict) == (2, 2, "changed")
    assert sag["front"].difference == pytest.approx(before.difference)
    assert (sag["rear"].n_baseline, sag["rear"].n_candidate, sag["rear"].verdict) == (2, 1, "undecided")
    (told,) = [item for item in found.fairness_findings if item.code == "run_not_usable"]
    assert told.message.startswith("the rear of run_2 takes no part (stuck)")
    assert found.summaries["b"].left_out == "Left out: the rear of run_2 (stuck)"


def test_ends_lost_alike_are_told_together(tmp_path: Path) -> None:
    folder = spoilt(make_day(tmp_path, "abba"), 2, "rear", stuck, 9.0)
    shutil.copy(folder / "run_2.csv", folder / "run_3.csv")
    found = telemetry.compare(telemetry.read_ride_day(folder))
    assert found.summaries["b"].left_out.startswith("Left out: the rear of run_2, run_3 (stuck")


def test_riding_time_is_judged_by_the_end_that_is_left(tmp_path: Path) -> None:
    """A loose rear that jumps about while the bike stands is no riding."""
    folder = make_day(tmp_path, "aa")
    noise = np.random.default_rng(5).normal(70, 60, 10000)
    write_log(folder / "run_2.csv", 45 + 2 * np.sin(np.arange(10000) / 130), noise)
    run = analysed(folder).runs[1]
    assert {"beyond_travel", "not_riding"} <= {item.code for item in run.findings if item.severity == "error"}
    assert (run.usable, run.measures) == ("ride again", ())


@pytest.mark.parametrize(("measured", "spoil"), [("rear", loose), ("front", scaled)])
def test_an_error_of_the_only_end_takes_the_run(tmp_path: Path, measured: End, spoil: Spoil) -> None:
    folder = spoilt(make_day(tmp_path, "aa"), 2, measured, spoil)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    first, second, last = (text.index(head) for head in ("[sensors.fork]", "[sensors.shock]", "[setups.a]"))
    gone = text[first:second] if measured == "rear" else text[second:last]
    file.write_text(text.replace(gone, ""), encoding="utf-8")
    run = analysed(folder).runs[1]
    assert (run.usable, run.without, run.measures) == ("ride again", "", ())
    assert {gone.reason for gone in run.absent} == {"beyond_travel"}


def test_a_loose_end_does_not_make_a_standing_one_stuck(tmp_path: Path) -> None:
    """The bike stands for 5 s while the rear's readings jump about: the front rests, and isn't stuck."""
    folder = make_day(tmp_path, "aa")
    front, rear = trail(40.0, 2)
    front[:1250] = front[1250]
    write_log(folder / "run_2.csv", front, rear + np.random.default_rng(5).normal(0, 60, 10000))
    run = analysed(folder).runs[1]
    assert (run.usable, run.without) == ("with care", "without its rear")
    assert "stuck" not in {finding.code for finding in run.findings}


def test_what_is_left_out_stands_beside_the_headline(tmp_path: Path) -> None:
    folder = spoilt(make_day(tmp_path / "day", "abbaab"), 2, "rear", stuck)
    lines = commanded("compare", folder).stdout.splitlines()
    assert lines[1] == "Left out: the rear of run_2 (stuck)"
    assert commanded("report", folder, "--out", tmp_path / "page.html").returncode == 0
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert re.search(r'<p class="aside">Left\s*out:\s*the\s*rear\s*of\s*run_2', page.replace("&nbsp;", " "))


def test_check_names_the_end(tmp_path: Path) -> None:
    folder = spoilt(make_day(tmp_path, "ab"), 2, "rear", stuck)
    runs = json.loads(commanded("check", folder, "--json").stdout)["runs"]
    assert [run["usable"] for run in runs] == ["good", "with care"]
    words = commanded("check", folder).stdout
    assert "run_2 (b): with care, without its rear" in words
    assert "with care: run_2 without its rear" in words


def test_an_end_whose_readings_are_false_in_part_keeps_the_other_ends_verdicts(tmp_path: Path) -> None:
    def breaking(travel: np.ndarray) -> np.ndarray:
        broken = travel.copy()
        for place in range(1000, 9000, 1000):
            broken[place : place + 15] = 0.0
        return broken

    folder = spoilt(make_day(tmp_path, "abba", deeper_mm={"b": 9.0}), 2, "rear", breaking, 9.0)
    found = telemetry.compare(telemetry.read_ride_day(folder))
    (told,) = [item for item in found.fairness_findings if item.code == "false_readings"]
    assert "no verdict at the rear" in told.message
    verdicts = {row.end: row.verdict for row in found.verdicts.results if row.measure == "dynamic_sag"}
    assert verdicts == {"front": "changed", "rear": None}


@pytest.mark.parametrize(
    ("errors", "ends", "word"),
    [
        ([], ENDS, "good"),
        (["rear"], ENDS, "with care"),
        (["front", "rear"], ENDS, "ride again"),
        (["rear"], ("rear",), "ride again"),
        ([None], ENDS, "ride again"),
        (["front", None], ENDS, "ride again"),
        (["front"], (), "ride again"),
    ],
)
def test_what_an_error_of_an_end_leaves(errors: list[End | None], ends: tuple[End, ...], word: str) -> None:
    findings = tuple(Finding(severity="error", code="stuck", message="", end=end) for end in errors)
    assert usable(findings, ends) == word


def flying(folder: Path, flight_s: float) -> Path:
    """Four runs with a flight of so many seconds in each; the rear of the second is stuck."""
    for run in range(1, 5):
        front, rear = trail(40.0, run)
        for travel in (front, rear):
            for start in (2000, 7000):
                travel[start : start + round(flight_s * 125)] = 0.5
        write_log(folder / f"run_{run}.csv", front, stuck(rear) if run == 2 else rear)
    return folder


@pytest.mark.parametrize(("flown", "told"), [(FLOWN_SHARE * 0.8, False), (FLOWN_SHARE * 1.25, True)])
def test_sag_without_flights_is_not_compared_with_sag_that_has_them(tmp_path: Path, flown: float, told: bool) -> None:
    found = telemetry.compare(telemetry.read_ride_day(flying(make_day(tmp_path, "abba"), flown * 40)))
    sag = next(row for row in found.verdicts.results if (row.measure, row.end) == ("dynamic_sag", "front"))
    depth = next(row for row in found.verdicts.results if (row.measure, row.end) == ("travel_p95", "front"))
    assert (sag.n_candidate, depth.n_candidate) == (1 if told else 2, 2)
    assert "flights can't be told" in NO_FLIGHTS
