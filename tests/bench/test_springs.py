"""Springs at the wheel: closed forms of gas and coil, spacers, altitude and temperature, the leverage between."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from telemetry.mechanics.gas import ATMOSPHERE_PA, atmosphere_at_pa
from telemetry.model.bench_springs import Springs
from telemetry.model.finding import ENDS, End
from tests.bench.bench_days import AIR, benched, end_bench

PISTON_M2 = math.pi / 4 * 0.030**2
STANCHION_M2 = math.pi / 4 * 0.036**2
ISO_2533 = {0: 101325.0, 1000: 89874.6, 2000: 79495.2, 3000: 70108.5}
"""Altitude, m, and pressure, Pa, of the standard atmosphere: ISO 2533:1975, table 5 (from memory)."""


def springs(folder: Path, *changes: tuple[str, str], end: End = "front") -> Springs:
    found = end_bench(folder, end, *changes).springs
    assert found is not None
    return found


def test_the_standard_atmosphere_is_the_published_one() -> None:
    for altitude, pressure in ISO_2533.items():
        assert atmosphere_at_pa(altitude) == pytest.approx(pressure, rel=2e-5)


def test_each_part_of_an_air_fork_is_its_closed_form(tmp_path: Path) -> None:
    """p V = constant from topped out: A (p - p_atm), the negative chamber growing by piston less rod."""
    found = springs(tmp_path)
    travel = found.travel_mm / 1e3
    inside = 5e5 + ATMOSPHERE_PA
    positive = PISTON_M2 * (inside * 170e-6 / (170e-6 - PISTON_M2 * travel) - ATMOSPHERE_PA)
    ring = PISTON_M2 - math.pi / 4 * 0.008**2
    negative = -ring * (inside * 25e-6 / (25e-6 + ring * travel) - ATMOSPHERE_PA)
    legs = 2 * STANCHION_M2 * ATMOSPHERE_PA * (220e-6 / (220e-6 - STANCHION_M2 * travel) - 1)
    for part, expected in (("positive_air", positive), ("negative_air", negative), ("lower_legs", legs)):
        np.testing.assert_allclose(found.slow.parts[part], expected, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(found.slow.total_n, sum(found.slow.parts.values()))
    assert set(found.slow.parts) == {"positive_air", "negative_air", "lower_legs", "bumper"}


def test_energy_is_the_integral_of_the_force_slow_and_fast(tmp_path: Path) -> None:
    for end in ENDS:
        found = springs(tmp_path, end=end)
        for forces in (found.slow, found.fast):
            assert forces.energy_j == pytest.approx(np.trapezoid(forces.total_n, found.travel_mm / 1e3), rel=4e-3)


def test_the_gas_rides_about_where_it_came_to_rest(tmp_path: Path) -> None:
    """Slow and fast meet at sag; there the fast rate of a part's gas is the exponent times the slow one."""
    front = end_bench(tmp_path, "front")
    assert front.springs is not None
    assert front.masses is not None
    sag, found = front.masses.sag_mm, front.springs
    slow, fast = (np.interp(sag, found.travel_mm, forces.total_n) for forces in (found.slow, found.fast))
    assert found.fast.settled_mm == sag
    assert fast == pytest.approx(slow, rel=1e-3)
    assert found.fast.total_n[80] > found.slow.total_n[80] + 50


def test_a_coil_works_through_the_leverage(tmp_path: Path) -> None:
    found = springs(tmp_path, end="rear")
    np.testing.assert_allclose(found.slow.total_n, 90 * (found.travel_mm / 2.5 + 1) / 2.5, rtol=1e-6)


def test_the_rate_is_the_slope_of_the_force(tmp_path: Path) -> None:
    """A coil through 2.5 to 1 has 90/2.5^2 N/mm all along; gas as it rides has n times the slow rate at sag."""
    rear = springs(tmp_path, end="rear")
    np.testing.assert_allclose(rear.rate_n_mm(rear.slow), 90 / 2.5**2, rtol=1e-6)
    found = springs(tmp_path)
    assert found.fast.settled_mm is not None
    slow, fast = (
        np.interp(found.fast.settled_mm, found.travel_mm, found.rate_n_mm(own)) for own in (found.slow, found.fast)
    )
    assert fast / slow == pytest.approx(1.3, abs=0.02)


