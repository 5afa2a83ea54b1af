"""Movement of an end out of two sensors, against a rigid bike whose motion is known exactly."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from telemetry.measures.inertial.moved import MOVEMENT_EDGES_MM, moved_end, movement_shares_pct, movement_step
from telemetry.measures.inertial.moved_strokes import (
    moved_compression_speed_10_per_min,
    moved_compression_speed_p95,
    moved_length_10_per_min,
    moved_length_p95,
    moved_rebound_speed_10_per_min,
    moved_rebound_speed_p95,
)
from telemetry.measures.inertial.relative import Geometry
from telemetry.measures.inertial.view import inertial_view
from telemetry.measures.missing import Missing
from telemetry.measures.view import RunMotion, narrowed
from telemetry.model.finding import ENDS, End
from telemetry.model.inertial import InertialSignal, On
from telemetry.model.motion import MovedEnd, Pushes, RidingTime
from telemetry.model.ride import Ride
from telemetry.trust import unplaced
from tests.measures.inertial.two_sensors import (
    HEAD_DEG,
    STEPS_HZ,
    WHEELBASE_M,
    Fitted,
    G,
    Moves,
    above_1_hz,
    ridden,
    sensed,
    sensed_ride,
)
from tests.thresholds import threshold

BIKE = Geometry(head_angle_deg=HEAD_DEG, wheelbase_mm=1e3 * WHEELBASE_M)
STANDING_S = 4.0
GOOD = Fitted(noise_m_s2_rthz=0.003, bias_m_s2=0.2, range_g=16.0)
"""0.3 mg over root Hz, 16 bits over 16 g, 500 rows a second."""


@cache
def moves() -> Moves:
    return ridden(44.0, standing_s=STANDING_S)


def time_of(ride: Ride, standing_s: float = STANDING_S) -> RidingTime:
    count, still = ride.time_s.size, round(standing_s * ride.rate_hz)
    riding = np.ones(count, dtype=bool)
    riding[:still] = riding[count - still :] = False
    return RidingTime(
        riding=riding,
        airborne=None,
        standing=((0, still), (count - still, count)) if still else (),
        lifted=(),
        flights=(),
        why_no_flight="",
        rate_hz=ride.rate_hz,
    )


@cache
def seen(end: End, on: On, fitted: Fitted = GOOD, off_m: tuple[float, float] = (0.0, 0.0)) -> InertialSignal:
    return sensed(moves(), end, on, fitted, off_m=off_m)


def pair(end: End, fitted: Fitted = GOOD, **options: object) -> Ride:
    signals = seen(end, "wheel", fitted), seen(end, "chassis", fitted)
    return sensed_ride(*signals, rate_hz=fitted.rate_hz, **options)  # type: ignore[arg-type]


def across(end: End, wheel: Fitted = GOOD, **options: object) -> Ride:
    there: End = "rear" if end == "front" else "front"
    signals = seen(end, "wheel", wheel), seen(there, "chassis", wheel)
    return sensed_ride(*signals, rate_hz=wheel.rate_hz, **options)  # type: ignore[arg-type]


def moved(ride: Ride, end: End, geometry: Geometry = BIKE, standing_s: float = STANDING_S) -> MovedEnd:
    found = moved_end(ride, end, time_of(ride, standing_s), geometry)
    assert isinstance(found, MovedEnd), found
    return found


def reason(ride: Ride, end: End, geometry: Geometry = BIKE) -> str:
    found = moved_end(ride, end, time_of(ride), geometry)
    assert isinstance(found, Missing)
    return found.reason


def likeness(found: MovedEnd, rate_hz: float) -> float:
    """Return how movement correlates with true travel, both above 1 Hz."""
    true = 1e3 * moves().travel_m[found.end][:: round(STEPS_HZ / rate_hz)]
    ((start, stop),) = found.settled
    own, other = above_1_hz(found.movement_mm, rate_hz), above_1_hz(true, rate_hz)
    return float(np.corrcoef(own[start:stop], other[start:stop])[0, 1])


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("rate_hz", [200.0, 1000.0])
def test_two_sensors_at_an_end_tell_its_movement(end: End, rate_hz: float) -> None:
    found = moved(pair(end, replace(GOOD, rate_hz=rate_hz)), end)
    assert likeness(found, rate_hz) > 0.99
    assert found.error_mm < 0.5


@pytest.mark.parametrize("end", ENDS)
def test_the_chassis_is_carried_over_from_the_other_end(end: End) -> None:
    ride = across(end)
    assert likeness(moved(ride, end), 500.0) > 0.99
    unturned = {site: replace(own, rotation_rad_s=own.rotation_rad_s * 0) for site, own in ride.inertial.items()}  # type: ignore[operator]
    assert likeness(moved(replace(ride, inertial=unturned), end), 500.0) < 0.7


def test_a_head_angle_that_is_not_stated_costs_next_to_nothing() -> None:
    stated, usual = moved(pair("front"), "front"), moved(pair("front"), "front", Geometry())
    assert np.std(usual.movement_mm) == pytest.approx(np.std(stated.movement_mm), rel=0.01)
    assert "along the fork at 65 deg, taken because head_angle_deg isn't stated" in usual.words
    assert movement_step(stated).words.startswith(
        f"above 0.6 Hz, sd {stated.error_mm:.2g} mm (from rest to rest): front_wheel against"
    )
    assert "along the fork at 64 deg;" in stated.words


def test_what_lacks_is_named() -> None:
    ride = across("front")
    no_gyroscope = across("front", replace(GOOD, gyroscope=False))
    assert reason(sensed_ride(seen("front", "chassis"), rate_hz=500.0), "front") == (
        "no inertial sensor on the wheel at the front"
    )
    assert "no inertial sensor on the chassis" in reason(sensed_ride(seen("front", "wheel"), rate_hz=500.0), "front")
    assert "sits at the rear, and no gyroscope tells" in reason(no_gyroscope, "front")
    assert "wheelbase_mm isn't stated" in reason(ride, "front", Geometry(head_angle_deg=64.0))
    unknown = replace(GOOD, heading_known=False)
    assert "which way is forward isn't known of both sensors" in reason(pair("front", unknown), "front")
    assert "no gyroscope tells" in reason(across("rear", unknown), "rear")
    assert isinstance(moved(pair("rear", unknown), "rear"), MovedEnd)
    assert "another logger's clock" in reason(replace(ride, clocks="near"), "front")


def test_a_log_in_short_pieces_tells_nothing() -> None:
    count = pair("front").time_s.size
    short = tuple((start, min(start + 2999, count)) for start in range(0, count, 2999))
    assert reason(pair("front", segments=short), "front") == "no riding that is 3 s away from a gap or the log's ends"


def test_movement_is_told_up_to_three_seconds_from_a_gap() -> None:
    count = pair("front").time_s.size
    found = moved(pair("front", segments=((0, 10_000), (10_000, count))), "front")
    edge = round(500 * threshold("measures.inertial.integration.EDGE_S"))
    assert found.settled == ((edge, 10_000 - edge), (10_000 + edge, count - edge))
    middle = (found.hits.start + found.hits.stop) // 2
    assert not np.any((middle > 10_000 - edge) & (middle < 10_000 + edge))


def test_a_sensor_at_the_end_of_its_range_tells_no_movement() -> None:
    ride = pair("front")
    wheel = ride.inertial["front", "wheel"]
    count = wheel.saturated.size
    ridden_rows = np.flatnonzero(time_of(ride).riding)
    most = int(threshold("measures.inertial.moved.MOST_SATURATED") * ridden_rows.size)
    for full, told in ((most, True), (most + 1, False)):
        saturated = np.zeros(count, dtype=bool)
        saturated[ridden_rows[:full]] = True
        cut = replace(ride, inertial={**ride.inertial, wheel.site: replace(wheel, saturated=saturated)})
        found = moved_end(cut, "front", time_of(cut), BIKE)
        assert isinstance(found, MovedEnd) is told
        if isinstance(found, Missing):
            assert found.reason.startswith("a sensor is at the end of its range for 0.11 % of riding")


def test_strokes_are_those_of_the_movement() -> None:
    found = moved(pair("rear"), "rear")
    floor = threshold("measures.inertial.moved.SHORTEST_HIT_MM")
    for strokes, sign in ((found.hits, 1), (found.returns, -1)):
        assert len(strokes) > 30
        assert np.all(sign * (strokes.stop_mm - strokes.start_mm) >= floor)
        assert strokes.start_mm == pytest.approx(found.movement_mm[strokes.start])
        assert strokes.length_mm.min() < floor + 2
        inside = [np.abs(found.speed_mm_s[a : b + 1]).max() for a, b in zip(strokes.start, strokes.stop, strict=True)]
        assert strokes.peak_mm_s == pytest.approx(inside)


def run_of(ride: Ride, end: End) -> RunMotion:
    time = time_of(ride)
    return RunMotion(ride=ride, time=time, pushes=Pushes(), ends={}, moved={end: moved(ride, end)})


MEASURES = (moved_compression_speed_10_per_min, moved_rebound_speed_10_per_min, moved_length_10_per_min)
IN_SECTIONS = (moved_compression_speed_p95, moved_rebound_speed_p95, moved_length_p95)


def test_measures_are_what_ten_strokes_a_minute_reach() -> None:
    run = run_of(pair("front"), "front")
    own = run.moved["front"]
    assert isinstance(own, MovedEnd)
    values = own.hits.peak_mm_s, own.returns.peak_mm_s, own.hits.length_mm
    rank = 10 * 36 / 60  # of 44 s, 4 s standing at either end: further than 3 s from the log's ends
    for measure, of_strokes in zip(MEASURES, values, strict=True):
        assert measure(inertial_view(run, "front")) == pytest.approx(np.sort(of_strokes)[-round(rank)])
    for measure_p95, of_strokes in zip(IN_SECTIONS, values, strict=True):
        assert measure_p95(inertial_view(run, "front")) == pytest.approx(np.quantile(of_strokes, 0.95))


def test_measures_of_stretches_count_their_own_strokes_and_time() -> None:
    run = run_of(pair("front"), "front")
    own = run.moved["front"]
    assert isinstance(own, MovedEnd)
    stretch = (5000, 11_000)
    inside = own.hits.where((own.hits.start >= stretch[0]) & (own.hits.start < stretch[1]))
    view = inertial_view(run, "front", stretches=(stretch,))
    expected = np.sort(inside.length_mm)[-2]  # 12 s: two of them
    assert moved_length_10_per_min(view) == pytest.approx(expected)
    assert moved_length_10_per_min(inertial_view(narrowed(run, (stretch,)), "front")) == pytest.approx(expected)
    few = moved_length_p95(inertial_view(run, "front", stretches=((5000, 5100),)))
    assert isinstance(few, Missing)


def test_measures_of_an_end_without_movement_say_why() -> None:
    run = replace(run_of(pair("front"), "front"), moved={})
    for measure in MEASURES:
        assert measure(inertial_view(run, "front")) == Missing("no inertial sensor on the wheel at the front")
    for measure_p95 in IN_SECTIONS:
        assert isinstance(measure_p95(inertial_view(run, "front")), Missing)


def test_the_histogram_is_of_riding_where_movement_is_told() -> None:
    ride = pair("rear")
    found, riding = moved(ride, "rear"), time_of(ride).riding
    shares = movement_shares_pct(found, riding)
    assert shares.sum() == pytest.approx(100)
    assert shares.size == MOVEMENT_EDGES_MM.size - 1
    within = np.abs(found.movement_mm[riding]) < 10
    middle = np.abs(MOVEMENT_EDGES_MM[:-1] + 2.5) < 10
    assert shares[middle].sum() == pytest.approx(100 * within.mean(), abs=0.01)
    slow = riding & (np.arange(riding.size) < 2000 + 1000)
    assert movement_shares_pct(found, slow).sum() == pytest.approx(100)


# --- how wrong it may be


def test_without_rests_the_error_is_that_of_noise() -> None:
    noisy = replace(GOOD, noise_m_s2_rthz=0.02)
    count = pair("rear").time_s.size
    found = moved(pair("rear", noisy, segments=((0, 10_000), (10_000, count))), "rear", standing_s=0.0)
    assert found.error_from == "of the sensors' noise, at least"
    silent = moved(pair("rear", replace(GOOD, noise_m_s2_rthz=0.0)), "rear")
    wrong = np.std((found.movement_mm - silent.movement_mm)[11_500:-1500])
    assert found.error_mm == pytest.approx(wrong, rel=0.25)


def test_slow_error_shows_from_rest_to_rest() -> None:
    """Bias that wanders while riding, as warmth makes it: slower than the corner, and up to it."""
    ride = pair("rear")
    wheel = ride.inertial["rear", "wheel"]
    rng = np.random.default_rng(8)
    count = ride.time_s.size
    blocks = np.repeat(rng.normal(0, 0.05, count // 250 + 1), 250)[:count] * time_of(ride).riding
    force = wheel.specific_force_m_s2 + blocks[:, None] * [0, 0, 1]
    wandering = replace(ride, inertial={**ride.inertial, wheel.site: replace(wheel, specific_force_m_s2=force)})
    found, sound = moved(wandering, "rear"), moved(ride, "rear")
    assert found.error_from == "from rest to rest"
    whole = moved(wandering, "rear", standing_s=0.0)
    assert whole.error_from == "from slow acceleration"
    assert whole.error_mm == pytest.approx(found.error_mm, rel=0.5)
    wrong = float(np.std((found.movement_mm - sound.movement_mm)[time_of(ride).riding]))
    assert wrong > 5 * sound.error_mm
    assert wrong / 1.6 < found.error_mm < 1.6 * wrong


def test_movement_too_wrong_is_not_told() -> None:
    very_noisy = Fitted(noise_m_s2_rthz=0.4)
    assert reason(pair("rear", very_noisy), "rear").startswith("movement is wrong by")


PLACES: dict[End, tuple[float, float]] = {"front": (0.10, 0.45), "rear": (0.40, 0.35)}
"""A bag before the bar, a seat tube ahead of and above the rear's."""


