"""Slips, tones, holes, travel beyond and how much riding: each limit just below and just above, on arrays."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from telemetry.model.day import RunEntry
from telemetry.model.finding import Finding
from telemetry.model.sensor import DisplacementSensor
from telemetry.trust import ends_opposed, ends_swapped
from telemetry.trust.channel import beyond_travel, channel_findings
from telemetry.trust.dead_band import dead_band, widest_hole
from telemetry.trust.lifted import LiftedEnd, lifted_wrong
from telemetry.trust.lines import line_noise, strongest_tone
from telemetry.trust.slip import _cuts, slipped
from telemetry.trust.whole_run import run_findings
from telemetry.trust.zero import flat_stretches
from tests.measures.bare_rides import FULL_MM, bare_end, bare_motion, bare_ride, riding_time, strokes
from tests.thresholds import documented, threshold
from tests.trust.test_zero import RATE_HZ, facts, topping_out


def limit(name: str) -> float:
    return threshold(f"trust.{name}")


class TestSlip:
    def slips(self, levels_mm: list[float], change_mm: float = 1.0) -> tuple[Finding, ...]:
        travel = topping_out(levels_mm)
        end = bare_end("rear", travel)
        ride, time = bare_ride(end, rate_hz=RATE_HZ), riding_time(np.ones(travel.shape, dtype=bool), RATE_HZ)
        return slipped(ride, end, time, flat_stretches(ride, end, time), facts(change_mm=change_mm))

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_levels_lie_1_5_mm_apart(self, share: float, sign: int, *, told: bool) -> None:
        found = self.slips([6.0] * 4 + [6.0 + sign * share * limit("slip.LEAST_MM")] * 4)
        assert [(item.code, item.severity, item.end) for item in found] == [("zero_shift", "warning", "rear")] * told

    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_or_a_part_of_the_smallest_change(self, share: float, *, told: bool) -> None:
        by = share * 10.0 * limit("zero.SHARE_OF_CHANGE")
        assert bool(self.slips([6.0] * 4 + [6.0 + by] * 4, change_mm=10.0)) is told

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "severity"), [(1.0, "warning"), (1.001, "error")])
    def test_over_2_per_cent_is_an_error(self, share: float, sign: int, severity: str) -> None:
        by = sign * share * limit("zero.ERROR_SHARE") * FULL_MM
        (found,) = self.slips([6.0] * 4 + [6.0 + by] * 4)
        assert found.severity == severity
        assert f"tops out {by:+.2f} mm elsewhere from about".replace("-", "−") in found.message

    @pytest.mark.parametrize(("before", "after", "told"), [(3, 3, True), (2, 4, False), (4, 2, False)])
    def test_three_times_before_and_after(self, before: int, after: int, *, told: bool) -> None:
        assert int(limit("slip.FEWEST_EACH")) == 3
        assert bool(self.slips([6.0] * before + [9.0] * after)) is told

    @pytest.mark.parametrize(("share", "told"), [(0.999, True), (1.001, False)])
    def test_alike_to_0_6_mm(self, share: float, *, told: bool) -> None:
        apart = share * limit("slip.REST_MM")
        assert bool(self.slips([6.0, 6.0, 6.0 + apart, 12.0, 12.0, 12.0])) is told

    @pytest.mark.parametrize(("share", "told"), [(1.0, True), (1.001, False)])
    def test_no_further_than_10_per_cent_from_zero(self, share: float, *, told: bool) -> None:
        furthest = share * limit("zero.PLAUSIBLE_SHARE") * FULL_MM
        assert bool(self.slips([6.0] * 4 + [furthest] * 4)) is told
        assert bool(self.slips([furthest] * 4 + [6.0] * 4)) is told
        assert bool(self.slips([-furthest] * 4 + [6.0] * 4)) is told

    def test_it_lies_between_the_last_before_and_the_first_after(self) -> None:
        (found,) = self.slips([6.0] * 3 + [10.0] * 5)
        assert found.second == pytest.approx((3 * 200 + 20 + 4 * 200) // 2 / RATE_HZ)
        (inwards,) = self.slips([10.0] * 3 + [6.0] * 5)
        assert inwards.second == pytest.approx((3 * 200 + 20 + 4 * 200) // 2 / RATE_HZ)

    @pytest.mark.parametrize(("more", "told"), [(-0.01, True), (0.01, False)])
    def test_travel_hardly_ever_lies_below_either(self, more: float, *, told: bool) -> None:
        below = limit("zero.BELOW_SHARE") * FULL_MM + more
        for levels, first in (([6.0] * 4 + [10.0] * 4, 150), ([6.0] * 4 + [10.0] * 4, 1700)):
            travel = topping_out(levels)
            travel[first : first + 20 : 2] = (6.0 if first < 800 else 10.0) - below
            end = bare_end("rear", travel)
            ride, time = bare_ride(end, rate_hz=RATE_HZ), riding_time(np.ones(travel.shape, dtype=bool), RATE_HZ)
            assert bool(slipped(ride, end, time, flat_stretches(ride, end, time), facts())) is told

    def test_cuts_have_three_on_either_side_and_are_thinned_to_60(self) -> None:
        assert _cuts([1.0] * 3 + [5.0] * 3, 1.5) == [3]
        assert _cuts([1.0] * 3 + [2.5] * 3, 1.5) == []
        assert _cuts([1.0] * 4 + [5.0] * 5, 1.5) == [3, 4, 5, 6]
        many = _cuts([float(level) for level in range(200)], 1.5)
        assert (len(many), many[0], many[-1]) == (60, 3, 197)


class TestTone:
    FS = 500.0

    def humming(
        self, hertz: float, mm: float, seconds: float = 20.0, rate_hz: float = FS, noise: float = 0.02
    ) -> np.ndarray:
        at_s = np.arange(round(seconds * rate_hz)) / rate_hz
        own = noise * np.random.default_rng(3).standard_normal(at_s.size)
        return 60 + own + mm * np.sin(2 * np.pi * hertz * at_s)

    def told(self, signal: np.ndarray, rate_hz: float = FS, **keys: object) -> bool:
        end = bare_end("front", signal)
        return bool(line_noise(bare_ride(end, rate_hz=rate_hz, **keys), end))  # type: ignore[arg-type]

    @pytest.mark.parametrize(("share", "told"), [(0.97, False), (1.03, True)])
    def test_of_a_tenth_of_a_millimetre(self, share: float, *, told: bool) -> None:
        assert self.told(self.humming(62.0, share * limit("lines.LEAST_MM"))) is told

    @pytest.mark.parametrize(
        ("hertz", "told"), [(limit("lines.LOWEST_HZ"), True), (limit("lines.LOWEST_HZ") - 1, False)]
    )
    def test_from_30_hz(self, hertz: float, *, told: bool) -> None:
        assert self.told(self.humming(hertz, 0.5)) is told

    @pytest.mark.parametrize(("off", "told"), [(-0.5, True), (0.5, False)])
    def test_to_0_45_of_the_rate_less_what_is_around(self, off: float, *, told: bool) -> None:
        highest = limit("lines.MOST_SHARE") * self.FS - limit("lines.AROUND_HZ")
        assert self.told(self.humming(highest + off, 0.5)) is told

    @pytest.mark.parametrize(("share", "told"), [(0.85, False), (1.2, True)])
    def test_that_stands_out_30_times(self, share: float, *, told: bool) -> None:
        """Noise so strong that the tone's density is so many times the median around it."""
        signal = self.humming(62.0, 0.4, seconds=110.0, noise=1.0)
        _, _, ratio = strongest_tone(signal, self.FS)
        own = signal - self.humming(62.0, 0.4, seconds=110.0, noise=0.0)
        louder = np.sqrt(ratio / (share * limit("lines.ABOVE")))
        assert self.told(signal + (louder - 1) * own) is told

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_in_12_s_of_log_in_one_piece(self, lacking: int) -> None:
        count = round(limit("lines.LEAST_S") * self.FS) - lacking
        signal = self.humming(62.0, 0.5, seconds=30.0)[: 2 * count - 1]
        assert self.told(signal, segments=((0, count), (count, 2 * count - 1))) is (lacking == 0)

    def test_of_a_longer_log_the_middle_120_s_are_looked_at(self) -> None:
        spare = 20.0
        signal = self.humming(62.0, 0.0, seconds=limit("lines.MOST_S") + 2 * spare)
        hum = self.humming(62.0, 5.0, seconds=spare, noise=0.0) - 60
        count = hum.size
        outside = signal.copy()
        outside[:count] += hum
        outside[-count:] += hum
        assert not self.told(outside)
        inside = signal.copy()
        inside[count : 2 * count] += hum
        assert self.told(inside)
        late = signal.copy()
        late[-2 * count : -count] += hum
        assert self.told(late)

    @pytest.mark.parametrize(("rate_hz", "told"), [(84.0, False), (86.0, True)])
    def test_a_slow_log_holds_none(self, rate_hz: float, *, told: bool) -> None:
        """38 Hz have to lie below 0.45 of the rate."""
        assert self.told(self.humming(30.25, 0.5, seconds=40.0, rate_hz=rate_hz), rate_hz) is told

    @pytest.mark.parametrize("hertz", [41.0, 62.25, 100.1])
    def test_frequency_and_amplitude_are_the_tones(self, hertz: float) -> None:
        found, mm, ratio = strongest_tone(self.humming(hertz, 0.7, seconds=60.0), self.FS)
        assert found == pytest.approx(hertz, abs=0.13)
        assert mm == pytest.approx(0.7, rel=0.02)
        assert ratio > 1000

    def test_the_one_that_stands_out_most_is_told_not_the_strongest(self) -> None:
        """A rumble around 100 Hz holds more power at its middle than the tone of 60 Hz does."""
        at_s = np.arange(30_000) / self.FS
        rumble = np.random.default_rng(5).standard_normal(30_000)
        around = np.convolve(rumble, np.hanning(25) * np.cos(2 * np.pi * 100 * np.arange(25) / self.FS), "same")
        signal = 0.5 * around + 0.175 * np.sin(2 * np.pi * 60 * at_s) + 0.001 * rumble
        assert strongest_tone(signal, self.FS)[0] == pytest.approx(60.0, abs=0.13)

    def test_without_a_band_there_is_none(self) -> None:
        assert strongest_tone(self.humming(20.0, 0.5, rate_hz=60.0), 60.0) == (0.0, 0.0, 0.0)


