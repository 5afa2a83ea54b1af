"""A whole ride in closed form: sines through converters, zeros, a leverage curve, and back."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning import RideRecipe, Zero, clean_ride
from telemetry.conditioning.end import MOST_COUNTS, whole_counts
from telemetry.model.finding import Finding, Step
from telemetry.model.ride import Ride
from tests.conditioning.made_ends import (
    CURVE,
    FRONT_MM,
    REAR_MM,
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
TIME_S = np.arange(15_000) / RATE_HZ
FRONT_LIFTED_MM, STROKE_LIFTED_MM = 3.37, -1.46
FRONT = {"mean": 62.0, "amplitude": 31.0, "hertz": 2.0}
STROKE = {"mean": 24.0, "amplitude": 14.0, "hertz": 1.5}
MIDDLE = slice(500, -500)  # away from the filter's own ends


def sine(mean: float, amplitude: float, hertz: float) -> np.ndarray:
    return mean + amplitude * np.sin(2 * np.pi * hertz * TIME_S)


def sine_speed(amplitude: float, hertz: float) -> np.ndarray:
    return 2 * np.pi * hertz * amplitude * np.cos(2 * np.pi * hertz * TIME_S)


FRONT_TRUTH = sine(**FRONT)
FRONT_SPEED = sine_speed(FRONT["amplitude"], FRONT["hertz"])
STROKE_TRUTH = sine(**STROKE)
REAR_TRUTH = curve_travel_mm(STROKE_TRUTH)
RATIO = 2.94 - 0.01 * STROKE_TRUTH
REAR_SPEED = RATIO * sine_speed(STROKE["amplitude"], STROKE["hertz"])


def readings() -> dict[str, np.ndarray]:
    """Return what 12 bit converters make of the motion, both sensors off their zero."""
    front = np.round(100 + (FRONT_TRUTH + FRONT_LIFTED_MM) / 0.05)
    rear = np.round(3900 - (STROKE_TRUTH + STROKE_LIFTED_MM) / 0.02)
    assert max(front.max(), rear.max()) < 4096
    return {"A0": front, "A1": rear}


@pytest.fixture(scope="module")
def ride() -> Ride:
    return ride_of(
        made_log(readings(), RATE_HZ),
        front_end(zero=Zero(level_mm=FRONT_LIFTED_MM, source="lifted.csv")),
        rear_end(zero=Zero(level_mm=STROKE_LIFTED_MM, source="lifted.csv")),
    )


class TestFront:
    def test_cleaned_travel_is_the_truth_to_half_a_count(self, ride: Ride) -> None:
        assert np.abs(ride.front.cleaned_mm - FRONT_TRUTH).max() <= 0.05 / 2 + 1e-9

    def test_filtered_travel_is_closer_still(self, ride: Ride) -> None:
        error = (ride.front.travel_mm - FRONT_TRUTH)[MIDDLE]
        assert np.abs(error).max() < 0.02
        assert np.std(error) < 1.1 * ride.front.noise.travel_mm

    def test_the_sine_keeps_mean_and_amplitude(self, ride: Ride) -> None:
        travel = ride.front.travel_mm
        assert travel.mean() == pytest.approx(FRONT["mean"], abs=0.01)
        assert math.sqrt(2) * travel.std() == pytest.approx(FRONT["amplitude"], rel=2e-4)

    def test_speed_is_two_pi_f_a_at_most_and_the_cosine_everywhere(self, ride: Ride) -> None:
        peak = 2 * math.pi * FRONT["hertz"] * FRONT["amplitude"]
        assert ride.front.speed_mm_s[MIDDLE].max() == pytest.approx(peak, rel=0.01)
        assert math.sqrt(2) * ride.front.speed_mm_s[MIDDLE].std() == pytest.approx(peak, rel=5e-4)
        error = (ride.front.speed_mm_s - FRONT_SPEED)[MIDDLE]
        assert np.std(error) < 1.2 * ride.front.noise.speed_mm_s

    def test_compression_is_positive(self, ride: Ride) -> None:
        rising = np.diff(FRONT_TRUTH) > 0.1
        assert np.all(ride.front.speed_mm_s[1:][rising] > 0)

    def test_at_the_fork_shaft_and_wheel_move_alike(self, ride: Ride) -> None:
        assert ride.front.shaft_ratio is not None
        travel, ratio = ride.front.shaft_ratio
        assert (travel[0], travel[-1]) == (0.0, FRONT_MM)
        assert ratio.tolist() == [1.0, 1.0]


class TestRear:
    """The shock's sensor falls as the shock shortens; its zero is stroke, taken out before the curve."""

    def test_cleaned_travel_is_the_truth_to_half_a_count_at_the_wheel(self, ride: Ride) -> None:
        assert np.abs(ride.rear.cleaned_mm - REAR_TRUTH).max() <= 0.02 / 2 * 2.94 + 0.01  # 0.01 mm: the curve's table

    def test_the_zero_is_taken_out_before_the_curve_not_after(self, ride: Ride) -> None:
        after = curve_travel_mm(STROKE_TRUTH + STROKE_LIFTED_MM) - curve_travel_mm(np.array(STROKE_LIFTED_MM))
        assert np.abs(after - REAR_TRUTH).max() > 0.4  # the wrong way would show
        assert np.abs(ride.rear.cleaned_mm - REAR_TRUTH).max() < 0.1

    def test_the_mean_of_travel_is_that_of_the_bent_sine(self, ride: Ride) -> None:
        """Over whole periods: 2.94 m - 0.005 (m^2 + a^2 / 2)."""
        mean, amplitude = STROKE["mean"], STROKE["amplitude"]
        expected = 2.94 * mean - 0.005 * (mean**2 + amplitude**2 / 2)
        assert ride.rear.travel_mm.mean() == pytest.approx(expected, abs=0.02)

    def test_wheel_speed_is_shaft_speed_times_the_ratio_there(self, ride: Ride) -> None:
        error = (ride.rear.speed_mm_s - REAR_SPEED)[MIDDLE]
        assert np.std(error) < 1.2 * ride.rear.noise.speed_mm_s

    def test_shaft_speed_comes_back_out_of_wheel_speed(self, ride: Ride) -> None:
        assert ride.rear.shaft_ratio is not None
        at, ratio = ride.rear.shaft_ratio
        shaft = ride.rear.speed_mm_s / np.interp(ride.rear.travel_mm, at, ratio)
        expected = sine_speed(STROKE["amplitude"], STROKE["hertz"])
        assert np.std((shaft - expected)[MIDDLE]) < 0.006 * expected.max()
        assert np.std((ride.rear.speed_mm_s / 2.64 - expected)[MIDDLE]) > 0.02 * expected.max()
        assert at[-1] == pytest.approx(REAR_MM)

    def test_the_sensors_step_counts_by_the_mean_ratio(self, ride: Ride) -> None:
        assert ride.rear.noise.sensor_step_mm == pytest.approx(0.02 * REAR_MM / 60)

    @pytest.mark.parametrize(("stated_mm", "stroke_mm"), [(61.0, 61.0), (None, 60.0)])
    def test_by_the_stroke_stated_else_the_curves(self, stated_mm: float | None, stroke_mm: float) -> None:
        end = rear_end()
        end = replace(end, setup=replace(end.setup, stroke_mm=stated_mm))
        found = ride_of(made_log({"A1": readings()["A1"][:600]}, RATE_HZ), end)
        assert found.rear.noise.sensor_step_mm == pytest.approx(0.02 * REAR_MM / stroke_mm, rel=1e-4)

    def test_by_none_where_the_sensor_reads_travel_itself(self) -> None:
        end = rear_end(replace(shock(((100.0, 0.0), (3500.0, 170.0))), measures="travel"))
        found = ride_of(made_log({"A1": readings()["A0"][:600]}, RATE_HZ), end)
        assert found.rear.noise.sensor_step_mm == pytest.approx(0.05)
        assert np.abs(found.rear.cleaned_mm - FRONT_TRUTH[:600] - FRONT_LIFTED_MM).max() <= 0.05 / 2 + 1e-9
        assert "leverage" not in {step.stage for step in found.history}