def placed_off(end: End, *, stated: bool = True, wheel: Fitted = GOOD) -> Ride:
    chassis = seen(end, "chassis", wheel, PLACES[end])
    if stated:
        chassis = replace(chassis, ahead_m=PLACES[end][0], above_m=PLACES[end][1])
    return sensed_ride(seen(end, "wheel", wheel), chassis, rate_hz=wheel.rate_hz)


@pytest.mark.parametrize("end", ENDS)
def test_a_sensor_far_from_the_axle_is_brought_there(end: End) -> None:
    found = moved(placed_off(end), end)
    assert likeness(found, 500.0) > 0.99
    assert re.search(r"the sensors sit -?\d+ mm further apart along it than stated$", found.words)
    assert likeness(moved(placed_off(end, stated=False), end), 500.0) < 0.95


@pytest.mark.parametrize(("end", "enough"), [("front", False), ("rear", True)])
def test_ahead_alone_states_the_place_at_the_rear_only(end: End, enough: bool) -> None:
    ride = placed_off(end)
    chassis = replace(ride.inertial[end, "chassis"], above_m=None)
    found = moved(replace(ride, inertial={**ride.inertial, chassis.site: chassis}), end)
    assert (likeness(found, 500.0) > 0.99) is enough
    assert ("state ahead_of_axle_mm and above_axle_mm" in found.words) is not enough
    told = unplaced("run_1", found)
    assert [(item.code, item.severity, item.end) for item in told] == ([] if enough else [("unplaced", "note", end)])
    assert all(f"wrong by {found.unplaced_mm:.2g} mm (sd) for each 100 mm" in item.message for item in told)


