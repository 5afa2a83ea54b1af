"""Each way of telling forward at its limits, on courses made for it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import butter, freqz_sos

from telemetry.conditioning.inertial.along_axis import _level, along_the_axis
from telemetry.conditioning.inertial.attitude import UpAlong
from telemetry.conditioning.inertial.courses import Course
from telemetry.conditioning.inertial.heading import by_another
from telemetry.conditioning.inertial.headings import Direction
from telemetry.conditioning.inertial.pitching import by_pitching
from tests.thresholds import documented, threshold

G = 9.80665
RATE_HZ = 50.0
COUNT = 4000
TIME_S = np.arange(COUNT) / RATE_HZ
ALONG = "conditioning.inertial.along_axis."
KNOWN = Direction(angle_rad=0.4, residual_deg=1.0, source="x")


def course(
    force: np.ndarray, turning: np.ndarray | None = None, resting: np.ndarray | None = None, count: int = COUNT
) -> Course:
    """Return a level course that feels `force` (x and y) beside gravity, and turns about x and y as given."""
    up = np.zeros((3, count + 1))
    up[2] = 1.0
    return Course(
        size=4,
        rate_hz=RATE_HZ,
        force=np.vstack([force, np.full(count, G)]),
        turning=None if turning is None else np.vstack([turning, np.zeros(count)]),
        resting=np.zeros(count, dtype=bool) if resting is None else resting,
        along=UpAlong(up=up, apart_deg=np.zeros(count + 1)),
    )


def sine(hertz: float, size: float = 1.0, phase: float = 0.0) -> np.ndarray:
    return size * np.sin(2 * np.pi * hertz * TIME_S + phase)


def tone(seed: int, low_hz: float, high_hz: float) -> np.ndarray:
    """Return many tones of random phase, of standard deviation 1."""
    rng = np.random.default_rng(seed)
    every = [sine(hertz, 1.0, rng.uniform(0, 7)) for hertz in np.arange(low_hz, high_hz, 0.0125)]
    whole = np.sum(every, axis=0)
    return np.asarray(whole / whole.std())


class TestSlowAcceleration:
    def told(self, felt: np.ndarray, speed_m_s: np.ndarray | None = None, resting: np.ndarray | None = None):
        speeds = None if speed_m_s is None else (speed_m_s,)
        return along_the_axis((course(felt, resting=resting),), speeds)

    @pytest.mark.parametrize(("factor", "known"), [(1.03, True), (0.97, False)])
    def test_one_axis_has_to_stand_out(self, factor: float, known: bool) -> None:
        along = sine(0.3)
        across = sine(0.3, 1.0, np.pi / 2) / (factor * threshold(ALONG + "LEAST_RATIO"))
        speed = 8.0 - np.cos(2 * np.pi * 0.3 * TIME_S) / (2 * np.pi * 0.3)
        found = self.told(np.vstack([0.6 * along - 0.8 * across, 0.8 * along + 0.6 * across]), speed)
        assert (found is not None) is known
        if found is not None:
            assert np.degrees(found.angle_rad) == pytest.approx(np.degrees(np.arctan2(0.8, 0.6)), abs=1.0)
            assert found.source == "slow acceleration, its way by ground speed"

    @pytest.mark.parametrize(
        ("edge", "factor", "known"), [(0, 1.06, True), (0, 0.86, False), (1, 1.06, True), (1, 0.94, False)]
    )
    def test_within_the_band(self, edge: int, factor: float, *, known: bool) -> None:
        """What lies at the band's edge across counts with what a filter gone through twice leaves of it."""
        band_hz = documented()[ALONG + "BAND_HZ"]
        sections = butter(2, band_hz, "bandpass", fs=RATE_HZ, output="sos")
        kept = np.abs(freqz_sos(sections, [0.3, band_hz[edge]], fs=RATE_HZ)[1]) ** 2
        size = kept[0] / kept[1] / (factor * threshold(ALONG + "LEAST_RATIO"))
        speed = 8.0 - np.cos(2 * np.pi * 0.3 * TIME_S) / (2 * np.pi * 0.3)
        assert (self.told(np.vstack([sine(0.3), sine(band_hz[edge], size)]), speed) is not None) is known

    @pytest.mark.parametrize(("lacking", "known"), [(0, True), (1, False)])
    def test_three_parts_of_10_s_are_needed(self, lacking: int, *, known: bool) -> None:
        count = round(30 * RATE_HZ) - lacking
        made = course(np.vstack([sine(0.3)[:count], np.zeros(count)]), count=count)
        speed = 8.0 - np.cos(2 * np.pi * 0.3 * TIME_S[:count]) / (2 * np.pi * 0.3)
        assert (along_the_axis((made,), (speed,)) is not None) is known
        short = course(np.zeros((2, 100)), count=100)
        assert (along_the_axis((short, made), (np.full(100, 8.0), speed)) is not None) is known

    def test_it_is_known_as_well_as_parts_agree(self) -> None:
        """Three of one part each, their axes a tenth of a radian apart: doubled angles scatter by twice that."""
        count = round(10 * RATE_HZ)
        speed = 8.0 - np.cos(2 * np.pi * 0.3 * TIME_S[:count]) / (2 * np.pi * 0.3)
        turns = 0.5 + np.array([-0.1, 0.0, 0.1])
        parts = tuple(course(np.outer([np.cos(at), np.sin(at)], sine(0.3)[:count]), count=count) for at in turns)
        found = along_the_axis(parts, (speed,) * 3)
        assert found is not None
        doubled = np.arctan(np.sqrt(3 / 2 * 2) * np.sin(0.2) / (1 + 2 * np.cos(0.2)))
        assert found.angle_rad == pytest.approx(0.5)
        assert found.residual_deg == pytest.approx(np.degrees(doubled) / 2)

    def test_acceleration_is_that_along_the_ground_of_a_tilted_bike(self) -> None:
        """By a tenth of a radian about y: 1 m/s2 along the ground is its cosine along x."""
        tilted = course(np.full((2, COUNT), 0.0))
        up, ahead = np.array([np.sin(0.1), 0.0, np.cos(0.1)]), np.array([np.cos(0.1), 0.0, -np.sin(0.1)])
        tilted.along.up[:] = up[:, None]
        tilted.force[:] = (G * up + ahead)[:, None]
        assert _level(tilted, 0.0) == pytest.approx(np.full(COUNT, np.cos(0.1)))

    @pytest.mark.parametrize(("factor", "known"), [(1.15, True), (0.85, False)])
    @pytest.mark.parametrize("sign", [1, -1])
    def test_the_speed_sensor_has_to_go_with_it(self, factor: float, sign: int, known: bool) -> None:
        alike = factor * threshold(ALONG + "LEAST_LIKENESS")
        along, other = sine(0.3), sine(0.3, 1.0, np.pi / 2)
        slope = alike * along + np.sqrt(1 - alike**2) * other
        speed = 8.0 + sign * np.cumsum(slope) / RATE_HZ
        found = self.told(np.vstack([along, 0 * along]), speed)
        assert (found is not None) is known
        if found is not None:
            assert abs(np.cos(found.angle_rad) - sign) < 1e-3

    def starting(self, first_m_s: float, last_m_s: float, sign: int = 1):
        """Return what is told of a ride between two stands that gathers and loses so much speed next to them."""
        resting = (TIME_S < 5.0) | (TIME_S >= 75.0)
        felt = np.where(resting, 0.0, sine(0.25, 0.3))
        way = round(threshold(ALONG + "WAY_S") * RATE_HZ)
        first, last = int(np.argmin(resting)), int(np.flatnonzero(~resting)[-1]) + 1
        felt[first : first + way] = first_m_s / threshold(ALONG + "WAY_S")
        felt[last - way : last] = -last_m_s / threshold(ALONG + "WAY_S")
        return self.told(np.vstack([sign * felt, 0 * felt]), resting=resting)

    @pytest.mark.parametrize("sign", [1, -1])
    def test_speed_is_gathered_after_a_stand_and_lost_before_one(self, sign: int) -> None:
        found = self.starting(3.0, 3.0, sign)
        assert found is not None
        assert np.cos(found.angle_rad) == pytest.approx(sign, abs=1e-6)
        assert found.source == "slow acceleration, its way by starts and stops"

    @pytest.mark.parametrize(("factor", "known"), [(1.001, True), (0.999, False)])
    def test_so_much_speed_is_needed(self, factor: float, known: bool) -> None:
        half = factor * threshold(ALONG + "LEAST_M_S") / 2
        assert (self.starting(half, half) is not None) is known

    @pytest.mark.parametrize(("factor", "known"), [(1.001, True), (0.999, False)])
    def test_it_has_to_go_one_way(self, factor: float, known: bool) -> None:
        share = factor * threshold(ALONG + "LEAST_SHARE")
        assert (self.starting(2 * (1 + share), -2 * (1 - share)) is not None) is known

    def test_no_stand_no_way(self) -> None:
        assert self.told(np.vstack([sine(0.3), sine(0.3, 0.1)])) is None

    def test_too_short_a_course_tells_nothing(self) -> None:
        count = 400
        short = course(np.vstack([sine(0.3)[:count], np.zeros(count)]), count=count)
        assert along_the_axis((short,), (np.full(count, 8.0),)) is None


