"""Damper, masses and set-up: slopes back out of points, damping ratio and frequencies by formula, wishes come true."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.bench.clicks import clicks_for, positions_of
from telemetry.bench.damper import damping_ratio
from telemetry.bench.parts import EndSprings
from telemetry.bench.stated import stated_of
from telemetry.mechanics.coil_spring import CoilSpring
from telemetry.mechanics.damper_points import MeasuredDamper
from telemetry.model.bench import EndBench
from telemetry.model.finding import End
from telemetry.units import STANDARD_GRAVITY_M_S2
from tests.bench.bench_days import AIR, POINTS, end_bench, written
from tests.published import motorcycle_shock

F_FROM_SAG = {30: 2.8775, 45: 2.3493, 60: 2.0347, 100: 1.5761}
"""Sag of a straight spring without preload, mm, and natural frequency, Hz: sqrt(g/sag)/(2 pi), computed."""
REAR = "spring_rate_n_mm = 90\npreload_mm = 1"
LINEAR = "damper_points = [[-500, -2000], [500, 1000]]"


def end(folder: Path, *changes: tuple[str, str], which: End = "rear") -> EndBench:
    return end_bench(folder, which, *changes)


@pytest.mark.parametrize(("sag_mm", "hz"), F_FROM_SAG.items())
def test_the_natural_frequency_of_a_straight_spring_follows_from_its_sag(
    tmp_path: Path, sag_mm: float, hz: float
) -> None:
    sprung = 0.6 * 108 - 5
    rate = sprung * STANDARD_GRAVITY_M_S2 / sag_mm * 2.5**2
    found = end(tmp_path, (REAR, f"spring_rate_n_mm = {rate:.9f}")).masses
    assert found is not None
    assert found.sag_mm == pytest.approx(sag_mm, abs=0.01)
    assert found.natural_hz == pytest.approx(hz, rel=1e-4)


def test_the_damping_ratio_is_c_over_twice_the_root_of_k_m(tmp_path: Path) -> None:
    """Slopes of 2000 and 4000 N s/m at the shaft, 3000 on the mean, 480 at the wheel by 1/2.5^2."""
    found = end(tmp_path, (REAR, f"{REAR}\n{LINEAR}")).masses
    assert found is not None
    rate, sprung = 90e3 / 2.5**2, 0.6 * 108 - 5
    assert found.damping_ratio == pytest.approx(480 / (2 * math.sqrt(rate * sprung)), rel=1e-6)
    heavier = 480 / (2 * math.sqrt(rate * (sprung + 0.6 * 5)))
    assert found.heavier_damping == pytest.approx(heavier, rel=1e-6)


def test_at_the_front_rate_and_damping_are_those_of_the_vertical(tmp_path: Path) -> None:
    """The body swings on k/sin^2 and c/sin^2 of the legs' own."""
    changes = ((AIR, "spring_rate_n_mm = 9\n"), (POINTS, LINEAR), ("stanchion_mm = 36\n", ""))
    found = end(tmp_path, *changes, which="front").masses
    assert found is not None
    sine, sprung = math.sin(math.radians(64)), 0.4 * 108 - 4
    assert found.sag_mm == pytest.approx(sprung * STANDARD_GRAVITY_M_S2 * sine / 9, abs=0.01)
    rate = 9e3 / sine**2
    assert found.natural_hz == pytest.approx(math.sqrt(rate / sprung) / (2 * math.pi))
    assert found.damping_ratio == pytest.approx(3000 / sine**2 / (2 * math.sqrt(rate * sprung)))
    assert found.hop_hz == pytest.approx(math.sqrt((95e3 + rate) / 4) / (2 * math.pi))


def test_slopes_and_knee_come_back_out_of_points(tmp_path: Path) -> None:
    points = "damper_points = [[-1000, -620], [-300, -270], [-100, -90], [50, 25], [200, 100], [600, 180], [1000, 260]]"
    knees = "knee_compression_mm_s = 200\nknee_rebound_mm_s = 300"
    found = end(tmp_path, (POINTS, f"{points}\n{knees}"), which="front").damper
    assert found is not None
    below, knee, above = found.slopes["compression"]
    assert (below, knee, above) == pytest.approx((500, 200, 200), rel=0.05)
    below, knee, above = found.slopes["rebound"]
    assert (below, knee, above) == pytest.approx((900, 300, 500), rel=0.05)


