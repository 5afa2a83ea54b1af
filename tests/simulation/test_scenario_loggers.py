"""What a scenario says of its loggers is found in the logs, by the product where it reads that."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from telemetry import analyse, load_ride, read_ride_day
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario
from tests.simulation.small_scenario import FORK, SCENARIO, SHOCK, changed, scenario_file

LIFTED = '[[recordings]]\nkind = "lifted"\n'


def made(folder: Path, *changes: tuple[str, str], text: str = SCENARIO) -> Path:
    day = folder / "day"
    make_day(read_scenario(scenario_file(folder, changed(*changes, text=text))), day)
    return day


def columns(path: Path) -> dict[str, np.ndarray]:
    header, *_ = path.read_text(encoding="utf-8").split("\n", 1)
    rows = np.loadtxt(path, delimiter=",", skiprows=1)
    return dict(zip(header.split(","), rows.T, strict=True))


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    logger = """rate_hz = 500
time_unit = "us"
time_column = "t_us"
wraps_at_bits = 24
clock_starts_s = 10
dropouts_per_min = 6
dropout_s = 0.1
gaps = [{ run = 2, at_s = 8, length_s = 1.5 }]
[logger.chassis_imu]
at = "front"
[logger.wheel_imu]
rotation = false
full_scale_g = 100
[logger.fork]"""
    remount = '[[remounts]]\nbefore_run = 2\nend = "front"\noffset_mm = 2.5\n'
    return made(
        tmp_path_factory.mktemp("faulty"),
        ("rate_hz = 500\nground_speed = true\n[logger.fork]", logger),
        (
            LIFTED,
            LIFTED + '[[recordings]]\nkind = "lifted"\nbefore_run = 2\n[[recordings]]\nkind = "bounce"\n' + remount,
        ),
    )


def test_gaps_dropouts_wrap_and_remount_are_found_by_the_product(faulty: Path) -> None:
    findings = analyse(read_ride_day(faulty)).findings
    told = {(row.run, row.code, "front:" in row.message): row.message for row in findings.itertuples()}
    assert "rolled over" in told["run_1", "clock_wrapped", False]
    longest = np.diff(np.unwrap(columns(faulty / "run_2.csv")["t_us"], period=2**24)).max()
    assert longest == pytest.approx(1.5e6, abs=4000)
    lost = np.diff(np.unwrap(columns(faulty / "run_1.csv")["t_us"], period=2**24))
    assert lost.max() == pytest.approx(0.1e6, rel=0.05)
    assert ("run_1", "gap", False) in told
    assert ("run_2", "gap", False) in told
    shifts = [float(told[run, "zero_shift", True].split("zero ")[1].split(" mm")[0]) for run in ("run_1", "run_2")]
    assert shifts[1] - shifts[0] == pytest.approx(2.1, abs=0.05)  # mounted 0.4 mm off, then 2.5 mm


def test_inertial_sensors_are_in_the_ride_day_and_feel_gravity(faulty: Path) -> None:
    sensors = tomllib.loads((faulty / "ride_day.toml").read_text(encoding="utf-8"))["sensors"]
    assert sensors["chassis_imu"]["on"] == "chassis"
    assert sensors["wheel_imu"]["on"] == "wheel"
    assert set(sensors["wheel_imu"]["columns"]) == {"ax", "ay", "az"}
    log = columns(faulty / "run_1.csv")
    standing = slice(0, 1000)
    assert log["chassis_az"][standing].mean() == pytest.approx(1, abs=0.002)
    assert log["wheel_az"][standing].mean() == pytest.approx(1, abs=0.002)
    ridden = slice(2000, 9000)
    assert log["wheel_az"][ridden].std() > 1.3 * log["chassis_az"][ridden].std() > 0.2  # springs keep it off
    assert abs(log["chassis_gy"][ridden].mean()) < 2


def test_two_loggers_write_two_logs_with_their_own_clocks(tmp_path: Path) -> None:
    logger = (
        "two_loggers = true\n[logger.rear_clock]\nrate_hz = 400\ndrift_ppm = 500\nswitched_on_s = 1.5\n[logger.fork]"
    )
    day = made(tmp_path, ("[logger.fork]", logger))
    front, rear = columns(day / "run_1_front.csv"), columns(day / "run_1_rear.csv")
    assert set(front) == {"t_ms", "A0", "speed_m_s"}
    assert set(rear) == {"t_ms", "A1"}
    assert np.diff(rear["t_ms"]).mean() == pytest.approx(2.5, rel=1e-3)
    assert front["t_ms"][-1] / 1000 - rear["t_ms"][-1] / 1000 == pytest.approx(1.5, abs=0.02)
    entry = read_ride_day(day)
    assert [run.name for run in entry.runs] == ["run_1", "run_2"]
    text = (day / "ride_day.toml").read_text(encoding="utf-8")
    assert 'log = { front = "run_1_front.csv", rear = "run_1_rear.csv" }' in text


def test_the_same_run_is_logged_alike_by_one_logger_and_by_the_front_of_two(tmp_path: Path) -> None:
    """What is logged changes nothing of what is ridden: only noise differs, by its own stream."""
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
    one = made(tmp_path / "one")
    two = made(tmp_path / "two", ("[logger.fork]", "two_loggers = true\n[logger.fork]"))
    truths = [(day / "truth.json").read_text(encoding="utf-8") for day in (one, two)]
    assert truths[0] == truths[1]
    counts = columns(one / "run_1.csv")["A0"] - columns(two / "run_1_front.csv")["A0"]
    assert np.abs(counts).max() <= 6  # 0.02 mm of noise each, 21 counts a millimetre


def test_mounting_of_a_run_is_in_the_truth_and_zero_is_taken_out(faulty: Path) -> None:
    ride = load_ride(read_ride_day(faulty), "run_2")
    standing = ride.front.travel_mm[200:1000].mean()
    first = load_ride(read_ride_day(faulty), "run_1").front.travel_mm[200:1000].mean()
    truth = (faulty / "truth.json").read_text(encoding="utf-8")
    assert '"front": 2.5' in truth
    assert abs(standing - first) < 1.5  # 20 against 8 ml at sag, not 2.1 mm of mounting


def test_sag_is_that_of_its_load(tmp_path: Path) -> None:
    sags = "".join(f'[[recordings]]\nkind = "sag"\nload = "{load}"\n' for load in ("bike_alone", "standing", "seated"))
    day = made(tmp_path, (LIFTED, LIFTED + sags))
    front, rear = ([columns(day / f"sag_{place}.csv")[name].mean() for place in (2, 3, 4)] for name in ("A0", "A1"))
    assert rear[0] < rear[1] < rear[2]
    assert front[0] < front[2] < front[1]


IMUS = """[logger.chassis_imu]
at = "bar"
acceleration_unit = "milli-g"
rotation_unit = "rad/s"
[logger.wheel_imu]
acceleration_unit = "counts"
full_scale_g = 32
rotation = false
[logger.rear_chassis_imu]
misalignment_deg = [0, 30, 0]
[logger.rear_wheel_imu]
acceleration_unit = "m/s2"
"""


def test_a_day_of_inertial_sensors_alone(tmp_path: Path) -> None:
    braked = ("head_angle_deg = 64", "head_angle_deg = 64\ncentre_height_mm = 600")
    day = made(tmp_path, braked, ("pushes = false", "pushes = true"), (FORK, ""), (SHOCK, IMUS))
    log = columns(day / "run_1.csv")
    assert "A0" not in log
    up = {"chassis": log["chassis_az"], "wheel": log["wheel_az"], "rear": log["rear_wheel_az"]}
    still = slice(50, 500)  # before the first push
    one = {"chassis": 1000.0, "wheel": 2**15 / 32, "rear": 9.80665}
    for name, signal in up.items():
        assert signal[still].mean() == pytest.approx(one[name], rel=0.01), name
    assert log["rear_chassis_ax"][still].mean() == pytest.approx(-0.5, abs=0.01)
    assert set(log) & {"wheel_gx", "chassis_gx"} == {"chassis_gx"}
    pushes = slice(500, 1900)
    assert np.abs(up["chassis"][pushes] / 1000 - 1).max() > 0.3
    assert np.abs(up["wheel"][pushes] / one["wheel"] - 1).max() < 0.05
    sensors = tomllib.loads((day / "ride_day.toml").read_text(encoding="utf-8"))["sensors"]
    assert sensors["wheel_imu"]["counts_per_g"] == 1024
    placed = {name: (own.get("ahead_of_axle_mm"), own.get("above_axle_mm")) for name, own in sensors.items()}
    assert placed["chassis_imu"] == (-330, 680)  # 420 before and 450 above the centre of mass, the axle 750 and -228
    assert placed["rear_chassis_imu"] == (0, 240)
    assert placed["rear_wheel_imu"] == (None, None)
    assert {(own["end"], own["on"]) for own in sensors.values() if own["kind"] == "inertial"} == {
        ("front", "chassis"),
        ("front", "wheel"),
        ("rear", "chassis"),
        ("rear", "wheel"),
    }
    assert '"sensor_offset_mm": {}' in (day / "truth.json").read_text(encoding="utf-8")
