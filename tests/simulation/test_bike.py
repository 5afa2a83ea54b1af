"""A bike's tables of force and leverage, and where it settles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from telemetry.dynamics.car import EndTables
from telemetry.dynamics.half_car import axle_loads_n, ride
from telemetry.dynamics.suspension import BEYOND_M, GRID_M, RIGID_N_M, Suspension, sine_of
from telemetry.mechanics.air_spring import AirSpring
from telemetry.mechanics.leverage import LeverageCurve
from telemetry.simulation.bike import SimulatedBike
from tests.simulation.made_bike import scenario


@pytest.fixture(scope="module")
def bike(tmp_path_factory: pytest.TempPathFactory) -> SimulatedBike:
    return scenario(tmp_path_factory.mktemp("bike")).setups["a"].bike


def travels_m(tables: EndTables) -> np.ndarray:
    return tables.first_m + tables.step_m * np.arange(tables.force_n.shape[0])


def elastic_n(end: Suspension, stroke_m: np.ndarray, exponent: float, settled_m: float | None = None) -> np.ndarray:
    """Return what the parts push with along leg or shaft, one by one, within the stroke."""
    force = end.bump.force_n(stroke_m) + end.top.force_n(stroke_m)
    for coil in end.coils:
        force = force + coil.force_n(stroke_m)
    for gas in end.gas:
        force = force + gas.force_n(stroke_m, exponent, settled_m)
    return force


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.3, 1.4])
def test_the_fronts_table_is_the_sum_of_its_parts_and_never_falls(bike: SimulatedBike, exponent: float) -> None:
    tables = bike.front.tables(exponent, 0.04)
    travel = travels_m(tables)
    inside = (travel >= 0) & (travel <= 0.17)
    assert np.all(np.diff(tables.force_n) >= 0)
    assert np.all(np.diff(tables.force_n[inside]) > 0)
    assert tables.force_n[inside] == pytest.approx(elastic_n(bike.front, travel[inside], exponent, 0.04), rel=1e-9)
    assert np.all(tables.ratio == 1.0)
    assert travel[0] == pytest.approx(-BEYOND_M)
    assert travel[-1] == pytest.approx(0.17 + BEYOND_M, abs=GRID_M)


def test_the_rears_force_and_leverage_keep_shock_and_wheel_at_equal_work(bike: SimulatedBike) -> None:
    tables = bike.rear.tables(1.3, 0.05)
    travel = travels_m(tables)
    full = bike.rear.full_travel_m
    assert full == pytest.approx(0.166)
    inside = (travel >= 0) & (travel <= full)
    stroke = bike.rear.stroke_of_m(travel)
    assert np.all(np.diff(tables.force_n) >= 0)
    work = np.concatenate([[0.0], np.cumsum((tables.force_n[1:] + tables.force_n[:-1]) / 2 * np.diff(travel))])
    shaft_n = elastic_n(bike.rear, stroke[inside], 1.3)
    at_shaft = float(np.sum((shaft_n[1:] + shaft_n[:-1]) / 2 * np.diff(stroke[inside])))
    assert work[inside][-1] - work[inside][0] == pytest.approx(at_shaft, rel=1e-4)
    assert bike.rear.leverage is not None
    curve = LeverageCurve(bike.rear.leverage)
    apart = 0.05
    at = stroke[inside][20:-20] * 1e3
    ratio = (curve.travel_mm(at + apart) - curve.travel_mm(at - apart)) / (2 * apart)
    assert tables.ratio[inside][20:-20] == pytest.approx(ratio, rel=2e-3)
    assert tables.force_n[inside] == pytest.approx(shaft_n / tables.ratio[inside], rel=1e-9)


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.3, 1.4])
def test_where_it_settled_the_exponent_makes_no_force_only_rate(bike: SimulatedBike, exponent: float) -> None:
    settled_m, _ = bike.sag_m()
    slow, fast = bike.front.tables(1.0), bike.front.tables(exponent, settled_m)
    travel = travels_m(slow)

    def at(tables: EndTables, place_m: float) -> float:
        return float(np.interp(place_m, travel, tables.force_n))

    assert at(fast, settled_m) == pytest.approx(at(slow, settled_m), rel=1e-5)
    rise = [(at(tables, settled_m + 0.002) - at(tables, settled_m - 0.002)) / 0.004 for tables in (slow, fast)]
    assert rise[1] >= rise[0] - 1e-6
    deeper = [at(tables, 0.14) for tables in (slow, fast)]
    if exponent > 1:
        assert rise[1] > 1.02 * rise[0]
        assert deeper[1] > deeper[0] + 20


def test_past_full_travel_metal_stands_on_metal(bike: SimulatedBike) -> None:
    for end in (bike.front, bike.rear):
        tables = end.tables(1.3, 0.04)
        ratio = tables.ratio[-1]
        slope = np.diff(tables.force_n[-2:])[0] / tables.step_m
        beyond = end.bump.rate_n_m + 2 * end.bump.progression_n_m2 * (
            end.stroke_m + BEYOND_M / ratio - end.bump.touch_m
        )
        beyond += RIGID_N_M + sum(coil.rate_n_m for coil in end.coils)
        assert slope == pytest.approx(beyond / ratio**2, rel=2e-3)


def test_above_the_top_the_top_out_spring_draws_it_in(bike: SimulatedBike) -> None:
    for end in (bike.front, bike.rear):
        tables = end.tables(1.0)
        assert tables.force_n[0] < 0
        zero_m = float(np.interp(0.0, tables.force_n, travels_m(tables)))
        assert abs(zero_m) < 0.012


def test_sag_is_the_root_of_the_slow_force(bike: SimulatedBike) -> None:
    loads = axle_loads_n(bike.settled())
    front_m, rear_m = bike.sag_m()
    vertical = sine_of(64.5)
    root = brentq(lambda x: elastic_n(bike.front, np.array([x]), 1.0)[0] / vertical - loads[0], 0.001, 0.15)
    assert front_m == pytest.approx(root, abs=1e-6)
    assert bike.rear.leverage is not None
    curve = LeverageCurve(bike.rear.leverage)

    def at_wheel(stroke_m: float) -> float:
        apart = 0.05
        ends = curve.travel_mm(stroke_m * 1e3 + np.array([-apart, apart]))
        return float(elastic_n(bike.rear, np.array([stroke_m]), 1.0)[0] * 2 * apart / (ends[1] - ends[0]))

    stroke_m = brentq(lambda x: at_wheel(x) - loads[1], 0.001, 0.05)
    assert rear_m == pytest.approx(float(curve.travel_mm(np.array([stroke_m * 1e3]))[0]) / 1e3, abs=5e-5)


def test_riding_starts_where_it_settled(bike: SimulatedBike) -> None:
    motion = ride(bike.riding(), np.zeros((400, 2)), 4000.0)
    assert (motion.front_m[0], motion.rear_m[0]) == pytest.approx(bike.sag_m(), abs=2e-5)
    assert np.ptp(motion.front_m) < 1e-6


def test_a_rear_air_spring_settles_at_its_own_sag(bike: SimulatedBike) -> None:
    gas = AirSpring(area_m2=4e-4, volume_m3=4.2e-5, pressure_pa=4.5e6, negative_area_m2=3.5e-4, negative_volume_m3=8e-6)
    air = replace(bike, rear=replace(bike.rear, coils=(), gas=(gas,)))
    assert 0.2 < air.sag_m()[1] / air.rear.full_travel_m < 0.4
    motion = ride(air.riding(), np.zeros((400, 2)), 4000.0)
    assert (motion.front_m[0], motion.rear_m[0]) == pytest.approx(air.sag_m(), abs=2e-5)


def test_more_load_sags_deeper_and_more_air_holds_it_up(bike: SimulatedBike) -> None:
    heavy = replace(bike, rider=replace(bike.rider, mass_kg=bike.rider.mass_kg + 10))
    assert np.all(np.array(heavy.sag_m()) > np.array(bike.sag_m()) + 0.003)
    air, *others = bike.front.gas
    pumped = replace(air, pressure_pa=1.1 * air.pressure_pa)  # type: ignore[type-var]
    firm = replace(bike, front=replace(bike.front, gas=(pumped, *others)))
    assert firm.sag_m()[0] < bike.sag_m()[0] - 0.002
    assert firm.sag_m()[1] == bike.sag_m()[1]


def test_compression_damping_grows_near_the_end_by_viscosity_as_a_whole(bike: SimulatedBike) -> None:
    thin = replace(bike.front, damper=replace(bike.front.damper, viscosity_share=0.5))
    tables, half = bike.front.tables(1.3), thin.tables(1.3)
    assert half.damper[[0, 2, 3, 5]] == pytest.approx(0.5 * tables.damper[[0, 2, 3, 5]])
    assert half.damper[[1, 4]] == pytest.approx(tables.damper[[1, 4]])
    travel = travels_m(tables)
    assert np.all(tables.end_factor[travel < 0.8 * 0.17] == 1.0)
    assert tables.end_factor[-1] == 1.5
