"""How setups stand as the bench tells it: against the rigid turn in closed form, by way of whole days."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import telemetry
from telemetry.bench.stated import as_stated
from telemetry.bench.whole_bike import bikes_of, with_bike
from telemetry.errors import RideDayError
from telemetry.model.bench import Bench, EndBench, SetupBench
from telemetry.model.bench_geometry import Geometry
from tests.bench.linkage_days import bench_of, distance, table
from tests.mechanics.linkages_made import ROCKER

BIKE = """\
[ride_day]
date = 2026-05-16
[bike]
wheelbase_mm = 1200
head_angle_deg = 65
[bike.front]
travel_mm = 160
[bike.rear]
travel_mm = 150
[bike.geometry]
front_wheel_diameter_mm = 740
rear_wheel_diameter_mm = 740
axle_to_crown_mm = 560
offset_mm = 44
bottom_bracket_height_mm = 350
chainstay_mm = 435.46
head_tube_mm = 110
[setups.a]
"""


def told(folder: Path, other: str, bike: str = BIKE) -> tuple[Geometry, Geometry]:
    """Return the geometry of the bike as measured and of another setup, unladen."""
    bench = bench_of(folder, f"{bike}[setups.b]\n{other}")
    found = [bench.setup(name).geometry for name in "ab"]
    assert found[0] is not None
    assert found[1] is not None
    return found[0], found[1]


def test_as_measured_it_is_what_was_measured(tmp_path: Path) -> None:
    old, same = told(tmp_path, "")
    assert old.stance == same.stance
    assert old.stance.known == pytest.approx(
        {
            "head_angle_deg": 65.0,
            "wheelbase_mm": 1200.0,
            "trail_mm": 123.985,
            "mechanical_trail_mm": 123.985 * math.sin(math.radians(65)),
            "bottom_bracket_height_mm": 350.0,
            "front_centre_mm": math.hypot(1200 - 435, 20),
            "reach_mm": 1200 - 435 - 670 * math.cos(math.radians(65)) - 44 * math.sin(math.radians(65)),
            "stack_mm": 20 + 670 * math.sin(math.radians(65)) - 44 * math.cos(math.radians(65)),
        },
        abs=5e-3,
    )


@pytest.mark.parametrize(
    "other",
    [
        "[setups.b.front]\naxle_to_crown_mm = 570\n",
        "[setups.b.front]\ntravel_mm = 170\n",  # a fork of more travel is taken to be as much longer
        "[setups.b.front]\naxle_to_crown_in = 22.4409449\n",
    ],
)
def test_a_fork_ten_millimetres_longer(tmp_path: Path, other: str) -> None:
    """A rigid turn about the rear axle, worked out elsewhere: -0.4312 degrees, 1204.26, 127.215, +3.27 mm."""
    old, new = told(tmp_path, other)
    assert new.stance.head_angle_deg - 65.0 == pytest.approx(-0.4312, abs=1e-4)
    assert new.stance.wheelbase_mm == pytest.approx(1204.26, abs=0.01)
    assert new.stance.trail_mm == pytest.approx(127.215, abs=0.001)
    assert new.stance.bottom_bracket_height_mm - old.stance.bottom_bracket_height_mm == pytest.approx(3.27, abs=0.01)
    assert new.keeps.fork_mm == pytest.approx(-10.0, abs=1e-4)
    assert 0.5 < new.keeps.cup_deg < 0.65
    assert bool(new.remarks) is ("travel" in other)


def test_the_same_fork_with_another_crown_is_one_of_another_offset(tmp_path: Path) -> None:
    crown = BIKE.replace("[setups.a]", "[setups.a]\n[setups.a.bike]\ncrown_offset_mm = 24")
    by_crown = told(tmp_path, "[setups.b.bike]\ncrown_offset_mm = 20\n", crown)[1]
    by_offset = told(tmp_path, "[setups.b.front]\noffset_mm = 40\n")[1]
    assert by_crown.stance.known == pytest.approx(by_offset.stance.known)
    assert by_crown.stance.trail_mm > 123.985


def test_an_angled_cup_mixed_wheels_and_what_a_setup_states_itself(tmp_path: Path) -> None:
    slacker = told(tmp_path, "[setups.b.bike]\nangled_cup_deg = -1\n")[1]
    assert 64.1 < slacker.stance.head_angle_deg < 64.4  # a degree, and the front that drops gives some back
    mixed = told(tmp_path, "[setups.b.rear]\nwheel_diameter_mm = 704\n")[1]
    assert mixed.stance.head_angle_deg == pytest.approx(65 - math.degrees(math.asin(18 / 1200)), abs=1e-6)
    stated = told(tmp_path, "[setups.b.front]\naxle_to_crown_mm = 570\n[setups.b.bike]\nhead_angle_deg = 64.4\n")[1]
    assert stated.stance.head_angle_deg == 64.4
    assert stated.stance.trail_mm == pytest.approx(
        (370 * math.cos(math.radians(64.4)) - 44) / math.sin(math.radians(64.4)), abs=1e-6
    )


class TestShock:
    rear = "[bike.rear]\nstroke_mm = 55\nratio = 2.5\n"

    def test_a_shorter_one_lowers_the_rear_by_the_leverage(self, tmp_path: Path) -> None:
        bike = BIKE.replace("[bike.rear]\ntravel_mm = 150\n", f"{self.rear}shock_length_mm = 210\n")
        shorter = told(tmp_path, "[setups.b.rear]\nshock_length_mm = 206\n", bike)[1]
        bushes = told(tmp_path, "[setups.b.rear]\nshock_offset_mm = 4\n", bike)[1]
        assert shorter.stance.known == pytest.approx(bushes.stance.known)
        assert shorter.stance.head_angle_deg == pytest.approx(65 - math.degrees(math.asin(10 / 1200)), abs=1e-3)

    def test_beside_a_shock_of_unknown_length_nothing_moves(self, tmp_path: Path) -> None:
        """Its length isn't 0 mm: the bike stood 300 mm higher."""
        bike = BIKE.replace("[bike.rear]\ntravel_mm = 150\n", self.rear)
        first, second = told(tmp_path, "[setups.b.rear]\nshock_length_mm = 206\n", bike)
        assert second.stance.known == pytest.approx(first.stance.known)
        assert any("shock_length_mm of both" in remark for remark in second.remarks)

    def test_a_linkage_says_where_the_axle_goes(self, tmp_path: Path) -> None:
        length = distance(ROCKER, *ROCKER.shock)
        bike = BIKE.replace("[bike.rear]\ntravel_mm = 150\n", "[bike.rear]\nstroke_mm = 55\n" + table(ROCKER))
        shorter = told(tmp_path, f"[setups.b.rear]\nshock_length_mm = {length - 4}\n", bike)[1]
        up = 4 * 2.98  # the ratio topped out
        assert shorter.stance.head_angle_deg == pytest.approx(65 - math.degrees(math.asin(up / 1200)), abs=0.01)

    def test_the_bottom_bracket_of_a_linkage_in_millimetres_needs_no_chainstay(self, tmp_path: Path) -> None:
        bike = BIKE.replace("[bike.rear]\ntravel_mm = 150\n", "[bike.rear]\nstroke_mm = 55\n" + table(ROCKER))
        bike = bike.replace("bottom_bracket_height_mm = 350\nchainstay_mm = 435.46\n", "")
        old, _ = told(tmp_path, "", bike)
        assert old.stance.bottom_bracket_height_mm == pytest.approx(370 - 12.0)
        assert old.stance.front_centre_mm == pytest.approx(math.hypot(1200 - 446, 12))

    def test_another_link_stands_where_its_points_say(self, tmp_path: Path) -> None:
        bike = BIKE.replace("[bike.rear]\ntravel_mm = 150\n", "[bike.rear]\nstroke_mm = 55\n" + table(ROCKER))
        lower = replace(ROCKER, moving={**ROCKER.moving, "axle": (-446.0, 2.0)})
        new = told(tmp_path, table(lower, where="setups.b.rear"), bike)[1]
        assert new.stance.head_angle_deg == pytest.approx(65 + math.degrees(math.asin(10 / 1200)), abs=1e-4)