class TestHole:
    LEAST = 100 * limit("dead_band.LEAST_SHARE")
    FEWEST = int(limit("dead_band.FEWEST_BESIDE"))

    def travel(self, low: float, high: float, beside: int | None = None) -> np.ndarray:
        """Return depths, %, even from 10 to 60 but for a hole; with so many in the per cent next to it."""
        even = np.arange(10, 60, 0.004)
        kept = even[(even <= low) | (even >= high)]
        if beside is None:
            return kept
        far = kept[(kept <= low - 1.0) | (kept >= high)]
        return np.concatenate([far, np.linspace(low - 0.7, low, beside)])

    @pytest.mark.parametrize(("more", "found"), [(0.26, True), (-0.01, False)])
    def test_it_is_1_per_cent_wide(self, more: float, *, found: bool) -> None:
        """To the quarter of a per cent in which readings are counted."""
        hole = widest_hole(self.travel(30.0, 30.0 + self.LEAST + more))
        assert (hole is not None) is found
        if hole is not None:
            assert hole == (30.0, pytest.approx(30.0 + self.LEAST + more, abs=0.006))

    @pytest.mark.parametrize("lacking", [0, 1])
    @pytest.mark.parametrize("turned", [False, True])
    def test_a_hundred_readings_lie_on_either_side(self, lacking: int, *, turned: bool) -> None:
        depths = self.travel(30.0, 32.0, self.FEWEST - lacking)
        depths = 62.0 - depths if turned else depths
        assert (widest_hole(depths) is not None) is (lacking == 0)

    @pytest.mark.parametrize(("share", "found"), [(0.045, False), (0.055, True), (0.945, True), (0.955, False)])
    def test_within_the_middle_nine_tenths_of_readings(self, share: float, *, found: bool) -> None:
        even = np.linspace(10.0, 60.0, 12_500)
        cut = round(share * even.size)
        depths = np.concatenate([even[:cut], even[cut:] + 2.0])
        assert (widest_hole(depths) is not None) is found

    def test_the_widest_of_several(self) -> None:
        even = np.arange(10, 60, 0.004)
        kept = even[~((even > 20) & (even < 22)) & ~((even > 40) & (even < 43)) & ~((even > 50) & (even < 51.6))]
        assert widest_hole(kept) == (40.0, pytest.approx(43.0, abs=0.005))
        assert widest_hole(kept - 80.0) == (-40.0, pytest.approx(-37.0, abs=0.005))

    @pytest.mark.parametrize("beyond", [4.3e9, -4.3e9, 1e15])
    def test_readings_far_beyond_travel_tell_nothing(self, beyond: float) -> None:
        """A converter's error value, as 2 to the 32 less one: levels were counted up to it, gigabytes of them."""
        depths = np.concatenate([self.travel(30.0, 32.0), np.full(5, beyond)])
        assert widest_hole(depths) == (30.0, pytest.approx(32.0, abs=0.005))
        assert widest_hole(np.full(5, beyond)) is None

    def test_without_readings_or_a_hole_there_is_none(self) -> None:
        assert widest_hole(np.empty(0)) is None
        assert widest_hole(np.arange(10, 60, 0.004)) is None

    @pytest.mark.parametrize(("share", "told"), [(1.0, True), (1.001, False)])
    def test_a_coarse_converter_has_holes_by_nature(self, share: float, *, told: bool) -> None:
        depths = self.travel(30.0, 33.0) * FULL_MM / 100
        end = bare_end("rear", depths, step_mm=share * limit("dead_band.LEAST_SHARE") / 2 * FULL_MM)
        found = dead_band(bare_ride(end), end)
        assert [(item.code, item.severity, item.end) for item in found] == [("dead_band", "warning", "rear")] * told
        if told:
            assert "no reading from 60.0 to 66.0 mm of travel" in found[0].message
            assert "(a hole of 6.0 mm, limit 2.0 mm)" in found[0].message


