"""Where sections begin and end, and how fast they were, on riding time and speed given sample by sample."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
import pytest

from telemetry.measures.sections import (
    ridden_distance_m,
    ridden_samples,
    section_speeds_m_s,
    section_stretches,
    sections_at,
    sections_between,
    sections_with_gap,
)
from telemetry.measures.view import RunMotion
from telemetry.model.motion import Pushes
from tests.measures.bare_rides import bare_end, bare_ride, riding_time
from tests.thresholds import threshold

RATE_HZ = 10.0


def run(
    riding: np.ndarray,
    *,
    speed_m_s: np.ndarray | None = None,
    gap_at: int | None = None,
    gap_s: float = 2.0,
) -> RunMotion:
    count = riding.shape[0]
    time_s = np.arange(count) / RATE_HZ
    if gap_at is not None:
        time_s = time_s + np.where(np.arange(count) >= gap_at, gap_s, 0.0)
    ride = bare_ride(
        bare_end("front", np.full(count, 50.0)),
        rate_hz=RATE_HZ,
        time_s=time_s,
        ground_m_s=speed_m_s,
        segments=None if gap_at is None else ((0, gap_at), (gap_at, count)),
    )
    return RunMotion(ride=ride, time=riding_time(riding, RATE_HZ), pushes=Pushes(), ends=MappingProxyType({}))


def ridden(count: int, *not_ridden: tuple[int, int]) -> np.ndarray:
    riding = np.ones(count, dtype=bool)
    for start, stop in not_ridden:
        riding[start:stop] = False
    return riding


def test_equal_shares_of_riding_time_leave_out_what_is_not_ridden() -> None:
    motion = run(ridden(100, (10, 50)))
    assert section_stretches(motion, 3) == ((0, 60), (60, 80), (80, 100))
    assert section_stretches(motion, 1) == ((0, 100),)
    assert ridden_samples(motion)[[0, 9, 10, 49, 50, 99]].tolist() == [1, 10, 10, 10, 11, 60]


def test_a_section_ends_with_the_last_sample_up_to_its_share() -> None:
    """Rounding in a share makes no sample fall to the wrong side."""
    assert sections_at(np.array([1.0, 1.0, 2.0, 2.0, 4.0]), np.array([0.0, 0.25, 0.5, 1.0])) == ((0, 2), (2, 4), (4, 5))
    thirds = sections_at(np.arange(1.0, 301.0) / 7, np.linspace(0, 1, 4))
    assert thirds == ((0, 100), (100, 200), (200, 300))
    assert sections_at(1e6 * np.arange(1.0, 301.0) / 7, np.linspace(0, 1, 4)) == thirds
    assert sections_at(1e-6 * np.arange(1.0, 301.0) / 7, np.linspace(0, 1, 4)) == thirds


class TestDistance:
    def test_it_is_speed_summed_over_riding_and_never_falls(self) -> None:
        speed = np.where(np.arange(100) < 50, 4.0, 6.0)
        speed[20:30] = -1.0
        passed = ridden_distance_m(run(ridden(100, (60, 70)), speed_m_s=speed))
        assert passed is not None
        assert passed[[0, 19, 29, 49, 59, 69, 99]] == pytest.approx([0.4, 8.0, 8.0, 16.0, 22.0, 22.0, 40.0])

    def test_without_a_sensor_there_is_none(self) -> None:
        assert ridden_distance_m(run(ridden(10))) is None
        assert section_speeds_m_s(run(ridden(10)), [(0, 10)]) is None

    def test_a_gap_is_ridden_at_the_mean_speed_of_a_second_either_way(self) -> None:
        """Of the samples of one second before and one after; the others are faster."""
        near = round(threshold("measures.sections.MEAN_OVER_S") * RATE_HZ)
        speed = np.full(100, 50.0)
        speed[50 - near : 50] = 3.0
        speed[50 : 50 + near] = 5.0
        passed = ridden_distance_m(run(ridden(100), speed_m_s=speed, gap_at=50, gap_s=2.0))
        assert passed is not None
        step = 5.0 / RATE_HZ + 4.0 * (2.0 + 1 / RATE_HZ) - 5.0 / RATE_HZ
        assert passed[50] - passed[49] == pytest.approx(step + 5.0 / RATE_HZ)

    @pytest.mark.parametrize("beside", [40, 49, 50, 59])
    def test_a_gap_beside_which_it_is_not_ridden_is_none(self, beside: int) -> None:
        passed = ridden_distance_m(run(ridden(100, (beside, beside + 1)), speed_m_s=np.full(100, 4.0), gap_at=50))
        assert passed is not None
        assert passed[-1] == pytest.approx(99 * 0.4)

    @pytest.mark.parametrize("beside", [39, 60])
    def test_further_off_it_may_stand(self, beside: int) -> None:
        passed = ridden_distance_m(run(ridden(100, (beside, beside + 1)), speed_m_s=np.full(100, 4.0), gap_at=50))
        assert passed is not None
        assert passed[-1] == pytest.approx(99 * 0.4 + 4.0 * 2.1)

    @pytest.mark.parametrize("gap_at", [1, 4, 97])
    def test_near_the_logs_start_or_end_there_is_less_to_go_by(self, gap_at: int) -> None:
        speed = np.full(100, 4.0)
        speed[0], speed[99] = 1.0, 7.0
        passed = ridden_distance_m(run(ridden(100), speed_m_s=speed, gap_at=gap_at))
        mean = float(speed[max(0, gap_at - 10) : gap_at + 10].mean())
        assert passed is not None
        assert passed[-1] == pytest.approx(speed.sum() / RATE_HZ + mean * 2.1)


def test_between_marks_a_section_begins_with_the_sample_at_or_after_its_mark() -> None:
    motion = run(ridden(100))
    assert sections_between(motion, [1.0, 2.0, 5.01]) == ((10, 20), (20, 51))
    assert sections_between(motion, [1.0 + 1e-10, 2.0]) == ((10, 20),)


@pytest.mark.parametrize(
    ("gap_at", "not_ridden", "broken"),
    [
        (50, (), {1}),
        (30, (), {1}),
        (60, (), {2}),
        (29, (), {0}),
        (5, ((0, 5),), set()),
        (5, ((0, 4),), {0}),
        (89, ((89, 90),), set()),
        (88, ((89, 90),), {2}),
        (50, ((30, 60),), {1}),
    ],
)
def test_a_gap_between_ridden_samples_breaks_the_section_it_lies_in(
    gap_at: int, not_ridden: tuple[tuple[int, int], ...], broken: set[int]
) -> None:
    sections = [(0, 30), (30, 60), (60, 90)]
    assert sections_with_gap(run(ridden(90, *not_ridden), gap_at=gap_at), sections) == broken


def test_where_nothing_is_ridden_every_section_is_broken() -> None:
    assert sections_with_gap(run(np.zeros(90, dtype=bool)), [(0, 30), (30, 60)]) == {0, 1}
    assert sections_with_gap(run(np.zeros(90, dtype=bool), gap_at=40), [(0, 30), (30, 60)]) == {0, 1}
    assert sections_with_gap(run(np.arange(90) == 40), [(0, 30), (30, 60)]) == {0}
    assert sections_with_gap(run(ridden(90, (30, 60))), [(0, 30), (30, 60), (60, 90)]) == {1}
    assert sections_with_gap(run(ridden(90, (30, 59))), [(0, 30), (30, 60), (60, 90)]) == set()


def test_speeds_of_sections_are_those_of_what_is_ridden_and_told() -> None:
    speed = np.arange(90.0)
    speed[[31, 33]] = np.nan
    motion = run(ridden(90, (0, 10), (60, 90)), speed_m_s=speed)
    found = section_speeds_m_s(motion, [(0, 30), (30, 35), (60, 90)])
    assert found is not None
    assert found[:2] == pytest.approx([np.arange(10, 30).mean(), (30 + 32 + 34) / 3])
    assert np.isnan(found[2])
