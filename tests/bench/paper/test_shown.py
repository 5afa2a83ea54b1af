"""Springs and dampers as force maps show them: on forces of closed form, and on what stated parts differ by."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.bench.known import ASSUMED
from telemetry.bench.paper.idle import idle
from telemetry.bench.paper.known import PaperSetup, lacking, paper_setup
from telemetry.bench.paper.shown import ShownEnd, shown_end, turned_as_stated
from telemetry.bench.stated import Draw, as_stated
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.friction import friction_n
from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.model.finding import End, Place
from telemetry.model.parts_checked import Part
from telemetry.ride_day import setup_differences
from tests.bench.bench_days import day_of
from tests.comparison.test_force_differences import made_map

PARTS = """\
head_angle_deg = 64
[bike.front]
travel_mm = 170
bumper_touch_mm = 165
lower_leg_volume_each_ml = 250
lower_leg_oil_each_ml = 30
stanchion_mm = 36
[bike.rear]
stroke_mm = 60
ratio = 2.5
[setups.a]
[setups.less.front]
lower_leg_oil_each_ml = 8
[setups.firm.front]
air_pressure_bar = 6
"""
MEAN_MM, HEIGHT, RATE_PER_MM, SLOPE_PER_KG = 50.0, 10.5, 0.2, 20.0
"""Of the end that is shown: mean travel, N per kg there, for each mm of travel, and for each m/s of its damper."""
FIRM = ASSUMED["map_firmness"].value
RUB_N_KG = 0.5
TRAVEL_MM = np.linspace(30.0, 90.0, 13)


def seen(end: End = "front", *parts: Part) -> ShownEnd:
    """Return what maps show of an end of a straight spring and damper, by as much as they are off."""
    steep = ASSUMED[f"map_steepness_{end}"].value
    speed = np.linspace(-1.0, 1.0, 41)
    return ShownEnd(
        parts=frozenset(parts or ("spring", "damper")),
        travel_mm=TRAVEL_MM,
        spring=HEIGHT + ASSUMED[f"map_height_{end}"].value + steep * RATE_PER_MM * (TRAVEL_MM - MEAN_MM),
        speed_m_s=speed,
        damper=FIRM * (SLOPE_PER_KG * speed + RUB_N_KG * np.sign(speed)),
        speed_of="shaft",
        mean_mm=MEAN_MM,
    )


@pytest.fixture
def day(tmp_path: Path) -> telemetry.RideDay:
    return day_of(tmp_path, PARTS)


def on_paper(day: telemetry.RideDay, name: str, shown: Mapping[End, ShownEnd], draw: Draw = as_stated) -> PaperSetup:
    return paper_setup(day, (day.setups[name], day.setups["a"]), tuple(shown), {}, draw, shown)


def test_an_end_without_a_stated_spring_rides_by_its_map_corrected_for_how_steep_maps_are(
    day: telemetry.RideDay,
) -> None:
    assert lacking(day, day.setups["a"], "front")
    assert not lacking(day, day.setups["a"], "front", shown=True)
    for end in ("front", "rear"):
        paper = on_paper(day, "a", {end: seen(end)})
        springs, kg = paper.ends[end].springs, paper.body.sprung_kg[end]
        upward = springs.total_n(TRAVEL_MM, springs.fast_exponent, MEAN_MM) / springs.sine / kg
        assert upward == pytest.approx(HEIGHT + RATE_PER_MM * (TRAVEL_MM - MEAN_MM))
        assert (end, f"map_steepness_{end}") in paper.widths


def test_another_setup_is_the_map_and_what_its_stated_parts_differ_by(day: telemetry.RideDay) -> None:
    base, less = (on_paper(day, name, {"front": seen()}).ends["front"].springs for name in ("a", "less"))
    area = np.pi / 4 * 0.036**2
    legs = [LowerLegs(volume_each_m3=(250e-6,), oil_each_m3=(oil * 1e-6,), area_each_m2=(area,)) for oil in (30, 8)]
    travel = np.array([40.0, 100.0, 150.0])  # also beyond what the map shows
    first, second = (
        sum(chamber.force_n(travel / 1e3, base.fast_exponent, MEAN_MM / 1e3) for chamber in own.chambers)
        for own in legs
    )
    exponent = base.fast_exponent
    difference = less.total_n(travel, exponent, MEAN_MM) - base.total_n(travel, exponent, MEAN_MM)
    assert difference == pytest.approx(second - first, rel=1e-6)
    assert (difference < 0).all()


def test_beyond_its_map_a_spring_that_nobody_stated_rises_ever_steeper(day: telemetry.RideDay) -> None:
    springs = on_paper(day, "a", {"rear": seen("rear")}).ends["rear"].springs
    rates = [springs.rate_n_mm(travel) for travel in (60.0, 100.0, 130.0)]
    assert rates[0] < rates[1] < rates[2] < 2 * rates[0]


def test_a_damper_rides_by_its_map_less_friction_and_as_firm_as_maps_are_off(day: telemetry.RideDay) -> None:
    paper = on_paper(day, "a", {"front": seen()})
    own, kg = paper.ends["front"], paper.body.sprung_kg["front"]
    speed = np.array([-0.8, -0.4, 0.4, 0.8])
    whole = own.damper.force_n(speed) + friction_n(speed, own.friction_n, own.friction_band_m_s)
    true = SLOPE_PER_KG * speed + RUB_N_KG * np.sign(speed)
    assert whole / kg / own.springs.sine == pytest.approx(true, rel=0.02)
    assert ("front", "unknown_damping") not in paper.widths


def test_what_cannot_be_told_beside_a_map_changes_nothing_and_is_named(day: telemetry.RideDay) -> None:
    found = {}
    for name in ("firm", "less"):
        setups = day.setups["a"], day.setups[name]
        differences = setup_differences(*setups, day.bike.geometry)
        found[name] = idle(day, setups, ("front",), differences, {"front": seen()})
    assert found["firm"] == {("front", "air_pressure_bar")}  # what it does nothing tells without volume and piston
    assert found["less"] == set()


def test_how_far_a_map_may_be_off_is_drawn_once_for_both_setups(day: telemetry.RideDay) -> None:
    def softer(_place: Place, key: str, _value: object) -> float:
        return 1.0 if key == "map_steepness_front" else 0.0

    rates = {
        name: [
            on_paper(day, name, {"front": seen()}, draw).ends["front"].springs.rate_n_mm(60.0)
            for draw in (as_stated, softer)
        ]
        for name in ("a", "less")
    }
    own = ASSUMED["map_steepness_front"]
    assert rates["a"][1] - rates["a"][0] == pytest.approx(rates["less"][1] - rates["less"][0])
    assert rates["a"][1] / rates["a"][0] == pytest.approx(own.value / (own.value + own.plus_minus), rel=0.02)


def test_a_stated_damper_that_rides_by_its_map_differs_by_what_stated_ones_do() -> None:
    def damper(below: float, above: float, thick: float = 1.0) -> Damper:
        side = DamperSide(slope_below_n_s_m=below, knee_m_s=0.3, slope_above_n_s_m=above)
        return Damper(compression=side, rebound=side, viscosity_share=thick)

    found = turned_as_stated(damper(900, 300), damper(500, 300, 0.8), damper(1000, 300))
    assert (found.compression.slope_below_n_s_m, found.compression.slope_above_n_s_m) == (450, 300)
    assert found.viscosity_share == 0.8


def test_maps_of_several_runs_are_one_mean_curve_where_most_were_ridden() -> None:
    found = shown_end([made_map(10.0, 0.4), made_map(12.0, 0.5)], MEAN_MM, frozenset({"spring"}))
    assert np.diff(found.spring) == pytest.approx(0.45 * np.diff(found.travel_mm))
    assert np.isfinite(found.damper).all()
