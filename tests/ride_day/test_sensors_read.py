"""Sensors: calibration points, what each kind needs, and columns by name or number."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from telemetry.errors import Problem
from telemetry.model.day import RideDay
from telemetry.model.sensor import (
    DisplacementSensor,
    DistanceSensor,
    GroundSpeedSensor,
    InertialSensor,
    MarkerSensor,
    PositionFixSensor,
    WheelPulseSensor,
)

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

POINTS = "points = [[212, 0.0], [3770, 170.0]]"
CURVE = 'calibration = "line"', 'calibration = "curve"'


def points(text: str) -> tuple[str, str]:
    return POINTS, f"points = {text}"


def test_a_displacement_sensor(read: Read) -> None:
    sensors = read().sensors
    assert sensors["fork"] == DisplacementSensor(
        name="fork",
        end="front",
        column="A0",
        measures="travel",
        points=((212.0, 0.0), (3770.0, 170.0)),
        calibration="line",
        counts_range=(0.0, 4095.0),
    )
    shock = sensors["shock"]
    assert isinstance(shock, DisplacementSensor)
    assert (shock.measures, shock.calibration, shock.counts_range) == ("stroke", "line", None)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("[]", "no calibration points"),
        ("[[212, 0.0]]", "1 calibration point"),
        ("[[212, 0.0], [212, 170.0]]", "the reading 212 twice"),
        ("[[212, 0.0], [3770, 170.0], [212, 1.0]]", "the reading 212 twice"),
        ("[[212, 5], [3770, 5]]", "5 mm at every point"),
    ],
)
def test_points_that_calibrate_nothing(problems: Problems, text: str, found: str) -> None:
    assert problems(points(text))["sensors.fork.points"].found == found


@pytest.mark.parametrize("text", ["[[212, 0.0, 1], [3770, 170.0]]", '[["a", 0.0], [3770, 170.0]]', "[212, 3770]"])
def test_points_that_are_no_pairs(problems: Problems, text: str) -> None:
    assert any(key.startswith("sensors.fork.points") for key in problems(points(text)))


def test_points_may_stand_in_any_order_and_fall(read: Read) -> None:
    sensor = read(points("[[3770, 0], [212, 170]]")).sensors["fork"]
    assert isinstance(sensor, DisplacementSensor)
    assert sensor.points == ((3770.0, 0.0), (212.0, 170.0))


def test_a_curve_needs_three_points(problems: Problems) -> None:
    problem = problems(CURVE)["sensors.fork.points"]
    assert "2 points" in problem.found
    assert "three or more" in problem.expected


@pytest.mark.parametrize("text", ["[[0, 0], [10, 5], [20, 4]]", "[[0, 0], [10, 5], [20, 5]]"])
def test_a_curve_must_be_monotone(problems: Problems, text: str) -> None:
    assert "turns back" in problems(CURVE, points(text))["sensors.fork.points"].found


@pytest.mark.parametrize("text", ["[[0, 0], [20, 90], [10, 50]]", "[[0, 90], [10, 50], [20, 0]]"])
def test_a_monotone_curve_passes_in_any_order(read: Read, text: str) -> None:
    sensor = read(CURVE, points(text)).sensors["fork"]
    assert isinstance(sensor, DisplacementSensor)
    assert sensor.calibration == "curve"


def test_a_line_through_more_points_need_not_be_monotone(read: Read) -> None:
    assert read(points("[[0, 0], [10, 50], [20, 49]]"))


def test_measures_is_required_at_the_rear(problems: Problems) -> None:
    problem = problems(('measures = "stroke"\n', ""))["sensors.shock.measures"]
    assert (problem.found, "'stroke' or 'travel'" in problem.expected) == ("nothing", True)


def test_a_forks_stroke_is_its_travel(problems: Problems) -> None:
    assert "'travel'" in problems((POINTS, POINTS + '\nmeasures = "stroke"'))["sensors.fork.measures"].expected


@pytest.mark.parametrize("key", ["kind", "end", "column", "points"])
def test_what_a_displacement_sensor_cannot_do_without(problems: Problems, key: str) -> None:
    block = 'kind = "displacement"\nend = "front"\ncolumn = "A0"\npoints = [[212, 0.0], [3770, 170.0]]'
    left = "\n".join(line for line in block.splitlines() if not line.startswith(key))
    found = problems((block, left))
    assert list(found) in (["sensors.fork"], [f"sensors.fork.{key}"])
    assert "kind" in next(iter(found.values())).expected or "required" in next(iter(found.values())).expected


@pytest.mark.parametrize(
    ("column", "right"),
    [('"A 0"', True), ("3", True), ("0", False), ("-1", False), ('""', False), ("true", False), ("1.5", False)],
)
def test_a_column_is_a_name_or_a_number_from_1(read: Read, problems: Problems, column: str, *, right: bool) -> None:
    edit = ('column = "A0"', f"column = {column}")
    if right:
        assert read(edit)
    else:
        assert "counted from 1" in problems(edit)["sensors.fork.column"].expected


def test_two_displacement_sensors_at_one_end(problems: Problems) -> None:
    found = problems(
        more='[sensors.fork_2]\nkind = "displacement"\nend = "front"\ncolumn = 4\npoints = [[0, 0], [9, 9]]\n'
    )
    assert "one displacement sensor" in found["sensors.fork_2.end"].expected


INERTIAL = """\
[sensors.crown]
kind = "inertial"
end = "front"
on = "chassis"
columns = { ax = "ax", ay = 5, az = "az", gx = "gx", gy = "gy", gz = "gz" }
acceleration_unit = "g"
rotation_unit = "deg/s"
"""


def test_an_inertial_sensor(read: Read) -> None:
    assert read(more=INERTIAL).sensors["crown"] == InertialSensor(
        name="crown",
        end="front",
        on="chassis",
        columns={"ax": "ax", "ay": 5, "az": "az", "gx": "gx", "gy": "gy", "gz": "gz"},
        acceleration_unit="g",
        rotation_unit="deg/s",
    )


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('az = "az", ', "", "sensors.crown.columns"),
        ('rotation_unit = "deg/s"\n', "", "sensors.crown.rotation_unit"),
        ('acceleration_unit = "g"\n', "", "sensors.crown.acceleration_unit"),
        ('"chassis"', '"bar"', "sensors.crown.on"),
        ('"deg/s"', '"rpm"', "sensors.crown.rotation_unit"),
        ('az = "az"', 'ac = "az"', "sensors.crown.columns.ac"),
        (', gz = "gz"', "", "sensors.crown.columns"),
        (', gx = "gx", gy = "gy", gz = "gz"', "", "sensors.crown.rotation_unit"),
        ('"g"\n', '"counts"\n', "sensors.crown.counts_per_g"),
        ('"g"\n', '"g"\ncounts_per_g = 2048\n', "sensors.crown.counts_per_g"),
        ('"g"\n', '"counts"\ncounts_per_g = 0\n', "sensors.crown.counts_per_g"),
        ('"deg/s"\n', '"counts"\n', "sensors.crown.counts_per_deg_s"),
        ('"deg/s"\n', '"deg/s"\ncounts_per_deg_s = 16.4\n', "sensors.crown.counts_per_deg_s"),
        ('"deg/s"\n', '"deg/s"\nrange_g = 0.5\n', "sensors.crown.range_g"),
        ('"deg/s"\n', '"deg/s"\nrange_deg_s = 5\n', "sensors.crown.range_deg_s"),
    ],
)
def test_wrong_inertial_sensors(problems: Problems, old: str, new: str, key: str) -> None:
    assert old in INERTIAL
    assert key in problems(more=INERTIAL.replace(old, new))


def test_an_inertial_sensor_in_counts_with_its_ranges(read: Read) -> None:
    text = INERTIAL.replace('"g"\n', '"counts"\ncounts_per_g = 2048\nrange_g = 16\n')
    crown = read(more=text.replace('"deg/s"', '"counts"\ncounts_per_deg_s = 16.4\nrange_deg_s = 2000')).sensors["crown"]
    assert isinstance(crown, InertialSensor)
    assert (crown.acceleration_unit, crown.counts_per_g, crown.range_g) == ("counts", 2048.0, 16.0)
    assert (crown.rotation_unit, crown.counts_per_deg_s, crown.range_deg_s) == ("counts", 16.4, 2000.0)


def test_two_inertial_sensors_at_one_place(problems: Problems, read: Read) -> None:
    other = INERTIAL.replace("crown", "stem")
    found = problems(more=INERTIAL + other)
    assert "sensors.stem.end" in found
    assert set(read(more=INERTIAL + other.replace('"chassis"', '"wheel"')).sensors) >= {"crown", "stem"}


def test_every_other_kind(read: Read) -> None:
    more = """\
