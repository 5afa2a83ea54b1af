"""A stretch of trail carried over to another run, on arrays: by distance and by riding time, and when it is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures import Missing, carried, find_motion
from telemetry.measures.carrying import Carried
from telemetry.measures.view import RunMotion
from tests.measures.bare_rides import bare_end, bare_ride
from tests.thresholds import threshold

RATE_HZ = 100.0
PACE = threshold("measures.carrying.EVEN_PACE_SHARE")
METRES = threshold("measures.carrying.EVEN_DISTANCE_SHARE")
SURE = threshold("measures.carrying.SURE_SHARE")


def ridden(seconds: float, ground_m_s: np.ndarray | None = None) -> RunMotion:
    """Return a ride at one level: nothing that travel could be aligned by."""
    level = np.full(round(seconds * RATE_HZ), 50.0)
    return find_motion(bare_ride(bare_end("front", level), rate_hz=RATE_HZ, ground_m_s=ground_m_s))


def samples(*seconds: float) -> tuple[int, ...]:
    return tuple(round(second * RATE_HZ) for second in seconds)


def whole(source: RunMotion, run: RunMotion) -> list[tuple[int, int]]:
    return [(0, 0), (source.ride.time_s.size, run.ride.time_s.size)]


def placed(source: RunMotion, run: RunMotion, from_s: float, to_s: float) -> Carried | Missing:
    start, stop = samples(from_s, to_s)
    return carried(source, run, (start, stop), whole(source, run))


def test_at_even_pace_it_lies_at_the_same_share_of_riding_time() -> None:
    found = placed(ridden(60), ridden(90), 2, 12)
    assert isinstance(found, Carried)
    assert (found.stretch, found.by) == (samples(3, 18), "riding time")
    assert found.known_to_s == pytest.approx(PACE * 12)


def test_logged_distance_places_it_whatever_the_pace() -> None:
    """At 5 m/s, and at 2 then 8 m/s: 100 to 150 m of the 300 m that both rode."""
    slow_then_fast = np.r_[np.full(samples(50)[0], 2.0), np.full(samples(25)[0], 8.0)]
    found = placed(ridden(60, np.full(samples(60)[0], 5.0)), ridden(75, slow_then_fast), 20, 30)
    assert isinstance(found, Carried)
    assert found.by == "distance"
    assert np.allclose(found.stretch, samples(50, 50 + 50 / 8), atol=2)
    assert found.known_to_s == pytest.approx(METRES * 30)


def test_marks_beside_it_make_it_surer() -> None:
    source, run = ridden(60), ridden(90)
    marks = [samples(28, 50), samples(42, 62)]
    found = carried(source, run, samples(30, 40), [whole(source, run)[0], *marks, whole(source, run)[1]])
    assert isinstance(found, Carried)
    assert np.allclose(found.stretch, samples(50 + 12 * 2 / 14, 50 + 12 * 12 / 14), atol=1)
    assert found.known_to_s == pytest.approx(PACE * 2)


@pytest.mark.parametrize(("from_s", "there"), [(0.1, True), (-0.1, False)])
def test_a_place_less_known_than_a_quarter_of_it_is_refused(from_s: float, *, there: bool) -> None:
    """It ends so far from the start that the pace may move it by just a quarter of its length."""
    to_s = 10.0
    start_s = to_s - PACE * to_s / SURE - from_s
    found = placed(ridden(60), ridden(90), start_s, to_s)
    assert isinstance(found, Carried) is there
    if isinstance(found, Missing):
        assert found.reason == "its place is known to 1.5 s by riding time (at most 1.5 s needed)"


def test_without_fixed_places_around_it_nothing_places_it() -> None:
    source, run = ridden(60), ridden(90)
    for fixed in ([], [samples(20, 30), samples(30, 40)]):
        found = carried(source, run, samples(25, 35), fixed)
        assert isinstance(found, Missing)
        assert "no marks around it" in found.reason


def test_what_is_not_ridden_takes_no_place() -> None:
    source, run = ridden(60), ridden(70)
    riding = np.ones(run.time.riding.size, dtype=bool)
    riding[slice(*samples(1, 11))] = False
    run = replace(run, time=replace(run.time, riding=riding))
    found = placed(source, run, 0.5, 6)
    assert isinstance(found, Carried)
    assert found.stretch == samples(0.5, 16)
