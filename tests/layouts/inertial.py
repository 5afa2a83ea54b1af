"""Layouts of the table: inertial sensors by themselves."""

from __future__ import annotations

import math
from collections.abc import Mapping

from tests.layouts.layout import Columns, Layout
from tests.layouts.ride import AXES, COUNTS_PER_DEG_S, COUNTS_PER_G, G_M_S2, Cells, axis, clock, drifting
from tests.logs.written import Manner

THE_SENSOR = ""
"""In place of a sensor's name: the only one that is drafted."""
G, MILLI_G, M_S2 = 1 / COUNTS_PER_G, 1000 / COUNTS_PER_G, G_M_S2 / COUNTS_PER_G
DEG_S, RAD_S = 1 / COUNTS_PER_DEG_S, math.radians(1 / COUNTS_PER_DEG_S)


def sensor(acceleration: str, rotation: str, a: float, g: float, decimals: int = 6) -> Columns:
    """Return a log's columns: clock and a sensor's, named by a form each in which ``*`` stands for the axis' letter."""
    forms, scales = {"a": acceleration, "g": rotation}, {"a": a, "g": g}
    own = [
        (forms[name[0]].replace("*", name[1]), axis(name, scales[name[0]], decimals)) for name in AXES if forms[name[0]]
    ]
    return (("t_ms", clock()), *own)


def beside(columns: Columns, others: Mapping[str, Cells]) -> Columns:
    """Return columns with others between the clock and them."""
    return (columns[0], *others.items(), *columns[1:])


def imu(*lines: str) -> Mapping[str, tuple[str, ...]]:
    """Return what is to be written of the only sensor."""
    return {THE_SENSOR: ('end = "front"', 'on = "chassis"', *lines)}


WHERE = imu()
NOT_MOVEMENT: Mapping[str, Cells] = {
    "mag_x": drifting(30, 20, 7),
    "mag_y": drifting(-12, 25, 6),
    "mag_z": drifting(41, 9, 5),
    "pressure_hPa": drifting(950, 4, 30),
    "temp_c": drifting(24, 3, 20),
}
TURNED: Mapping[str, Cells] = {
    "qw": drifting(0.9, 0.1, 7, 5),
    "qx": drifting(0, 0.3, 6, 5),
    "qy": drifting(0, 0.4, 5, 5),
    "qz": drifting(0, 0.2, 4, 5),
    "Roll": drifting(0, 12, 4),
    "Pitch": drifting(0, 9, 3),
    "Yaw": drifting(180, 90, 9),
}
PLACE: Mapping[str, Cells] = {
    "lat": drifting(47.5, 0.001, 60, 7),
    "lon": drifting(9.2, 0.001, 70, 7),
    "speed_kmh": drifting(24, 6, 8),
}
PER_G, PER_DEG_S = f"counts_per_g = {COUNTS_PER_G:g}", f"counts_per_deg_s = {COUNTS_PER_DEG_S:g}"

INERTIAL = (
    Layout(name="g and degrees a second", columns=sensor("a* (g)", "g* (deg/s)", G, DEG_S), sensors=WHERE),
    Layout(name="the unit behind the axis", columns=sensor("Accel*_g", "Gyro*_dps", G, DEG_S), sensors=WHERE),
    Layout(
        name="m/s² and radians a second", columns=sensor("acc_* (m/s^2)", "gyr_* (rad/s)", M_S2, RAD_S), sensors=WHERE
    ),
    Layout(
        name="units in a row beneath the header",
        columns=sensor("acc_*", "gyro_*", M_S2, DEG_S),
        manner=Manner(units=("ms", *["m/s2"] * 3, *["deg/s"] * 3)),
        sensors=WHERE,
    ),
    Layout(name="names with points", columns=sensor("acc.*", "gyro.*", G, DEG_S), sensors=WHERE),
    Layout(
        name="linear acceleration and angular velocity",
        columns=sensor("linear_acceleration.*", "angular_velocity.*", M_S2, RAD_S),
        sensors=WHERE,
        said="A sensor out of which gravity is taken is told: it can't say which way is up.",
    ),
    Layout(
        name="letters of the axes alone",
        columns=sensor("*", "", G, 1),
        sensors=WHERE,
        said="Read as acceleration where the three together read gravity, or say its unit.",
    ),
    Layout(name="the axis in brackets", columns=sensor("accel(*)", "gyro(*)", G, DEG_S), sensors=WHERE),
    Layout(
        name="cm/s²",
        columns=sensor("Acc * (cm/s²)", "Angular rate * (deg/s)", 100 * M_S2, DEG_S),
        sensors=WHERE,
        said="The draft states counts, 980.665 a g.",
    ),
    Layout(
        name="thousandths of g and of a degree a second",
        columns=sensor("acc_*_mg", "gyro_*_mdps", MILLI_G, 1000 * DEG_S),
        sensors=WHERE,
        said="The draft states rotation in counts, 1000 a degree a second.",
    ),
    Layout(name="no unit named, g", columns=sensor("a*", "g*", G, DEG_S), sensors=WHERE),
    Layout(name="no unit named, m/s²", columns=sensor("a*", "w*", M_S2, RAD_S), sensors=WHERE),
    Layout(name="thousandths of g", columns=sensor("Acc* [mg]", "Gyr* [dps]", MILLI_G, DEG_S), sensors=WHERE),
    Layout(name="thousandths of g that no name tells", columns=sensor("acc*", "", MILLI_G, 1), sensors=WHERE),
    Layout(
        name="counts",
        columns=sensor("imu1.a*", "imu1.g*", 1, 1, 0),
        sensors=imu('acceleration_unit = "counts"', PER_G, 'rotation_unit = "counts"', PER_DEG_S),
        asked="may be thousandths of g, or a converter's counts",
    ),
    Layout(
        name="counts of acceleration alone, 16 384 a g",
        columns=sensor("Accel*", "", 16, 1, 0),
        sensors=imu("counts_per_g = 16384"),
        asked="how many counts are 1 g",
    ),
    Layout(
        name="magnetometer, pressure and temperature beside",
        columns=beside(sensor("acc_*", "gyro_*", G, DEG_S), NOT_MOVEMENT),
        sensors=WHERE,
    ),
    Layout(
        name="a quaternion and angles beside",
        columns=beside(sensor("acc_*", "gyro_*", M_S2, DEG_S), TURNED),
        sensors=WHERE,
    ),
    Layout(
        name="a receiver's places and speed beside, by acceleration",
        columns=beside(sensor("Accel* (g)", "Gyro* (°/s)", G, DEG_S), PLACE),
        sensors=WHERE,
    ),
)