class TestPitching:
    LEAST = threshold("conditioning.inertial.pitching.LEAST_LIKENESS")

    def told(self, alike: float, end: str = "front", angle_rad: float = 0.0):
        """Return what is told where the rise goes with the nose coming up by a correlation, forward at an angle."""
        rise, other = tone(1, 2.0, 6.0), tone(2, 2.0, 6.0)
        other -= (other @ rise) / (rise @ rise) * rise
        about_left = -(alike * rise / rise.std() + np.sqrt(1 - alike**2) * other / other.std())
        rate = np.cumsum(about_left) / RATE_HZ
        turning = np.vstack([-np.sin(angle_rad) * rate, np.cos(angle_rad) * rate])
        made = course(np.zeros((2, COUNT)), turning)
        made.force[2] += rise
        return by_pitching((made,), end)  # type: ignore[arg-type]

    @pytest.mark.parametrize(("factor", "known"), [(1.05, True), (0.95, False)])
    def test_both_have_to_go_together(self, factor: float, known: bool) -> None:
        assert (self.told(factor * self.LEAST) is not None) is known

    @pytest.mark.parametrize("angle_rad", [0.0, 1.1, -2.5])
    def test_the_front_rises_as_the_nose_comes_up_and_the_rear_as_it_goes_down(self, angle_rad: float) -> None:
        front, rear = self.told(0.9, "front", angle_rad), self.told(0.9, "rear", angle_rad)
        assert front is not None
        assert rear is not None
        assert np.exp(1j * front.angle_rad) == pytest.approx(np.exp(1j * angle_rad), abs=1e-6)
        assert np.exp(1j * rear.angle_rad) == pytest.approx(-np.exp(1j * angle_rad), abs=1e-6)

    @pytest.mark.parametrize(("factor", "known"), [(1.05, True), (0.95, False)])
    @pytest.mark.parametrize("edge", [0, 1])
    def test_within_the_band(self, edge: int, factor: float, *, known: bool) -> None:
        """It rises at 4 Hz; at the band's edge it turns only, and counts with what a filter leaves of that."""
        band_hz = documented()["conditioning.inertial.pitching.BAND_HZ"]
        hertz = np.array([4.0, band_hz[edge]])
        sections = butter(2, band_hz, "bandpass", fs=RATE_HZ, output="sos")
        kept = np.abs(freqz_sos(sections, hertz, fs=RATE_HZ)[1]) ** 2 * np.sinc(2 * hertz / RATE_HZ)
        size = np.sqrt(1 / (factor * self.LEAST) ** 2 - 1) * kept[0] / kept[1]
        middle, other = (-sine(at, 1.0 / (2 * np.pi * at), -np.pi / 2) for at in hertz)
        made = course(np.zeros((2, COUNT)), np.vstack([0 * middle, middle + size * other]))
        made.force[2] -= sine(4.0)
        assert (by_pitching((made,), "front") is not None) is known

    @pytest.mark.parametrize(("lacking", "known"), [(0, True), (1, False)])
    def test_three_parts_of_10_s_are_needed(self, lacking: int, *, known: bool) -> None:
        def ridden(count: int) -> Course:
            turning = np.vstack([np.zeros(count), sine(4.0, 1.0, -np.pi / 2)[:count]])
            made = course(np.zeros((2, count)), turning, count=count)
            made.force[2] += sine(4.0)[:count]
            return made

        part = round(10 * RATE_HZ)
        assert (by_pitching((ridden(3 * part - lacking),), "front") is not None) is known
        assert (by_pitching((ridden(2 * part), ridden(part - lacking)), "front") is not None) is known

    def test_at_rest_nothing_counts(self) -> None:
        """For half of the ride it turns the other way, and is said to rest."""
        turning = np.vstack([np.zeros(COUNT), sine(4.0, 1.0, -np.pi / 2)])
        resting = np.arange(COUNT) >= COUNT // 2
        turning[1, resting] *= -1.0
        made = course(np.zeros((2, COUNT)), turning, resting)
        made.force[2] += sine(4.0)
        assert by_pitching((made,), "front") is not None

    def test_of_slow_blocks_as_much_of_the_band_counts_as_they_hold(self) -> None:
        """12.5 blocks a second hold 5 Hz; it rises at 2.5."""
        made = course(np.zeros((2, COUNT)), np.vstack([np.zeros(COUNT), sine(10.0, 1.0, -np.pi / 2)]))
        made.force[2] += sine(10.0)
        assert by_pitching((replace(made, rate_hz=12.5),), "front") is not None

    def test_blocks_too_slow_for_the_band_tell_nothing(self) -> None:
        made = course(np.zeros((2, COUNT)), np.vstack([sine(1.0), sine(1.0)]))
        slow = replace(made, rate_hz=documented()["conditioning.inertial.pitching.BAND_HZ"][0] / 0.4)
        assert by_pitching((slow,), "front") is None

    def test_without_a_gyroscope_or_movement_it_tells_nothing(self) -> None:
        assert by_pitching((course(np.zeros((2, COUNT))),), "front") is None
        assert by_pitching((course(np.zeros((2, COUNT)), np.zeros((2, COUNT))),), "front") is None