class TestBeyond:
    def told(self, travel: np.ndarray, **keys: object) -> tuple[Finding, ...]:
        end = bare_end("front", travel)
        return beyond_travel(bare_ride(end, rate_hz=100.0, **keys), end)  # type: ignore[arg-type]

    @pytest.mark.parametrize("name", ["channel.LOWEST_SHARE", "channel.HIGHEST_SHARE"])
    @pytest.mark.parametrize(("off", "told"), [(0.0, False), (0.01, True)])
    def test_travel_lies_within_2_per_cent_of_its_ends(self, name: str, off: float, *, told: bool) -> None:
        outwards = 1 if limit(name) > 1 else -1
        travel = np.full(1000, 50.0)
        travel[300] = limit(name) * FULL_MM + outwards * off
        found = self.told(travel)
        assert [(item.code, item.severity, item.second) for item in found] == [("beyond_travel", "warning", 3.0)] * told

    @pytest.mark.parametrize(("more", "severity"), [(0, "warning"), (1, "error")])
    def test_over_1_per_cent_of_samples_is_an_error(self, more: int, severity: str) -> None:
        travel = np.full(1000, 50.0)
        travel[: round(limit("channel.BEYOND_SHARE") * 1000) + more] = 250.0
        (found,) = self.told(travel)
        assert found.severity == severity

    def test_the_furthest_from_the_middle_is_told(self) -> None:
        travel = np.full(1000, 50.0)
        travel[[100, 200, 300]] = 205.0, -30.0, 222.0
        assert "furthest −30.0 mm, first at 1.00 s" in self.told(travel)[0].message
        travel[200] = -5.0
        assert "furthest 222.0 mm" in self.told(travel)[0].message

    @pytest.mark.parametrize(("at", "told"), [(199, False), (200, True), (800, True), (801, False)])
    def test_only_between_start_and_end(self, at: int, *, told: bool) -> None:
        travel = np.full(1000, 50.0)
        travel[at] = 250.0
        found = self.told(travel, bounds_s=(2.0, 8.0))
        assert bool(found) is told
        if told:
            assert "0.17 % of samples" in found[0].message  # of 601


