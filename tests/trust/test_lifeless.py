"""An end that is stuck, stops dead or hardly moves: each limit just below and just above, on arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from telemetry.model.finding import Finding
from telemetry.model.motion import EndMotion
from telemetry.trust.lifeless import calm_stretches, frozen, hardly_moves, idle, stopped_dead, stuck
from tests.measures.bare_rides import FULL_MM, bare_end, bare_motion, bare_ride, riding_time, strokes
from tests.thresholds import threshold

RATE_HZ = 100.0
STEP_MM = 0.05
START = 300


def limit(name: str) -> float:
    return threshold(f"trust.lifeless.{name}")


def mm(name: str) -> float:
    return limit(name) * FULL_MM


def samples(name: str) -> int:
    return round(limit(name) * RATE_HZ)


def held(lasts: int, level_mm: float, *, span_mm: float = 0.0, count: int = 3000) -> np.ndarray:
    """Return travel that moves by 20 mm a sample, and stays at a level, to and fro by a span, for so long."""
    travel = 100 + 20.0 * (np.arange(count) % 2) + 30.0 * (np.arange(count) // 2 % 2)
    travel[START : START + lasts] = level_mm
    travel[START + 1 : START + lasts : 2] += span_mm
    return travel


def moving(*bounds: tuple[int, int]) -> EndMotion:
    """Return the rear's motion: hits and returns by turns."""
    travel = np.zeros(4000)
    return bare_motion("rear", strokes(*bounds[::2], mm=travel), strokes(*bounds[1::2], mm=travel))


def within(lasts: int, count: int) -> list[tuple[int, int]]:
    """Return so many strokes of the other end within the stretch."""
    at = np.linspace(START, START + lasts - 1, count + 1).astype(int).tolist()
    return list(pairwise(at))


def stuck_for(travel: np.ndarray, other: EndMotion, **keys: object) -> tuple[Finding, ...]:
    end = bare_end("front", travel, step_mm=STEP_MM)
    return stuck(bare_ride(end, rate_hz=RATE_HZ, **keys), end, other)  # type: ignore[arg-type]


class TestStuck:
    LASTS, STROKES = samples("STUCK_S"), int(limit("OTHER_STROKES"))

    def test_it_says_where_for_how_long_and_what_the_other_did(self) -> None:
        (found,) = stuck_for(held(200, 60.0), moving(*within(200, 4)))
        assert (found.code, found.severity, found.end, found.second) == ("stuck", "error", "front", 3.0)
        assert "stuck at 60.0 mm for 2.0 s from 3.00 s (limit 1.5 s within one step)" in found.message
        assert "while the rear made 4 strokes" in found.message

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_for_1_5_s(self, lacking: int) -> None:
        lasts = self.LASTS - lacking
        assert bool(stuck_for(held(lasts, 60.0), moving(*within(lasts, 4)))) is (lacking == 0)

    @pytest.mark.parametrize(("share", "told"), [(1.0, True), (1.001, False)])
    def test_within_one_step_and_a_half(self, share: float, *, told: bool) -> None:
        travel = held(200, 60.0, span_mm=share * limit("ONE_STEP") * STEP_MM)
        assert bool(stuck_for(travel, moving(*within(200, 4)))) is told

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_over_3_per_cent_of_travel_from_zero(self, share: float, sign: int, *, told: bool) -> None:
        travel = held(200, sign * share * mm("AWAY_SHARE"))
        assert bool(stuck_for(travel, moving(*within(200, 4)))) is told

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_while_the_other_makes_three_hits_or_returns(self, lacking: int) -> None:
        other = moving(*within(200, self.STROKES - lacking))
        assert bool(stuck_for(held(200, 60.0), other)) is (lacking == 0)

    @pytest.mark.parametrize(
        ("first", "last", "told"),
        [(START, START + 199, True), (START - 1, START + 199, False), (START, START + 200, False)],
    )
    def test_strokes_from_its_first_sample_to_its_last(self, first: int, last: int, *, told: bool) -> None:
        other = moving((first, START + 50), (START + 50, START + 100), (START + 100, last))
        assert bool(stuck_for(held(200, 60.0), other)) is told

    def test_a_gap_ends_it(self) -> None:
        other = moving(*within(200, 4))
        assert stuck_for(held(200, 60.0), other, segments=((0, START + 100), (START + 100, 3000))) == ()
        (found,) = stuck_for(
            held(200, 60.0), moving((330, 340), (350, 360), (370, 380)), segments=((0, 320), (320, 3000))
        )
        assert found.second == 3.2

    def test_the_first_that_holds_is_told(self) -> None:
        travel = np.concatenate([held(200, 60.0), held(200, 80.0)])
        late = [(3000 + a, 3000 + b) for a, b in within(200, 4)]
        (found,) = stuck_for(travel, moving(*late))
        assert found.second == 33.0


