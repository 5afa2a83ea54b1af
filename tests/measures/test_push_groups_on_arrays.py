"""Each limit of three pushes just below and just above, on travel and stillness that are given sample by sample."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest

from telemetry.measures.push_groups import PushedEnd, find_push_groups, pushes_of
from telemetry.model.motion import LonePushes, PushGroup
from tests.measures.bare_rides import FULL_MM
from tests.thresholds import threshold

RATE_HZ = 100.0
LEVEL_MM = 60.0
STANDS, STARTS, CALM = 400, 520, 800
"""The bike stands up to the first, is pressed from the second and still from the third sample on."""


def limit(name: str) -> float:
    return threshold(f"measures.push_groups.{name}")


def mm(name: str) -> float:
    return limit(name) * FULL_MM


def samples(name: str) -> int:
    return round(limit(name) * RATE_HZ)


def pressed(
    depths_mm: Sequence[float] = (40.0, 40.0, 40.0),
    *,
    starts: Sequence[int] = (STARTS, STARTS + 60, STARTS + 120),
    lasts: int = 30,
    count: int = 1200,
) -> np.ndarray:
    """Return travel that steps down and back for each push."""
    travel = np.full(count, LEVEL_MM)
    for depth, start in zip(depths_mm, starts, strict=True):
        travel[start : start + lasts] += depth
    return travel


def stillness(
    stands: tuple[int, int] = (100, STANDS), calm: tuple[int, int] = (CALM, 1100), count: int = 1200
) -> np.ndarray:
    still = np.zeros(count, dtype=bool)
    still[slice(*stands)] = still[slice(*calm)] = True
    return still


def found(
    front: np.ndarray, rear: np.ndarray | None = None, *, still: np.ndarray | None = None, cut: int | None = None
) -> tuple[tuple[PushGroup, ...], tuple[LonePushes, ...]]:
    still = stillness() if still is None else still
    ends = [PushedEnd(end="front", travel_mm=front, still=still, full_travel_mm=FULL_MM)]
    if rear is not None:
        ends.append(PushedEnd(end="rear", travel_mm=rear, still=still, full_travel_mm=FULL_MM))
    count = front.shape[0]
    return find_push_groups(ends, RATE_HZ, ((0, count),) if cut is None else ((0, cut), (cut, count)))


def is_found(front: np.ndarray, rear: np.ndarray | None = None, **keys: object) -> bool:
    return bool(found(front, rear, **keys)[0])  # type: ignore[arg-type]


def test_they_begin_where_stillness_ends_and_end_where_it_begins() -> None:
    assert found(pressed()) == ((PushGroup(start=STANDS, stop=CALM),), ())
    assert found(pressed(), pressed((30, 50, 25))) == ((PushGroup(start=STANDS, stop=CALM),), ())


class TestStillness:
    @pytest.mark.parametrize("lacking", [0, 1])
    def test_a_second_before(self, lacking: int) -> None:
        still = stillness(stands=(STANDS - samples("STANDING_S") + lacking, STANDS))
        assert is_found(pressed(), still=still) is (lacking == 0)

    @pytest.mark.parametrize("lacking", [0, 1])
    def test_half_a_second_after(self, lacking: int) -> None:
        still = stillness(calm=(CALM, CALM + samples("STILL_S") - lacking))
        assert is_found(pressed(), still=still) is (lacking == 0)

    @pytest.mark.parametrize("more", [0, 1])
    def test_that_begins_within_4_s_of_the_stand(self, more: int) -> None:
        calm = STANDS + samples("WITHIN_S") + samples("SETTLES_S") + more
        assert is_found(pressed(), still=stillness(calm=(calm, 1100))) is (more == 0)

    def test_both_ends_are_still(self) -> None:
        moving = stillness(stands=(100, 250))
        ends = [
            PushedEnd(end=end, travel_mm=pressed(), still=still, full_travel_mm=FULL_MM)
            for end, still in (("front", stillness()), ("rear", moving))
        ]
        assert find_push_groups(ends, RATE_HZ, ((0, 1200),)) == ((), ())  # type: ignore[arg-type]

    @pytest.mark.parametrize(
        ("cut", "whole"),
        [(300, True), (301, False), (STANDS, False), (CALM, False), (CALM + 49, False), (CALM + 50, True)],
    )
    def test_nothing_reaches_across_a_gap(self, cut: int, *, whole: bool) -> None:
        """Cut in the stand or in the stillness after, what is left of either has to be long enough by itself."""
        assert is_found(pressed(), cut=cut) is whole

    @pytest.mark.parametrize(("samples_before", "counts"), [(0, True), (1, False)])
    def test_the_stand_is_looked_at_for_its_last_three_tenths(self, samples_before: int, *, counts: bool) -> None:
        """A level 25 mm deeper leaves pushes of 40 mm too light, where the look begins with it."""
        travel = pressed()
        travel[: STANDS - round(0.3 * RATE_HZ) + samples_before] += 25.0
        assert is_found(travel) is counts

    @pytest.mark.parametrize(("samples_after", "counts"), [(0, True), (1, False)])
    def test_so_is_the_stillness_after(self, samples_after: int, *, counts: bool) -> None:
        travel = pressed()
        travel[CALM + round(0.3 * RATE_HZ) - samples_after :] += 60.0
        assert is_found(travel) is counts

    def test_of_two_stillnesses_after_the_first_counts_and_no_group_twice(self) -> None:
        """The second lies within 4 s of the stand too; what comes later is found all the same."""
        still = stillness(calm=(CALM - 60, CALM - 5))
        still[CALM - 4 : CALM + 80] = True
        travel, twice = np.concatenate([pressed()] * 2), np.concatenate([still, stillness()])
        assert found(travel, still=twice)[0] == (
            PushGroup(start=STANDS, stop=CALM - 60),
            PushGroup(start=1200 + STANDS, stop=1200 + CALM),
        )

    def test_two_groups_are_found_where_the_second_follows_the_firsts_stillness(self) -> None:
        travel = pressed(count=2400)
        travel[1200:] = pressed()
        still = np.concatenate([stillness(), stillness(stands=(0, STANDS))])
        assert found(travel, still=still)[0] == (
            PushGroup(start=STANDS, stop=CALM),
            PushGroup(start=1200 + STANDS, stop=1200 + CALM),
        )

    def test_a_short_stand_before_is_passed_over(self) -> None:
        still = stillness()
        still[10:70] = True
        assert is_found(pressed(), still=still)

    def test_moments_of_stillness_between_the_pushes_bound_nothing(self) -> None:
        still = stillness()
        still[STARTS + 2 : STARTS + 6] = still[STARTS + 32 : STARTS + 36] = True
        rear = pressed(starts=(STARTS + 20, STARTS + 80, STARTS + 140))
        assert found(pressed(), rear, still=still)[0] == (PushGroup(start=STANDS, stop=CALM),)


class TestHowDeep:
    @pytest.mark.parametrize(("share", "counts"), [(1.0, True), (0.999, False)])
    def test_every_push_is_a_tenth_of_travel(self, share: float, *, counts: bool) -> None:
        least = share * mm("PUSH_SHARE")
        assert is_found(pressed((least, 25, 40))) is counts
        assert is_found(pressed((40, 25, 40)), pressed((40, 25, least))) is counts

    @pytest.mark.parametrize(("share", "counts"), [(1.0, True), (0.999, False)])
    def test_and_two_fifths_of_the_deepest(self, share: float, *, counts: bool) -> None:
        assert is_found(pressed((100, share * 100 * limit("EVEN_SHARE"), 60))) is counts

    @pytest.mark.parametrize(("share", "counts"), [(1.0, True), (0.999, False)])
    def test_each_goes_8_per_cent_below_where_the_bike_stood(self, share: float, *, counts: bool) -> None:
        """They begin 10 mm above it, so that each is long enough."""
        travel = pressed([share * mm("DEEPER_SHARE")] * 3)
        low = (travel == LEVEL_MM) & (np.arange(travel.size) > STANDS) & (np.arange(travel.size) < CALM)
        travel[low] -= 10.0
        assert is_found(travel) is counts

    @pytest.mark.parametrize(("more", "counts"), [(0.0, True), (0.1, False)])
    def test_and_further_than_the_end_extends_above_it(self, more: float, *, counts: bool) -> None:
        travel = pressed((30, 40, 40))
        travel[STARTS + 50] -= 30.0 + more
        assert is_found(travel) is counts

    @pytest.mark.parametrize(("share", "counts"), [(0.999, True), (1.0, False)])
    def test_a_fourth_hit_of_half_the_smallest_is_no_settling(self, share: float, *, counts: bool) -> None:
        travel = pressed((40, 60, 50))
        travel[STARTS + 190 : STARTS + 200] += share * 40 * limit("SETTLING_SHARE")
        assert is_found(travel) is counts

    def test_a_fourth_as_deep_is_one_too_many_and_two_are_one_too_few(self) -> None:
        assert not is_found(pressed([40.0] * 4, starts=(520, 580, 640, 700)))
        assert not is_found(pressed((40, 40), starts=(520, 580)))
        assert pushes_of(pressed((40, 40), starts=(520, 580)), FULL_MM) == ()

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "counts"), [(1.0, True), (1.001, False)])
    def test_the_bike_stands_where_it_stood_before(self, share: float, sign: int, *, counts: bool) -> None:
        travel = pressed()
        travel[CALM:] += sign * share * mm("BACK_SHARE")
        assert is_found(travel) is counts
        assert is_found(pressed(), travel) is counts


class TestHowFast:
    @pytest.mark.parametrize(("span", "counts"), [(samples("WITHIN_S"), True), (samples("WITHIN_S") + 1, False)])
    def test_all_within_3_s(self, span: int, *, counts: bool) -> None:
        travel = pressed(starts=(STANDS + 50, STANDS + 150, STANDS + 50 + span - 30))
        assert is_found(travel, still=stillness(calm=(CALM, 1100))) is counts

    @pytest.mark.parametrize("first", [True, False])
    @pytest.mark.parametrize(("apart", "counts"), [(samples("APART_S"), True), (samples("APART_S") - 1, False)])
    def test_a_quarter_second_apart(self, apart: int, *, counts: bool, first: bool) -> None:
        starts = (520, 520 + apart, 640) if first else (520, 640, 640 + apart)
        assert is_found(pressed(starts=starts, lasts=15)) is counts

    @pytest.mark.parametrize(("later", "counts"), [(29, True), (30, False), (-29, True), (-30, False)])
    def test_pushes_of_both_ends_overlap_one_by_one(self, later: int, *, counts: bool) -> None:
        rear = pressed(starts=(520, 580, 640 + later))
        assert is_found(pressed(), rear) is counts


class TestWhatOnePushIs:
    def test_it_lasts_while_travel_lies_over_its_feet_by_more_than_a_tenth(self) -> None:
        """Triangles of 100 steps of 1 mm, the middle one from feet at 0 and 20 mm."""
        up, down = np.arange(101.0), np.arange(100.0, -1.0, -1.0)
        travel = np.concatenate([[0.0], up, down, up, down[:81], 20 + np.arange(81.0), down, [0.0]])
        share = limit("FOOT_SHARE")
        first, second, third = pushes_of(travel, FULL_MM)
        tops = np.flatnonzero(travel == 100.0)[::2]
        assert travel[[first[0], first[1] - 1]] == pytest.approx(100 * share + 1)
        assert travel[[second[0], second[1] - 1]] == pytest.approx(20 + 80 * share + 1)
        assert travel[[third[0], third[1] - 1]] == pytest.approx(20 + 80 * share + 1)
        assert [a <= top < b for (a, b), top in zip((first, second, third), tops, strict=True)] == [True] * 3

    @pytest.mark.parametrize(("share", "starts"), [(0.999, 11), (1.0, 15)])
    def test_a_dip_of_less_than_5_per_cent_makes_no_two_of_it(self, share: float, starts: int) -> None:
        """The push goes down by 15 mm, back by nearly 10 or by 10, and then by 40 mm."""
        one = np.full(40, LEVEL_MM)
        one[11:15], one[15:30] = LEVEL_MM + 15, LEVEL_MM + 40
        dipped = one.copy()
        dipped[14] = LEVEL_MM + 15 - share * mm("GATE_SHARE")
        found = pushes_of(np.concatenate([dipped, one, one]), FULL_MM)
        assert found == ((starts, 30), (40 + 11, 70), (80 + 11, 110))

    @pytest.mark.parametrize(("least_mm", "counts"), [(20.0, True), (19.0, False)])
    def test_what_is_lifted_further_than_pressed_below_where_it_stood_first_is_none(
        self, least_mm: float, *, counts: bool
    ) -> None:
        corners = (50.0, least_mm, 100.0, 50.0, 100.0, 50.0, 100.0, 50.0)
        ramps = [np.linspace(a, b, 50, endpoint=False) for a, b in pairwise(corners)]
        travel = np.concatenate([[60.0], *ramps, [50.0]])  # pressed 40 deeper than its first sample
        assert bool(pushes_of(travel, FULL_MM)) is counts

    def test_travel_that_begins_or_ends_high_has_feet_there(self) -> None:
        one = np.concatenate([np.full(10, LEVEL_MM), np.full(10, LEVEL_MM + 40)])
        assert pushes_of(np.concatenate([one, one, one]), FULL_MM) == ()  # the last never comes back
        back = np.concatenate([one, one, one, [LEVEL_MM]])
        assert pushes_of(back, FULL_MM) == ((10, 20), (30, 40), (50, 60))
        begun = np.concatenate([[LEVEL_MM + 15, LEVEL_MM], back])
        assert pushes_of(begun, FULL_MM) == ((12, 22), (32, 42), (52, 62))


class TestOneEndAlone:
    @pytest.mark.parametrize(("share", "told"), [(0.999, True), (1.0, False)])
    def test_the_other_moves_by_less_than_3_per_cent(self, share: float, *, told: bool) -> None:
        still_end = np.full(1200, LEVEL_MM)
        still_end[600] += share * mm("UNMOVED_SHARE")
        for ends, names in (((pressed(), still_end), ("front", "rear")), ((still_end, pressed()), ("rear", "front"))):
            groups, lone = found(*ends)
            assert groups == ()
            assert [(one.end, one.other, one.opposite) for one in lone] == ([(*names, False)] if told else [])
            for one in lone:
                assert one.at == PushGroup(start=STANDS, stop=CALM)
                assert one.other_share == pytest.approx(share * limit("UNMOVED_SHARE"))

    def test_the_other_upside_down(self) -> None:
        groups, lone = found(pressed(), 2 * LEVEL_MM - pressed((30, 40, 35)))
        assert groups == ()
        (one,) = lone
        assert (one.end, one.other, one.opposite, one.other_share) == ("front", "rear", True, 0.2)

    @pytest.mark.parametrize(("later", "told"), [(29, True), (30, False)])
    def test_upside_down_at_the_same_moments(self, later: int, *, told: bool) -> None:
        rear = 2 * LEVEL_MM - pressed(starts=(520, 580, 640 + later))
        assert bool(found(pressed(), rear)[1]) is told

    def test_one_measured_end_is_never_alone(self) -> None:
        assert found(pressed((40, 10, 40))) == ((), ())

    def test_a_group_seen_again_through_a_later_stillness_is_told_once(self) -> None:
        still = stillness(calm=(CALM - 60, CALM - 5))
        still[CALM - 4 : CALM + 80] = True
        (one,) = found(pressed(), np.full(1200, LEVEL_MM), still=still)[1]
        assert one.at.stop == CALM - 60