class TestAtSag:
    def at_sag(self, folder: Path, bike: str = BIKE) -> tuple[Bench, Geometry]:
        bench = bench_of(folder, bike)
        found = bench.setup("a").geometry_at_sag
        assert found is not None
        return bench, found

    def test_as_usual_where_springs_and_masses_dont_tell(self, tmp_path: Path) -> None:
        _, found = self.at_sag(tmp_path)
        assert (found.front_sag_mm, found.rear_sag_mm) == pytest.approx((32.0, 45.0))
        assert found.sag_from == "front taken as 20 %, rear taken as 30 %"
        # by hand: the front comes 32 sin 65 down and 32 cos 65 back, the rear 45 down
        down, back = 32 * math.sin(math.radians(65)), 32 * math.cos(math.radians(65))
        turn = math.degrees(math.atan2(45 - down, 1200 - back))
        assert found.stance.head_angle_deg == pytest.approx(65 - turn, abs=1e-6)

    def test_by_springs_and_masses(self, tmp_path: Path) -> None:
        carried = BIKE.replace("wheelbase_mm", "mass_kg = 15\nfront_share = 0.4\nwheelbase_mm").replace(
            "date = 2026-05-16", "date = 2026-05-16\nrider_mass_kg = 80"
        )
        sprung = carried.replace("travel_mm = 150\n", "stroke_mm = 60\nratio = 2.5\nspring_rate_n_mm = 90\n")
        bench, found = self.at_sag(tmp_path, sprung)
        assert found.sag_from == "front taken as 20 %, rear by springs and masses"
        assert found.rear_sag_mm == pytest.approx(bench.setup("a").rear.masses.sag_mm)

    def test_without_full_travel_it_is_absent_with_the_reason(self, tmp_path: Path) -> None:
        setup = bench_of(tmp_path, BIKE.replace("[bike.rear]\ntravel_mm = 150\n", "")).setup("a")
        assert setup.geometry_at_sag is None
        assert "geometry at sag" in [item.what for item in setup.absent]