def dead_at(travel: np.ndarray, *, rate_hz: float = RATE_HZ, **keys: object) -> tuple[Finding, ...]:
    end = bare_end("rear", travel)
    ride = bare_ride(end, rate_hz=rate_hz, **keys)  # type: ignore[arg-type]
    return stopped_dead(ride, end, calm_stretches(ride, end))


def resting(lasts: int, level_mm: float, *, into: float = 9.0, away: float = 9.0, span_mm: float = 0.0) -> np.ndarray:
    """Return travel at rest for so long, that comes there and leaves by steps of so much."""
    before, after = 10.0 * np.arange(START, 0, -1), 10.0 * np.arange(1, 1001)
    rest = np.full(lasts, level_mm)
    rest[1::2] += span_mm
    return np.concatenate([level_mm + into + before - 10, rest, level_mm + away + after - 10])


class TestStoppedDead:
    LASTS = samples("DEAD_S")

    def test_it_says_where_for_how_long_and_by_what_jump(self) -> None:
        (found,) = dead_at(resting(80, 60.0))
        assert (found.code, found.severity, found.end, found.second) == ("stopped_dead", "warning", "rear", 3.0)
        for words in (
            "stands at 60.0 mm for 0.8 s from 3.00 s (limit 0.5 s)",
            "reached by a jump of 9.0 mm",
            "limit 5.0 mm",
        ):
            assert words in found.message
        assert "left by a jump of 9.0 mm" in dead_at(resting(80, 60.0, into=2.0))[0].message

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_for_half_a_second(self, lacking: int) -> None:
        assert bool(dead_at(resting(self.LASTS - lacking, 60.0))) is (lacking == 0)

    @pytest.mark.parametrize(("share", "told"), [(1.0, True), (1.001, False)])
    def test_within_half_a_per_cent_of_travel(self, share: float, *, told: bool) -> None:
        assert bool(dead_at(resting(80, 60.0, span_mm=share * mm("DEAD_SHARE")))) is told

    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_over_3_per_cent_of_travel_from_zero(self, share: float, *, told: bool) -> None:
        assert bool(dead_at(resting(80, share * mm("AWAY_SHARE")))) is told

    @pytest.mark.parametrize("rate_hz", [RATE_HZ, 500.0])
    @pytest.mark.parametrize("side", ["into", "away"])
    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_by_a_jump_over_500_mm_s_and_1_per_cent_of_travel(
        self, share: float, side: str, rate_hz: float, *, told: bool
    ) -> None:
        least = max(limit("DEAD_SPEED_MM_S") / rate_hz, mm("DEAD_STEP_SHARE"))
        steps = {"into": 0.6 * least, "away": 0.6 * least, side: share * least}
        assert bool(dead_at(resting(400, 64.0, **steps), rate_hz=rate_hz)) is told

    @pytest.mark.parametrize(
        ("bounds_s", "told"), [((3.79, 9.0), False), ((3.78, 9.0), True), ((0.0, 3.0), False), ((0.0, 3.01), True)]
    )
    def test_where_it_is_ridden(self, bounds_s: tuple[float, float], *, told: bool) -> None:
        assert bool(dead_at(resting(80, 60.0), bounds_s=bounds_s)) is told

    @pytest.mark.parametrize(
        ("cut", "jump", "told"), [(START, "into", False), (START + 80, "away", False), (START, "away", True)]
    )
    def test_a_step_across_a_gap_is_none(self, cut: int, jump: str, *, told: bool) -> None:
        steps = {"into": 2.0, "away": 2.0, jump: 9.0}
        travel = resting(80, 60.0, **steps)
        assert bool(dead_at(travel, segments=((0, cut), (cut, travel.shape[0])))) is told

    def test_calm_stretches_stand_with_the_bounds_of_their_segments(self) -> None:
        end = bare_end("rear", resting(80, 60.0))
        count = end.travel_mm.shape[0]
        ride = bare_ride(end, rate_hz=RATE_HZ, segments=((0, 200), (200, count)))
        assert calm_stretches(ride, end) == [(START, START + 80, 200, count)]