def test_how_far_apart_along_the_path_is_found_from_turning() -> None:
    """A bike thrown about: 0.35 m above the axle, less where the wheel stands on average, 0 as made."""
    wild = replace(moves(), pitch_rad=3 * moves().pitch_rad)
    wheel, chassis = sensed(wild, "rear", "wheel", GOOD), sensed(wild, "rear", "chassis", GOOD, off_m=(0.0, 0.35))
    found = moved(sensed_ride(wheel, chassis, rate_hz=500.0), "rear")
    apart_mm = float(re.search(r"the sensors sit (-?\d+) mm apart along it", found.words)[1])  # type: ignore[index]
    assert apart_mm == pytest.approx(350, abs=20)
    assert likeness(found, 500.0) > 0.99
    still = replace(chassis, rotation_rad_s=None)
    blind = moved_end(
        sensed_ride(replace(wheel, rotation_rad_s=None), still, rate_hz=500.0), "rear", time_of(pair("rear")), BIKE
    )
    assert isinstance(blind, Missing) or blind.error_mm > 3 * found.error_mm


def test_what_it_costs_not_to_know_how_far_off_the_path_a_sensor_sits_is_said() -> None:
    ride = pair("rear")
    off = seen("rear", "chassis", GOOD, (0.1, 0.0))
    wrong = moved(replace(ride, inertial={**ride.inertial, off.site: off}), "rear")
    missed = np.std((wrong.movement_mm - moved(ride, "rear").movement_mm)[time_of(ride).riding])
    said = re.search(r"([\d.]+) mm more for each 100 mm that the chassis' sits fore or aft of it", wrong.words)
    assert said is not None
    assert float(said[1]) == pytest.approx(missed, rel=0.1)
    for known in (placed_off("rear"), pair("rear", replace(GOOD, gyroscope=False))):
        assert "100 mm" not in moved(known, "rear").words