def test_an_end_that_does_not_live_is_told_once_by_what_says_most() -> None:
    """Stuck says more than stopped dead, and hardly moving in all more than for a while."""
    front = 100 + 20.0 * (np.arange(4000) % 2) + 30.0 * (np.arange(4000) // 2 % 2)
    front[1000:3100] = 60.0
    ends = bare_end("front", front), bare_end("rear", front[::-1].copy())
    ride = bare_ride(*ends, rate_hz=100.0)
    busy = [(1000 + 60 * k, 1050 + 60 * k) for k in range(30)]
    motions = {end.end: bare_motion(end.end, strokes(*busy, mm=np.zeros(4000))) for end in ends}
    time = riding_time(np.ones(4000, dtype=bool), 100.0)
    codes = [(item.code, item.end) for item in channel_findings(ride, time, motions)]
    assert codes.count(("stuck", "front")) == 1
    assert ("stopped_dead", "front") not in codes
    assert codes.count(("hardly_moves", "front")) == 1


def lifted(level_mm: np.ndarray, readings: np.ndarray | None = None, counts_range: tuple[float, float] | None = None):
    sensor = DisplacementSensor(
        name="fork",
        end="front",
        column="A0",
        measures="travel",
        points=((0.0, 0.0), (1.0, 1.0)),
        counts_range=counts_range,
    )
    own = np.full(level_mm.shape, 500.0) if readings is None else readings
    wrong = lifted_wrong(LiftedEnd(log="lifted.csv", sensor=sensor, readings=own, level_mm=level_mm, full_mm=FULL_MM))
    return [(item.code, item.severity, item.end) for item in wrong]


class TestLifted:
    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_a_zero_over_10_per_cent_off_is_far(self, share: float, sign: int, *, told: bool) -> None:
        level = np.full(200, sign * share * limit("lifted.FAR_SHARE") * FULL_MM)
        assert lifted(level) == [("lifted_far", "warning", "front")] * told

    @pytest.mark.parametrize(("share", "told"), [(0.99, False), (1.01, True)])
    def test_the_middle_eight_tenths_of_its_levels_span_1_per_cent(self, share: float, *, told: bool) -> None:
        low, high = documented()["trust.lifted.MIDDLE"]
        parts = int(limit("lifted.PARTS"))
        levels = np.linspace(0, 1, parts)
        span = np.subtract(*np.percentile(levels, [high, low]))
        drift = np.repeat(levels, 10) * share * limit("lifted.STILL_SHARE") * FULL_MM / span
        assert lifted(drift) == [("lifted_moves", "error", "front")] * told

    def test_levels_are_the_medians_of_its_parts(self) -> None:
        """A tremble of either sign leaves them alike, and so do a few parts that are off."""
        tremble = np.tile([-5.0, 5.0, 0.0, 0.0, 0.0], 40)
        assert lifted(tremble) == []
        few = np.zeros(200)
        few[:10] = few[190:] = 9.0
        assert lifted(few) == []
        few[10:40] = 9.0
        assert lifted(few) == [("lifted_moves", "error", "front")]
        assert lifted(np.array([0.0, 9.0, 0.0, 9.0])) == [("lifted_moves", "error", "front")]

    @pytest.mark.parametrize(("reading", "told"), [(1.0, True), (1.01, False), (4094.0, True), (4093.99, False)])
    def test_a_reading_within_a_count_of_an_end_of_the_range_is_unplugged(self, reading: float, *, told: bool) -> None:
        found = lifted(np.full(100, 10.0), np.full(100, reading), (0.0, 4095.0))
        assert found == [("lifted_at_range_end", "error", "front")] * told
        assert lifted(np.full(100, 10.0), np.full(100, reading)) == []

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_unless_it_is_within_3_per_cent_of_zero(self, share: float, sign: int, *, told: bool) -> None:
        level = np.full(100, sign * share * limit("lifted.NEAR_SHARE") * FULL_MM)
        assert bool(lifted(level, np.zeros(100), (0.0, 4095.0))) is told


class TestWholeRun:
    RUN = RunEntry(name="run_1", log=Path("run_1.csv"), rear_log=None, setup="a", order=1, sensors={})

    def told(self, riding_s: float, log_s: float = 60.0, **keys: object) -> list[tuple[str, str]]:
        count = round(log_s * 100) + 1
        end = bare_end("front", np.full(count, 50.0))
        riding = np.arange(count) < round(riding_s * 100)
        run = replace(self.RUN, **keys)  # type: ignore[arg-type]
        found = run_findings(run, bare_ride(end), riding_time(riding), ())
        return [(item.code, item.severity) for item in found]

    @pytest.mark.parametrize(("lacking_s", "told"), [(0.0, []), (0.01, [("short_run", "warning")])])
    def test_under_30_s_of_riding_is_short(self, lacking_s: float, told: list[tuple[str, str]]) -> None:
        assert self.told(limit("whole_run.SHORT_RUN_S") - lacking_s) == told

    @pytest.mark.parametrize(("lacking_s", "told"), [(0.0, ("short_run", "warning")), (0.01, ("not_riding", "error"))])
    def test_under_5_s_is_none(self, lacking_s: float, told: tuple[str, str]) -> None:
        assert self.told(limit("whole_run.NOT_RIDING_S") - lacking_s) == [told]

    @pytest.mark.parametrize(("more_s", "told"), [(0.0, []), (0.01, [("end_beyond_log", "warning")])])
    def test_an_end_half_a_second_beyond_the_log_is_told(self, more_s: float, told: list[tuple[str, str]]) -> None:
        assert self.told(50.0, end_s=60.0 + limit("whole_run.BEYOND_S") + more_s) == told

    def test_no_row_is_lost_to_rounding(self) -> None:
        """30 s at 300 rows a second, of which the last digits of the rate lack a little."""
        end = bare_end("front", np.full(9100, 50.0))
        time = riding_time(np.arange(9100) < 9000, 300.0000001)
        assert run_findings(self.RUN, bare_ride(end, rate_hz=300.0), time, ()) == ()


@pytest.mark.parametrize("judged", [ends_swapped, ends_opposed])
@pytest.mark.parametrize(("windows", "turned", "told"), [(5, 3, True), (4, 4, False), (10, 5, False), (10, 6, True)])
def test_most_of_five_windows_or_more(judged, windows: int, turned: int, *, told: bool) -> None:
    assert int(limit("order.FEWEST_WINDOWS")) == 5
    assert bool(judged("run_1", windows, turned)) is told


def test_pushes_are_told_with_the_share_they_take() -> None:
    assert limit("pushes.LEAST_PCT") == 100 * threshold("measures.push_groups.PUSH_SHARE")
