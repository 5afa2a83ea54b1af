"""One simulated ride down a natural trail, measured by potentiometers, and by its inertial sensors alone."""

from __future__ import annotations

import re

import pytest

import telemetry
from telemetry.measures import find_motion
from telemetry.measures.view import RunMotion
from telemetry.simulation.day_made import make_day
from telemetry.simulation.natural_ride import natural_scenario


@pytest.fixture(scope="module")
def motions(tmp_path_factory: pytest.TempPathFactory) -> tuple[RunMotion, RunMotion]:
    """The same run with all sensors, and with acceleration alone; neither has its bounds stated."""
    folder = tmp_path_factory.mktemp("natural") / "day"
    make_day(natural_scenario(3, {"trail": {"natural": {"length_m": 120}}}), folder)
    file = folder / "ride_day.toml"
    text = re.sub(r"(?m)^(start|end)_s = .*\n", "", file.read_text(encoding="utf-8"))
    found = []
    for tables in (text, re.sub(r"(?ms)^\[sensors\.(fork|shock)\]\n.*?(?=^\[)", "", text)):
        file.write_text(tables, encoding="utf-8")
        found.append(find_motion(telemetry.load_ride(telemetry.read_ride_day(folder), "run_1")))
    return found[0], found[1]


def test_pushes_mark_the_same_start_and_end(motions: tuple[RunMotion, RunMotion]) -> None:
    measured, felt = (motion.ride for motion in motions)
    assert not felt.ends
    assert (felt.start_from, felt.end_from) == (measured.start_from, measured.end_from) == ("pushes", "pushes")
    assert felt.start_s == pytest.approx(measured.start_s, abs=0.06)
    assert felt.end_s == pytest.approx(measured.end_s, abs=0.06)


def test_as_much_is_ridden_and_flown(motions: tuple[RunMotion, RunMotion]) -> None:
    measured, felt = (motion.time for motion in motions)
    assert felt.riding_s == pytest.approx(measured.riding_s, abs=0.15)
    assert len(felt.flights) == len(measured.flights)
