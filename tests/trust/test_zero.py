"""Where an end tops out, and where zero is: each limit just below and just above, on arrays."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from telemetry.model.finding import Finding
from telemetry.trust.zero import (
    ZeroFacts,
    flat_stretches,
    flat_within_mm,
    lowest_times,
    zero_moved,
    zero_moves_after,
    zero_shift,
)
from tests.measures.bare_rides import FULL_MM, bare_end, bare_ride, riding_time
from tests.thresholds import threshold

RATE_HZ = 200.0
FEWEST = int(threshold("trust.zero.FEWEST_LEVELS"))


def limit(name: str) -> float:
    return threshold(f"trust.zero.{name}")


def mm(name: str) -> float:
    return limit(name) * FULL_MM


def facts(*, source: str | None = None, change_mm: float = 1.0, **keys: object) -> ZeroFacts:
    """Return what is known of zero; the smallest change so small that half a millimetre is the limit."""
    return ZeroFacts(
        end="front",
        measures="travel",
        source=source,
        smallest_change_mm=change_mm,
        **{"moved_mm": 0.0, **keys},  # type: ignore[arg-type]
    )


def topping_out(levels_mm: Sequence[float], lasts: int = 20, every: int = 200) -> np.ndarray:
    """Return travel that comes to rest so long at each level in turn, and works in between."""
    travel = 60 + 20 * np.sin(np.arange(every * (len(levels_mm) + 1)) / 9)
    for number, level in enumerate(levels_mm, 1):
        travel[number * every : number * every + lasts] = level
    return travel


def told(
    travel: np.ndarray, of: ZeroFacts | None = None, *, airborne: np.ndarray | None = None, noise_mm: float = 0.0
) -> tuple[Finding, ...]:
    end = bare_end("front", travel, noise_mm=noise_mm)
    ride = bare_ride(end, rate_hz=RATE_HZ)
    time = riding_time(np.ones(travel.shape, dtype=bool), RATE_HZ, airborne)
    return zero_shift(ride, end, time, flat_stretches(ride, end, time), of or facts())


class TestLimitOfALevel:
    @pytest.mark.parametrize(
        ("change_mm", "limit_mm"),
        [
            (1.0, limit("SMALLEST_MM")),
            (10.0, 10.0 * limit("SHARE_OF_CHANGE")),
            (limit("SMALLEST_MM") / limit("SHARE_OF_CHANGE"), 0.5),
        ],
    )
    def test_it_is_half_a_millimetre_or_a_part_of_the_smallest_change(self, change_mm: float, limit_mm: float) -> None:
        assert facts(change_mm=change_mm).limit_mm == pytest.approx(limit_mm)

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "is_told"), [(1.0, False), (1.001, True)])
    def test_a_level_further_from_zero_is_told(self, share: float, sign: int, *, is_told: bool) -> None:
        found = told(topping_out([sign * share * limit("SMALLEST_MM")] * 6))
        assert [item.severity for item in found] == ["warning"] * is_told
        if is_told:
            assert (found[0].code, found[0].end, found[0].second) == ("zero_shift", "front", 1.0)
            assert "tops out 6 times, first at 1.00 s, at " in found[0].message

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "severity"), [(1.0, "warning"), (1.001, "error")])
    def test_over_2_per_cent_of_travel_it_is_an_error(self, share: float, sign: int, severity: str) -> None:
        (found,) = told(topping_out([sign * share * mm("ERROR_SHARE")] * 6))
        assert found.severity == severity

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "is_told"), [(1.0, True), (1.001, False)])
    def test_over_10_per_cent_it_is_no_top_out(self, share: float, sign: int, *, is_told: bool) -> None:
        assert bool(told(topping_out([sign * share * mm("PLAUSIBLE_SHARE")] * 6))) is is_told

    @pytest.mark.parametrize(("share", "is_told"), [(1.0, False), (1.01, True)])
    def test_above_a_lifted_zero_half_a_per_cent_is_added(self, share: float, *, is_told: bool) -> None:
        """The weight of a hanging wheel draws an end out; below zero nothing does."""
        level = share * (limit("SMALLEST_MM") + mm("DRAWN_OUT_SHARE"))
        lifted = facts(source="lifted.csv")
        assert bool(told(topping_out([level] * 6), lifted)) is is_told
        assert told(topping_out([level] * 6))
        assert told(topping_out([-0.6] * 6), lifted)

    @pytest.mark.parametrize(("more", "is_told"), [(-0.01, True), (0.01, False)])
    def test_travel_lies_no_further_below_it(self, more: float, *, is_told: bool) -> None:
        """By the larger of 1 mm and 1 % of travel: by 2 mm of 200; a thousandth of riding may."""
        below = max(limit("BELOW_MM"), mm("BELOW_SHARE")) + more
        travel = topping_out([4.0] * 6)
        few = round(limit("BELOW_TIME") * travel.size) + 2
        travel[150 : 150 + 2 * few : 2] = 4.0 - below
        assert bool(told(travel)) is is_told
        travel = topping_out([4.0] * 6)
        travel[150] = -20.0
        assert told(travel)

    def test_of_a_short_travel_1_mm(self) -> None:
        travel = topping_out([2.0] * 6)
        travel[150:158:2] = 2.0 - limit("BELOW_MM") * 1.01
        end = bare_end("front", travel, full_mm=60.0)
        ride, time = bare_ride(end, rate_hz=RATE_HZ), riding_time(np.ones(travel.shape, dtype=bool), RATE_HZ)
        assert zero_shift(ride, end, time, flat_stretches(ride, end, time), facts()) == ()
        travel = np.where(travel == travel[150], 2.0 - limit("BELOW_MM") * 0.99, travel)
        end = bare_end("front", travel, full_mm=60.0)
        assert zero_shift(bare_ride(end, rate_hz=RATE_HZ), end, time, flat_stretches(ride, end, time), facts())


class TestHowOften:
    @pytest.mark.parametrize("lacking", [0, 1])
    def test_five_times(self, lacking: int) -> None:
        assert bool(told(topping_out([2.0] * (FEWEST - lacking)))) is (lacking == 0)

    @pytest.mark.parametrize(("share", "is_told"), [(0.999, True), (1.001, False)])
    def test_within_three_tenths_of_the_lowest(self, share: float, *, is_told: bool) -> None:
        levels = [2.0] * (FEWEST - 1) + [2.0 + share * limit("SAME_LEVEL_MM")]
        assert bool(told(topping_out(levels))) is is_told

    def test_or_within_what_noise_makes_of_one(self) -> None:
        levels = [2.0] * (FEWEST - 1) + [2.7]
        assert told(topping_out(levels)) == ()
        assert told(topping_out(levels), noise_mm=0.2)

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_each_for_50_ms(self, lacking: int) -> None:
        lasts = round(limit("FLAT_S") * RATE_HZ) - lacking
        assert bool(told(topping_out([2.0] * 6, lasts))) is (lacking == 0)


class TestFlat:
    @pytest.mark.parametrize(("noise_mm", "within_mm"), [(0.5, 2.0), (0.0, 1e-3)])
    def test_it_spans_two_sd_of_noise_either_way(self, noise_mm: float, within_mm: float) -> None:
        end = bare_end("front", np.zeros(9), noise_mm=noise_mm)
        assert flat_within_mm(end) == within_mm

    def test_only_riding_without_a_gap_counts(self) -> None:
        travel = np.arange(400.0)
        travel[50:70] = travel[200:230] = travel[300:320] = 7.0
        riding = np.ones(400, dtype=bool)
        riding[:65] = False
        end = bare_end("front", travel)
        ride = bare_ride(end, rate_hz=RATE_HZ, segments=((0, 215), (215, 400)))
        assert flat_stretches(ride, end, riding_time(riding, RATE_HZ)) == [(200, 215), (215, 230), (300, 320)]

    def test_flat_for_under_50_ms_is_none(self) -> None:
        travel = np.arange(400.0)
        travel[50:59], travel[100:110] = 7.0, 9.0
        end = bare_end("front", travel)
        ride = bare_ride(end, rate_hz=RATE_HZ)
        assert flat_stretches(ride, end, riding_time(np.ones(400, dtype=bool), RATE_HZ)) == [(100, 110)]


class TestLowestTimes:
    @pytest.mark.parametrize(("peak", "times"), [(2.6, 1), (2.61, 2)])
    def test_between_two_times_travel_leaves_the_level_by_twice_as_much(self, peak: float, times: int) -> None:
        travel = np.array([2.0, 2.0, peak, 2.0, 2.0])
        found = lowest_times(travel, [(0, 2), (3, 5)], 0.3)
        assert found == [(0, 2.0), (3, 2.0)][:times]

    def test_a_time_that_is_none_does_not_part_two(self) -> None:
        """Flat stretches of the level next to each other stay one, whatever lies flat higher up in between."""
        travel = np.array([2.0, 2.0, 2.4, 2.4, 2.0, 2.0])
        assert lowest_times(travel, [(0, 2), (2, 4), (4, 6)], 0.3) == [(0, 2.0)]

    @pytest.mark.parametrize(("level", "counts"), [(2.3, True), (2.301, False)])
    def test_levels_so_close_to_the_lowest_are_the_same(self, level: float, *, counts: bool) -> None:
        travel = np.array([2.0, 2.0, 9.0, level, level])
        assert lowest_times(travel, [(0, 2), (3, 5)], 0.3) == [(0, 2.0), (3, level)][: 1 + counts]

    def test_a_level_is_the_median(self) -> None:
        assert lowest_times(np.array([2.0, 2.0, 5.0]), [(0, 3)], 0.3) == [(0, 2.0)]

    def test_without_flat_stretches_there_is_none(self) -> None:
        assert lowest_times(np.arange(5.0), [], 0.3) == []


class TestInFlight:
    """With a lifted recording's zero, levels above it in flight are noted, and levels on the ground decide."""

    LIFTED = facts(source="lifted.csv")

    def flown(self, count: int, of: int, ahead: int = 0) -> np.ndarray:
        """Return where the bike flies: from so many samples after the first rests began."""
        airborne = np.zeros(200 * (of + 1), dtype=bool)
        for number in range(1, count + 1):
            airborne[number * 200 + ahead : number * 200 + 20 + ahead] = True
        return airborne

    def test_levels_met_in_flight_alone_are_noted(self) -> None:
        (found,) = told(topping_out([3.0] * 7), self.LIFTED, airborne=self.flown(7, 7))
        assert (found.severity, found.end, found.second) == ("note", "front", None)
        assert "rests at +3.00 mm in flight, 7 times" in found.message

    @pytest.mark.parametrize(("flown", "severity"), [(2, "warning"), (3, "note")])
    def test_five_on_the_ground_decide(self, flown: int, severity: str) -> None:
        found = told(topping_out([3.0] * 7), self.LIFTED, airborne=self.flown(flown, 7))
        assert [item.severity for item in found] == [severity]

    def test_without_a_flight_or_a_lifted_zero_or_below_it_they_are_top_outs(self) -> None:
        none = np.zeros(1400, dtype=bool)
        assert told(topping_out([3.0] * 6), self.LIFTED, airborne=none)[0].severity == "warning"
        flown = self.flown(6, 6)
        assert told(topping_out([3.0] * 6), facts(), airborne=flown)[0].severity == "warning"
        assert told(topping_out([-3.0] * 6), self.LIFTED, airborne=flown)[0].severity == "warning"

    @pytest.mark.parametrize(("ahead", "severity"), [(9, "note"), (10, "warning")])
    def test_an_end_may_rest_up_to_50_ms_before_the_other(self, ahead: int, severity: str) -> None:
        found = told(topping_out([3.0] * 6), self.LIFTED, airborne=self.flown(6, 6, ahead))
        assert [item.severity for item in found] == [severity]