class TestTheWhole:
    def test_nothing_is_found_wrong(self, ride: Ride) -> None:
        assert ride.findings == ()

    def test_history_tells_every_step_in_order(self, ride: Ride) -> None:
        stages = ["spikes", "calibration", "zero", "leverage", "full travel", "low-pass", "noise"]
        assert [step.stage for step in ride.history if step.end == "rear"] == stages
        stages.remove("leverage")
        assert [step.stage for step in ride.history if step.end == "front"] == stages
        words = {(step.stage, step.end): step.words for step in ride.history}
        assert words["zero", "front"] == "+3.37 mm taken out (lifted.csv)"
        assert words["zero", "rear"] == "-1.46 mm taken out (lifted.csv)"
        assert words["leverage", "rear"] == "stroke to wheel travel by curve.csv"
        assert "−3 dB at 60 Hz" in words["low-pass", "front"]
        assert words["full travel", "front"] == "170.0 mm (measured_travel_mm)"

    def test_arrays_are_contiguous_and_cannot_be_written(self, ride: Ride) -> None:
        for end in (ride.front, ride.rear):
            for array in (end.cleaned_mm, end.travel_mm, end.speed_mm_s, end.still):
                assert array.shape == ride.time_s.shape
                assert array.flags["C_CONTIGUOUS"]
                with pytest.raises(ValueError, match="read-only"):
                    array[0] = 0
        with pytest.raises(ValueError, match="read-only"):
            ride.time_s[0] = 1.0

    def test_the_logs_readings_are_left_as_they_were(self) -> None:
        columns = readings()
        columns["A0"][500] = 4095.0  # a spike, replaced in the ride but not in the log
        before = {name: values.copy() for name, values in columns.items()}
        found = ride_of(made_log(columns, RATE_HZ), front_end(), rear_end())
        assert codes(found) == ["spikes"]
        for name, values in columns.items():
            assert np.array_equal(values, before[name])

    def test_start_and_end_are_the_logs_own_unless_stated(self, ride: Ride) -> None:
        assert (ride.start_s, ride.end_s) == (0.0, TIME_S[-1])
        stated = ride_of(made_log(readings(), RATE_HZ), front_end(), start_s=3.5, end_s=21.0)
        assert (stated.start_s, stated.end_s) == (3.5, 21.0)

    def test_the_logs_findings_and_history_come_first(self) -> None:
        told, read = Finding(severity="note", code="rounded_clock", message="m"), Step(stage="read", words="w")
        log = replace(made_log(readings(), RATE_HZ), findings=(told,), history=(read,))
        found = ride_of(log, front_end())
        assert found.findings[0] is told
        assert found.history[0] is read

    def test_without_a_lifted_recording_zero_is_as_calibrated(self) -> None:
        found = ride_of(made_log(readings(), RATE_HZ), front_end())
        assert found.front.travel_mm.mean() == pytest.approx(FRONT["mean"] + FRONT_LIFTED_MM, abs=0.01)
        step = next(step for step in found.history if step.stage == "zero")
        assert step.words == "as calibrated; no lifted recording"

    @pytest.mark.parametrize("form", ["line", "curve"])
    def test_whole_counts_and_the_same_readings_off_them_give_the_same_travel(self, form: str) -> None:
        """Counts go through a table of their own, other readings one by one."""
        points = ((3900.0, 0.0), (3100.0, 14.0), (2000.0, 40.0), (900.0, 60.0))
        counts = readings()["A1"]
        by_table = ride_of(made_log({"A1": counts}, RATE_HZ), rear_end(shock(points, calibration=form)))
        scaled = tuple((reading / 4096 * 5, mm) for reading, mm in points)
        one_by_one = ride_of(made_log({"A1": counts / 4096 * 5}, RATE_HZ), rear_end(shock(scaled, calibration=form)))
        assert np.allclose(by_table.rear.cleaned_mm, one_by_one.rear.cleaned_mm, atol=1e-6)
        assert by_table.rear.noise.travel_mm == pytest.approx(one_by_one.rear.noise.travel_mm, rel=1e-6)


