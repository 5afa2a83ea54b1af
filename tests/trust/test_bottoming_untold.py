"""`bottoming_untold`: so deep, short of the line, that what isn't known of zero and full travel decides."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.comparison.fairness.recording import bottoming_untold as between_setups
from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.model.day import EndSetup
from telemetry.model.motion import RidingTime
from telemetry.telling.untold import in_place_of_zero
from telemetry.trust.whole_run import bottoming_untold
from tests.comparison.conditions_made import conditions
from tests.measures.bare_rides import bare_end
from tests.thresholds import threshold
from tests.trust.one_run import FRONT_FULL_MM, Day, assert_says, ridden, the_one, told, working, write_day, write_log

LIFTED = '[[static]]\nlog = "lifted.csv"\nkind = "lifted"\n'
MEASURED = {"travel_mm = 160": f"travel_mm = 160\nmeasured_travel_mm = {FRONT_FULL_MM:g}"}
STATED, UNLIFTED = threshold("conditioning.end.STATED_SHARE"), threshold("conditioning.end.UNLIFTED_SHARE")
LINE_MM = bottoming_line_mm(FRONT_FULL_MM, None)
REAR = working(40.0)


def deep(short_of_line_mm: float) -> np.ndarray:
    """Return a working fork whose one deepest hit stands so far short of the line."""
    travel, hit = working(40.0), np.sin(np.pi * np.arange(60) / 60)
    travel[5000:5060] = np.maximum(travel[5000:5060], (LINE_MM - short_of_line_mm) * hit)
    return travel


@pytest.mark.parametrize(
    ("day", "unsure_mm"),
    [
        (Day(), (STATED + UNLIFTED) * FRONT_FULL_MM),
        (Day(changes=MEASURED), UNLIFTED * FRONT_FULL_MM),
        (Day(extra=LIFTED), STATED * FRONT_FULL_MM),
        (Day(changes=MEASURED, extra=LIFTED), 0.0),
    ],
    ids=["stated, unlifted", "measured, unlifted", "stated, lifted", "measured, lifted"],
)
def test_how_near_is_too_near_hangs_on_what_was_measured(tmp_path: Path, day: Day, unsure_mm: float) -> None:
    short = working(4.0)
    write_log(tmp_path / "lifted.csv", np.zeros(1500), np.zeros(1500))
    ride = telemetry.load_ride(telemetry.read_ride_day(write_day(tmp_path, short, short, day)), "run_1")
    assert ride.front.unsure_mm == pytest.approx(unsure_mm)
    assert ride.rear.unsure_mm == pytest.approx(0.0 if day.extra else UNLIFTED * ride.rear.full_travel_mm)


def test_the_line_and_what_is_not_known_bound_it_on_the_very_number() -> None:
    time = RidingTime(
        riding=np.ones(3, dtype=bool), airborne=None, standing=(), lifted=(), flights=(), why_no_flight="", rate_hz=1.0
    )
    setup = EndSetup(end="front", full_travel_mm=FRONT_FULL_MM, full_travel_from="travel_mm")
    for deepest_mm, is_told in (
        (LINE_MM - 5.0, True),
        (np.nextafter(LINE_MM - 5.0, 0.0), False),
        (np.nextafter(LINE_MM, 0.0), True),
        (LINE_MM, False),
    ):
        signal = bare_end("front", np.array([10.0, deepest_mm, 20.0]), full_mm=FRONT_FULL_MM)
        assert bool(bottoming_untold("run_1", replace(signal, unsure_mm=5.0), time, setup)) == is_told


def test_it_names_figures_and_remedy_and_stands_in_place_of_a_count_of_nothing(tmp_path: Path) -> None:
    run = ridden(tmp_path, deep(2.0), REAR)
    finding = the_one(run, "bottoming_untold")
    assert (finding.severity, finding.end) == ("note", "front")
    assert_says(finding, "run_1", "5.2 mm short of the stated travel", "160 mm", "8.0 mm only", "measure full travel")
    assert in_place_of_zero(run, "bottom_outs", "front", 0.0) == "can't be told"
    assert in_place_of_zero(run, "bottom_outs", "rear", 0.0) == ""
    assert in_place_of_zero(run, "bottom_outs", "front", 1.0) == ""
    assert in_place_of_zero(run, "deep_hits_per_min", "front", 0.0) == ""


def test_a_bottom_out_that_counts_is_told_as_such(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, deep(-1.0), REAR), "bottoming_untold")


def test_a_comparison_names_the_runs() -> None:
    made = conditions()
    assert between_setups(made) == ()
    runs = tuple(replace(run, bottoming_untold=("front",) if run.setup == "a" else ()) for run in made.runs)
    (finding,) = between_setups(replace(made, runs=runs))
    assert "front" in finding.message
    assert all((run.run in finding.message) == (run.setup == "a") for run in runs)
