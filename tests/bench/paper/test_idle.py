"""What of two setups a bike on paper takes no notice of: what it needs isn't stated, or goes before it."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.bench.known import ASSUMED
from telemetry.bench.paper.idle import idle
from telemetry.model.finding import ENDS
from telemetry.pipeline import ridden_alike
from telemetry.pipeline.paper_differences import NONE_RIDDEN, not_on_paper, nothing_to_ride
from telemetry.ride_day import setup_differences
from tests.bench.bench_days import day_of

POINTS = "damper_points = [[-1000, -610], [-200, -250], [200, 100], [1000, 230]]"
AIR = "negative_air_volume_ml = 0"
AIRED = "air_pressure_bar = 5\nair_volume_ml = 170\nair_piston_mm = 30\nvolume_spacers = 2"
USUAL_ML = ASSUMED["spacer_ml"].value
PARTS = """\
battery_mass_kg = 4
[bike.front]
travel_mm = 170
spring_rate_n_mm = 8
unsprung_mass_kg = 3.5
rebound = {{ clicks_from_closed = 9, of = 18 }}
{front}
[bike.rear]
travel_mm = 150
[setups.a]
[setups.b]
{other}
"""


@pytest.mark.parametrize(
    ("front", "other", "resting", "said"),
    [
        ("", "bike = { battery_mass_kg = 2.5 }", {"battery_mass_kg"}, "mass_kg is the bike with its battery"),
        ("", "bike = { battery_mass_kg = 2.5, mass_kg = 26.5 }", set(), ""),
        ("sprung_mass_kg = 37", "bike = { front_share = 0.43 }", {"front_share"}, "sprung_mass_kg is stated"),
        ("", "front = { lower_leg_oil_each_ml = 20 }", {"lower_leg_oil_each_ml"}, "stanchion_mm together"),
        (
            "stanchion_mm = 36\nlower_leg_volume_each_ml = 220\nlower_leg_oil_each_ml = 10",
            "front = { lower_leg_oil_each_ml = 20 }",
            set(),
            "",
        ),
        ("", "front = { stanchion_open_below = true }", {"stanchion_open_below"}, "lower legs push by their volume"),
        ("", "front = { oil_level_mm = 100 }", {"oil_level_mm"}, "the gas above a fork's oil takes"),
        ("stanchion_mm = 36\noil_level_mm = 120", "front = { oil_level_mm = 100 }", set(), ""),
        ("", "front = { knee_rebound_mm_s = 200 }", {"knee_rebound_mm_s"}, "state damper_points"),
        ("", "front = { damper_oil_cst_40c = 12 }", {"damper_oil_cst_40c"}, "the oil of both setups"),
        (POINTS, "front = { rebound = { clicks_from_closed = 5 } }", {"rebound"}, "both setups' clicks with of"),
        (POINTS, "front = { rebound = { clicks_from_closed = 5, of = 18 } }", set(), ""),
        ("", "front = { spring_rate_n_mm = 8.5, preload_mm = 3 }", set(), ""),
        (AIR, "front = { air_pressure_bar = 5, air_volume_ml = 170, air_piston_mm = 30 }", set(), ""),
        ("", "front = { air_pressure_bar = 5 }", {"air_pressure_bar"}, "air_piston_mm together"),
        (AIRED, f"front = {{ spacer_ml = {USUAL_ML:g} }}", {"spacer_ml"}, f"isn't stated {USUAL_ML:g} ml is taken"),
        (AIRED, f"front = {{ spacer_ml = {USUAL_ML + 2:g} }}", set(), ""),
    ],
)
def test_what_changes_nothing_by_itself_is_told_with_what_it_needs(
    tmp_path: Path, front: str, other: str, resting: set[str], said: str
) -> None:
    day = day_of(tmp_path, PARTS.format(front=front, other=other))
    setups = (day.setups["a"], day.setups["b"])
    differences = setup_differences(*setups, day.bike.geometry)
    found = idle(day, setups, ("front",), differences)
    moving = {item.key for item in differences if item.key != "battery_mass_kg" or said}
    assert {key for _, key in found} & moving == resting
    told = not_on_paper(differences, ("front",), found)
    assert all(said in item.reason for item in told)
    assert len(told) == len(resting)
    assert nothing_to_ride(differences, ("front",), found) == (NONE_RIDDEN if resting else "")


def test_a_report_rides_nothing_where_all_that_differs_changes_nothing() -> None:
    """The sample's ends state what they carry: its bike's mass goes unheard."""
    sample = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    own, other = sample.setups["oil_20"], sample.setups["oil_8"]
    differences = setup_differences(own, other, sample.bike.geometry)
    assert idle(sample, (own, other), ENDS, differences) == frozenset()
    assert ridden_alike(sample, "oil_20", "oil_8") == ""