def test_a_sensor_on_a_swingarm_is_turned_back() -> None:
    """It turns by 4 deg rms with its arm of 0.4 m, while driving and braking shake it fore and aft."""
    travel = {"rear": 2 * moves().travel_m["rear"]}
    large = replace(moves(), travel_m=travel)
    chassis, level = sensed(large, "rear", "chassis", GOOD), replace(GOOD, range_g=64.0)
    found = {}
    for arm_m in (0.4, None):
        wheel = sensed(large, "rear", "wheel", replace(level, arm_m=arm_m))
        for turns, own in ((True, wheel), (False, replace(wheel, rotation_rad_s=None))):
            movement = moved(sensed_ride(own, chassis, rate_hz=500.0), "rear").movement_mm
            found[arm_m, turns] = above_1_hz(movement, 500.0)[2000:-2000]
    wrong = {turns: float(np.std(found[0.4, turns] - found[None, turns])) for turns in (True, False)}
    assert wrong[True] < 0.25
    assert wrong[False] > 3 * wrong[True]
    assert found[None, False] == pytest.approx(found[None, True], abs=0.05)


def test_the_gate_goes_by_noise_and_not_by_slow_error() -> None:
    """A bias that wanders makes no turns: a gate of 6 times its error would merge hits."""
    ride = pair("rear")
    wheel = ride.inertial["rear", "wheel"]
    slow = 0.08 * np.sin(np.arange(ride.time_s.size) / 500 * 2 * np.pi * 0.1) * time_of(ride).riding
    force = wheel.specific_force_m_s2 + slow[:, None] * [0, 0, 1]
    wandering = replace(ride, inertial={**ride.inertial, wheel.site: replace(wheel, specific_force_m_s2=force)})
    found, sound = moved(wandering, "rear"), moved(ride, "rear")
    assert found.error_mm > 3
    assert len(found.hits) == pytest.approx(len(sound.hits), abs=2)


def test_a_gyroscope_anywhere_on_the_chassis_will_do() -> None:
    ride = placed_off("front")
    wheel, chassis = ride.inertial["front", "wheel"], ride.inertial["front", "chassis"]
    without = replace(chassis, rotation_rad_s=None)
    rear = seen("rear", "chassis")
    for others in ((wheel, without), (replace(wheel, rotation_rad_s=None), without, rear)):
        assert likeness(moved(sensed_ride(*others, rate_hz=500.0), "front"), 500.0) > 0.99
    none = replace(wheel, rotation_rad_s=None), without
    assert likeness(moved(sensed_ride(*none, rate_hz=500.0), "front"), 500.0) < 0.95


def test_gravity_falls_out() -> None:
    sensors = pair("front").inertial.values()
    level = np.tile([0.0, 0.0, G], (22_000, 1))
    still = sensed_ride(*(replace(own, specific_force_m_s2=level) for own in sensors), rate_hz=500.0)
    assert np.abs(moved(still, "front").movement_mm).max() < 1e-6