def frozen_ends(
    rests: Sequence[tuple[int, int]] = ((START, START + 80), (START, START + 80)),
    *,
    levels_mm: Sequence[float] = (60.0, 60.0),
    step_mm: float = 9.0,
    sensor_step_mm: float = STEP_MM,
    **keys: object,
) -> tuple[Finding, ...]:
    """Return what is told of two ends that rest so, coming there and leaving by such steps."""
    ends = []
    for name, (start, stop), level in zip(("front", "rear"), rests, levels_mm, strict=True):
        away = np.maximum(np.maximum(start - np.arange(1000), np.arange(1000) - stop + 1), 0)
        ends.append(bare_end(name, level + step_mm * away, step_mm=sensor_step_mm))  # type: ignore[arg-type]
    return frozen(bare_ride(*ends, rate_hz=RATE_HZ, **keys))  # type: ignore[arg-type]


class TestFrozen:
    LASTS = samples("DEAD_S")

    def test_it_is_told_once_for_both(self) -> None:
        (found,) = frozen_ends()
        assert (found.code, found.severity, found.end, found.second) == ("stopped_dead", "warning", None, 3.0)
        assert "both ends stand still for 0.8 s from 3.00 s (limit 0.5 s)" in found.message

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_for_half_a_second(self, lacking: int) -> None:
        rest = (START, START + self.LASTS - lacking)
        assert bool(frozen_ends((rest, rest))) is (lacking == 0)

    @pytest.mark.parametrize("rest", [(START + 1, START + 80), (START, START + 81), (START - 1, START + 79)])
    def test_from_one_same_row_to_another(self, rest: tuple[int, int]) -> None:
        assert frozen_ends(((START, START + 80), rest)) == ()

    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_either_end_is_away_from_zero(self, share: float, *, told: bool) -> None:
        level = share * mm("AWAY_SHARE")
        assert bool(frozen_ends(levels_mm=(level, 0.0))) is bool(frozen_ends(levels_mm=(0.0, -level))) is told

    @pytest.mark.parametrize(("share", "told"), [(0.999, False), (1.001, True)])
    def test_it_begins_and_ends_by_a_step_of_a_thousandth_of_travel(self, share: float, *, told: bool) -> None:
        assert bool(frozen_ends(step_mm=share * mm("SUDDEN_SHARE"))) is told

    @pytest.mark.parametrize(("share", "told"), [(0.999, False), (1.001, True)])
    def test_or_of_two_sensor_steps_where_those_are_larger(self, share: float, *, told: bool) -> None:
        assert bool(frozen_ends(step_mm=share * 2 * 0.4, sensor_step_mm=0.4)) is told

    @pytest.mark.parametrize(
        ("bounds_s", "told"), [((3.79, 9.0), False), ((3.78, 9.0), True), ((0.0, 3.0), False), ((0.0, 3.01), True)]
    )
    def test_where_it_is_ridden(self, bounds_s: tuple[float, float], *, told: bool) -> None:
        assert bool(frozen_ends(bounds_s=bounds_s)) is told

    @pytest.mark.parametrize("cut", [START, START + 80, START + 40])
    def test_a_gap_beside_it_explains_it(self, cut: int) -> None:
        assert frozen_ends(segments=((0, cut), (cut, 1000))) == ()

    def test_at_the_logs_start_and_end_nothing_is_said(self) -> None:
        assert frozen_ends(((0, 80), (0, 80))) == ()
        assert frozen_ends(((920, 1000), (920, 1000))) == ()

    def test_one_end_alone_is_none(self) -> None:
        assert frozen(bare_ride(bare_end("front", resting(80, 60.0)), rate_hz=RATE_HZ)) == ()