class TestWholeCounts:
    def test_they_are_counted_from_the_lowest(self) -> None:
        for lowest in (901.0, -3.0, 0.5):
            assert whole_counts(lowest + np.array([2.0, 0.0, 1.0, 1.0])).tolist() == [2, 0, 1, 1]

    @pytest.mark.parametrize("readings", [[1.0, 2.0, 3.0], [1.0, 1.0, 1.0, 4.0], [1.0, 1.0, 1.5, 1.0], [1.0]])
    def test_as_many_as_readings_or_parts_of_one_are_none(self, readings: list[float]) -> None:
        assert whole_counts(np.array(readings)) is None

    @pytest.mark.parametrize("more", [0, 1])
    def test_a_table_of_more_than_131072_is_none(self, more: int) -> None:
        readings = np.zeros(MOST_COUNTS + 3)
        readings[7] = MOST_COUNTS - 1 + more
        assert (whole_counts(readings) is None) is (more == 1)


class TestUnsure:
    """By how much the deepest reading may be off: full travel that is only stated, zero that nobody recorded."""

    @pytest.mark.parametrize("zero", [None, Zero(level_mm=FRONT_LIFTED_MM, source="lifted.csv")])
    @pytest.mark.parametrize("known", ["travel_mm", "measured_travel_mm", "leverage"])
    def test_each_by_its_share_of_full_travel(self, known: str, zero: Zero | None) -> None:
        end = front_end(zero=zero)
        end = replace(end, setup=replace(end.setup, full_travel_from=known))
        found = ride_of(made_log({"A0": readings()["A0"][:600]}, RATE_HZ), end)
        shares = [threshold("conditioning.end.STATED_SHARE")] if known == "travel_mm" else []
        shares += [threshold("conditioning.end.UNLIFTED_SHARE")] if zero is None else []
        assert found.front.unsure_mm == pytest.approx(sum(shares) * FRONT_MM)


