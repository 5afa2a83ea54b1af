"""A simulated day with chassis sensors: its stated parts beside the maps of its own runs, right and wrong."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

import telemetry
from telemetry.bench.paper.idle import idle
from telemetry.bench.stated import stated_of
from telemetry.model.finding import ENDS, End
from telemetry.model.parts_checked import CheckedEnd
from telemetry.pipeline.expecting import ridden_alike, unstated
from telemetry.pipeline.paper_differences import NONE_RIDDEN, nothing_to_ride
from telemetry.pipeline.paper_maps import (
    PLACES_TO_RIDE_BY,
    by_contradicting_maps,
    by_maps,
    checked_ends,
    with_rides,
)
from telemetry.pipeline.paper_rides import PaperRun
from telemetry.pipeline.paper_trials import Trying
from telemetry.pipeline.predicting import predicted
from telemetry.pipeline.studied import Selection, Study
from telemetry.pipeline.studying import study
from telemetry.ride_day import setup_differences
from telemetry.ride_day.read import day_of
from telemetry.simulation.toml_text import toml_text
from telemetry.telling.parts_checked import checked_in_words
from tests.benchmarks.predicted_days import CHANGES, stated_day

SENSORS = ("fork", "shock", "chassis_imu", "rear_chassis_imu")
PRESSURE = replace(next(change for change in CHANGES if change.name == "pressure"), sensors=SENSORS)


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder = tmp_path_factory.mktemp("checked") / "day"
    stated_day(folder, 3, PRESSURE, runs=1, trail={"length_m": 620.0, "speed_m_s": 8.5})
    return study(telemetry.read_ride_day(folder))


def restated(
    done: Study, wrong: Mapping[tuple[End, str], float], without: tuple[tuple[End, str], ...] = ()
) -> telemetry.RideDay:
    """Return the day, figures of the baseline stated by a factor otherwise, or of all setups left out."""
    tables: dict[str, Any] = tomllib.loads(done.day.path.read_text(encoding="utf-8"))
    for (end, key), factor in wrong.items():
        own = tables["setups"]["own"][end]
        own[key] = [[v, factor * n] for v, n in own[key]] if key == "damper_points" else factor * own[key]
    for end, key in without:
        for setup in tables["setups"].values():
            del setup[end][key], setup[end]["plus_minus"][key]
    return day_of(done.day.path, toml_text(tables).encode())


def trying_of(done: Study, day: telemetry.RideDay) -> Trying:
    """Return the baseline of a day to be ridden."""
    runs = tuple(
        PaperRun(day=day, run=run, kept=(), ends=ENDS, rows=()) for run in done.runs if run.entry.setup == "own"
    )
    stated = {end: stated_of(day, day.setups["own"], end) for end in ENDS}
    shown = by_maps(stated, [own.run for own in runs], runs)
    return Trying(day=day, baseline=day.setups["own"], candidates=(), ends=ENDS, runs=runs, shown=shown)


def checked(
    done: Study, wrong: Mapping[tuple[End, str], float], without: tuple[tuple[End, str], ...] = ()
) -> dict[End, CheckedEnd]:
    """Return each end's check, with what rides by its map."""
    trying = trying_of(done, restated(done, wrong, without))
    checks = checked_ends(trying)
    shown = by_contradicting_maps(trying, checks).shown
    return {one.end: checked_in_words(one) for one in with_rides(checks, shown)}


def test_parts_rightly_stated_fit_their_maps(done: Study) -> None:
    found = checked(done, {})
    for end in ENDS:
        assert {force.part for force in found[end].forces} == {"spring", "damper"}
        assert all(force.fits for force in found[end].forces)
        assert found[end].runs == ("run_1",)
        assert all("fits the parts stated" in words for words in found[end].sentences)
        assert found[end].rides_by_map == ()