class TestHardlyMoves:
    LASTS = samples("HARDLY_S")

    def told(self, lasts: int, span_mm: float, riding: np.ndarray | None = None) -> tuple[Finding, ...]:
        end = bare_end("rear", held(lasts, 60.0, span_mm=span_mm))
        ridden = np.ones(3000, dtype=bool) if riding is None else riding
        return hardly_moves(bare_ride(end, rate_hz=RATE_HZ), end, riding_time(ridden, RATE_HZ))

    def test_it_says_how_much_and_from_when(self) -> None:
        (found,) = self.told(2200, 4.0)
        assert (found.code, found.severity, found.end, found.second) == ("hardly_moves", "warning", "rear", 3.0)
        assert "moves only 4.0 mm in 20 s of riding from 3.0 s (limit 6.0 mm, 3 % of travel)" in found.message

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_in_20_s(self, lacking: int) -> None:
        assert bool(self.told(self.LASTS - lacking, 4.0)) is (lacking == 0)

    @pytest.mark.parametrize(("share", "told"), [(0.9999, True), (1.0, False)])
    def test_under_3_per_cent_of_travel(self, share: float, *, told: bool) -> None:
        assert bool(self.told(self.LASTS, share * mm("HARDLY_SHARE"))) is told

    def test_only_riding_counts_and_what_is_between_is_left_out(self) -> None:
        riding = np.ones(3000, dtype=bool)
        riding[START + 500 : START + 600] = False
        assert self.told(self.LASTS + 99, 4.0, riding) == ()
        (found,) = self.told(self.LASTS + 100, 4.0, riding)
        assert found.second == 3.0

    def test_of_a_longer_stretch_the_middle_20_s_are_told(self) -> None:
        travel = np.full(3000, 60.0)
        travel[::2] += np.linspace(0.0, 4.0, 1500)
        end = bare_end("rear", travel)
        ride = bare_ride(end, rate_hz=RATE_HZ)
        (found,) = hardly_moves(ride, end, riding_time(np.ones(3000, dtype=bool), RATE_HZ))
        assert f"moves only {4.0 * 2498 / 2998:.1f} mm" in found.message


class TestIdle:
    LASTS, STROKES = samples("IDLE_S"), int(limit("IDLE_STROKES"))

    def told(self, travel: np.ndarray, other: EndMotion, **keys: object) -> tuple[Finding, ...]:
        end = bare_end("front", travel)
        return idle(bare_ride(end, rate_hz=RATE_HZ, **keys), end, other)  # type: ignore[arg-type]

    def test_it_says_how_much_and_for_how_long(self) -> None:
        (found,) = self.told(held(400, 60.0, span_mm=1.5), moving(*within(400, 6)))
        assert (found.code, found.severity, found.end, found.second) == ("hardly_moves", "warning", "front", 3.0)
        assert "moves only 1.5 mm for 4.0 s from 3.0 s (limit 2.0 mm, 1 % of travel, in 3 s)" in found.message
        assert "while the rear made 6 strokes" in found.message

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_for_3_s(self, lacking: int) -> None:
        lasts = self.LASTS - lacking
        assert bool(self.told(held(lasts, 60.0), moving(*within(lasts, 6)))) is (lacking == 0)

    @pytest.mark.parametrize(("share", "told"), [(1.0, True), (1.001, False)])
    def test_within_1_per_cent_of_travel(self, share: float, *, told: bool) -> None:
        travel = held(400, 60.0, span_mm=share * mm("IDLE_SHARE"))
        assert bool(self.told(travel, moving(*within(400, 6)))) is told

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_while_the_other_makes_five_strokes(self, lacking: int) -> None:
        assert bool(self.told(held(400, 60.0), moving(*within(400, self.STROKES - lacking)))) is (lacking == 0)

    @pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.001, True)])
    def test_over_3_per_cent_from_zero(self, share: float, *, told: bool) -> None:
        assert bool(self.told(held(400, share * mm("AWAY_SHARE")), moving(*within(400, 6)))) is told

    def test_a_gap_parts_it(self) -> None:
        other = moving(*within(400, 6))
        assert self.told(held(400, 60.0), other, segments=((0, START + 200), (START + 200, 3000))) == ()
        (found,) = self.told(
            held(450, 60.0), moving(*[(380 + 10 * k, 390 + 10 * k) for k in range(6)]), segments=((0, 350), (350, 3000))
        )
        assert found.second == 3.5


def test_a_coarse_step_holds_all_along_a_curve() -> None:
    """A step at the mean ratio of 0.2 mm is 0.29 mm where the curve is steepest."""
    end = replace(bare_end("front", held(200, 60.0, span_mm=0.29), step_mm=0.2))
    assert stuck(bare_ride(end, rate_hz=RATE_HZ), end, moving(*within(200, 4)))
