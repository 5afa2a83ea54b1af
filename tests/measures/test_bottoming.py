"""Bottom-outs and the last millimetres before a line, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.bottoming import bottom_outs, bottom_outs_per_min, crossings, find_bottom_outs, hard_bottom_outs
from telemetry.measures.crossing import approach_s, crossing
from telemetry.model.motion import Events
from tests.measures.bare_rides import bare_view
from tests.thresholds import threshold

LINE = 190.0
REARM_MM, REARM_SHARE = threshold("measures.bottoming.REARM_MM"), threshold("measures.bottoming.REARM_SHARE")
APPROACH_MM = threshold("measures.bottoming.APPROACH_MM")


@pytest.mark.parametrize(
    ("travel", "found"),
    [
        pytest.param([100, 150], [], id="short of it"),
        pytest.param([100, 189.99, 190], [2], id="at the line"),
        pytest.param([100, 195, 199, 192], [1], id="the first sample past, and once"),
        pytest.param([100, 195, 182.01, 195], [1], id="back by less"),
        pytest.param([100, 195, 182, 195], [1, 3], id="back by as much"),
        pytest.param([100, 195, 100, 150, 195, 185, 195, 170, 191], [1, 4, 8], id="each after its own return"),
        pytest.param([195, 185, 195], [], id="begun past it"),
        pytest.param([195, 100, 195], [2], id="begun past it and returned"),
        pytest.param([195, 193, 100, 195, 185, 196], [3], id="begun past it, returned, back by less"),
        pytest.param([195, 199], [], id="past it throughout"),
    ],
)
def test_arrivals_count_anew_after_a_return(travel: list[float], found: list[int]) -> None:
    assert crossings(np.array(travel, dtype=float), LINE, 8.0) == found


@pytest.mark.parametrize("full_mm", [100.0, 300.0])
@pytest.mark.parametrize(("share", "times"), [(0.999, 1), (1.001, 2)])
def test_a_bottom_out_counts_anew_after_a_return_of_8_mm_or_a_twentieth(
    full_mm: float, share: float, times: int
) -> None:
    rearm = max(REARM_MM, REARM_SHARE * full_mm)
    travel = np.array([50.0, full_mm, full_mm - 1 - share * rearm, full_mm])
    riding = np.ones(4, dtype=bool)
    found = find_bottom_outs(travel, full_mm, full_mm - 1, riding, ((0, 4),), 100.0)
    assert found.start.tolist() == [1, 3][:times]


def test_only_riding_counts_each_stretch_by_itself() -> None:
    travel = np.array([100.0, 195, 100, 195, 100, 195, 194, 100, 192])
    riding = np.array([True, False, True, True, True, True, True, True, True])
    found = find_bottom_outs(travel, 200.0, LINE, riding, ((0, 5), (5, 9)), 100.0)
    assert found.start.tolist() == [3, 8]
    assert found.weight.tolist() == [1.0, 1.0]
    # from 182 to 190 mm: of the 95 mm and of the 92 mm between two samples
    assert found.value == pytest.approx([8 / 95 / 100, 8 / 92 / 100])


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_how_long_the_last_8_mm_took(share: float) -> None:
    """One sample lies at the line's 8 mm: what came before is slow, and counts only where it lies within them."""
    travel = np.concatenate([np.linspace(100, LINE - share * APPROACH_MM, 50), [LINE]])
    found = find_bottom_outs(travel, 200.0, LINE, np.ones(51, dtype=bool), ((0, 51),), 100.0)
    before_mm_s = (travel[1] - travel[0]) * 100
    expected_s = 0.01 / share if share > 1 else 0.01 + (1 - share) * APPROACH_MM / before_mm_s
    assert found.value == pytest.approx([expected_s])


def with_bottom_outs(*took_s: float):
    events = Events(start=np.arange(len(took_s)), value=np.array(took_s), weight=np.ones(len(took_s)))
    return replace(bare_view(minutes=0.5), bottom_outs=events)


def test_they_are_counted_and_the_hard_ones_by_their_last_8_mm() -> None:
    limit_s = APPROACH_MM / 600
    view = with_bottom_outs(0.9 * limit_s, limit_s, 1.001 * limit_s, np.inf)
    assert bottom_outs(view) == 4.0
    assert bottom_outs_per_min(view) == 8.0
    assert hard_bottom_outs(view, faster_than_mm_s=600.0) == 2.0


class TestApproach:
    @pytest.mark.parametrize("count", [2, 30, 33, 200, 3000])
    def test_an_even_approach_takes_its_way_over_its_speed(self, count: int) -> None:
        travel = np.concatenate([[0.0, 30.0, 0.0], np.linspace(80.0, 100.0, count + 1)])
        assert approach_s(travel, count + 3, 100.0, 10.0, 50.0) == pytest.approx(count / 2 / 50)

    def test_the_last_time_it_was_so_far_counts(self) -> None:
        travel = np.array([80.0, 95.0, 89.0, 91.0, 100.0])
        assert approach_s(travel, 4, 100.0, 10.0, 1.0) == pytest.approx(1.5)

    def test_exactly_so_far_is_within(self) -> None:
        travel = np.array([80.0, 90.0, 100.0])
        assert approach_s(travel, 2, 100.0, 10.0, 1.0) == 1.0
        assert approach_s(travel[1:], 1, 100.0, 10.0, 1.0) == np.inf
        assert approach_s(np.array([80.0, 100.0]), 1, 100.0, 10.0, 1.0) == 0.5

    def test_a_stretch_that_does_not_hold_it_took_for_ever(self) -> None:
        assert approach_s(np.linspace(91, 100, 500), 499, 100.0, 10.0, 50.0) == np.inf

    def test_a_crossing_lies_where_the_line_between_two_samples_does(self) -> None:
        assert crossing(np.array([9.0, 10.0, 14.0]), 2, 11.0) == 1.25
        assert crossing(np.array([14.0, 10.0]), 1, 13.0) == 0.25