def test_what_isnt_stated_is_absent_with_its_keys(tmp_path: Path) -> None:
    bare = "[ride_day]\ndate = 2026-05-16\n[bike]\nwheelbase_mm = 1200\nhead_angle_deg = 65\n[setups.a]\n"
    setup = bench_of(tmp_path, bare).setup("a")
    assert set(setup.geometry.stance.known) == {"head_angle_deg", "wheelbase_mm"}
    reasons = {item.what: item.reason for item in setup.absent}
    assert "front_wheel_diameter_mm and offset_mm" in reasons["trail"]
    assert "chainstay_mm" in reasons["bottom bracket height"]
    nothing = bench_of(tmp_path, bare.replace("head_angle_deg = 65\n", "")).setup("a")
    assert nothing.geometry is None
    assert "head_angle_deg and wheelbase_mm" in {item.what: item.reason for item in nothing.absent}["geometry"]


def test_a_cup_on_a_fork_that_isnt_known_is_absent_with_its_keys(tmp_path: Path) -> None:
    bare = BIKE.replace("axle_to_crown_mm = 560\n", "").replace("head_tube_mm = 110\n", "")
    bench = bench_of(tmp_path, f"{bare}[setups.b]\n[setups.b.bike]\nangled_cup_deg = -1\n")
    assert bench.setup("a").geometry is not None
    assert bench.setup("b").geometry is None
    reasons = {item.what: item.reason for item in bench.setup("b").absent}
    assert "axle_to_crown_mm and offset_mm" in reasons["geometry"]


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("axle_to_crown_mm = 560", "axle_to_crown_mm = 160", "bike.geometry.axle_to_crown_mm", "160 mm of travel"),
        ("travel_mm = 160", "travel_mm = 160\naxle_to_crown_mm = 150", "bike.front.axle_to_crown_mm", "over 220 mm"),
        ("axle_to_crown_mm = 560", "axle_to_crown_mm = 56", "bike.geometry.axle_to_crown_mm", "axle_to_crown_mm = 560"),
        ("axle_to_crown_mm = 560", "axle_to_crown_mm = 861", "bike.geometry.axle_to_crown_mm", "at most 860 mm"),
        ("travel_mm = 150", "stroke_mm = 60\nshock_length_mm = 119", "bike.rear.shock_length_mm", "stroke_mm is 60"),
    ],
)
def test_lengths_that_cant_be_are_one_line_with_the_key(
    tmp_path: Path, old: str, new: str, key: str, words: str
) -> None:
    assert old in BIKE
    (tmp_path / "ride_day.toml").write_text(BIKE.replace(old, new), encoding="utf-8")
    with pytest.raises(RideDayError) as error:
        telemetry.read_ride_day(tmp_path)
    (problem,) = error.value.problems
    assert problem.key == key
    assert words in str(problem.expected)