[sensors.speed]
kind = "ground_speed"
column = "v"
unit = "km/h"
[sensors.pulses]
kind = "wheel_pulses"
column = 7
pulses_per_turn = 12
wheel_circumference_in = 90
[sensors.distance]
kind = "distance"
column = "d"
[sensors.fix]
kind = "position_fix"
lat = "lat"
lon = "lon"
[sensors.button]
kind = "marker"
column = "b"
equals = 1
[sensors.word]
kind = "marker"
column = "events"
equals = "DAQ Start"
"""
    sensors = read(more=more).sensors
    assert sensors["speed"] == GroundSpeedSensor(name="speed", column="v", unit="km/h")
    assert sensors["pulses"] == WheelPulseSensor(
        name="pulses", column=7, pulses_per_turn=12.0, wheel_circumference_mm=2286.0
    )
    assert sensors["distance"] == DistanceSensor(name="distance", column="d")
    assert sensors["fix"] == PositionFixSensor(name="fix", lat="lat", lon="lon")
    assert sensors["button"] == MarkerSensor(name="button", column="b", equals=1.0)
    assert sensors["word"] == MarkerSensor(name="word", column="events", equals="DAQ Start")


@pytest.mark.parametrize(
    ("lines", "key", "expected"),
    [
        ('kind = "ground_speed"\ncolumn = 1\nunit = "mph"', "sensors.x.unit", "km/h"),
        (
            'kind = "wheel_pulses"\ncolumn = 1\npulses_per_turn = 0\nwheel_circumference_mm = 2200',
            "sensors.x.pulses_per_turn",
            "pulses a turn",
        ),
        (
            'kind = "wheel_pulses"\ncolumn = 1\npulses_per_turn = 1\nwheel_circumference_in = 900',
            "sensors.x.wheel_circumference_in",
            " in",
        ),
        ('kind = "marker"\ncolumn = 1\nequals = true', "sensors.x.equals", "number or the text"),
        ('kind = "marker"\ncolumn = 1\nequals = nan', "sensors.x.equals", "number"),
        ('kind = "position_fix"\nlat = 1\nlong = 2', "sensors.x.long", "'lon'"),
        ('kind = "sonar"\ncolumn = 1', "sensors.x.kind", "a kind of sensor"),
        ("column = 1", "sensors.x", "marker"),
    ],
)
def test_other_kinds_gone_wrong(problems: Problems, lines: str, key: str, expected: str) -> None:
    assert expected in problems(more=f"[sensors.x]\n{lines}\n")[key].expected


def test_a_sensor_that_is_no_table(problems: Problems) -> None:
    assert "table" in problems(("[sensors.fork]", "[sensors]\nx = 3\n[sensors.fork]"))["sensors.x"].expected
