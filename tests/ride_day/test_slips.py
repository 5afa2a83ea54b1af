"""Slips of a tuner who writes a bench day by hand: one line each that names the key, and where or how it is written."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.errors import RideDayError

DAY = """\
[ride_day]
date = 2026-05-16
[bike]
wheelbase_mm = 1252
[bike.front]
travel_mm = 170
[bike.rear]
stroke_mm = 62.5
[bike.rear.linkage]
scale  = { points = ["main", "axle"], mm = 435 }
fixed  = { main = [1235, 852], shock_front = [1506, 498] }
moving = { axle = [692, 885], shock_rear = [1128, 491] }
bodies = { swingarm = ["main", "axle", "shock_rear"] }
shock  = ["shock_front", "shock_rear"]
axle   = "axle"
[setups.a]
"""


@pytest.mark.parametrize(
    ("written", "instead", "told"),
    [
        ("[bike]\n", "[bike]\nrider_mass_kg = 80\n", "unknown key 'rider_mass_kg'; expected it in [ride_day]"),
        (
            "[bike]\n",
            "[bike]\nair_pressure_psi = 80\n",
            "'air_pressure_psi'; expected it in [bike.front] or [bike.rear]",
        ),
        ("[bike.front]\n", "[bike.front]\nhead_angle_deg = 64\n", "'head_angle_deg'; expected it in [bike]"),
        (
            "[bike.rear.linkage]",
            "[bike.linkage]",
            "bike.linkage: found unknown key 'linkage'; expected it in [bike.rear]",
        ),
        ("[setups.a]\n", "[setups.a]\nshock_length_mm = 3\n", "'shock_length_mm'; expected it in [setups.a.rear]"),
        (
            "[setups.a]\n",
            '[setups."20 ml"]\nair_pressure_bar = 5\n',
            """expected it in [setups."20 ml".front] or [setups."20 ml".rear]""",
        ),
        ("[ride_day]\n", "air_pressure_bar = 5\n[ride_day]\n", "expected it in [bike.front] or [bike.rear]"),
        ("[ride_day]\n", "head_angle_deg = 64\n[ride_day]\n", "expected it in [bike]"),
        ('points = ["main", "axle"]', 'point = ["main"]', """written so: points = ["main", "axle"]"""),
        ("mm = 435", "cm = 43.5", "bike.rear.linkage.scale.mm: found 'cm' in its place; expected a value"),
        ("bodies =", "body =", "bike.rear.linkage.bodies: found 'body' in its place; expected a value"),
        ("stroke_mm = 62.5", "stroke_mm = 62,5  # by caliper", "decimals behind a point: stroke_mm = 62.5"),
        ("travel_mm = 170", "travel_mm = 170\nplus_minus = 1", "written so: plus_minus = { air_pressure_bar = 0.1 }"),
        ('"axle", "shock_rear"] }', '"axle"] }', "degrees of freedom: a link or body that ties its points is missing"),
    ],
)
def test_a_slip_is_told_with_what_to_write(tmp_path: Path, written: str, instead: str, told: str) -> None:
    assert written in DAY
    (tmp_path / "ride_day.toml").write_text(DAY.replace(written, instead, 1), encoding="utf-8")
    with pytest.raises(RideDayError) as caught:
        telemetry.read_ride_day(tmp_path)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_day_itself_is_right(tmp_path: Path) -> None:
    (tmp_path / "ride_day.toml").write_text(DAY, encoding="utf-8")
    assert telemetry.read_ride_day(tmp_path).setups["a"].rear.linkage is not None