def test_a_spacer_takes_its_volume_off_and_pressure_is_set_again(tmp_path: Path) -> None:
    own = ("air_volume_ml = 170", "air_volume_ml = 200\nvolume_spacers = 3\nspacer_ml = 10")
    np.testing.assert_allclose(springs(tmp_path, own).slow.total_n, springs(tmp_path).slow.total_n)


def test_lowers_closed_on_a_mountain_draw_the_fork_in_further_down(tmp_path: Path) -> None:
    """Shut at 2000 m and ridden at the sea: at topped out each leg pulls with its section times the difference."""
    bled = ("lower_leg_oil_each_ml = 20", "lower_leg_oil_each_ml = 20\nlower_leg_bled_altitude_m = 2000")
    legs = springs(tmp_path, bled).slow.parts["lower_legs"]
    assert legs[0] == pytest.approx(2 * STANCHION_M2 * (79495.2 - ATMOSPHERE_PA), rel=1e-4)
    shut = ("lower_leg_oil_each_ml = 20", "lower_leg_oil_each_ml = 20\nlower_leg_closed_at_mm = 34")
    drawn = springs(tmp_path, shut)
    assert drawn.slow.parts["lower_legs"][20] == pytest.approx(0.0, abs=1e-6)
    assert drawn.slow.parts["lower_legs"][0] < -10


def test_a_stanchion_open_below_takes_up_its_wall_alone(tmp_path: Path) -> None:
    shut = springs(tmp_path).slow.parts["lower_legs"][-1]
    opened = ("stanchion_mm = 36", "stanchion_mm = 36\nstanchion_open_below = true")
    assert 0 < springs(tmp_path, opened).slow.parts["lower_legs"][-1] < shut / 4


def test_warmth_goes_with_absolute_temperature_and_height_with_the_atmosphere(tmp_path: Path) -> None:
    found = springs(tmp_path)
    assert found.warmer_n is not None
    assert found.higher_n is not None
    gas = ("positive_air", "negative_air", "lower_legs")
    areas = PISTON_M2 - (PISTON_M2 - math.pi / 4 * 0.008**2) + 2 * STANCHION_M2
    pushed = sum(found.slow.parts[part][50] for part in gas) + areas * ATMOSPHERE_PA
    assert found.warmer_n == pytest.approx(pushed * 10 / 293.15, rel=1e-6)
    assert found.higher_n == pytest.approx(areas * (101325.0 - 89874.6), rel=1e-4)


def test_the_gap_above_a_forks_oil_is_a_spring_beside_its_coils(tmp_path: Path) -> None:
    """Level 100 mm measured compressed: at full travel of 170 mm the gas is down from 270 to 100 mm of height."""
    found = springs(tmp_path, (AIR, "spring_rate_n_mm = 6\noil_level_mm = 100\n"))
    gap = found.slow.parts["air_gap"][-1]
    assert gap == pytest.approx(2 * math.pi / 4 * 0.032**2 * ATMOSPHERE_PA * 1.7, rel=1e-6)
    assert found.slow.parts["coil"][-1] == pytest.approx(6 * 170)


def test_a_bumper_that_one_setup_states_is_no_difference_of_the_other(tmp_path: Path) -> None:
    """A setup of another travel drops the inherited touch: without a bumper its end would come out 3000 N softer."""
    longer = benched(
        tmp_path, ("[setups.b.front]", "[setups.b.front]\ntravel_mm = 180"), ("each_ml = 8", "each_ml = 20")
    )
    was, now = (setup.front.springs for setup in longer.setups)
    assert was is not None
    assert now is not None
    assert now.fast.parts["bumper"][-1] == pytest.approx(was.fast.parts["bumper"][-1])
    taken = {width.key for width in longer.setups[1].widths if width.assumed is not None}
    assert "bumper_touch_share" in taken


def test_nothing_is_taken_for_gas_where_there_is_none(tmp_path: Path) -> None:
    taken = {(width.end, width.key) for width in benched(tmp_path).setups[0].widths if width.assumed is not None}
    assert ("front", "fast_exponent") in taken
    assert ("rear", "fast_exponent") not in taken
