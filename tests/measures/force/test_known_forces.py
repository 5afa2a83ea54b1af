"""Maps of simulated rides of four minutes against the forces they were simulated with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning.speed import derivative
from telemetry.dynamics.car import Bike
from telemetry.measures.force import Smoothing, force_map
from telemetry.measures.force.sampling import chassis_of
from telemetry.measures.view import RunMotion
from telemetry.model.finding import ENDS, End
from telemetry.model.force import ForceMap, NoForceMap
from tests.measures.force.made_force import (
    LIGHT,
    PITCHING,
    RATE_HZ,
    RIDER,
    bike,
    ridden,
    smooth,
    true_damper,
    true_friction,
    true_spring,
)
from tests.simulation.made_bike import FRAME
from tests.thresholds import threshold

FEW_ROWS_HZ = threshold("measures.force.sampling.FEW_ROWS_HZ")

LAG_S = 0.003
BIKES: dict[str, Bike] = {
    "each end by itself": bike(FRAME),
    "pitching": bike(PITCHING),
    "rider on legs": bike(LIGHT, RIDER),
    "stiffer, lighter damped": bike(LIGHT, RIDER, spring=1.12, damper=0.75),
}
KNEES = {"front": (0.35, -0.45), "rear": (0.13, -0.17)}
CASES = [(name, end) for name in BIKES for end in ENDS]


@pytest.fixture(scope="module")
def runs() -> dict[str, RunMotion]:
    return {name: ridden(made, seed, lag_s=LAG_S) for seed, (name, made) in enumerate(BIKES.items(), 1)}


@pytest.fixture(scope="module")
def maps(runs: dict[str, RunMotion]) -> dict[tuple[str, End], ForceMap]:
    found = {(name, end): force_map(runs[name], end, smooth) for name, end in CASES}
    refused = {case: item.reason for case, item in found.items() if isinstance(item, NoForceMap)}
    assert not refused
    return {case: item for case, item in found.items() if isinstance(item, ForceMap)}


def slope(at: np.ndarray, force: np.ndarray, low: float, high: float) -> float:
    inside = (at >= low - 1e-9) & (at <= high + 1e-9)
    return float(np.polyfit(at[inside], force[inside], 1)[0])


@pytest.mark.parametrize(("name", "end"), CASES)
def test_spring_follows_the_one_simulated(maps: dict[tuple[str, End], ForceMap], name: str, end: End) -> None:
    spring = maps[name, end].spring
    true = true_spring(BIKES[name], end, spring.at)
    assert np.corrcoef(spring.per_kg, true)[0, 1] >= 0.97
    carried = (spring.at > 10) & (spring.at < 150)  # clear of the stops
    assert np.polyfit(true[carried], spring.per_kg[carried], 1)[0] == pytest.approx(1, abs=0.08)


@pytest.mark.parametrize(("name", "end"), CASES)
def test_damper_slopes_lie_within_a_tenth_below_and_above_the_knee(
    maps: dict[tuple[str, End], ForceMap], name: str, end: End
) -> None:
    damper = maps[name, end].damper
    true = true_damper(BIKES[name], end, damper.at)
    tried = 0
    for knee in KNEES[end]:
        spans = (0.05, 0.85 * abs(knee)), (1.2 * abs(knee), 5.0)
        for low, high in spans:
            bounds = sorted((np.sign(knee) * low, np.sign(knee) * high))
            if ((damper.at >= bounds[0] - 1e-9) & (damper.at <= bounds[1] + 1e-9)).sum() < 2:
                continue  # not ridden so fast
            tried += 1
            assert slope(damper.at, damper.per_kg, *bounds) == pytest.approx(slope(damper.at, true, *bounds), rel=0.1)
    assert tried >= 3


def test_bands_of_ninety_percent_hold_the_truth(maps: dict[tuple[str, End], ForceMap]) -> None:
    held: list[np.ndarray] = []
    for (name, end), found in maps.items():
        for curve, truth in ((found.spring, true_spring), (found.damper, true_damper)):
            true = truth(BIKES[name], end, curve.at)
            held.append((curve.low <= true) & (true <= curve.high))
    assert np.concatenate(held).mean() >= 0.88
    assert sum(part.size for part in held) > 150


def test_bands_are_narrow_enough_to_tell_setups_apart(maps: dict[tuple[str, End], ForceMap]) -> None:
    for found in maps.values():
        fast = np.abs(found.damper.at) >= 0.1
        half = (found.damper.high - found.damper.low)[fast] / 2
        assert np.all(half < 0.2 * np.abs(found.damper.per_kg[fast]) + 0.1)


@pytest.mark.parametrize(("name", "end"), CASES)
def test_a_lag_of_three_milliseconds_is_found(maps: dict[tuple[str, End], ForceMap], name: str, end: End) -> None:
    assert maps[name, end].lag_ms == pytest.approx(1e3 * LAG_S, abs=0.5)


@pytest.mark.parametrize("end", ENDS)
def test_a_body_on_legs_is_told_with_its_frequency_and_only_where_there_is_one(
    maps: dict[tuple[str, End], ForceMap], end: End
) -> None:
    """66 kg on 7500 N/m and 1000 N s/m: 1.697 Hz, 0.711 of critical."""
    assert maps["each end by itself", end].rider is None
    assert maps["pitching", end].rider is None
    body = maps["rider on legs", end].rider
    assert body is not None
    assert body.hz == pytest.approx(1.697, rel=0.08)
    assert body.damping == pytest.approx(0.711, rel=0.08)
    assert 0.6 < body.share < 0.85


@pytest.mark.parametrize("end", ENDS)
def test_a_lighter_damper_and_a_stiffer_spring_are_told_apart(maps: dict[tuple[str, End], ForceMap], end: End) -> None:
    before, after = maps["rider on legs", end], maps["stiffer, lighter damped", end]
    for way in (0.2, -0.15):
        was, now = before.damper.value_at(way), after.damper.value_at(way)
        true = [
            true_damper(BIKES[name], end, np.array([way]))[0] for name in ("rider on legs", "stiffer, lighter damped")
        ]
        assert was is not None
        assert now is not None
        assert now / was == pytest.approx(true[1] / true[0], abs=0.06)
    depths = np.intersect1d(before.spring.at, after.spring.at)
    rates = [slope(item.spring.at, item.spring.per_kg, depths[0], depths[-1]) for item in (before, after)]
    assert rates[1] / rates[0] == pytest.approx(1.12, abs=0.06)


def test_friction_is_a_term_of_its_own(maps: dict[tuple[str, End], ForceMap]) -> None:
    """Beside a damper that is steep near rest it is known to about a half."""
    for (name, end), found in maps.items():
        true = true_friction(BIKES[name], end)
        assert found.friction == pytest.approx(true, rel=0.3) or end == "rear"
        assert found.friction_low < true < found.friction_high


def test_an_end_without_a_chassis_sensor_at_the_other_is_told_from_the_gyroscope(runs: dict[str, RunMotion]) -> None:
    run = runs["pitching"]
    alone = replace(run, ride=replace(run.ride, inertial={("front", "chassis"): run.ride.inertial["front", "chassis"]}))
    found = force_map(alone, "front", smooth)
    assert isinstance(found, ForceMap)
    assert found.limits == ()
    true = true_spring(BIKES["pitching"], "front", found.spring.at)
    inner = found.spring.at > 10
    assert np.polyfit(true[inner], found.spring.per_kg[inner], 1)[0] == pytest.approx(1, abs=0.06)


def test_what_cannot_be_taken_out_is_said(runs: dict[str, RunMotion]) -> None:
    run = runs["each end by itself"]
    own = run.ride.inertial["front", "chassis"]
    bare = replace(own, rotation_rad_s=None, mounting=replace(own.mounting, heading_known=False))
    found = force_map(replace(run, ride=replace(run.ride, inertial={own.site: bare})), "front", smooth)
    assert isinstance(found, ForceMap)
    assert ["no gyroscope" in found.limits[0], "faces" in found.limits[1]] == [True, True]


@pytest.mark.parametrize(("factor", "said"), [(1.0, False), (0.99, True)])
def test_few_rows_a_second_are_said(runs: dict[str, RunMotion], factor: float, *, said: bool) -> None:
    run = runs["each end by itself"]
    _, limits = chassis_of(replace(run, ride=replace(run.ride, rate_hz=factor * FEW_ROWS_HZ)), "front", smooth.low)
    assert any("rows a second" in limit for limit in limits) is said


def test_a_dead_gyroscope_leaves_a_map_without_what_it_would_tell(runs: dict[str, RunMotion]) -> None:
    run = runs["each end by itself"]
    own = run.ride.inertial["front", "chassis"]
    assert own.rotation_rad_s is not None
    still = np.zeros(own.saturated.shape[0])
    dead = replace(
        own, rotation_rad_s=np.zeros(own.rotation_rad_s.shape), attitude=replace(own.attitude, pitch_rad=still)
    )
    found = force_map(replace(run, ride=replace(run.ride, inertial={own.site: dead})), "front", smooth)
    assert isinstance(found, ForceMap)
    true = true_damper(BIKES["each end by itself"], "front", found.damper.at)
    fast = np.abs(found.damper.at) >= 0.1
    assert found.damper.per_kg[fast] == pytest.approx(true[fast], rel=0.08)


def test_a_map_is_refused_with_what_to_do(runs: dict[str, RunMotion]) -> None:
    run = runs["each end by itself"]
    riding = run.time.riding.copy()
    riding[round(50 * RATE_HZ) :] = False
    short = force_map(replace(run, time=replace(run.time, riding=riding)), "front", smooth)
    assert isinstance(short, NoForceMap)
    assert short.reason == "47 s of riding, at least 60 s needed"
    own = run.ride.inertial["front", "chassis"]
    elsewhere = replace(own, specific_force_m_s2=np.roll(own.specific_force_m_s2, 2000, axis=0))
    for wrong, reason in (
        (elsewhere, "travel and"),
        (replace(own, specific_force_m_s2=[0, 0, 2 * 9.81] - own.specific_force_m_s2), "way"),
    ):
        refused = force_map(replace(run, ride=replace(run.ride, inertial={own.site: wrong})), "front", smooth)
        assert isinstance(refused, NoForceMap)
        assert reason in refused.reason
        assert "check" in refused.reason
        assert refused.cells is not None
    gentle = replace(run.ride.ends["front"], speed_mm_s=0.05 * run.ride.ends["front"].speed_mm_s)
    slow = force_map(replace(run, ride=replace(run.ride, ends={"front": gentle})), "front", smooth)
    assert isinstance(slow, NoForceMap)
    assert "doesn't cover travel and speed" in slow.reason
    assert slow.cells is not None
    assert not slow.cells.counted.any()


def test_the_low_pass_takes_nothing_from_a_damper_that_bends_on_sharp_edges() -> None:
    """Half sines of 60 mm by 0.3 m at 7 m/s: a map of smoothed travel alone is off by some 7 % above the knee."""
    made = bike(LIGHT, RIDER)
    run = ridden(made, 7, seconds=200.0, sharp=True)
    speeds = np.array([-0.3, -0.2, 0.2, 0.3, 0.45, 0.7])

    def ratios(smoothing: Smoothing) -> np.ndarray:
        found = force_map(run, "front", smoothing)
        assert isinstance(found, ForceMap)
        return np.interp(speeds, found.damper.at, found.damper.per_kg) / true_damper(made, "front", speeds)

    def narrow(cleaned_mm: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        travel = smooth.low(cleaned_mm)
        return travel, derivative(travel, RATE_HZ)

    with_bends, without = ratios(smooth), ratios(Smoothing(low=smooth.low, wide=narrow))
    assert with_bends == pytest.approx(1, abs=0.06)
    above = slice(4, None)
    assert np.all(np.abs(with_bends - 1)[above] < np.abs(without - 1)[above] - 0.01)