def test_a_difference_is_known_better_than_either(tmp_path: Path) -> None:
    bench = bench_of(tmp_path, f"{BIKE}[setups.b]\n[setups.b.bike]\nangled_cup_deg = -1\n")
    row = next(row for row in bench.rows if row.part == "geometry" and row.figure.what == "head angle")
    value, difference = row.values["b"], row.differences["b"]
    assert difference.high - difference.low < 0.5 * (value.high - value.low)


def test_sag_that_was_recorded_goes_before_any_other() -> None:
    """The sample day holds one recording with a rider, of its first setup; springs tell how the other differs."""
    day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    analysis = telemetry.analyse(replace(day, runs=day.runs[:1]))
    ((setup, sag),) = [(item.setup, item) for item in analysis.static if item.entry.kind == "sag"]
    bench = telemetry.bench_of(day)
    at_sag = bench.setup(setup).geometry_at_sag
    for end, travel in (("front", at_sag.front_sag_mm), ("rear", at_sag.rear_sag_mm)):
        full = day.setups[setup].at(end).full_travel_mm
        assert travel == pytest.approx(sag.value("rider_sag", end) / 100 * full)
    assert at_sag.sag_from == "both ends as recorded"
    (other,) = [own for own in bench.setups if own.name != setup]
    deeper = other.front.masses.sag_mm - bench.setup(setup).front.masses.sag_mm
    assert other.geometry_at_sag.front_sag_mm - at_sag.front_sag_mm == pytest.approx(deeper)
    assert other.geometry_at_sag.sag_from == "both ends by springs and masses"


LEVERS = """\
[ride_day]
date = 2026-05-16
[bike.rear]
stroke_mm = 60
ratio = 2.5
[setups.a]
label = "first"
[setups.b]
"""


def test_leverage_at_sag_needs_the_rear_alone_and_takes_the_firsts_recording(tmp_path: Path) -> None:
    """No front, no geometry: sag is the usual 30 % of 150 mm, or what was recorded with the first setup."""
    (tmp_path / "ride_day.toml").write_text(LEVERS, encoding="utf-8")
    day = telemetry.read_ride_day(tmp_path)
    usual = telemetry.bench_of(day).setup("a").rear.leverage
    assert (usual.sag_mm, usual.sag_stroke_mm, usual.sag_from) == (45.0, 18.0, "rear taken as 30 %")
    told = []
    for bike in bikes_of(day, ["a", "b"], {("a", "rear"): 50.0}).as_measured():
        bare = SetupBench(name="", label="", front=EndBench(end="front"), rear=EndBench(end="rear"))
        found = with_bike(bare, bike.stated(day, as_stated), bike, None).rear.leverage
        told.append((found.sag_mm, found.sag_from))
    assert told == [(50.0, "rear as recorded"), (50.0, "rear as with first")]
