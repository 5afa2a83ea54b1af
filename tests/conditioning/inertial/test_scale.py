"""At rest 1 g is read, in every unit; else the likely unit or scale is named."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.inertial import InertialRecipe
from telemetry.conditioning.inertial.gravity import gravity_felt, likely_unit, own_scale
from telemetry.conditioning.inertial.rest import rest_of
from telemetry.conditioning.inertial.scaling import m_s2_a_reading, rad_s_a_reading
from tests.conditioning.inertial.felt import G, Motion, cleaned, columns, sensor, standing
from tests.conditioning.made_ends import front_end, ride_of
from tests.measures.made_rides import made_log
from tests.thresholds import threshold

AT_REST = threshold("conditioning.inertial.gravity.AT_REST_SHARE")
MOVING = threshold("conditioning.inertial.gravity.MOVING_SHARE")
LARGEST_G = threshold("conditioning.inertial.readied.LARGEST_G")


@pytest.mark.parametrize(
    ("keys", "a_g"),
    [
        ({"acceleration_unit": "g"}, 1.0),
        ({"acceleration_unit": "milli-g"}, 1000.0),
        ({"acceleration_unit": "m/s2"}, G),
        ({"acceleration_unit": "counts", "counts_per_g": 2048.0}, 2048.0),
    ],
)
def test_every_unit_reads_gravity(keys: dict[str, object], a_g: float) -> None:
    found = cleaned(columns(standing(6.0), a_g=a_g), sensor(**keys))
    assert found.signal is not None
    assert found.signal.specific_force_m_s2.mean(axis=0) == pytest.approx([0.0, 0.0, G], abs=5e-3)
    assert found.findings == ()


@pytest.mark.parametrize(
    ("keys", "a_rad_s"),
    [
        ({"rotation_unit": "rad/s"}, 1.0),
        ({"rotation_unit": "deg/s"}, 57.29577951),
        ({"rotation_unit": "counts", "counts_per_deg_s": 16.4}, 16.4 * 57.29577951),
    ],
)
def test_every_unit_of_rotation(keys: dict[str, object], a_rad_s: float) -> None:
    assert rad_s_a_reading(sensor(**keys)) * a_rad_s == pytest.approx(1.0)


def test_counts_without_their_scale_give_nothing() -> None:
    with pytest.raises(ValueError, match="crown: counts_per_g isn't known"):
        m_s2_a_reading(sensor(acceleration_unit="counts"))
    with pytest.raises(ValueError, match="crown: the unit of its rotation isn't known"):
        rad_s_a_reading(sensor(rotation_unit="counts"))
    with pytest.raises(ValueError, match="the unit of its rotation isn't known"):
        rad_s_a_reading(sensor(gyroscope=False))


@pytest.mark.parametrize(
    ("stated", "a_g", "named"),
    [
        ("g", 1000.0, "acceleration_unit = 'milli-g' in place of acceleration_unit = 'g'?"),
        ("g", G, "acceleration_unit = 'm/s2' in place of"),
        ("m/s2", 1.0, "acceleration_unit = 'g' in place of acceleration_unit = 'm/s2'?"),
        ("m/s2", 2048.0, "acceleration_unit = 'counts' and counts_per_g = 2048 in place of"),
        ("g", 4096.0, "counts_per_g = 4096 in place of"),
        ("milli-g", 8192.0, "counts_per_g = 8192 in place of"),
        ("g", 16384.0, "counts_per_g = 16384 in place of"),
        ("g", 700.0, "if they are right, state acceleration_unit = 'counts' and counts_per_g = 700 in place of"),
        ("g", 1.05, "check its columns; if they are right, state acceleration_unit = 'counts' and counts_per_g = 1.05"),
        (
            "g",
            0.5,
            "right, state acceleration_unit = 'counts' and counts_per_g = 0.5 in place of acceleration_unit = 'g'",
        ),
    ],
)
def test_the_likely_unit_is_named(stated: str, a_g: float, named: str) -> None:
    found = cleaned(columns(standing(6.0), a_g=a_g), sensor(acceleration_unit=stated))
    assert found.signal is None
    assert found.out is not None
    assert (found.out.code, found.out.end, found.out.severity) == ("wrong_scale", "front", "warning")
    assert named in found.out.message
    assert "1 g within 3 % is expected" in found.out.message


def test_a_range_set_anew_in_between_is_told() -> None:
    """The recording at rest reads 1 g, the ride 2."""
    axes = np.zeros((3, 1200))
    axes[2] = G
    rest = rest_of("still_1.csv", axes, None, 200.0, ((0, 1200),))
    found = cleaned(columns(standing(6.0), a_g=2.0), sensor(acceleration_unit="g"), still=rest)
    assert found.out is not None
    assert "reads 2 g at rest (where the ride stands)" in found.out.message


def test_counts_of_another_range_are_named() -> None:
    stated = sensor(acceleration_unit="counts", counts_per_g=2048.0)
    found = cleaned(columns(standing(6.0), a_g=4096.0), stated)
    assert found.out is not None
    assert "counts_per_g = 4096 in place of acceleration_unit = 'counts' and counts_per_g = 2048?" in found.out.message


@pytest.mark.parametrize(("off", "right"), [(0.999, True), (1.001, False)])
@pytest.mark.parametrize("sign", [1, -1])
def test_three_percent_at_rest(off: float, sign: int, right: bool) -> None:
    found = cleaned(
        columns(standing(6.0), a_g=1 + sign * off * AT_REST, noise_m_s2=1e-3), sensor(acceleration_unit="g")
    )
    assert (found.out is None) is right


@pytest.mark.parametrize(("off", "right"), [(0.99, True), (1.01, False)])
def test_a_wider_band_where_it_never_rests(off: float, right: bool) -> None:
    time_s = np.arange(4000) / 200.0
    shaking = Motion(
        rate_hz=200.0,
        upward=2.0 * np.sin(2 * np.pi * 5.0 * time_s),
        forward=np.zeros(4000),
        pitch=np.zeros(4000),
        roll=np.zeros(4000),
    )
    found = cleaned(columns(shaking, a_g=1 + off * MOVING, noise_m_s2=1e-3), sensor(acceleration_unit="g"))
    assert (found.out is None) is right
    if found.out is not None:
        assert "on average: it is never at rest in this log; 1 g within 12 % is expected" in found.out.message


def test_more_than_any_bike_feels() -> None:
    read = columns(standing(6.0), a_g=1.0)
    read["ax"][700] = LARGEST_G
    assert cleaned(read, sensor(acceleration_unit="g")).out is None
    read["ax"][700] = 1.0001 * LARGEST_G
    found = cleaned(read, sensor(acceleration_unit="g"))
    assert found.signal is None
    assert found.out is not None
    assert found.out.code == "odd_acceleration"
    assert "'crown' tells 1000 g (1000 at most are believed): it is left out" in found.out.message


@pytest.mark.parametrize(("beside", "severity"), [("a fork's travel", "warning"), ("nothing", "error")])
def test_where_nothing_else_measures_its_end_the_end_is_lost(beside: str, severity: str) -> None:
    """A log with both has its fork measured, whatever the other says."""
    read = columns(standing(6.0), a_g=1000.0) | {"A0": np.full(1200, 1500.0)}
    ends = (front_end(),) if beside != "nothing" else ()
    wrong = InertialRecipe(sensor=sensor(acceleration_unit="g"))
    ride = ride_of(made_log(read, 200.0), *ends, inertial=(wrong,))
    (told,) = [item for item in ride.findings if item.code == "wrong_scale"]
    assert (told.severity, told.end) == (severity, "front")
    assert ride.inertial == {}


@pytest.mark.parametrize("counts", [2**bits for bits in range(8, 15)])
def test_usual_counts_are_named_from_a_tenth_below_to_a_tenth_above(counts: int) -> None:
    share = threshold("conditioning.inertial.gravity.NAMED_SHARE")
    words = f"acceleration_unit = 'counts' and counts_per_g = {counts}"
    reads_g = sensor(acceleration_unit="g")
    below = -0.01 if counts == 1024 else -0.99  # further below lies a thousand, milli-g
    for off in (below * share, 0.0, 0.99 * share):
        assert likely_unit(reads_g, counts * (1 + off)) == words
    for off in (-1.01 * share, 1.01 * share):
        assert likely_unit(reads_g, counts * (1 + off)) != words


def test_its_own_scale_is_what_it_reads_by_its_unit() -> None:
    assert own_scale(sensor(acceleration_unit="milli-g"), 0.7) == "acceleration_unit = 'counts' and counts_per_g = 700"
    assert own_scale(sensor(acceleration_unit="g"), 100.4).endswith("counts_per_g = 100")
    assert own_scale(sensor(acceleration_unit="g"), 99.44).endswith("counts_per_g = 99.44")


def test_of_several_rests_the_one_furthest_off_counts() -> None:
    axes = np.zeros((3, 1200))
    axes[2] = G
    near, far = (rest_of(name, axes * by, None, 200.0, ((0, 1200),)) for name, by in (("near", 1.05), ("far", 0.9)))
    assert near is not None
    assert far is not None
    for rests in ((near, far), (far, near)):
        felt = gravity_felt(axes, 200.0, ((0, 1200),), rests)
        assert (felt.level_g, felt.source) == (pytest.approx(0.9), "at rest (far)")


class TestNeverAtRest:
    """The middle of means over 2 s, 400 samples at 200 Hz: three quarters of each stretch as long are felt upward."""

    def level_g(self, count: int, segments: tuple[tuple[int, int], ...]) -> float:
        axes = np.zeros((3, count))
        axes[2] = G * np.where(np.arange(count) % 400 < 300, 1.0, -1.0)
        axes[2, -400:] *= 5.0
        return gravity_felt(axes, 200.0, segments, ()).level_g

    def test_means_of_2_s(self) -> None:
        assert threshold("conditioning.inertial.gravity.SLOW_S") == 2.0
        assert self.level_g(2_000, ((0, 2_000),)) == pytest.approx(0.5)
        assert self.level_g(2_000, ((0, 100), (400, 2_000))) == pytest.approx(0.5)

    def test_of_a_shorter_ride_its_mean(self) -> None:
        assert self.level_g(700, ((0, 100), (0, 200))) == pytest.approx(1.0)
        assert self.level_g(1_100, ((300, 600),)) == pytest.approx(1 / 3)
