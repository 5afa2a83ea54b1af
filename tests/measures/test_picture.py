"""What the pages draw of a run: the deepest hits, the worst burst, flights, and a sketch that loses no peak."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from telemetry.measures.pictured import deepest_hits, hit_at, overview, picture, worst_burst
from telemetry.measures.view import RunMotion
from telemetry.model.motion import EndMotion, Events, Pushes, Strokes
from telemetry.model.ride import Ride
from tests.measures.bare_rides import FULL_MM, bare_end, bare_motion, bare_ride, no_events, riding_time, strokes

RATE_HZ = 1000.0
EVERY_S = 2.0
DEPTHS_MM = (120.0, 80.0, 150.0, 90.0, 150.0, 110.0, 70.0, 100.0)


def bumps(depths_mm: tuple[float, ...] = DEPTHS_MM) -> tuple[np.ndarray, Strokes]:
    """Return travel with a triangle every 2 s, and its hits: half a second in, half a second out."""
    count = round(EVERY_S * RATE_HZ)
    half = round(0.5 * RATE_HZ)
    travel = np.full(len(depths_mm) * count + 1, 20.0)
    for number, depth in enumerate(depths_mm):
        first = number * count + half
        travel[first : first + half + 1] = np.linspace(20, depth, half + 1)
        travel[first + half : first + 2 * half + 1] = np.linspace(depth, 20, half + 1)
    bounds = [(number * count + half, number * count + 2 * half) for number in range(len(depths_mm))]
    return travel, strokes(*bounds, mm=travel, peak_mm_s=900.0)


def ride_of(travel: np.ndarray) -> Ride:
    return bare_ride(bare_end("front", travel), bare_end("rear", travel / 2, full_mm=FULL_MM / 2), rate_hz=RATE_HZ)


TRAVEL, HITS = bumps()
RIDE = ride_of(TRAVEL)


class TestDeepestHits:
    FOUND = deepest_hits(RIDE, bare_motion("front", HITS))

    def test_the_five_deepest_in_time_order(self) -> None:
        assert [hit.depth_mm for hit in self.FOUND] == [120.0, 150.0, 150.0, 110.0, 100.0]
        assert [hit.at_s for hit in self.FOUND] == [1.0, 5.0, 9.0, 11.0, 15.0]
        assert [hit.depth_mm for hit in deepest_hits(RIDE, bare_motion("front", HITS), 1)] == [150.0]
        assert deepest_hits(RIDE, bare_motion("front", HITS), 1)[0].at_s == 5.0

    def test_each_says_how_deep_fast_and_long_it_was(self) -> None:
        hit = self.FOUND[0]
        assert (hit.end, hit.depth_pct, hit.entry_speed_mm_s, hit.length_mm) == ("front", 60.0, 900.0, 100.0)

    def test_a_close_up_reaches_from_half_a_second_before_to_a_second_after(self) -> None:
        hit = self.FOUND[1]
        assert (hit.trace_s[0], hit.trace_s[-1]) == pytest.approx((4.5, 6.0))
        assert 5.0 in hit.trace_s
        assert 300 <= hit.trace_s.size <= 302
        for end in ("front", "rear"):
            assert hit.trace_pct[end].shape == hit.trace_s.shape
            assert hit.trace_pct[end].max() == 75.0
            assert np.interp(4.75, hit.trace_s, hit.trace_pct[end]) == pytest.approx(42.5, abs=0.2)

    def test_it_holds_every_sample_of_a_slow_log_and_ends_with_it(self) -> None:
        slow = replace(ride_of(TRAVEL[::10][:1510]), rate_hz=100.0, time_s=np.arange(1510) / 100)
        every = strokes(
            *[(int(a) // 10, int(b) // 10) for a, b in zip(HITS.start, HITS.stop, strict=True)], mm=TRAVEL[::10]
        )
        last = deepest_hits(slow, bare_motion("front", every), 8)[-1]
        assert last.at_s == 15.0
        assert (last.trace_s[0], last.trace_s[-1], last.trace_s.size) == pytest.approx((14.5, 15.09, 60))

    @pytest.mark.parametrize(("sample", "every"), [(198, 3), (199, 4)])
    def test_it_is_thinned_to_some_300_points(self, sample: int, every: int) -> None:
        """A hit so early in the log that only 1199 or 1200 samples lie around it."""
        trace = deepest_hits(RIDE, bare_motion("front", strokes((10, sample), mm=TRAVEL)))[0].trace_s
        kept = set(range(0, sample + 1001, every)) | {sample}
        assert np.round(trace * RATE_HZ).astype(int).tolist() == sorted(kept)

    @pytest.mark.parametrize(("sample", "bottomed"), [(-501, False), (-500, True), (0, True), (1, False)])
    def test_it_bottomed_where_it_reached_the_line_on_its_way(self, sample: int, *, bottomed: bool) -> None:
        hit = deepest_hits(RIDE, bare_motion("front", HITS, bottom=(5000 + sample, 9000)))[1]
        assert hit.bottomed is bottomed

    def test_it_cant_be_told_whether_it_bottomed_where_zero_and_full_travel_decide(self) -> None:
        motion = replace(bare_motion("front", HITS), line_mm=self.FOUND[1].depth_mm + 5.0)
        bottomed = replace(motion, bottom_outs=bare_motion("front", HITS, bottom=(5000,)).bottom_outs)
        for unsure_mm, told in ((4.99, False), (5.0, None)):
            unsure = replace(RIDE, ends={**RIDE.ends, "front": replace(RIDE.ends["front"], unsure_mm=unsure_mm)})
            assert deepest_hits(unsure, motion)[1].bottomed is told
            assert deepest_hits(unsure, bottomed)[1].bottomed is True

    @pytest.mark.parametrize(("at_s", "found_s"), [(4.9, 5.0), (5.99, 5.0), (6.01, 7.0), (-3.0, 1.0), (99.0, 15.0)])
    def test_a_hit_is_chosen_by_the_moment_nearest_to_it(self, at_s: float, found_s: float) -> None:
        run = run_of(bare_motion("front", HITS))
        assert hit_at(run, "front", at_s).at_s == found_s


def run_of(
    *motions: EndMotion, airborne: np.ndarray | None = None, flights: tuple[tuple[int, int], ...] = ()
) -> RunMotion:
    time = replace(riding_time(np.ones(TRAVEL.shape, dtype=bool), RATE_HZ, airborne), flights=flights)
    ends = MappingProxyType({motion.end: motion for motion in motions})
    return RunMotion(ride=RIDE, time=time, pushes=Pushes(), ends=ends)


def bursts(*found: tuple[int, float, float]) -> Events:
    start, value, weight = (np.array(column) for column in zip(*found, strict=True))
    return Events(start=start, value=value, weight=weight)


def test_the_worst_burst_packs_down_most_in_all() -> None:
    found = worst_burst(
        RIDE, bare_motion("front", HITS, bursts=bursts((100, 4.0, 2.0), (900, 3.0, 5.0), (1500, -9.0, 2.0)))
    )
    assert found is not None
    assert (found.end, found.start_s, found.hits, found.slope_mm) == ("front", 0.9, 6, 3.0)


@pytest.mark.parametrize("events", [no_events(), bursts((100, 0.0, 2.0), (900, -1.0, 4.0))], ids=["none", "no deeper"])
def test_without_a_burst_that_packs_down_there_is_none(events: Events) -> None:
    assert worst_burst(RIDE, bare_motion("front", HITS, bursts=events)) is None
    assert worst_burst(RIDE, bare_motion("front", HITS, bursts=bursts((100, 0.5, 2.0)))) is not None


def test_a_sketch_holds_the_lowest_and_highest_of_400_pieces() -> None:
    travel = np.random.default_rng(3).uniform(0, FULL_MM, 4000)
    times, sketch = overview(ride_of(travel))
    pieces = travel.reshape(400, 10)
    assert sketch["front"][::2] == pytest.approx(100 * pieces.min(axis=1) / FULL_MM)
    assert sketch["front"][1::2] == pytest.approx(100 * pieces.max(axis=1) / FULL_MM)
    assert sketch["rear"] == pytest.approx(sketch["front"])
    assert times[:4] == pytest.approx([0.00225, 0.00675, 0.01225, 0.01675])
    assert times[-1] == pytest.approx(3.99675)


def test_a_sketch_of_few_samples_has_as_many_pieces() -> None:
    times, sketch = overview(ride_of(np.arange(10.0)))
    assert times.size == sketch["front"].size == 20
    assert sketch["front"].tolist() == np.repeat(np.arange(10.0) / 2, 2).tolist()


class TestWholePicture:
    def test_deep_hits_of_both_ends_stand_in_time_order(self) -> None:
        rear = strokes((1500, 1900), (5500, 6000), mm=TRAVEL / 2)
        found = picture(run_of(bare_motion("front", HITS), bare_motion("rear", rear)), "a", 3)
        assert [(hit.end, hit.at_s) for hit in found.deep_hits] == [
            *(("front", 1.0), ("rear", 1.9), ("front", 5.0), ("rear", 6.0)),
            *(("front", 9.0), ("front", 11.0), ("front", 15.0)),
        ]
        assert (found.run, found.setup, found.order, found.riding_s) == ("bare", "a", 3, 16.001)
        assert set(found.ends) == {"front", "rear"}
        assert found.ends["front"].bottoming_line_pct == 95.0
        assert found.worst_bursts == {}

    def test_flights_are_told_from_their_first_sample_to_their_last(self) -> None:
        airborne = np.zeros(TRAVEL.shape, dtype=bool)
        airborne[2000:2300] = True
        (flight,) = (
            picture(run_of(bare_motion("front", HITS), airborne=airborne, flights=((2000, 2300),)), "a", 1).flights
            or ()
        )
        assert (flight.start_s, flight.end_s) == (2.0, 2.299)
        assert picture(run_of(bare_motion("front", HITS)), "a", 1).flights is None

    def test_stretches_narrow_everything_but_the_sketch(self) -> None:
        packed = bare_motion("front", HITS, bursts=bursts((100, 4.0, 2.0), (9100, 3.0, 2.0)))
        found = picture(run_of(packed), "a", 1, stretches=((8000, 16_001),))
        assert [hit.at_s for hit in found.deep_hits] == [9.0, 11.0, 13.0, 15.0]
        assert found.worst_bursts["front"].start_s == 9.1
        assert found.riding_s == 8.001
        assert found.overview_s[-1] > 15.9
        assert found.overview_s[0] < 0.1
