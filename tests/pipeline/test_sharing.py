"""By what compared runs are cut into sections: marks, else distance, else travel where asked, else riding time."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.errors import CallError, RideDayError
from telemetry.measures import RunMotion
from telemetry.model.day import ComparisonSettings, Mark, RideDay
from telemetry.model.ride import GroundSpeed
from telemetry.pipeline.sharing import Sharing, sections_of, share
from tests.measures.made_laps import lap, made_trail
from tests.pipeline.small_days import make_day

NAMES = ("run_1", "run_2", "run_3")
TRAVEL = ComparisonSettings(align="travel")


@cache
def laps(*trails: int) -> dict[str, RunMotion]:
    """Return a lap each of these trails, named run_1, run_2, ..."""
    return {f"run_{place}": lap(made_trail(trail, 300.0), place).motion for place, trail in enumerate(trails, 1)}


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> RideDay:
    folder = make_day(tmp_path_factory.mktemp("day"), ["a", "b", "a"], seconds=10.0)
    return telemetry.read_ride_day(folder)


def marked(day: RideDay, **marks: dict[str, float]) -> RideDay:
    found = [Mark(run=run, at_s=at_s, name=name) for run, own in marks.items() for name, at_s in own.items()]
    return replace(day, marks=tuple(found))


def with_speed(motions: dict[str, RunMotion], *metres: float) -> dict[str, RunMotion]:
    """Return the runs with a ground speed that rises from start to end; as many runs as there are distances, m."""
    found = dict(motions)
    for (name, motion), length in zip(motions.items(), metres, strict=False):
        count = motion.ride.time_s.shape[0]
        speed = GroundSpeed(
            speed_m_s=np.linspace(0.5, 1.5, count) * length / motion.time.riding_s, source="ground_speed"
        )
        found[name] = replace(motion, ride=replace(motion.ride, ground_speed=speed))
    return found


def codes(sharing: Sharing) -> list[str]:
    return [note.code for note in sharing.notes]


class TestRidingTime:
    """What holds without anything else."""

    def test_equal_shares(self, day: RideDay) -> None:
        found = share(day, laps(0, 0, 0))
        count = min(20, int(min(motion.time.riding_s for motion in laps(0, 0, 0).values()) / 5))
        assert found.words == f"{count} equal shares of riding time"
        assert {len(sections) for sections in found.stretches.values()} == {count}
        assert found.notes == ()


class TestMarks:
    """Between marks that stand in every run in one order."""

    def test_come_first(self, day: RideDay) -> None:
        same = {"gate": 5.0, "drop": 20.0, "bridge": 40.0}
        asked = replace(marked(day, run_1=same, run_2=same, run_3=same), comparison=TRAVEL)
        found = share(asked, with_speed(laps(0, 0, 0), 300.0, 300.0, 300.0))
        assert found.words == "2 between 3 marks"
        time_s = laps(0, 0, 0)["run_1"].ride.time_s
        starts = [float(time_s[start]) for start, _ in found.stretches["run_1"]]
        assert starts == pytest.approx([5.0, 20.0], abs=0.01)
        assert float(time_s[found.stretches["run_1"][-1][1]]) == pytest.approx(40.0, abs=0.01)

    def test_a_mark_that_one_run_lacks_is_left_out(self, day: RideDay) -> None:
        same = {"gate": 5.0, "bridge": 40.0}
        asked = marked(day, run_1=same | {"drop": 20.0}, run_2=same, run_3=same)
        assert share(asked, laps(0, 0, 0)).words == "1 between 2 marks"

    @pytest.mark.parametrize(
        "third", [{"gate": 5.0}, {"gate": 40.0, "bridge": 5.0}, {"start": 5.0, "finish": 40.0}, {}]
    )
    def test_others_make_no_sections_and_that_is_said(self, day: RideDay, third: dict[str, float]) -> None:
        same = {"gate": 5.0, "bridge": 40.0}
        found = share(marked(day, run_1=same, run_2=same, run_3=third), laps(0, 0, 0))
        assert "riding time" in found.words
        assert codes(found) == ["marks_not_alike"]
        assert "run_1 has 'gate', 'bridge', run_3" in found.notes[0].message

    def test_marks_of_runs_that_do_not_take_part_do_not_matter(self, day: RideDay) -> None:
        found = share(marked(day, run_9={"gate": 5.0, "bridge": 40.0}), laps(0, 0, 0))
        assert found.notes == ()


class TestDistance:
    """Equal shares of distance where every run logs it."""

    def test_where_all_runs_log_it(self, day: RideDay) -> None:
        found = share(replace(day, comparison=TRAVEL), with_speed(laps(0, 0, 0), 300.0, 310.0, 290.0))
        assert found.words.endswith("equal shares of distance")
        lengths = [stop - start for start, stop in found.stretches["run_1"]]
        assert lengths[0] > 2 * lengths[-1]  # half as fast at the start as at the end, and more

    def test_not_where_one_run_lacks_it(self, day: RideDay) -> None:
        found = share(day, with_speed(laps(0, 0, 0), 300.0, 310.0))
        assert (found.words.split(" ", 1)[1], found.notes) == ("equal shares of riding time", ())

    @pytest.mark.parametrize("third", [400.0, 0.0])
    def test_not_where_it_differs_too_much(self, day: RideDay, third: float) -> None:
        found = share(day, with_speed(laps(0, 0, 0), 300.0, 310.0, third))
        assert "riding time" in found.words
        assert codes(found) == ["distance_not_alike"]
        assert "limit 20 %" in found.notes[0].message


class TestTravel:
    """Aligned by travel where the day asks for it and runs agree."""

    def test_only_where_asked(self, day: RideDay) -> None:
        assert "riding time" in share(day, laps(0, 0, 0)).words
        found = share(replace(day, comparison=TRAVEL), laps(0, 0, 0))
        assert "shares aligned by travel with run_" in found.words
        assert "correlation of the envelopes at least 0.9" in found.words
        assert "moved by at most" in found.words
        assert found.notes == ()

    def test_refused_where_a_run_went_elsewhere(self, day: RideDay) -> None:
        found = share(replace(day, comparison=TRAVEL), laps(0, 0, 5))
        assert found.words.endswith("equal shares of riding time")
        assert codes(found) == ["travel_not_alike"]
        assert "run_" in found.notes[0].message
        assert "at least 0.88 needed" in found.notes[0].message

    def test_an_unknown_way_is_an_error(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path, ["a", "b"], seconds=6.0, extra='[comparison]\nalign = "speed"\n')
        with pytest.raises(RideDayError, match=r"comparison\.align"):
            telemetry.read_ride_day(folder)

    def test_the_key_is_read(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path, ["a", "b"], seconds=6.0, extra='[comparison]\nalign = "travel"\n')
        assert telemetry.read_ride_day(folder).comparison.align == "travel"


class TestKept:
    """Only sections complete in every run, of those asked for."""

    def test_a_gap_in_one_run_drops_the_section_from_all(self, day: RideDay) -> None:
        motions = laps(0, 0, 0)
        whole = sections_of(day, motions, None)
        ride = motions["run_2"].ride
        start, stop = whole.sharing.stretches["run_2"][3]
        cut = (start + stop) // 2
        broken = replace(ride, segments=((0, cut), (cut, ride.time_s.shape[0])))
        found = sections_of(day, motions | {"run_2": replace(motions["run_2"], ride=broken)}, None)
        assert found.kept == tuple(number for number in whole.kept if number != 3)
        assert len(found.of("run_1")) == whole.count - 1

    @pytest.mark.parametrize(("wanted", "told"), [([1, 99], "section 99"), ([0], "section 0")])
    def test_a_section_there_is_not(self, day: RideDay, wanted: list[int], told: str) -> None:
        with pytest.raises(CallError, match=told):
            sections_of(day, laps(0, 0, 0), wanted)


def test_the_comparison_says_by_what(tmp_path: Path) -> None:
    marks = "".join(
        f'[[marks]]\nrun = "run_{run}"\nat_s = {at_s}\nname = "{name}"\n'
        for run in range(1, 5)
        for at_s, name in ((4.0, "gate"), (18.0, "drop"), (36.0, "bridge"))
    )
    folder = make_day(tmp_path, ["a", "b", "b", "a"], extra=marks)
    comparison = telemetry.compare(telemetry.read_ride_day(folder))
    assert comparison.shared_by == "2 between 3 marks"
    assert (comparison.sections, comparison.sections_dropped) == (2, 0)
    assert comparison.to_dict()["conditioning"]["sections"] == "2 between 3 marks"
