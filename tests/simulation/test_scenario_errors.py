"""A bad scenario is one line that names file, key, what was found and what is expected; nothing half-written stays."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.cli import main
from telemetry.errors import RideDayError
from telemetry.files import whole_folder
from telemetry.simulation.scenario import read_scenario
from tests.forked import LONGEST_S
from tests.simulation.small_scenario import FORK, SCENARIO, SHOCK, changed, scenario_file

RUN = [sys.executable, "-c", "from telemetry.cli import main; main()"]
WEAK = "front = { lower_leg_oil_each_ml = 8 }"
SIDES = "lower_leg_oil_spring_side_ml = 8, lower_leg_oil_damper_side_ml = 8"

BAD = {
    "a slip of the pen, nearest of its own table": (
        [("rate_hz = 500", "rate_hzz = 500")],
        ["logger.rate_hzz", "unknown key", "nearest: 'rate_hz'"],
    ),
    "a slip of the pen in an end": (
        [("friction_n = 25", "fricton_n = 25")],
        ["bike.front.fricton_n: ", "unknown key", "nearest: 'friction_n'", "1 more"],
    ),
    "an unknown key in a setup's end": (
        [(WEAK, "front = { lower_leg_oil_each = 8 }")],
        ["setups.oil_8.front.lower_leg_oil_each", "nearest: 'lower_leg_oil_each_ml'"],
    ),
    "an unknown table": ([("[rider]", "[riders]")], ["riders: ", "unknown key", "nearest: 'rider'", "1 more"]),
    "a key left out": ([("moving_kg = 70", "")], ["rider.moving_kg", "found nothing", "the key is required"]),
    "a text for a number": (
        [("rate_hz = 500", 'rate_hz = "500"')],
        ["logger.rate_hz", "found '500'", "a valid number"],
    ),
    "a number for a text": ([('column = "A0"', "column = 0")], ["logger.fork.column", "found 0", "a valid string"]),
    "yes for a number": ([("frame_kg = 31", "frame_kg = true")], ["bike.frame_kg", "found true", "a valid number"]),
    "below its range": ([("frame_kg = 31", "frame_kg = 3")], ["bike.frame_kg", "found 3", "5 to 250"]),
    "above its range": ([("travel_mm = 170", "travel_mm = 1700")], ["bike.front.travel_mm", "1700", "20 to 400"]),
    "a number that is none": ([("speed_m_s = 5.0", "speed_m_s = nan")], ["stretches[1].speed_m_s", "nan", "finite"]),
    "no end of a number": ([("moving_kg = 70", "moving_kg = inf")], ["rider.moving_kg", "found inf", "finite"]),
    "an unknown word": ([('road_class = "D"', 'road_class = "Q"')], ["stretches[1].road_class", "found 'Q'", "'A'"]),
    "a text for a date": ([("date = 2026-05-16", 'date = "16 May"')], ["day.date", "found '16 May'", "a valid date"]),
    "an unknown setup in the order": (
        [('"oil_20", "oil_8"', '"oil_20", "oil_9"')],
        ["day.order[2]", "unknown setup 'oil_9'", "one of oil_20, oil_8"],
    ),
    "no runs": ([('order = ["oil_20", "oil_8"]', "order = []")], ["day.order", "at least 1 item"]),
    "a setup named like a path": (
        [("[setups.oil_8]", '[setups."../oil_8"]')],
        ["setups: found a setup '../oil_8'", "letters, digits"],
    ),
    "a recording before a run that isn't": (
        [('kind = "lifted"', 'kind = "lifted"\nbefore_run = 3')],
        ["recordings[1].before_run", "found run 3", "1 to 2"],
    ),
    "a mark behind the trail's end": (
        [("[trail]\nseed = 5", '[trail]\nseed = 5\nmarks = [{ at_m = 130, name = "gate" }]')],
        ["trail.marks[1].at_m", "found 130", "before the trail's end at 130 m"],
    ),
    "a load without sag": (
        [('kind = "lifted"', 'kind = "lifted"\nload = "seated"')],
        ["recordings[1].load", "kind lifted", "one in a sag"],
    ),
    "a remount before a run that isn't": (
        [("[rider]", '[[remounts]]\nbefore_run = 9\nend = "front"\noffset_mm = 1\n[rider]')],
        ["remounts[1].before_run", "found run 9", "1 to 2"],
    ),
    "a gap in a run that isn't": (
        [("[logger.fork]", "gaps = [{ run = 4, at_s = 3, length_s = 1 }]\n[logger.fork]")],
        ["logger.gaps[1].run", "found run 4"],
    ),
    "a comparison with an unknown setup": (
        [("[rider]", '[comparison]\nbaseline = "oil"\n[rider]')],
        ["comparison.baseline", "unknown setup 'oil'"],
    ),
    "a logger without a sensor": (
        [(FORK, ""), (SHOCK, "")],
        ["logger: found no sensor of an end", "one of fork, shock, chassis_imu"],
    ),
    "two loggers and one end": (
        [(SHOCK, ""), ("rate_hz = 500", "rate_hz = 500\ntwo_loggers = true")],
        ["logger.two_loggers", "no sensor at the rear", "one logger"],
    ),
    "a remount of a sensor that isn't there": (
        [(SHOCK, ""), ("[rider]", '[[remounts]]\nbefore_run = 2\nend = "rear"\noffset_mm = 1\n[rider]')],
        ["remounts[1].end", "no position sensor"],
    ),
    "a unit of no rotation": (
        [("[logger.fork]", '[logger.rear_wheel_imu]\nrotation = false\nrotation_unit = "rad/s"\n[logger.fork]')],
        ["logger.rear_wheel_imu.rotation_unit", "rotation = false"],
    ),
    "an unknown unit of acceleration": (
        [("[logger.fork]", '[logger.rear_wheel_imu]\nacceleration_unit = "mg"\n[logger.fork]')],
        ["logger.rear_wheel_imu.acceleration_unit", "found 'mg'", "'milli-g'"],
    ),
    "a place far off the bike": (
        [("[logger.fork]", "[logger.chassis_imu]\nat_mm = [0, 4000]\n[logger.fork]")],
        ["logger.chassis_imu.at_mm[2]", "found 4000", "-2000 to 2000"],
    ),
    "two columns of one name": ([('column = "A1"', 'column = "A0"')], ["logger", "2 columns named 'A0'"]),
    "two points of one reading": (
        [("[3770, 170.0]", "[212, 170.0]")],
        ["logger.fork.points", "two different readings"],
    ),
    "a clock in seconds that rolls over": (
        [("rate_hz = 500", 'rate_hz = 500\ntime_unit = "s"\nwraps_at_bits = 24')],
        ["logger.wraps_at_bits", "clock in seconds"],
    ),
    "a rear clock without its logger": (
        [("[logger.fork]", "[logger.rear_clock]\nrate_hz = 400\n[logger.fork]")],
        ["logger.rear_clock", "without two_loggers"],
    ),
    "an obstacle outside its stretch": (
        [("at_m = 8", "at_m = 30")],
        [
            "trail.stretches[2].obstacles[1].times",
            "a bump, the last of 9, that ends at 102.6 m",
            "their stretch of 90 m",
        ],
    ),
    "an obstacle without its length": (
        [("length_mm = 600, ", "")],
        ["trail.stretches[2].obstacles[1].length_mm", "found nothing", "a bump needs it"],
    ),
    "an obstacle with another's key": (
        [("length_mm = 600", "length_mm = 600, gap_m = 2")],
        ["trail.stretches[2].obstacles[1].gap_m", "a bump with gap_m", "keys of a bump: length_mm"],
    ),
    "a single obstacle outside its stretch": (
        [(", times = 9, every_m = 9 ", " "), ("at_m = 8", "at_m = 89.5")],
        ["trail.stretches[2].obstacles[1].at_m", "a bump that ends at 90.1 m"],
    ),
    "an obstacle again and again without a distance": (
        [(", every_m = 9 ", " ")],
        ["trail.stretches[2].obstacles[1].every_m", "nothing with times = 9", "from one to the next, m"],
    ),
    "a drop upward": (
        [("every_m = 9 },", 'every_m = 9 },\n  { kind = "drop", at_m = 84, height_mm = -90 },')],
        ["trail.stretches[2].obstacles[2].height_mm", "found -90", "above 0 mm, how far down"],
    ),
    "a single braking bump": (
        [
            (
                "every_m = 9 },",
                'every_m = 9 }, { kind = "braking_bumps", at_m = 2, height_mm = 9, wavelength_m = 1, count = 1 },',
            )
        ],
        ["trail.stretches[2].obstacles[2].count", "found 1", "2 waves or more"],
    ),
    "a seed below its range": (
        [("seed = 11", "seed = -1")],
        ["day.seed", "found -1", "0 to 9223372036854775807"],
    ),
    "a day at the end of dates": (
        [("date = 2026-05-16", "date = 9999-12-31"), ("seed = 11", "seed = 11\nfirst_start = 23:50:00")],
        ["day.date", "9999-12-31 with runs beyond it", "start by 9999-12-31"],
    ),
    "a gap after the log has ended": (
        [("[logger.fork]", "gaps = [{ run = 2, at_s = 3000, length_s = 1 }]\n[logger.fork]")],
        ["logger.gaps[1]", "at_s = 3000, after the log of run 2 has ended", "expected 0 to 2"],
    ),
    "a gap over all of a run": (
        [("[logger.fork]", "gaps = [{ run = 1, at_s = 0, length_s = 600 }]\n[logger.fork]")],
        ["logger.gaps[1]", "a gap over all 2", "s of run 1", "leaves rows"],
    ),
    "a trail without end": (
        [("length_m = 90", "length_m = 90000")],
        ["trail.stretches", "found a run of", "5 to 900 s"],
    ),
    "gas that vanishes": (
        [("air_volume_ml = 170", "air_volume_ml = 110")],
        ["setups.oil_20.front", "positive chamber: no gas left at 157.2 mm"],
    ),
    "oil that doesn't go in": (
        [(WEAK, "front = { lower_leg_oil_each_ml = 400 }")],
        ["setups.oil_8.front", "lower legs: 400.0 ml of oil"],
    ),
    "gas given by halves": (
        [("negative_volume_ml = 25\n", "")],
        ["setups.oil_20.front", "negative_area_mm2 without negative_volume_ml"],
    ),
    "no spring": (
        [("spring_rate_n_mm = 88\n", "")],
        ["setups.oil_20.rear", "no spring", "spring_rate_n_mm"],
    ),
    "a bike that can't carry its rider": (
        [
            ("spring_rate_n_mm = 88\n", "spring_rate_n_mm = 0.5\n"),
            ("bumper_n_mm = 150\nbumper_n_mm2 = 40", "bumper_n_mm = 1"),
        ],
        ["setups.oil_20: ", "the rear at 1", "carries its rider"],
    ),
    "leverage that turns back": (
        [("[20, 58.2]", "[20, 28.2]")],
        ["bike.rear.leverage[3]", "[20, 28.2] after [10, 29.7]", "both increase"],
    ),
    "damping no step can follow": (
        [(WEAK, "front = { lower_leg_oil_each_ml = 8, compression_below_n_s_m = 100000 }")],
        ["setups.oil_8.front", "4.2 kg can't follow in steps of 0.25 ms", "16800 at most"],
    ),
    "leverage that begins elsewhere": (
        [("[[0, 0],", "[[1, 3],")],
        ["bike.rear.leverage", "a first row [1, 3]", "from [0, 0] on"],
    ),
    "leverage that ends short of the stroke": (
        [("[50, 137.0], [62.5, 165.0]]", "[50, 137.0]]")],
        ["bike.rear.leverage[6]", "a last row at 50 mm of stroke", "up to stroke_mm, 62.5"],
    ),
    "leverage in metres": (
        [("[10, 29.7], [20, 58.2], [30, 85.6], [40, 112.0], [50, 137.0], [62.5, 165.0]]", "[0.0625, 0.165]]")],
        ["bike.rear.leverage[2]", "a last row at 0.0625 mm", "rows in mm"],
    ),
    "travel of a leverage curve in centimetres": (
        [(WEAK, f"{WEAK}\nrear = {{ leverage = [[0, 0], [62.5, 16.5]] }}")],
        ["setups.oil_8.rear.leverage[2]", "a ratio of 0.264 from 0 to 62.5 mm", "0.5 to 8", "both in mm"],
    ),
    "no leverage": (
        [("leverage = [", "# [")],
        ["bike.rear.leverage", "no leverage", "[[0, 0], [stroke, travel], ...] in mm"],
    ),
    "no full travel": (
        [("travel_mm = 170\n", "")],
        ["bike.front.travel_mm", "found nothing", "full travel of the fork"],
    ),
    "one side's oil alone": (
        [(WEAK, "front = { lower_leg_oil_spring_side_ml = 8 }")],
        ["setups.oil_8.front", "lower_leg_oil_spring_side_ml without lower_leg_oil_damper_side_ml"],
    ),
    "oil of each leg and of the sides": (
        [(WEAK, f"front = {{ lower_leg_oil_each_ml = 8, {SIDES} }}")],
        ["setups.oil_8.front.lower_leg_oil_spring_side_ml", "beside lower_leg_oil_each_ml"],
    ),
    "lower legs without their section": (
        [("lower_leg_area_mm2 = 1018\n", "")],
        ["lower_leg_area_mm2", "a volume of lower legs and oil alone", "volume and area together"],
    ),
    "a bumper beyond the end": (
        [("bumper_touch_mm = 158", "bumper_touch_mm = 180")],
        ["bike.front.bumper_touch_mm", "bumper_touch_mm 180 beyond 170 mm"],
    ),
    "a written key no ride day knows": (
        [("written = { rebound", "written = { rebond")],
        ["bike.front.written.rebond", "unknown key"],
    ),
    "a setup's written key no ride day knows": (
        [(WEAK, "front = { lower_leg_oil_each_ml = 8, written = { clicks = 3 } }")],
        ["setups.oil_8.front.written.clicks", "unknown key 'clicks'"],
    ),
    "a written key that contradicts the bike": (
        [("written = { rebound", "written = { travel_mm = 150, rebound")],
        ["bike.front.written.travel_mm", "travel_mm beside the simulated one", "what is ridden is written"],
    ),
    "a written pressure in another unit": (
        [(WEAK, "front = { lower_leg_oil_each_ml = 8, written = { air_pressure_psi = 60 } }")],
        ["setups.oil_8.front.written.air_pressure_psi", "beside the simulated one"],
    ),
    "a table that isn't one": ([("written = {", "written = 3 # {")], ["bike.front.written", "found 3"]),
    "broken TOML": ([("[rider]", "[rider")], ["file", "valid TOML"]),
}


def refused(capsys: pytest.CaptureFixture[str], scenario: Path, out: Path) -> str:
    """Return the one line a bad call ends with; no folder but the scenario's may stay."""
    with pytest.raises(SystemExit) as left:
        main(["simulate", str(scenario), "--out", str(out)])
    said = capsys.readouterr()
    lines = said.err.splitlines()
    assert left.value.code == 2, said.err
    assert len(lines) == 1
    assert "Traceback" not in said.err
    assert said.out == ""
    return lines[0]