class TestLifted:
    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "is_told"), [(0.999, False), (1.0, True)])
    def test_a_recording_that_moves_zero_by_a_twentieth_of_a_millimetre_is_noted(
        self, share: float, sign: int, *, is_told: bool
    ) -> None:
        moved = sign * share * limit("NOTE_MM")
        found = zero_moved("run_1", facts(source="lifted.csv", moved_mm=moved))
        assert [(item.code, item.severity) for item in found] == [("zero_shift", "note")] * is_told
        assert zero_moved("run_1", facts(moved_mm=moved)) == ()

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "is_told"), [(1.0, False), (1.001, True)])
    def test_the_next_one_that_puts_it_elsewhere_is_noted(self, share: float, sign: int, *, is_told: bool) -> None:
        """By the limit of a level, at the wheel: a shock's millimetre is 2 there."""
        by = sign * share * limit("SMALLEST_MM") / 2
        keys = {
            "source": "a.csv",
            "moved_mm": 4.0,
            "next_source": "b.csv",
            "next_moved_mm": 4.0 + by,
            "travel_per_mm": 2.0,
        }
        found = zero_moves_after("run_1", facts(**keys))  # type: ignore[arg-type]
        assert [(item.code, item.severity) for item in found] == [("zero_moves", "note")] * is_told
        for lacking in ("source", "next_source"):
            assert zero_moves_after("run_1", facts(**{**keys, lacking: None})) == ()  # type: ignore[arg-type]
        if is_told:
            assert f"{2 * by:+.1f} mm of travel".replace("-", "−") in found[0].message