class TestSegments:
    def test_each_is_cleaned_by_itself(self) -> None:
        columns = readings()
        columns["A0"][7000:] += 600  # a step across the gap, of 30 mm
        both = ride_of(made_log(columns, RATE_HZ, ((0, 7000), (7000, 15_000))), front_end())
        for start, stop in both.segments:
            alone = ride_of(made_log({"A0": columns["A0"][start:stop]}, RATE_HZ), front_end())
            for name in ("cleaned_mm", "travel_mm", "speed_mm_s", "still"):
                assert np.array_equal(getattr(both.front, name)[start:stop], getattr(alone.front, name))

    def test_what_is_found_in_a_later_one_is_told_where_it_stands(self) -> None:
        """A spike in the second of two stretches, and a contact lost for 30 samples."""
        fork = readings()["A0"][:1400]
        fork[900] += 900
        fork[1100:1130] += 1200
        log = made_log({"A0": fork}, RATE_HZ, ((0, 700), (700, 1400)))
        _, (end,) = clean_ride(log, RideRecipe(name="run_1", setup="a", ends=(front_end(),), cutoff_hz=60.0))
        assert end.spikes.tolist() == [900]
        assert end.lost.tolist() == [1100, 1130]
        assert end.signal.cleaned_mm[900] == pytest.approx(FRONT_TRUTH[900] + FRONT_LIFTED_MM, abs=3.0)

    def test_an_uneven_clock_gives_the_same_ride(self) -> None:
        """Stamps 0.4 of a step off, readings taken at them: interpolation brings the sine back."""
        jitter = np.random.default_rng(12).uniform(-0.4, 0.4, TIME_S.size) / RATE_HZ
        jitter[[0, -1]] = 0
        stamps = TIME_S + jitter
        truth = FRONT["mean"] + FRONT["amplitude"] * np.sin(2 * np.pi * FRONT["hertz"] * stamps)
        log = replace(made_log({"A0": np.round(100 + truth / 0.05)}, RATE_HZ), time_s=stamps, even=False)
        found = ride_of(log, front_end())
        assert np.abs(found.front.travel_mm - FRONT_TRUTH)[MIDDLE].max() < 0.03
        assert found.front.speed_mm_s[MIDDLE].max() == pytest.approx(FRONT_SPEED.max(), rel=0.02)