@pytest.mark.parametrize("case", BAD, ids=[name.replace(" ", "_") for name in BAD])
def test_a_bad_scenario_is_one_line(case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changes, words = BAD[case]
    line = refused(capsys, scenario_file(tmp_path, changed(*changes)), tmp_path / "day")
    assert line.startswith("telemetry: scenario.toml, ")
    assert [word for word in words if word not in line] == [], line
    assert [path.name for path in tmp_path.iterdir()] == ["scenario.toml"]


def test_all_that_is_wrong_in_tables_is_found_at_once(tmp_path: Path) -> None:
    text = changed(
        ("frame_kg = 31", "frame_kg = 1"), ("moving_kg = 70", "moving_kg = 1"), ("rate_hz = 500", "rate_hz = 1")
    )
    with pytest.raises(RideDayError, match=r"bike\.frame_kg: found 1; expected 5 to 250\. 2 more") as caught:
        read_scenario(scenario_file(tmp_path, text))
    assert [problem.key for problem in caught.value.problems] == ["bike.frame_kg", "rider.moving_kg", "logger.rate_hz"]


def test_a_scenario_that_isnt_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = refused(capsys, tmp_path / "no.toml", tmp_path / "day")
    assert line == "telemetry: no.toml, file: found no such file; expected a scenario in TOML"


def test_a_scenario_that_is_no_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "binary.toml"
    path.write_bytes(b"\xff\xfe\x00\x81")
    assert "binary.toml, file" in refused(capsys, path, tmp_path / "day")


SLOPES = [f"{way}_{part}_n_s_m" for way in ("compression", "rebound") for part in ("below", "above")]
UNDAMPED = ", ".join([*(f"{slope} = 0" for slope in SLOPES), "friction_n = 0", "tyre_n_s_m = 0"])
LITTLE = ", ".join([*(f"{slope} = 100" for slope in SLOPES), "friction_n = 3", "tyre_n_s_m = 20"])
STIFF = "tyre_n_mm = 600, bumper_touch_mm = 60, bumper_n_mm = 5000, bumper_n_mm2 = 5000"


@pytest.mark.parametrize(
    ("front", "found"),
    [
        (f"{UNDAMPED}, unsprung_kg = 0.5, top_out_n_mm = 5000, {STIFF}", "motion grew without bound after "),
        (f"{LITTLE}, unsprung_kg = 1, {STIFF}", "J taken out or stored by the run's end: parts too stiff for the step"),
    ],
    ids=["grows", "makes energy"],
)
def test_parts_that_dont_hold_together_say_which_run(
    front: str, found: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = refused(capsys, scenario_file(tmp_path, changed((WEAK, f"front = {{ {front} }}"))), tmp_path / "day")
    assert line.startswith("telemetry: scenario.toml, run 2 (oil_8): found ")
    assert found in line
    if "after" in found:
        assert 0 < float(line.split("after ")[1].split(" s;")[0]) < 30
    assert [path.name for path in tmp_path.iterdir()] == ["scenario.toml"]


def _ride_day(out: Path) -> None:
    out.mkdir()
    (out / "ride_day.toml").write_text("mine", encoding="utf-8")


def _file(out: Path) -> None:
    out.write_text("mine", encoding="utf-8")


def _full(out: Path) -> None:
    out.mkdir()
    (out / "notes.txt").write_text("mine", encoding="utf-8")


@pytest.mark.parametrize(
    ("prepare", "word"),
    [(_ride_day, "a ride_day.toml already"), (_file, "found a file"), (_full, "a folder that isn't empty")],
)
def test_what_stands_at_out_is_left_alone(
    prepare: Callable[[Path], None], word: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "day"
    prepare(out)
    before = sorted(path.name for path in tmp_path.rglob("*"))
    assert word in refused(capsys, scenario_file(tmp_path), out)
    assert sorted(path.name for path in tmp_path.rglob("*")) == sorted([*before, "scenario.toml"])
    mine = [path for path in (out, *out.rglob("*")) if path.is_file()]
    assert [path.read_text(encoding="utf-8") for path in mine] == ["mine"]


def test_out_in_a_folder_that_isnt_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = refused(capsys, scenario_file(tmp_path), tmp_path / "no" / "day")
    assert "expected a folder that exists. Make it first" in line


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    (tmp_path / "day").mkdir()
    with whole_folder(tmp_path / "day") as beside:
        (beside / "log").write_text("1", encoding="utf-8")
        assert list((tmp_path / "day").iterdir()) == []
    assert [path.name for path in tmp_path.rglob("*")] == ["day", "log"]


def test_a_failure_leaves_no_half_folder(tmp_path: Path) -> None:
    def stopped() -> None:
        with whole_folder(tmp_path / "day") as beside:
            (beside / "log").write_text("1", encoding="utf-8")
            raise KeyboardInterrupt("stopped")

    with pytest.raises(KeyboardInterrupt, match="stopped"):
        stopped()
    assert list(tmp_path.iterdir()) == []


def test_stopped_by_hand_nothing_stays(tmp_path: Path) -> None:
    long = changed(("length_m = 40", "length_m = 3000"), ('order = ["oil_20"', 'order = ["oil_20", "oil_8", "oil_20"'))
    scenario = scenario_file(tmp_path, long)
    process = subprocess.Popen(
        [*RUN, "simulate", str(scenario), "--out", str(tmp_path / "day")], stderr=subprocess.PIPE
    )
    until = time.monotonic() + LONGEST_S
    while not any(path.name.endswith(".part") for path in tmp_path.iterdir()) and time.monotonic() < until:
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=LONGEST_S)
    assert process.returncode == 130, errors
    assert b"Traceback" not in errors
    assert [path.name for path in tmp_path.iterdir()] == ["scenario.toml"]


def test_the_scenario_itself_is_right(tmp_path: Path) -> None:
    read = read_scenario(scenario_file(tmp_path, SCENARIO))
    assert set(read.setups) == {"oil_20", "oil_8"}
