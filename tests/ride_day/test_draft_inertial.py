"""Drafts of logs with inertial sensors: where each sits, its units, and what is asked where the columns don't tell."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from telemetry.logs import sketch_log
from telemetry.model.sensor import InertialSensor
from telemetry.ride_day import draft_ride_day, logs_in, read_ride_day

TODAY = dt.date(2026, 5, 16)


def log_of(folder: Path, columns: dict[str, float], name: str = "run_1.csv", shaken: float = 0.05) -> Path:
    """Write a log whose columns lie around a level each, shaken by so much of 1 (of the largest level)."""
    random = np.random.default_rng(len(name))
    by = shaken * max(map(abs, columns.values()))
    rows = np.column_stack(
        [np.arange(600) * 5, *(level + by * random.standard_normal(600) for level in columns.values())]
    )
    header = ",".join(["t_ms", *columns])
    np.savetxt(folder / name, rows, delimiter=",", header=header, comments="", fmt="%.5g", encoding="utf-8")
    return folder


def drafted(folder: Path) -> str:
    return draft_ride_day([sketch_log(path) for path in logs_in(folder)], TODAY)


def dated(text: str) -> str:
    return text.replace("# date = ", "date = ")


def sensors_of(text: str) -> dict[str, dict[str, object]]:
    return dict(tomllib.loads(text).get("sensors", {}))


def axes(prefix: str, *, up: float, form: str = "{}ax") -> dict[str, float]:
    return {form.replace("x", axis).format(prefix): up if axis == "z" else 0.0 for axis in "xyz"}


def test_sensors_whose_names_tell_where_they_sit_need_nothing_filled_in(tmp_path: Path) -> None:
    columns = axes("fork_axle_", up=9.81) | axes("crown_", up=9.81) | axes("swingarm_", up=9.81)
    text = drafted(log_of(tmp_path, columns | {"mag_x": 30.0, "temp_c": 21.0, "rpm": 40.0}))
    assert {name: (own["end"], own["on"]) for name, own in sensors_of(text).items() if "end" in own} == {
        "fork_axle": ("front", "wheel"),
        "crown": ("front", "chassis"),
        "swingarm": ("rear", "wheel"),
    }
    (tmp_path / "ride_day.toml").write_text(dated(text), encoding="utf-8")
    day = read_ride_day(tmp_path)
    assert all(isinstance(sensor, InertialSensor) for sensor in day.sensors.values())
    assert [run.name for run in day.runs] == ["run_1"]


def test_numbered_sensors_have_names_of_their_own(tmp_path: Path) -> None:
    columns = {f"a{axis}{number}": 1.0 if axis == "z" else 0.0 for number in (1, 2) for axis in "xyz"}
    text = drafted(log_of(tmp_path, columns))
    assert set(sensors_of(text)) == {"inertial_1", "inertial_2"}
    assert text.count('# end = <"front" or "rear">') == 2


def test_what_names_dont_tell_is_asked_for(tmp_path: Path) -> None:
    text = drafted(log_of(tmp_path, axes("", up=1.0)))
    assert '# end = <"front" or "rear">' in text
    assert '# on = <"chassis" or "wheel">' in text
    assert sensors_of(text) == {
        "inertial": {
            "kind": "inertial",
            "columns": {"ax": "ax", "ay": "ay", "az": "az"},
            "acceleration_unit": "g",
        }
    }
    for asked, answer in (("end", "rear"), ("on", "wheel")):
        text = re.sub(rf"(?m)^# {asked} = <.*$", f'{asked} = "{answer}"', text)
    (tmp_path / "ride_day.toml").write_text(dated(text), encoding="utf-8")
    (sensor,) = read_ride_day(tmp_path).sensors.values()
    assert isinstance(sensor, InertialSensor)
    assert (sensor.end, sensor.on) == ("rear", "wheel")


def test_nothing_is_said_of_an_ends_position(tmp_path: Path) -> None:
    text = drafted(log_of(tmp_path, axes("", up=1.0)))
    for words in ("travel", "stroke", "lifted", "sag", "displacement"):
        assert words not in text
    assert '# log = "still_1.csv"' in text


@pytest.mark.parametrize(
    ("up", "unit"),
    [(0.81, "g"), (1.24, "g"), (7.9, "m/s2"), (9.81, "m/s2"), (12.2, "m/s2"), (810.5, "milli-g"), (1239.5, "milli-g")],
)
def test_the_unit_by_its_size(tmp_path: Path, up: float, unit: str) -> None:
    text = drafted(log_of(tmp_path, axes("frame_", up=up), shaken=0.0))
    assert sensors_of(text)["frame"]["acceleration_unit"] == unit
    assert "by its size" in text


@pytest.mark.parametrize("up", [0.3, 0.78, 1.3, 7.7, 12.5, 780.0])
def test_an_unclear_size_is_asked_for(tmp_path: Path, up: float) -> None:
    text = drafted(log_of(tmp_path, axes("frame_", up=up), shaken=0.0))
    assert '# acceleration_unit = <"g", "m/s2", "milli-g" or "counts">' in text
    assert f"in these logs {up:.4g}." in text


def test_counts_ask_for_counts_a_g(tmp_path: Path) -> None:
    gyro = {f"frame_g{axis}": 300.0 for axis in "xyz"}
    text = drafted(log_of(tmp_path, axes("frame_", up=16384) | gyro, shaken=0.0))
    assert sensors_of(text)["frame"]["acceleration_unit"] == sensors_of(text)["frame"]["rotation_unit"] == "counts"
    assert "# counts_per_g = <near 16384>" in text
    assert "# counts_per_deg_s = <counts>" in text


def test_a_hard_ride_is_measured_by_its_mean(tmp_path: Path) -> None:
    """Shaken by 1.5 g rms about every axis, the three together read 2.5 g row by row; gravity is 1 g all the same."""
    text = drafted(log_of(tmp_path, axes("frame_", up=1.0), shaken=1.5))
    assert sensors_of(text)["frame"]["acceleration_unit"] == "g"


@pytest.mark.parametrize(
    ("unit", "up", "per_g"), [("cm/s2", 980.5, 980.665), ("mm/s^2", 9806.5, 9806.65), ("ft/s2", 32.2, 32.174)]
)
def test_units_a_ride_day_does_not_know_are_counts(tmp_path: Path, unit: str, up: float, per_g: float) -> None:
    columns = {f"acc({axis}) [{unit}]": up if axis == "z" else 0.0 for axis in "xyz"}
    (sensor,) = sensors_of(drafted(log_of(tmp_path, columns))).values()
    assert (sensor["acceleration_unit"], sensor["counts_per_g"]) == ("counts", pytest.approx(per_g, rel=1e-4))


def test_an_unknown_unit_is_asked_for_whatever_its_size(tmp_path: Path) -> None:
    columns = {f"acc_{axis} (dm/s2)": 98.1 if axis == "z" else 0.0 for axis in "xyz"}
    gyro = {f"gyro_{axis} (turns/s)": 30.5 for axis in "xyz"}
    text = drafted(log_of(tmp_path, columns | gyro))
    assert "TO DO the unit, dm/s2 by its columns' names" in text
    assert "TO DO the unit of rotation, turns/s by its columns' names" in text


@pytest.mark.parametrize("up", [810.0, 1000.0, 1024.0])
def test_whole_numbers_about_a_thousand_may_be_counts_and_are_asked_for(tmp_path: Path, up: float) -> None:
    """A converter of 1024 counts a g reads 2.4 % beyond milli-g, and its rotation is in counts too."""
    gyro = {f"frame_g{axis}": 300.0 for axis in "xyz"}
    text = drafted(log_of(tmp_path, axes("frame_", up=up) | gyro, shaken=0.0))
    assert '# acceleration_unit = <"milli-g" or "counts">' in text
    assert '# rotation_unit = <"deg/s", "rad/s" or "counts">' in text


def test_acceleration_without_gravity_is_told_and_left_out_beside_a_whole_one(tmp_path: Path) -> None:
    linear = {f"LinAcc{axis}": 0.0 for axis in "XYZ"}
    alone = drafted(log_of(tmp_path, linear, shaken=1.0))
    assert "gravity isn't in" in alone
    beside = drafted(log_of(tmp_path, axes("frame_", up=1.0) | linear))
    assert set(sensors_of(beside)) == {"frame"}
    assert "# [sensors.lin]" in beside


NAMED = {
    "AcX": "GyX",
    "accelerometer_x": "gyroscope_x",
    "linear_acceleration.x": "angular_velocity.x",
    "Acceleration X [g]": "Angular rate X [°/s]",
    "Beschleunigung X": "Drehrate X",
    "imu1.ax": "imu1.gx",
    "AccelX_g": "GyroX_dps",
}


@pytest.mark.parametrize("name", NAMED)
def test_what_has_three_axes_is_no_fork(tmp_path: Path, name: str) -> None:
    forms = (name, NAMED[name], "BX", "mag_x", "Euler X")
    columns = {
        form[:place] + (axis if form[place] == "x" else axis.upper()) + form[place + 1 :]: level
        for form, up in zip(forms, (1.01, 25.5, 30.5, 40.5, 60.5), strict=True)
        for place in [max(form.rfind("x"), form.rfind("X"))]
        for axis, level in zip("xyz", (0.0, 0.0, up), strict=True)
    }
    (sensor,) = sensors_of(drafted(log_of(tmp_path, columns | {"Tmp": 21.0}, shaken=1e-4))).values()
    assert (sensor["kind"], len(sensor["columns"]), sensor["acceleration_unit"]) == ("inertial", 6, "g")  # type: ignore[arg-type]
    assert sensor["rotation_unit"] == "deg/s"


def test_axes_alone_are_acceleration_by_unit_or_by_gravity(tmp_path: Path) -> None:
    by_size = sensors_of(drafted(log_of(tmp_path, {"x": 0.0, "y": 0.0, "z": 9.81})))
    assert [own["kind"] for own in by_size.values()] == ["inertial"]
    assert sensors_of(drafted(log_of(tmp_path, {"x": 0.0, "y": 0.0, "z": 431.5}))) == {}


def test_thousandths_of_a_degree_a_second_are_counts(tmp_path: Path) -> None:
    gyro = {f"gyro_{axis}_mdps": 30_000.0 for axis in "xyz"}
    (sensor,) = sensors_of(drafted(log_of(tmp_path, axes("", up=1.01) | gyro))).values()
    assert (sensor["rotation_unit"], sensor["counts_per_deg_s"]) == ("counts", 1000)


def test_rotation_with_decimals_is_no_count(tmp_path: Path) -> None:
    gyro = {f"frame_g{axis}": 30.25 for axis in "xyz"}
    text = drafted(log_of(tmp_path, axes("frame_", up=8192) | gyro, shaken=0.0))
    assert sensors_of(text)["frame"]["acceleration_unit"] == "counts"
    assert sensors_of(text)["frame"]["rotation_unit"] == "deg/s"


@pytest.mark.parametrize(
    ("up", "turning", "unit"),
    [(1.02, 25.0, "deg/s"), (9.81, 25.0, "deg/s"), (9.81, 3.0, "rad/s"), (1.02, 3.0, None), (1.02, 5000.0, None)],
)
def test_the_unit_of_rotation_by_its_size(tmp_path: Path, up: float, turning: float, unit: str | None) -> None:
    gyro = {f"frame_g{axis}": turning for axis in "xyz"}
    text = drafted(log_of(tmp_path, axes("frame_", up=up) | gyro, shaken=0.0))
    assert sensors_of(text)["frame"].get("rotation_unit") == unit
    assert ('# rotation_unit = <"deg/s", "rad/s" or "counts">' in text) is (unit is None)


def test_units_by_name_go_before_size(tmp_path: Path) -> None:
    columns = {f"Accel{axis}_mg": 9.81 if axis == "Z" else 0.0 for axis in "XYZ"}
    assert sensors_of(drafted(log_of(tmp_path, columns)))["inertial"]["acceleration_unit"] == "milli-g"


def test_two_axes_are_no_sensor(tmp_path: Path) -> None:
    text = drafted(
        log_of(tmp_path, {"x_acceleration": 1.0, "y_acceleration": 0.5, "fork_angle": 0.3, "lean_rate": 1.0})
    )
    assert 'columns "x_acceleration", "y_acceleration" look like acceleration, but not along three axes' in text
    assert "no column looks like an end's position" in text
    assert sensors_of(text) == {}


def test_beside_displacement_sensors_they_are_comments(tmp_path: Path) -> None:
    text = drafted(log_of(tmp_path, {"A0": 2000.0, "A1": 1900.0} | axes("fork_", up=1.0)))
    assert set(sensors_of(text)) == {"fork", "shock"}
    assert "# [sensors.fork_imu]" in text
    table = text[text.index("# [sensors.fork_imu]") : text.index("# TO DO what was ridden")]
    assert all(line.startswith("#") for line in table.strip().splitlines())
    assert "ahead_of_axle_mm" not in table  # taken up as it stands it would be no TOML, and travel needs no place


def test_a_recording_that_hardly_moves_is_no_run(tmp_path: Path) -> None:
    log_of(tmp_path, axes("frame_", up=1.0), shaken=0.5)
    text = drafted(log_of(tmp_path, axes("frame_", up=1.0), "quiet.csv", shaken=0.001))
    assert [run["log"] for run in tomllib.loads(text)["runs"]] == ["run_1.csv"]
    assert '# TO DO "quiet.csv": is it a still recording? its name doesn\'t tell' in text


def test_odd_letters_in_names_stay_readable(tmp_path: Path) -> None:
    columns = {f'fork"\u202e_a{axis}': 1.0 if axis == "z" else 0.0 for axis in "xyz"}
    text = drafted(log_of(tmp_path, columns))
    assert "\u202e" not in text
    assert len(sensors_of(text)["fork"]["columns"]) == 3  # type: ignore[arg-type]


def test_runs_of_another_logger_are_told_apart(tmp_path: Path) -> None:
    log_of(tmp_path, axes("frame_", up=1.0), name="imu_1.csv", shaken=0.5)
    assert "aren't in" not in drafted(tmp_path)
    log_of(tmp_path, {"A0": 2000.0, "A1": 1900.0}, name="pots_1.csv")
    text = drafted(tmp_path)
    assert '# TO DO columns of the sensors above aren\'t in "pots_1.csv".' in text
    assert "imu_1" not in text[text.index("aren't in") : text.index("[[runs]]")]
    tomllib.loads(text)