class TestAnotherSensor:
    LEAST = threshold("conditioning.inertial.heading.LEAST_LIKENESS")

    def told(self, alike: float, *, gyroscopes: bool, turn_rad: float = 0.7):
        low, high = (0.3, 2.0) if gyroscopes else (0.1, 0.6)
        theirs = np.vstack([tone(3, low, high), tone(4, low, high)])
        noise = np.vstack([tone(5, low, high), tone(6, low, high)])
        for axis in range(2):
            for known in theirs:
                noise[axis] -= (noise[axis] @ known) / (known @ known) * known
        noise /= noise.std(axis=1)[:, None]
        cos, sin = np.cos(turn_rad), np.sin(turn_rad)
        mine = np.array([[cos, -sin], [sin, cos]]) @ theirs
        mine = alike * mine + np.sqrt(1 - alike**2) * noise
        still = np.zeros((2, COUNT))
        pair = [course(still, felt) if gyroscopes else course(felt) for felt in (mine, theirs)]
        return by_another((pair[0],), (pair[1],), KNOWN, "'crown'")

    @pytest.mark.parametrize("gyroscopes", [True, False])
    def test_the_turn_between_them_is_added(self, gyroscopes: bool) -> None:
        found = self.told(1.0, gyroscopes=gyroscopes)
        assert found is not None
        assert found.angle_rad == pytest.approx(0.4 + 0.7, abs=1e-6)
        assert found.residual_deg == pytest.approx(1.0, abs=1e-3)
        assert found.source == "what 'crown' feels"

    @pytest.mark.parametrize("gyroscopes", [True, False])
    @pytest.mark.parametrize(("factor", "known"), [(1.1, True), (0.9, False)])
    def test_both_have_to_be_alike(self, factor: float, gyroscopes: bool, known: bool) -> None:
        assert (self.told(factor * self.LEAST, gyroscopes=gyroscopes) is not None) is known
