"""Axes of inertial sensors by their columns' names, as loggers and their software write them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.logs import sketch_log
from telemetry.logs.axes import axis_of, inertial_sketches


@pytest.mark.parametrize(
    ("name", "axis", "unit", "rest"),
    [
        ("ax", "ax", None, ()),
        ("AccelX_g", "ax", "g", ()),
        ("acc_y", "ay", None, ()),
        ("ACCZ", "az", None, ()),
        ("gx", "gx", None, ()),
        ("GyroX", "gx", None, ()),
        ("wz", "gz", None, ()),
        ("accel_x (m/s^2)", "ax", "m/s2", ()),
        ("Acceleration Y [mg]", "ay", "milli-g", ()),
        ("fork_ax", "ax", None, ("fork",)),
        ("axle_az", "az", None, ("axle",)),
        ("FRAME_AX", "ax", None, ("frame",)),
        ("ax_front", "ax", None, ("front",)),
        ("ax2", "ax", None, ("2",)),
        ("IMU1.AccX", "ax", None, ("imu", "1")),
        ("x_acceleration", "ax", None, ()),
        ("front_acc_x_m_s2", "ax", "m/s2", ("front",)),
        ("gyro_z_dps", "gz", "deg/s", ()),
        ("Gyro_X(rad/s)", "gx", "rad/s", ()),
    ],
)
def test_names_tell_axis_unit_and_place(name: str, axis: str, unit: str | None, rest: tuple[str, ...]) -> None:
    found = axis_of(name)
    assert found is not None
    assert (found.axis, found.unit, found.rest) == (axis, unit, rest)


@pytest.mark.parametrize(
    "name", ["mag_x", "mx", "magX_g", "x", "t_ms", "A0", "max", "tax", "speed", "gps_x", "lean_rate", "roll", "gain"]
)
def test_other_names_are_no_axes(name: str) -> None:
    assert axis_of(name) is None


def test_a_row_of_units_tells_the_unit() -> None:
    found = axis_of("ax", "m/s²")
    assert found is not None
    assert found.unit == "m/s2"


def columns(names: str, **sizes: float) -> dict[int, np.ndarray]:
    random = np.random.default_rng(1)
    return {
        place: sizes.get(name, 0.0) + 0.01 * random.standard_normal(200) for place, name in enumerate(names.split())
    }


def test_sensors_are_told_apart_by_the_rest_of_their_names() -> None:
    names = "fork_ax fork_ay fork_az frame_ax frame_ay frame_az frame_gx frame_gy frame_gz"
    fork, frame = inertial_sketches(names.split(), (), columns(names, fork_az=1.0, frame_ay=-9.81))
    assert (fork.words, fork.columns) == (("fork",), {"ax": 1, "ay": 2, "az": 3})
    assert (frame.words, frame.columns["gz"]) == (("frame",), 9)
    assert fork.acceleration == pytest.approx(1.0, abs=0.01)
    assert frame.acceleration == pytest.approx(9.81, abs=0.01)


def test_rotation_named_otherwise_belongs_to_the_only_sensor() -> None:
    names = "imu_acc_x imu_acc_y imu_acc_z gx gy gz"
    (only,) = inertial_sketches(names.split(), (), columns(names, imu_acc_z=1.0))
    assert set(only.columns) == {"ax", "ay", "az", "gx", "gy", "gz"}


def test_gx_gy_gz_as_long_as_gravity_are_acceleration_in_g() -> None:
    names = "gx gy gz"
    (only,) = inertial_sketches(names.split(), (), columns(names, gy=1.0))
    assert set(only.columns) == {"ax", "ay", "az"}
    assert inertial_sketches(names.split(), (), columns(names)) == ()  # a gyroscope alone


def test_a_part_of_a_gyroscope_is_left_out() -> None:
    names = "ax ay az gx gz"
    (only,) = inertial_sketches(names.split(), (), columns(names, az=1.0))
    assert set(only.columns) == {"ax", "ay", "az"}


def test_readings_no_sensor_gives_have_no_length() -> None:
    names = "ax ay az"
    (only,) = inertial_sketches(names.split(), (), columns(names, az=1e200))
    assert not np.isfinite(only.acceleration)


def test_two_axes_are_no_whole_sensor() -> None:
    names = "x_acceleration y_acceleration"
    (only,) = inertial_sketches(names.split(), (), columns(names))
    assert not only.whole


OTHERS = (
    *("mag_x", "mag_y", "mag_z", "temp_c", "rpm", "speed", "gps_lat", "heading", "throttle"),
    *("lean_angle", "fork_angle", "fork_rate", "hand_torque"),
)


def test_what_else_a_logger_writes_is_no_travel(tmp_path: Path) -> None:
    random = np.random.default_rng(1)
    names = ["t", *OTHERS, "A0", "shock_angle"]
    rows = np.column_stack([np.arange(300) / 100, random.uniform(0, 100, (300, len(names) - 1))])
    np.savetxt(tmp_path / "log.csv", rows, delimiter=",", header=",".join(names), comments="", fmt="%.3f")
    proposals = {column.name: column.proposal for column in sketch_log(tmp_path / "log.csv").columns}
    assert [name for name, proposal in proposals.items() if proposal == "travel"] == ["A0", "shock_angle"]
