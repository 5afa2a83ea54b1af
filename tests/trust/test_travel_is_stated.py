"""`travel_is_stated`: a front without `measured_travel_mm` is judged against what the maker says."""

from __future__ import annotations

from pathlib import Path

from tests.trust.one_run import Day, again, assert_says, codes, ridden, the_one, told, working, write_day

TRAVEL = working(40.0)
MEASURED = {"travel_mm = 160": "travel_mm = 160\nmeasured_travel_mm = 158.5"}


def test_a_note_for_the_front_alone(tmp_path: Path) -> None:
    run = ridden(tmp_path, TRAVEL, TRAVEL)
    finding = the_one(run, "travel_is_stated")
    assert (finding.severity, finding.end) == ("note", "front")
    assert_says(finding, "run_1", "front", "160 mm", "measured_travel_mm", "measure it by hand")
    assert run.usable == "good"


def test_measured_travel_ends_it(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, TRAVEL, TRAVEL, Day(changes=MEASURED)), "travel_is_stated")


def test_a_setup_that_states_travel_drops_what_was_measured(tmp_path: Path) -> None:
    day = Day(changes=MEASURED, extra="[setups.a.front]\ntravel_mm = 170")
    assert_says(the_one(ridden(tmp_path, TRAVEL, TRAVEL, day), "travel_is_stated"), "170 mm")


def test_a_rear_alone_gets_none(tmp_path: Path) -> None:
    file = write_day(tmp_path, TRAVEL, TRAVEL) / "ride_day.toml"
    text = file.read_text()
    start, stop = text.index("[sensors.fork]"), text.index("[sensors.shock]")
    file.write_text(text[:start] + text[stop:])
    assert codes(again(tmp_path)) == {"untrimmed"}
