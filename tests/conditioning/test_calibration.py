"""Calibration against certified straight lines, and curves that stay monotone."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from telemetry.conditioning import calibrate
from telemetry.conditioning.calibration import Curve, Line, fit_line
from tests.conditioning.made_ends import FRONT_MM, codes, fork, front_end, front_ride, rear_end, ride_of, shock
from tests.measures.made_rides import made_log
from tests.published.nist_linear import NOINT1, NOINT1_X, NOINT1_Y, NORRIS, NORRIS_X, NORRIS_Y

UP = ((200.0, 0.0), (900.0, 30.0), (1500.0, 70.0), (2600.0, 110.0), (3900.0, 170.0))
DOWN = tuple((4095.0 - reading, mm) for reading, mm in UP)


def squares(line: Line, x: np.ndarray, y: np.ndarray) -> float:
    return float(np.sum((line.mm(x) - y) ** 2))


class TestCertifiedLines:
    def test_norris(self) -> None:
        line = fit_line(list(zip(NORRIS_X, NORRIS_Y, strict=True)))
        assert line.slope == pytest.approx(NORRIS["slope"], rel=1e-13)
        assert line.offset_mm == pytest.approx(NORRIS["intercept"], rel=1e-10)

    def test_norris_through_the_sensors_own_calibration(self) -> None:
        x, y = np.array(NORRIS_X), np.array(NORRIS_Y)
        found = calibrate(fork(tuple(zip(NORRIS_X, NORRIS_Y, strict=True))))
        off = found.mm(x) - y
        assert off @ off == pytest.approx(NORRIS["residual_squares"], rel=1e-10)
        assert 1 - off @ off / np.sum((y - y.mean()) ** 2) == pytest.approx(NORRIS["r_squared"], rel=1e-13)
        assert found.residual_mm == pytest.approx(np.abs(off).max(), rel=1e-12)
        assert found.slope_mm == pytest.approx(NORRIS["slope"], rel=1e-13)

    @pytest.mark.parametrize("offset", [1e6, 2.0**24])
    def test_norris_far_from_zero(self, offset: float) -> None:
        """A converter of 24 bits reads in the millions; the slope must not suffer for it."""
        x = np.array(NORRIS_X) + offset
        line = fit_line(list(zip(x.tolist(), NORRIS_Y, strict=True)))
        assert line.slope == pytest.approx(NORRIS["slope"], rel=1e-9)
        assert squares(line, x, np.array(NORRIS_Y)) == pytest.approx(NORRIS["residual_squares"], rel=1e-4)

    def test_noint1_through_the_origin(self) -> None:
        """Points and their mirror images about 0 have the line through the origin as their least-squares line."""
        x = np.array([*NOINT1_X, *(-x for x in NOINT1_X)], dtype=float)
        y = np.array([*NOINT1_Y, *(-y for y in NOINT1_Y)], dtype=float)
        line = fit_line(list(zip(x.tolist(), y.tolist(), strict=True)))
        assert line.offset_mm == pytest.approx(0.0, abs=1e-11)
        assert line.slope == pytest.approx(NOINT1["slope"], rel=1e-13)
        assert squares(line, x, y) == pytest.approx(2 * NOINT1["residual_squares"], rel=1e-12)

    def test_noint1_as_it_stands_is_y_equals_x_plus_70(self) -> None:
        line = fit_line(list(zip(NOINT1_X, NOINT1_Y, strict=True)))
        assert (line.slope, line.offset_mm) == pytest.approx((1.0, 70.0), rel=1e-12)


class TestLine:
    def test_two_points_are_met(self) -> None:
        found = calibrate(fork(((100.0, 0.0), (3500.0, 170.0))))
        assert found.mm(np.array([100.0, 1800.0, 3500.0, 0.0])) == pytest.approx([0, 85, 170, -5])
        assert found.residual_mm == pytest.approx(0.0, abs=1e-12)

    def test_a_descending_sensor_has_a_negative_slope_and_grows_as_readings_fall(self) -> None:
        found = calibrate(fork(((3500.0, 0.0), (100.0, 170.0))))
        assert found.slope_mm == pytest.approx(-0.05)
        assert found.mm(np.array([3500.0, 1800.0, 100.0])) == pytest.approx([0, 85, 170])

    def test_the_order_in_which_points_are_written_does_not_matter(self) -> None:
        shuffled = (UP[3], UP[0], UP[4], UP[2], UP[1])
        for form in ("line", "curve"):
            one, other = calibrate(fork(UP, calibration=form)), calibrate(fork(shuffled, calibration=form))
            readings = np.linspace(0, 4095, 200)
            assert one.mm(readings) == pytest.approx(other.mm(readings), rel=1e-12)

    def test_repeated_readings_weigh_as_often_as_they_stand(self) -> None:
        x, y = [0.0, 0.0, 0.0, 10.0], [1.0, 2.0, 3.0, 12.0]
        line = fit_line(list(zip(x, y, strict=True)))
        assert (line.slope, line.offset_mm) == pytest.approx(tuple(np.polyfit(x, y, 1)), rel=1e-12)

    def test_points_of_one_reading_are_refused(self) -> None:
        with pytest.raises(ValueError, match="same reading"):
            fit_line([(5.0, 0.0), (5.0, 10.0)])

    def test_words_tell_slope_and_offset(self) -> None:
        assert calibrate(fork()).words == "line through 2 points, 0.05 mm a reading, -5 mm at 0"


@pytest.mark.parametrize("points", [UP, DOWN], ids=["rising", "falling"])
class TestCurve:
    def test_it_meets_every_point(self, points: tuple[tuple[float, float], ...]) -> None:
        found = calibrate(fork(points, calibration="curve"))
        readings, mm = np.array(points).T
        assert found.mm(readings) == pytest.approx(mm, abs=1e-9)
        assert found.residual_mm == 0.0
        assert isinstance(found.form, Curve)

    def test_it_never_turns_and_never_leaves_its_neighbours(self, points: tuple[tuple[float, float], ...]) -> None:
        found = calibrate(fork(points, calibration="curve"))
        known = sorted(points)
        for (low, low_mm), (high, high_mm) in pairwise(known):
            between = found.mm(np.linspace(low, high, 301))
            assert np.all(np.diff(between) * np.sign(high_mm - low_mm) > 0)
            assert between.min() >= min(low_mm, high_mm) - 1e-9
            assert between.max() <= max(low_mm, high_mm) + 1e-9

    def test_it_is_the_shape_preserving_cubic(self, points: tuple[tuple[float, float], ...]) -> None:
        readings, mm = np.array(sorted(points)).T
        inside = np.linspace(readings[0], readings[-1], 500)
        found = calibrate(fork(points, calibration="curve"))
        assert found.mm(inside) == pytest.approx(PchipInterpolator(readings, mm)(inside), abs=1e-9)

    def test_beyond_its_points_the_end_slopes_continue(self, points: tuple[tuple[float, float], ...]) -> None:
        found = calibrate(fork(points, calibration="curve"))
        readings = sorted(reading for reading, _ in points)
        for edge, outwards in ((readings[0], -100.0), (readings[-1], 100.0)):
            at = found.mm(np.array([edge, edge - 1e-5 * outwards, edge + outwards, edge + 2 * outwards]))
            slope = (at[0] - at[1]) / (1e-5 * outwards)
            assert (at[2] - at[0]) / outwards == pytest.approx(slope, rel=1e-4)
            assert at[3] - at[2] == pytest.approx(at[2] - at[0], rel=1e-9)

    def test_its_slope_is_the_mean_over_its_range(self, points: tuple[tuple[float, float], ...]) -> None:
        rising = points[0][0] < points[-1][0]
        assert calibrate(fork(points, calibration="curve")).slope_mm == pytest.approx(
            (1 if rising else -1) * 170 / 3700
        )


def test_a_curve_through_points_of_a_line_is_the_line() -> None:
    points = tuple((100.0 + 340 * k, 17.0 * k) for k in range(11))
    readings = np.linspace(-500, 4500, 300)
    curve, line = calibrate(fork(points, calibration="curve")), calibrate(fork(points))
    assert curve.mm(readings) == pytest.approx(line.mm(readings), abs=1e-9)


@pytest.mark.parametrize("form", ["line", "curve"])
def test_readings_given_are_not_changed(form: str) -> None:
    readings = np.linspace(0, 4095, 50)
    before = readings.copy()
    calibrate(fork(UP, calibration=form)).mm(readings)
    assert np.array_equal(readings, before)


class TestPoorCalibration:
    """Told when a point lies more than 1 % of what the sensor measures off the line."""

    READINGS = np.random.default_rng(1).integers(1000, 1006, 500)

    @staticmethod
    def bent(off: float, top: float, rise_mm: float) -> tuple[tuple[float, float], ...]:
        """Return five points of a line, the middle one raised so that it ends up `off` from the fitted line."""
        lift = off / (1 - 1 / 5)
        return tuple((top * k / 4, rise_mm * k / 4 + (lift if k == 2 else 0.0)) for k in range(5))

    @pytest.mark.parametrize(("share", "told"), [(0.0099, False), (0.0101, True)])
    def test_at_the_fork_it_is_one_percent_of_travel(self, share: float, told: bool) -> None:
        sensor = fork(self.bent(share * FRONT_MM, 3400.0, 170.0))
        assert calibrate(sensor).residual_mm == pytest.approx(share * FRONT_MM, rel=1e-9)
        ride = front_ride(self.READINGS, end=front_end(sensor))
        assert codes(ride) == (["poor_calibration"] if told else [])

    @pytest.mark.parametrize(("share", "told"), [(0.0099, False), (0.0101, True)])
    def test_at_the_shock_it_is_one_percent_of_stroke(self, share: float, told: bool) -> None:
        sensor = shock(self.bent(share * 60.0, 3000.0, 60.0))
        ride = ride_of(made_log({"A1": self.READINGS.astype(float)}, 500.0), rear_end(sensor))
        assert codes(ride) == (["poor_calibration"] if told else [])

    def test_the_message_says_figure_limit_and_remedy(self) -> None:
        ride = front_ride(self.READINGS, end=front_end(fork(self.bent(3.4, 3400.0, 170.0))))
        (finding,) = ride.findings
        assert finding.severity == "warning"
        assert finding.message == (
            "run_1, front: a calibration point lies 3.40 mm off the line (limit 1.70 mm, 1 % of travel); "
            "measure the points again or use a curve"
        )

    def test_a_curve_meets_the_same_points(self) -> None:
        sensor = fork(self.bent(3.4, 3400.0, 170.0), calibration="curve")
        assert codes(front_ride(self.READINGS, end=front_end(sensor))) == []