def test_oil_stands_with_its_grade_and_thins_as_it_warms(tmp_path: Path) -> None:
    oil = end(tmp_path, which="front").damper
    assert oil is not None
    assert oil.oil is not None
    assert oil.oil.grade == 15
    assert oil.oil.cst is not None
    assert oil.oil.cst_warm == pytest.approx(16.0, rel=1e-9)  # 40 °C
    assert oil.oil.cst > 30


def test_a_pressure_or_spring_for_a_sag_gives_that_sag(tmp_path: Path) -> None:
    wishes = end(tmp_path, which="front").set_up
    assert wishes is not None
    for wish in wishes.sag:
        change = ("air_pressure_bar = 5.0", f"air_pressure_bar = {wish.pressure_bar:.9f}")
        found = end(tmp_path, change, which="front").masses
        assert found is not None
        assert 100 * found.sag_mm / found.full_mm == pytest.approx(wish.percent, abs=0.01)
    rear = end(tmp_path).set_up
    assert rear is not None
    for wish in rear.sag:
        found = end(tmp_path, (REAR, f"spring_rate_n_mm = {wish.rate_n_mm}\npreload_mm = 1")).masses
        assert found is not None
        assert 100 * found.sag_mm / found.full_mm == pytest.approx(wish.percent, abs=0.01)


def test_damping_for_a_ratio_gives_that_ratio(tmp_path: Path) -> None:
    wishes = end(tmp_path, (REAR, f"{REAR}\n{LINEAR}")).set_up
    assert wishes is not None
    for wish in wishes.damping:
        points = f"damper_points = [[-500, {-0.5 * wish.rebound_n_s_m}], [500, {0.5 * wish.compression_n_s_m}]]"
        found = end(tmp_path, (REAR, f"{REAR}\n{points}")).masses
        assert found is not None
        assert found.damping_ratio == pytest.approx(wish.ratio)


@pytest.mark.parametrize(("at", "clicks"), [("rebound 4", 6.0), ("", 7.0)])
def test_clicks_for_a_ratio_lie_between_positions_that_were_measured(tmp_path: Path, at: str, clicks: float) -> None:
    """Rebound of 4000 N s/m at 4 (or at the setup's own 6) clicks from closed and 2000 at 8: 3000 is half-way."""
    stiff = f'{LINEAR}\ndamper_points_at = "{at}"\nrebound = {{ clicks_from_closed = 6, of = 12 }}'
    soft = "damper_points = [[-500, -1000], [500, 1000]]\nrebound = { clicks_from_closed = 8, of = 12 }"
    other = f'[setups.b.rear]\n{soft}\ndamper_points_at = ""\n[setups.b.front]'
    day = telemetry.read_ride_day(written(tmp_path, (REAR, f"{REAR}\n{stiff}"), ("[setups.b.front]", other)))
    known = positions_of(stated_of(day, setup, "rear") for setup in day.setups.values())
    assert clicks_for(known["rebound"], "rebound", 3000.0, 2.5) == pytest.approx(clicks)
    assert clicks_for(known["rebound"], "rebound", 4500.0, 2.5) is None
    assert clicks_for(known["compression"], "compression", 2000.0, 2.5) is None


def test_the_damping_ratio_of_the_published_shock() -> None:
    """Rao, example 2.14: down to a quarter in half a cycle, so a logarithmic decrement of 2 ln 4 and 0.4037."""
    springs = EndSprings(
        full_mm=2000.0,
        curve=None,
        sine=1.0,
        gas={},
        coil=CoilSpring(rate_n_m=motorcycle_shock.STIFFNESS_N_M),
        bumper=None,
        fast_exponent=1.3,
    )
    slope = motorcycle_shock.DAMPING_N_S_M
    damper = MeasuredDamper(((-1.0, -slope), (1.0, slope)))
    (rest,) = springs.travel_under_mm(np.array([motorcycle_shock.MASS_KG * STANDARD_GRAVITY_M_S2]))
    decrement = 2 * math.log(1 / motorcycle_shock.HALF_CYCLE_RATIO)
    expected = decrement / math.hypot(2 * math.pi, decrement)
    found = damping_ratio(damper, springs, float(rest), motorcycle_shock.MASS_KG)
    assert found == pytest.approx(expected, rel=motorcycle_shock.PRINTED_TO)