@pytest.mark.parametrize(
    ("end", "key", "factor", "told"),
    [
        ("rear", "spring_rate_n_mm", 1.2, "Rear, spring: the trail shows {} % less force"),
        ("rear", "spring_rate_n_mm", 0.8, "Rear, spring: the trail shows {} % more force"),
        ("front", "air_pressure_bar", 0.75, "Front, spring: the trail shows {} % more force"),
        ("front", "damper_points", 2.0, "Front, damper: the trail shows {} % less force"),
        ("rear", "damper_points", 0.5, "Rear, damper: the trail shows {} % more force"),
    ],
)
def test_what_is_wrongly_stated_parts_from_its_map_and_nothing_else_does(
    done: Study, end: End, key: str, factor: float, told: str
) -> None:
    found = checked(done, {(end, key): factor})
    wrong = "damper" if key == "damper_points" else "spring"
    assert {(one.end, force.part) for one in found.values() for force in one.forces if not force.fits} == {(end, wrong)}
    (said,) = (words for one in found.values() for words in one.sentences if "than the parts stated" in words)
    assert re.match(told.replace("{}", r"\d+"), said)
    assert said.endswith("what was written down?")
    clear = [force.fits for force in found[end].forces].count(False) >= PLACES_TO_RIDE_BY
    assert found[end].rides_by_map == ((wrong,) if clear else ())
    ridden = f"{end.capitalize()}, {wrong}: ridden on paper as the trail's force map shows it, not as stated;"
    assert any(words.startswith(ridden) for words in found[end].sentences) == clear
    assert any("may be chance, it is ridden on paper as stated" in words for words in found[end].sentences) == (
        not clear
    )
    assert clear or wrong == "spring"


def test_a_damper_that_nobody_measured_rides_by_its_map(done: Study) -> None:
    found = checked(done, {}, without=(("rear", "damper_points"),))["rear"]
    assert not found.of("damper")
    assert found.of("spring")
    assert found.rides_by_map == ("damper",)
    assert found.sentences[-1] == (
        "Rear, damper: ridden on paper as the trail's force map shows it, for its forces aren't stated; of "
        "another setup with what is stated to differ."
    )
    springs = checked_in_words(replace(found, rides_by_map=("spring",))).sentences
    assert [words.partition(":")[0] for words in springs] == ["Rear, spring"] * 2  # before anything of the damper
    both = checked_in_words(replace(found, rides_by_map=("spring", "damper"))).sentences
    assert [words.partition(":")[0] for words in both] == ["Rear, spring", "Rear, spring", "Rear, damper"]


def test_an_end_without_a_stated_spring_is_ridden_by_its_map(done: Study) -> None:
    day = restated(done, {}, without=(("rear", "spring_rate_n_mm"), ("rear", "preload_mm")))
    found = predicted(replace(done, day=day), Selection(), part_draws=2)
    assert found.rides_back.holds
    assert [one.rides_by_map for one in found.parts_checked] == [(), ("spring",)]
    assert {row.end for row in found.predictions} >= {"front", "rear"}
    assert any("how steep a force map shows the spring, rear" in item.what for item in found.assumed)
    assert not any(item.what == "springs of the rear" for item in found.absent)
    assert found.to_dict()["parts_checked"][1]["rides_by_map"] == ["spring"]  # type: ignore[index]


def test_a_map_of_a_run_that_is_not_ridden_itself_is_ridden_by_all_the_same(done: Study) -> None:
    trying = trying_of(done, restated(done, {}, without=(("rear", "spring_rate_n_mm"), ("rear", "preload_mm"))))
    bare = [
        replace(own, run=replace(own.run, motion=replace(own.run.moved, ride=replace(own.run.moved.ride, inertial={}))))
        for own in trying.runs
    ]
    found = by_contradicting_maps(replace(trying, runs=tuple(bare)), ())
    assert {end: own.parts for end, own in found.shown.items()} == {"rear": frozenset({"spring"})}


def test_what_a_map_may_show_need_not_be_stated(done: Study) -> None:
    without: tuple[tuple[End, str], ...] = (("front", "air_volume_ml"), ("rear", "spring_rate_n_mm"))
    day = restated(done, {}, without=without)
    assert unstated(day, "own", "other") == ()
    assert ridden_alike(day, "own", "other") == ""
    front = restated(done, {}, without=without[:1])  # its candidate's pressure: by a map alone it can't be told
    assert ridden_alike(front, "own", "other") == ""


def test_where_no_end_is_ridden_nothing_that_differs_is(done: Study) -> None:
    day = done.day
    setups = (day.setups["own"], day.setups["other"])
    differences = setup_differences(*setups)
    assert idle(day, setups, (), differences) == frozenset()
    assert nothing_to_ride(differences, ()) == NONE_RIDDEN


def test_a_change_that_cannot_be_told_beside_a_map_is_said_and_nothing_is_predicted(done: Study) -> None:
    day = restated(done, {}, without=(("front", "air_volume_ml"),))
    found = predicted(replace(done, day=day), Selection(), part_draws=2)
    assert found.predictions == ()
    assert found.unpredicted
    (said,) = (item for item in found.absent if "pressure" in item.what)
    assert "air_volume_ml" in said.reason
