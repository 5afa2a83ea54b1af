"""`zero_unchecked`: parts were opened or changed at an end and no lifted recording follows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import RunAnalysis
from telemetry.trust import zero_unchecked
from tests.trust.one_run import Day, assert_says, ridden, the_one, told, working, write_day, write_log

TRAVEL = working(40.0)
OPENED = {
    "front": (
        "volume_spacers = 2",
        "lower_leg_oil_each_ml = 8",
        "lower_leg_volume_each_ml = 120",
        "lower_leg_crossover = true",
        "lower_leg_closed_at_mm = 40",
        "spring_rate_n_mm = 9",
        "oil_level_mm = 110",
        'valving = "softer"',
        "damper_oil_cst_40c = 14",
        "measured_travel_mm = 158",
        "travel_mm = 150",
        "offset_mm = 44",
        "parts_opened_on = 2026-05-16",
    ),
    "rear": ("stroke_mm = 62.5", "ratio = 2.6", "spring_rate_n_mm = 80", 'valving = "softer"'),
}
CLOSED = (
    "air_pressure_bar = 6.1",
    "preload_mm = 3",
    "tyre_pressure_bar = 1.6",
    "rebound = { clicks_from_closed = 9, of = 18 }",
    'lever = "firm"',
    "reservoir_pressure_bar = 12",
)


def days_runs(folder: Path, setups: str, b: str, static: str = "", head: str = "") -> list[list[str]]:
    """Return the ends told `zero_unchecked`, run by run; setup b holds those lines, runs are ridden in that order.

    The rule needs the day alone, so no log is cleaned.
    """
    runs = "".join(f'[[runs]]\nlog = "run_1.csv"\nname = "{n}"\nsetup = "{s}"\n' for n, s in enumerate(setups[1:], 2))
    day = Day(
        extra=f"{runs}\n[setups.b]\nbased_on = 'a'\n{b}\n{static}", changes={"[bike.rear]": f"{head}\n[bike.rear]"}
    )
    write_day(folder, np.zeros(0), np.zeros(0), day)
    write_log(folder / "lifted.csv", np.zeros(0), np.zeros(0))
    read = telemetry.read_ride_day(folder)
    return [[finding.end or "" for finding in zero_unchecked(read, run)] for run in read.runs]


def lifted(before: str, setup: str = "b") -> str:
    return f'[[static]]\nlog = "lifted.csv"\nkind = "lifted"\nsetup = "{setup}"\nbefore_run = "{before}"\n'


@pytest.mark.parametrize(("end", "line"), [(end, line) for end, lines in OPENED.items() for line in lines])
def test_what_takes_opening_is_told_at_that_end(tmp_path: Path, end: str, line: str) -> None:
    assert days_runs(tmp_path, "ab", f"[setups.b.{end}]\n{line}") == [[], [end]]


@pytest.mark.parametrize("line", CLOSED)
def test_what_is_set_from_outside_is_not(tmp_path: Path, line: str) -> None:
    assert days_runs(tmp_path, "ab", f"[setups.b.front]\n{line}") == [[], []]


OIL = "[setups.b.front]\nlower_leg_oil_each_ml = 8"


class TestLiftedRecordings:
    """One after the change, before the run, ends it."""

    def test_before_the_run_it_was_changed_for(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "abb", OIL, lifted("2")) == [[], [], []]

    def test_before_a_later_run(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "abbb", OIL, lifted("3")) == [[], ["front"], [], []]

    def test_before_the_change_it_does_not_help(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "ab", OIL, lifted("run_1", "a")) == [[], ["front"]]

    def test_going_back_opens_it_again(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "abba", OIL, lifted("2")) == [[], [], [], ["front"]]
        assert days_runs(tmp_path, "abba", OIL, lifted("2") + lifted("4", "a")) == [[], [], [], []]

    def test_every_later_run_is_told_until_then(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "abbb", OIL) == [[], ["front"], ["front"], ["front"]]

    def test_other_recordings_do_not_help(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "ab", OIL, lifted("2").replace('"lifted"', '"still"')) == [[], ["front"]]


class TestAnotherSensor:
    """A setup that replaces a sensor's keys needs its own lifted recording."""

    FORK = "[setups.b.sensors.fork]\npoints = [[90, 0.0], [3290, 160.0]]"

    def test_without_one(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "ab", self.FORK) == [[], ["front"]]

    def test_with_its_own(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "ab", self.FORK, lifted("2")) == [[], []]

    def test_with_the_other_sensors(self, tmp_path: Path) -> None:
        assert days_runs(tmp_path, "ab", self.FORK, lifted("run_1", "a")) == [[], ["front"]]


class TestOpenedOn:
    """The first run's setup can say that parts were opened that very day."""

    @pytest.mark.parametrize(("date", "expected"), [("2026-05-16", ["front"]), ("2026-05-15", [])])
    def test_on_the_day_or_before(self, tmp_path: Path, date: str, expected: list[str]) -> None:
        line = f"parts_opened_on = {date}"
        assert days_runs(tmp_path, "aa", "", head=line) == [expected, expected]

    def test_a_lifted_recording_before_the_first_run_ends_it(self, tmp_path: Path) -> None:
        line = "parts_opened_on = 2026-05-16"
        assert days_runs(tmp_path, "aa", "", lifted("run_1", "a"), head=line) == [[], []]


def test_what_it_says(tmp_path: Path) -> None:
    run = opened_run(tmp_path, "")
    finding = the_one(run, "zero_unchecked")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert_says(finding, "changed", "front", "before changed", "lower-leg oil", "lift both wheels for 5 s")
    assert run.usable == "with care"
    assert run.measures


def test_a_run_with_its_lifted_recording_is_good(tmp_path: Path) -> None:
    assert not told(opened_run(tmp_path, lifted("changed")), "zero_unchecked")


def test_an_end_without_a_sensor_is_not_judged(tmp_path: Path) -> None:
    run = ridden(tmp_path / "plain", TRAVEL, TRAVEL)
    assert not told(run, "zero_unchecked")
    file = write_day(tmp_path, TRAVEL, TRAVEL) / "ride_day.toml"
    text = file.read_text()
    start, stop = text.index("[sensors.fork]"), text.index("[sensors.shock]")
    more = f'\n{OIL}\n[[runs]]\nlog = "run_1.csv"\nname = "changed"\nsetup = "b"\n'
    file.write_text(text[:start] + text[stop:] + more)
    assert not told(telemetry.analyse(telemetry.read_ride_day(tmp_path)).runs[1], "zero_unchecked")


def opened_run(folder: Path, static: str) -> RunAnalysis:
    """Return the second run of a day, before which the lower legs were opened, from real logs."""
    run = '\n[[runs]]\nlog = "run_2.csv"\nname = "changed"\nsetup = "b"\n'
    write_day(folder, TRAVEL, TRAVEL, Day(extra=f"{run}\n{OIL}\n{static}"))
    write_log(folder / "run_2.csv", TRAVEL, TRAVEL)
    write_log(folder / "lifted.csv", np.zeros(1250), np.zeros(1250))
    return telemetry.analyse(telemetry.read_ride_day(folder)).runs[1]
