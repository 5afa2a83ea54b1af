"""Ground speed from each kind of sensor, and nothing ridden in a gap."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning.ground import (
    EARTH_RADIUS_M,
    GroundSensor,
    ground_speed,
    metres_each_sample,
    pulses_each_sample,
)
from telemetry.model.ride import GroundSpeed
from telemetry.model.sensor import DistanceSensor, GroundSpeedSensor, PositionFixSensor, WheelPulseSensor
from tests.conditioning.made_ends import front_end, ride_of
from tests.measures.made_rides import made_log

RATE_HZ = 200.0
COUNT = 4000
TIME_S = np.arange(COUNT) / RATE_HZ
RIDDEN_M = 6.0 * TIME_S + 4 * np.sin(0.5 * TIME_S)  # 4 to 8 m/s
PULSES = WheelPulseSensor(name="wheel", column="w", pulses_per_turn=8, wheel_circumference_mm=2200.0)


def speed(sensor: GroundSensor, columns: Mapping[str, np.ndarray], segments=((0, COUNT),)) -> GroundSpeed:
    return ground_speed(sensor, lambda name: columns[name], RATE_HZ, segments)


class TestPulses:
    def test_a_running_count(self) -> None:
        assert pulses_each_sample(np.array([7.0, 7, 8, 8, 10, 10, 11])).tolist() == [0, 0, 1, 0, 2, 0, 1]

    def test_a_count_that_starts_anew_loses_only_that_sample(self) -> None:
        assert pulses_each_sample(np.array([253.0, 254, 255, 255, 0, 1, 2, 3])).sum() == 5

    @pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (12.0, 3300.0), (-5.0, 5.0)])
    def test_a_level_counts_where_it_rises(self, low: float, high: float) -> None:
        level = np.where(np.arange(1000) % 40 < 13, high, low)
        assert pulses_each_sample(level).sum() == 24  # 25 pulses, the first was up already
        assert np.flatnonzero(pulses_each_sample(level)).tolist() == list(range(40, 1000, 40))

    def test_a_level_caught_half_way_counts_once(self) -> None:
        """An uneven clock puts samples between low and high."""
        level = np.array([0, 0.2, 0.9, 1, 0.4, 0, 0.4, 0.6, 1, 0])
        assert pulses_each_sample(level).sum() == 2

    def test_a_wheel_that_stands_gives_none(self) -> None:
        assert pulses_each_sample(np.full(50, 17.0)).tolist() == [0.0] * 50


class TestMetres:
    def test_a_degree_along_a_meridian(self) -> None:
        ridden = metres_each_sample(np.array([10.0, 11.0, 9.0]), np.array([20.0, 20.0, 20.0]))
        degree = math.pi * EARTH_RADIUS_M / 180
        assert ridden == pytest.approx([0, degree, 2 * degree], rel=1e-12)

    def test_a_degree_along_a_parallel_is_shorter_by_the_cosine(self) -> None:
        for lat in (0.0, 46.0, -60.0):
            (_, ridden) = metres_each_sample(np.array([lat, lat]), np.array([7.0, 7.0001]))
            metres = math.radians(0.0001) * EARTH_RADIUS_M * math.cos(math.radians(lat))
            assert ridden == pytest.approx(metres, rel=1e-9)

    def test_far_apart_it_is_the_spherical_law_of_cosines(self) -> None:
        lat, lon = np.radians([12.0, -41.0]), np.radians([170.0, -120.0])
        cosine = math.sin(lat[0]) * math.sin(lat[1]) + math.cos(lat[0]) * math.cos(lat[1]) * math.cos(lon[1] - lon[0])
        (_, ridden) = metres_each_sample(np.degrees(lat), np.degrees(lon))
        assert ridden == pytest.approx(EARTH_RADIUS_M * math.acos(cosine), rel=1e-12)

    def test_a_decimetre_is_not_lost_in_rounding(self) -> None:
        step = math.degrees(0.1 / EARTH_RADIUS_M)
        (_, ridden) = metres_each_sample(np.array([46.0, 46.0 + step]), np.array([7.0, 7.0]))
        assert ridden == pytest.approx(0.1, rel=1e-6)


class TestSensors:
    def test_a_speed_column_is_taken_in_its_unit(self) -> None:
        readings = {"v": np.linspace(0, 36, COUNT)}
        for unit, factor in (("m/s", 1.0), ("km/h", 1 / 3.6)):
            found = speed(GroundSpeedSensor(name="v", column="v", unit=unit), readings)
            assert np.allclose(found.speed_m_s, readings["v"] * factor, rtol=1e-12)
            assert found.source == "ground_speed"

    def test_pulses_add_up_to_the_distance(self) -> None:
        count = np.floor(RIDDEN_M / (2.2 / 8))
        found = speed(PULSES, {"w": count})
        assert found.speed_m_s.sum() / RATE_HZ == pytest.approx(RIDDEN_M[-1], abs=2.2 / 8)
        assert found.speed_m_s.mean() == pytest.approx(RIDDEN_M[-1] / TIME_S[-1], rel=0.005)
        assert found.source == "wheel_pulses"

    def test_a_distance_columns_slope_is_speed(self) -> None:
        found = speed(DistanceSensor(name="d", column="d"), {"d": 120 + RIDDEN_M})
        assert found.speed_m_s[0] == 0.0
        assert np.allclose(found.speed_m_s[1:], 6 + 2 * np.cos(0.5 * (TIME_S[1:] - 0.5 / RATE_HZ)), rtol=1e-4)
        assert found.source == "distance"

    def test_position_fixes_add_up_to_the_way_between_them(self) -> None:
        lat = 46 + np.degrees(RIDDEN_M * math.cos(0.6) / EARTH_RADIUS_M)
        lon = 7 + np.degrees(RIDDEN_M * math.sin(0.6) / EARTH_RADIUS_M / math.cos(math.radians(46)))
        found = speed(PositionFixSensor(name="p", lat="lat", lon="lon"), {"lat": lat, "lon": lon})
        assert found.speed_m_s.mean() == pytest.approx(RIDDEN_M[-1] / TIME_S[-1], rel=1e-3)
        assert found.source == "position_fix"


class TestGaps:
    """400 m are ridden while the log is silent: they belong to no sample."""

    SEGMENTS = ((0, 1500), (1500, COUNT))
    JUMPED_M = RIDDEN_M + np.where(np.arange(COUNT) >= 1500, 400.0, 0.0)

    def mean(self, sensor: GroundSensor, columns: Mapping[str, np.ndarray], segments) -> float:
        return float(speed(sensor, columns, segments).speed_m_s.mean())

    @pytest.mark.parametrize("kind", ["wheel_pulses", "distance", "position_fix"])
    def test_no_counting_sensor_counts_across(self, kind: str) -> None:
        sensors: dict[str, tuple[GroundSensor, dict[str, np.ndarray]]] = {
            "wheel_pulses": (PULSES, {"w": np.floor(self.JUMPED_M / (2.2 / 8))}),
            "distance": (DistanceSensor(name="d", column="d"), {"d": self.JUMPED_M}),
            "position_fix": (
                PositionFixSensor(name="p", lat="lat", lon="lon"),
                {"lat": 46 + np.degrees(self.JUMPED_M / EARTH_RADIUS_M), "lon": np.full(COUNT, 7.0)},
            ),
        }
        sensor, columns = sensors[kind]
        assert self.mean(sensor, columns, self.SEGMENTS) == pytest.approx(RIDDEN_M[-1] / TIME_S[-1], rel=0.01)
        assert self.mean(sensor, columns, ((0, COUNT),)) > 20

    def test_a_ride_knows_its_own_gaps(self) -> None:
        columns = {"A0": np.full(COUNT, 1500.0), "d": self.JUMPED_M}
        log = replace(made_log(columns, RATE_HZ, self.SEGMENTS), gap_s=60.0)
        ride = ride_of(log, front_end(), ground=DistanceSensor(name="d", column="d"))
        assert ride.ground_speed is not None
        assert ride.ground_speed.speed_m_s.max() < 9.0