class TestCutoff:
    """The day's cut-off, or 0.4 of a slower log's own rate."""

    @pytest.mark.parametrize(("rate_hz", "asked_hz", "used_hz"), [(500, 60, 60), (100, 60, 40), (100, 25, 25)])
    def test_it_never_passes_two_fifths_of_the_rate(self, rate_hz: float, asked_hz: float, used_hz: float) -> None:
        log = made_log({"A0": np.random.default_rng(1).integers(1000, 1400, 2000).astype(float)}, float(rate_hz))
        found = ride_of(log, front_end(), cutoff_hz=asked_hz)
        step = next(step for step in found.history if step.stage == "low-pass")
        assert step.parameters == {"cutoff_hz": used_hz}

    def test_a_sine_at_it_loses_half_its_power(self) -> None:
        counts = np.round(1500 + 400 * np.sin(2 * np.pi * 60.0 * TIME_S))
        travel = front_ride(counts).front.travel_mm[MIDDLE]
        assert math.sqrt(2) * travel.std() == pytest.approx(20.0 * math.sqrt(0.5), rel=1e-3)


class TestSlowRate:
    @pytest.mark.parametrize(("rate_hz", "told"), [(100.0, True), (198.0, True), (199.5, False), (200.0, False)])
    def test_below_200_rows_a_second_speeds_are_warned_of(self, rate_hz: float, told: bool) -> None:
        ride = front_ride(np.random.default_rng(1).integers(1000, 1002, 600), rate_hz)
        assert codes(ride) == (["slow_rate"] if told else [])


class TestRefused:
    def test_a_log_without_a_long_enough_stretch(self) -> None:
        log = replace(made_log(readings(), RATE_HZ), segments=())
        with pytest.raises(ValueError, match="no gap-free stretch"):
            clean_ride(log, RideRecipe(name="run_1", setup="a", ends=(front_end(),), cutoff_hz=60.0))

    def test_full_travel_that_is_not_known(self) -> None:
        end = front_end()
        unknown = replace(end, setup=replace(end.setup, full_travel_mm=None))
        with pytest.raises(ValueError, match="full travel of the front isn't known"):
            ride_of(made_log(readings(), RATE_HZ), unknown)

    def test_stroke_without_leverage(self) -> None:
        end = rear_end()
        bare = replace(end, setup=replace(end.setup, leverage=None))
        with pytest.raises(ValueError, match="needs a leverage curve"):
            ride_of(made_log(readings(), RATE_HZ), bare)

    def test_a_rear_sensor_of_travel_needs_none(self) -> None:
        end = rear_end(replace(shock(((100.0, 0.0), (3500.0, 170.0))), measures="travel"))
        bare = replace(end, setup=replace(end.setup, leverage=None))
        found = ride_of(made_log({"A1": readings()["A0"]}, RATE_HZ), bare)
        assert found.rear.shaft_ratio is None
        assert np.abs(found.rear.cleaned_mm - FRONT_TRUTH - FRONT_LIFTED_MM).max() <= 0.05 / 2 + 1e-9


def test_the_curve_of_these_tests_is_a_real_one() -> None:
    assert curve_travel_mm(np.array(CURVE.stroke_mm)) == pytest.approx(np.array(CURVE.travel_mm))
    assert fork().points[1][1] == FRONT_MM
    assert CURVE.travel_mm[-1] == pytest.approx(REAR_MM)
