"""What is said of one end while it is cleaned: each limit just below and just above, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning import EndRecipe, Zero
from telemetry.model.finding import Finding
from telemetry.model.ride import Ride
from tests.conditioning.made_ends import (
    FRONT_MM,
    REAR_MM,
    STROKE_MM,
    codes,
    curve_travel_mm,
    fork,
    front_end,
    front_ride,
    rear_end,
    ride_of,
    shock,
)
from tests.measures.made_rides import made_log
from tests.thresholds import threshold

RATE_HZ = 500.0
MM_A_READING = 0.05
LEVEL = 1700.0


def limit(name: str) -> float:
    return threshold(f"trust.readings.{name}")


def the_one(ride: Ride, code: str) -> Finding:
    (found,) = [finding for finding in ride.findings if finding.code == code]
    return found


def wandering(count: int = 2000, steps: int = 3, level: float = LEVEL) -> np.ndarray:
    """Return readings of a few neighbouring counts."""
    return np.random.default_rng(4).integers(level, level + steps, count).astype(float)


class TestSteps:
    @pytest.mark.parametrize(("share", "told"), [(0.999, False), (1.001, True)])
    def test_a_step_over_half_a_per_cent_of_travel_is_coarse(self, share: float, *, told: bool) -> None:
        step_mm = share * limit("COARSE_SHARE") * FRONT_MM
        ride = front_ride(wandering(level=40), end=front_end(fork(((0.0, 0.0), (1000.0, 1000 * step_mm)))))
        assert ("coarse_steps" in codes(ride)) is told

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "told"), [(0.999, False), (1.001, True)])
    def test_of_a_shock_it_counts_at_the_wheel_by_the_mean_ratio(self, share: float, sign: int, *, told: bool) -> None:
        step = share * limit("COARSE_SHARE") * STROKE_MM
        sensor = shock(((0.0, 20.0), (sign * 100.0, 20.0 + 100 * step)))
        ride = ride_of(made_log({"A1": wandering(level=40)}, RATE_HZ), rear_end(sensor))
        assert ("coarse_steps" in codes(ride)) is told
        if told:
            found = the_one(ride, "coarse_steps")
            assert (found.severity, found.end, found.row) == ("warning", "rear", None)
            assert f"step is {step * REAR_MM / STROKE_MM:.2f} mm at the wheel" in found.message

    def test_where_the_stroke_is_not_stated_the_curve_tells_it(self) -> None:
        end = rear_end(shock(((0.0, 20.0), (100.0, 50.0))))
        bare = replace(end, setup=replace(end.setup, stroke_mm=None))
        log = made_log({"A1": wandering(level=40)}, RATE_HZ)
        assert ride_of(log, bare).rear.noise.sensor_step_mm == pytest.approx(0.3 * REAR_MM / STROKE_MM)
        half = replace(end, setup=replace(end.setup, stroke_mm=STROKE_MM / 2))
        assert ride_of(log, half).rear.noise.sensor_step_mm == pytest.approx(0.3 * REAR_MM / (STROKE_MM / 2))


class TestCalibration:
    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "told"), [(0.999, False), (1.001, True)])
    def test_a_point_over_1_per_cent_of_travel_off_the_line_is_told(
        self, share: float, sign: int, *, told: bool
    ) -> None:
        """The middle one of three even points lies two thirds of its error off the line."""
        off = 1.5 * sign * share * limit("RESIDUAL_SHARE")
        points = ((100.0, 0.0), (1800.0, 85.0 + off * FRONT_MM), (3500.0, 170.0))
        assert codes(front_ride(wandering(), end=front_end(fork(points)))) == (["poor_calibration"] if told else [])
        strokes = ((900.0, 60.0), (2400.0, 30.0 + off * STROKE_MM), (3900.0, 0.0))
        ride = ride_of(made_log({"A1": wandering(level=3000)}, RATE_HZ), rear_end(shock(strokes)))
        assert codes(ride) == (["poor_calibration"] if told else [])


class TestSpikes:
    def test_one_is_told_as_one(self) -> None:
        readings = wandering(10_000)
        readings[100] += 900
        assert "front: 1 sample in spikes" in the_one(front_ride(readings), "spikes").message

    @pytest.mark.parametrize("more", [0, 1])
    def test_over_a_thousandth_of_samples_is_a_warning(self, more: int) -> None:
        count = 10_000
        spikes = round(limit("SPIKE_SHARE") * count) + more
        readings = wandering(count)
        readings[100 : 100 + 20 * spikes : 20] += 900
        found = the_one(front_ride(readings), "spikes")
        assert (found.severity, found.row, found.second) == ("warning" if more else "note", 102, pytest.approx(0.2))
        assert f"{spikes} samples in spikes" in found.message


class TestLostContact:
    MOST, WITHIN = int(limit("MOST_BROKEN")), int(threshold("conditioning.broken_contact.LEFT_SPIKE"))

    def lost(self, losses: int, samples: int, *, open_ended: bool = False) -> Ride:
        """Return a ride whose readings are 90 mm off for so many samples each time; the last for good, if asked."""
        readings = wandering()
        for number in range(losses):
            readings[100 + 300 * number : 100 + 300 * number + samples] += 1800
        if open_ended:
            readings[1950:] += 1800
        return front_ride(readings)

    def test_four_lasting_steps_leave_a_verdict(self) -> None:
        ride = self.lost(self.MOST // 2, 40)
        assert codes(ride) == ["loose_contact"]
        found = the_one(ride, "loose_contact")
        assert (found.severity, found.row, found.second) == ("warning", 102, pytest.approx(0.2))
        assert f"{self.MOST} steps faster than 10 m/s" in found.message

    def test_a_fifth_leaves_none(self) -> None:
        ride = self.lost(self.MOST // 2, 40, open_ended=True)
        assert codes(ride) == ["contact_lost_often"]
        assert "5 steps faster than 10 m/s" in the_one(ride, "contact_lost_often").message

    @pytest.mark.parametrize(("more", "code"), [(0, "loose_contact"), (1, "contact_lost_often")])
    def test_steps_undone_within_five_samples_do_not_last(self, more: int, code: str) -> None:
        assert codes(self.lost(6, self.WITHIN + more)) == [code]

    def test_each_stretch_is_looked_at_by_itself_and_told_by_its_own_row(self) -> None:
        readings = wandering()
        readings[1000:] += 1800  # at the gap: no step
        readings[1500:1540] -= 1800
        ride = ride_of(made_log({"A0": readings}, RATE_HZ, ((0, 1000), (1000, 2000))), front_end())
        assert the_one(ride, "loose_contact").second == pytest.approx(3.0)
        assert "2 steps" in the_one(ride, "loose_contact").message


class TestRange:
    @pytest.mark.parametrize("turned", [False, True])
    @pytest.mark.parametrize(
        ("low", "high", "furthest"),
        [
            (1700, 1702, None),
            (0, 1702, None),
            (1701, 4095, 1700),
            (0, 1701, 1702),
            (1701, 1701.5, 1700),
            (1701, 1700.6, 1702),
        ],
    )
    def test_readings_beyond_the_stated_range_are_told(
        self, low: float, high: float, furthest: float | None, *, turned: bool
    ) -> None:
        stated = (high, low) if turned else (low, high)
        ride = front_ride(wandering(), end=front_end(fork(counts_range=stated)))
        assert codes(ride) == ([] if furthest is None else ["outside_range"])
        if furthest is not None:
            assert f"furthest {furthest}," in the_one(ride, "outside_range").message

    def test_it_says_how_many_and_where_the_first(self) -> None:
        readings = np.full(2000, LEVEL)
        readings[[300, 800, 801, 900]] += [1, 5, 5, -2]
        found = the_one(front_ride(readings, end=front_end(fork(counts_range=(LEVEL, LEVEL)))), "outside_range")
        assert (found.severity, found.row, found.second) == ("warning", 302, pytest.approx(0.6))
        assert found.message.startswith(
            "run_1, front: 0.2 % of readings lie outside counts_range (1700 to 1700; furthest 1705"
        )


class TestWhatIsCut:
    """Readings that end at a level: what can't be seen beyond it."""

    def cut_at(self, level_mm: float, bumper_mm: float | None = None) -> str:
        """Return what is told of a fork that is pressed fast past a level at which its readings end, four times."""
        press = np.concatenate([np.linspace(2, 181, 60), np.linspace(181, 2, 60)])
        resting = 2.0 + MM_A_READING * (np.arange(200) // 20 % 2)  # shows the converter's step
        travel = np.minimum(np.concatenate([resting, *[np.append(press, [2.0] * 200)] * 4]), level_mm)
        end = front_end(fork(counts_range=(0.0, round(100 + level_mm / MM_A_READING))))
        end = replace(end, setup=replace(end.setup, bumper_touch_mm=bumper_mm))
        ride = front_ride(np.round(100 + travel / MM_A_READING), end=end)
        return the_one(ride, "clipped").message

    @pytest.mark.parametrize(
        ("level_mm", "words"),
        [
            (166.6, "inside bottom-outs: their count is a lower bound"),
            (166.5, "depth is cut at 166.5 mm, so bottom-outs (from 166.6 mm) can't be seen"),
            (85.0, "depth is cut at 85.0 mm"),
        ],
    )
    def test_deep_down_the_line_decides(self, level_mm: float, words: str) -> None:
        found = self.cut_at(level_mm)
        assert words in found
        assert "4 times 3 or more equal readings" in found

    def test_at_the_shallow_end_less_travel_is_not_seen(self) -> None:
        press = np.concatenate([np.linspace(100, 2, 60), np.linspace(2, 100, 60), np.tile([100.0, 100.05], 100)])
        readings = np.round(100 + np.maximum(np.tile(press, 4), 90.0) / MM_A_READING)
        ride = front_ride(readings, end=front_end(fork(counts_range=(1900.0, 4095.0))))
        assert "travel of less than 90.0 mm can't be seen" in the_one(ride, "clipped").message

    def test_a_bumper_moves_the_line(self) -> None:
        assert "inside bottom-outs" in self.cut_at(165.0, bumper_mm=160.0)
        assert "(from 165.0 mm)" in self.cut_at(164.9, bumper_mm=160.0)


class TestWhole:
    def test_a_zero_is_taken_off_before_the_curve(self) -> None:
        log = made_log({"A1": wandering(level=3000)}, RATE_HZ)
        ride = ride_of(log, rear_end(zero=Zero(level_mm=2.0, source="lifted.csv")))
        stroke = (3900 - log.columns["A1"]) * 0.02 - 2.0
        assert ride.rear.cleaned_mm == pytest.approx(curve_travel_mm(stroke), abs=0.01)

    @pytest.mark.parametrize("scale", [1.0, 0.5, 1 / 3])
    def test_counts_and_other_readings_give_the_same_travel(self, scale: float) -> None:
        readings = wandering(steps=50)
        end = front_end(fork(((100.0 * scale, 0.0), (3500.0 * scale, 170.0))))
        assert front_ride(scale * readings, end=end).front.cleaned_mm == pytest.approx((readings - 100) * MM_A_READING)

    def test_few_samples_of_many_counts_too(self) -> None:
        readings = np.array([1000.0, 1500.0, 1200.0, 1800.0, 1100.0, 1300.0] * 4)
        ride = front_ride(readings)
        assert sorted(set(np.round(ride.front.cleaned_mm, 6))) == [45.0, 50.0, 55.0, 60.0, 70.0, 85.0]

    def test_the_shafts_ratio_is_known_where_leverage_is(self) -> None:
        log = made_log({"A1": wandering(level=3000)}, RATE_HZ)
        at, ratio = ride_of(log, rear_end()).rear.shaft_ratio or ((), ())
        assert len(at) == 512
        assert (at[0], at[-1]) == (0.0, pytest.approx(REAR_MM))
        assert ratio[0] == pytest.approx(2.94, abs=0.03)
        assert ratio[-1] == pytest.approx(2.34, abs=0.03)
        by_travel: EndRecipe = rear_end(replace(shock(), measures="travel"))
        assert ride_of(log, by_travel).rear.shaft_ratio is not None
