"""Lower legs: each by itself, joined, the couple of unlike legs, oil for a wished force."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.model.bench_springs import Legs
from tests.bench.bench_days import end_bench

SECTION_M2 = math.pi / 4 * 0.036**2
EACH = "lower_leg_oil_each_ml = 20"
SIDES = "lower_leg_oil_spring_side_ml = 30\nlower_leg_oil_damper_side_ml = 10"


def legs(folder: Path, *changes: tuple[str, str]) -> Legs:
    found = end_bench(folder, "front", *changes).lower_legs
    assert found is not None
    return found


def pushes_n(gas_ml: float, section_m2: float = SECTION_M2) -> float:
    """Return what a leg's gas pushes with at 170 mm, pressed at 1.3 from the atmosphere's pressure."""
    left = gas_ml * 1e-6 - section_m2 * 0.170
    return section_m2 * ATMOSPHERE_PA * ((gas_ml * 1e-6 / left) ** 1.3 - 1)


def test_unlike_legs_push_each_by_its_own_gas_and_bend_the_axle(tmp_path: Path) -> None:
    found = legs(tmp_path, (EACH, SIDES))
    assert found.sides_n == pytest.approx((pushes_n(210), pushes_n(230)))
    assert found.joined_n == pytest.approx(pushes_n(440, 2 * SECTION_M2))
    assert found.joined_n < sum(found.sides_n)
    assert found.couple_nm == pytest.approx((pushes_n(210) - pushes_n(230)) / 2 * 0.135)
    assert found.to_dict()["couple_nm"] == found.couple_nm


def test_a_crossover_leaves_no_couple(tmp_path: Path) -> None:
    found = legs(tmp_path, (EACH, f"{SIDES}\nlower_leg_crossover = true"))
    assert found.crossover
    assert found.to_dict()["couple_nm"] == 0.0
    assert found.couple_nm != 0.0  # what it would be apart


def test_the_oil_told_for_a_force_gives_that_force(tmp_path: Path) -> None:
    told = {row.end_force_n: row.oil_each_ml for row in legs(tmp_path).oil}
    assert told
    for force, oil in told.items():
        assert 2 * pushes_n(240 - oil) == pytest.approx(force)
        changed = legs(tmp_path, (EACH, f"lower_leg_oil_each_ml = {oil:.9f}"))
        assert sum(changed.sides_n) == pytest.approx(force, rel=1e-6)


@pytest.mark.parametrize("joined", [False, True])
def test_the_oil_told_for_legs_of_unlike_volume_gives_that_force(tmp_path: Path, joined: bool) -> None:
    """By the closed form [MoranShapiro2006]: apart, the smaller leg pushes more than half."""
    sides = "lower_leg_volume_spring_side_ml = 205\nlower_leg_volume_damper_side_ml = 240"
    crossover = "\nlower_leg_crossover = true" if joined else ""
    told = legs(tmp_path, ("lower_leg_volume_each_ml = 240", sides + crossover)).oil
    assert len(told) > 1
    for row in told:
        oil = row.oil_each_ml
        apart_n = pushes_n(205 - oil) + pushes_n(240 - oil)
        force = pushes_n(445 - 2 * oil, 2 * SECTION_M2) if joined else apart_n
        assert force == pytest.approx(row.end_force_n, rel=1e-6)


def test_the_most_oil_leaves_no_gas_at_full_travel(tmp_path: Path) -> None:
    assert legs(tmp_path).most_oil_ml == pytest.approx(240 - 1e6 * SECTION_M2 * 0.170)
