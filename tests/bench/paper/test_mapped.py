"""Stated parts beside restoring-force maps, on curves of closed form."""

from __future__ import annotations

import numpy as np
import pytest

import telemetry
from telemetry.bench.paper.known import paper_setup
from telemetry.bench.paper.mapped import PLACES, OnTrail, checked, stated_forces, trail_forces
from telemetry.model.finding import ENDS
from tests.bench.paper.test_parts import day  # noqa: F401 - a fixture
from tests.comparison.test_force_differences import made_map

SURE = np.zeros((4, len(PLACES["spring"])))


def test_a_coil_and_a_damper_push_at_the_wheel_by_their_lever(day: telemetry.RideDay) -> None:  # noqa: F811
    own = day.setups["a"]
    paper = paper_setup(day, (own, own), ENDS, {})
    kg, rear = paper.body.sprung_kg["rear"], paper.ends["rear"]
    shaft, wheel = (stated_forces(paper, "rear", 0.05, of) for of in ("shaft", "wheel"))
    at = PLACES["spring"].index(30.0)
    assert shaft["spring"][at] == pytest.approx(80 * 0.3 * 60 / 2.5 / kg, rel=0.01)  # rate times stroke over ratio
    # at 1 m/s of the wheel the shaft does 0.4 m/s, and power is the same at both: 900 N there are 360 N
    fast = PLACES["damper"].index(1.0)
    assert wheel["damper"][fast] == pytest.approx(
        (900 + rear.friction_n) / 2.5 / kg, rel=0.1
    )  # as its two lines fit four points
    assert (np.sign(shaft["damper"]) == np.sign(PLACES["damper"])).all()
    # along legs that lean, less stands upright
    front = stated_forces(paper, "front", 0.05, "shaft")
    upright = 8 * 0.3 * 170 / np.sin(np.radians(64)) / paper.body.sprung_kg["front"]
    assert front["spring"][at] == pytest.approx(upright, rel=0.01)


def test_maps_are_told_where_they_were_ridden_their_bands_not_narrowed() -> None:
    maps = [made_map(10.0, 0.4), made_map(12.0, 0.5)]
    spring = dict(zip(PLACES["spring"], trail_forces(maps, "spring"), strict=True))
    assert spring[10.0] is None
    assert spring[90.0] is None
    middle = spring[40.0]
    assert middle is not None
    assert middle.value == pytest.approx(0.45 * 40)
    assert middle.half == pytest.approx(0.1)
    fast, *_ = trail_forces(maps, "damper")
    assert fast is None


@pytest.mark.parametrize(("firm", "fits"), [(1.0, True), (1.3, True), (1.4, True), (0.8, False), (1.7, False)])
def test_a_damper_may_be_two_fifths_softer_than_its_map_and_hardly_firmer(firm: float, fits: bool) -> None:
    true = np.array(PLACES["damper"]) * 10
    shown = [OnTrail(firm * value, 0.05 * abs(value)) for value in true]
    assert {force.fits for force in checked("damper", true, SURE[:, : true.shape[0]], shown)} == {fits}


def test_a_spring_may_be_steeper_than_its_map() -> None:
    true = np.linspace(4.0, 25.0, len(PLACES["spring"]))
    flat = [OnTrail(14.5 + 0.8 * (value - 14.5), 0.2) for value in true]
    assert all(force.fits for force in checked("spring", true, SURE, flat))
    steep = [OnTrail(14.5 + 1.25 * (value - 14.5), 0.2) for value in true]
    assert not checked("spring", true, SURE, steep)[0].fits
    for factor in (0.8, 1.2):
        wrong = checked("spring", factor * true, SURE, [OnTrail(value, 0.2) for value in true])
        assert [force.fits for force in wrong].count(False) > 1


def test_what_is_badly_known_isnt_told_apart() -> None:
    true = np.linspace(4.0, 25.0, len(PLACES["spring"]))
    shown: list[OnTrail | None] = [OnTrail(1.3 * value, 0.2) for value in true]
    unsure = true * np.random.default_rng(1).normal(1.0, 0.2, (400, 1))
    (first, *_) = checked("spring", true, unsure, shown)
    assert first.fits
    assert first.stated_high - first.stated_low == pytest.approx(2 * 1.645 * 0.2 * true[0], rel=0.15)
    assert checked("spring", true, SURE, [None] * len(shown)) == ()
