"""A simulated day with chassis sensors: its stated parts beside the maps of its own runs, right and wrong."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

import telemetry
from telemetry.model.finding import ENDS, End
from telemetry.model.parts_checked import CheckedEnd
from telemetry.pipeline.paper_maps import checked_ends
from telemetry.pipeline.paper_rides import PaperRun
from telemetry.pipeline.paper_trials import Trying
from telemetry.pipeline.studied import Study
from telemetry.pipeline.studying import study
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


def checked(done: Study, wrong: Mapping[tuple[End, str], float], without: str | None = None) -> dict[End, CheckedEnd]:
    """Return each end's check, figures of the baseline stated by a factor otherwise, or at the rear left out."""
    tables: dict[str, Any] = tomllib.loads(done.day.path.read_text(encoding="utf-8"))
    for (end, key), factor in wrong.items():
        own = tables["setups"]["own"][end]
        own[key] = [[v, factor * n] for v, n in own[key]] if key == "damper_points" else factor * own[key]
    if without is not None:
        for own in tables["setups"].values():
            del own["rear"][without], own["rear"]["plus_minus"][without]
    day = day_of(done.day.path, toml_text(tables).encode())
    runs = tuple(
        PaperRun(day=day, run=run, kept=(), ends=ENDS, rows=()) for run in done.runs if run.entry.setup == "own"
    )
    trying = Trying(day=day, baseline=day.setups["own"], candidates=(), ends=ENDS, runs=runs)
    return {one.end: checked_in_words(one) for one in checked_ends(trying)}


def test_parts_rightly_stated_fit_their_maps(done: Study) -> None:
    found = checked(done, {})
    for end in ENDS:
        assert {force.part for force in found[end].forces} == {"spring", "damper"}
        assert all(force.fits for force in found[end].forces)
        assert found[end].runs == ("run_1",)
        assert all("fits the parts stated" in words for words in found[end].sentences)


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


def test_a_damper_that_nobody_measured_is_not_checked(done: Study) -> None:
    found = checked(done, {}, without="damper_points")["rear"]
    assert not found.of("damper")
    assert found.of("spring")
    assert found.sentences[-1] == (
        "Rear: not checked against the trail's force map; its damper isn't stated as measured: `damper_points`."
    )
