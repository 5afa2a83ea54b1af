"""Lengths of a bike that can't all be right: frame and wheels, head tube and fork, a leverage that no bike has.

The figures that are right are invented, of common sizes: 24 inch wheels to a dirt bike's.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.errors import Problem, RideDayError
from telemetry.pipeline.parts_possible import require_possible

GEOMETRY = {
    "front_wheel_diameter_mm": 748,
    "rear_wheel_diameter_mm": 704,
    "axle_to_crown_mm": 572,
    "offset_mm": 44,
    "bottom_bracket_height_mm": 351,
    "chainstay_mm": 446,
    "reach_mm": 470,
    "stack_mm": 630,
}
LINKAGE = """\
linkage.fixed = { main = [-12, 38], shock_front = [205, 322] }
linkage.moving = { axle = [-446, 12], shock_rear = [-30, 250] }
linkage.bodies = { arm = ["main", "axle", "shock_rear"] }
linkage.shock = ["shock_front", "shock_rear"]
linkage.axle = "axle"
"""
ROWS = "stroke_mm,travel_mm\n0,0\n20,58\n40,112\n60,160\n"


def judged(
    folder: Path, wheelbase: float, geometry: dict[str, float], rear: str = "travel_mm = 165", more: str = ""
) -> Problem | None:
    """Return the one problem of a bike with such lengths, or none."""
    lengths = "\n".join(f"{key} = {value:g}" for key, value in (GEOMETRY | geometry).items())
    (folder / "ride_day.toml").write_text(
        f"[ride_day]\ndate = 2026-05-16\n[bike]\nhead_angle_deg = 64\nwheelbase_mm = {wheelbase:g}\n"
        f"[bike.geometry]\n{lengths}\n[bike.front]\ntravel_mm = 100\n[bike.rear]\n{rear}\n[setups.a]\n{more}\n",
        encoding="utf-8",
    )
    try:
        require_possible(telemetry.read_ride_day(folder))
    except RideDayError as error:
        (problem,) = error.problems
        return problem
    return None


@pytest.mark.parametrize(
    ("wheelbase", "geometry", "key", "expected"),
    [
        (780, {}, "bike.wheelbase_mm", "the front wheel, 374 mm of radius"),
        (879, {}, "bike.wheelbase_mm", "over 880 mm"),
        (125.2, {}, "bike.wheelbase_mm", "wheelbase_mm = 1252"),
        (1252, {"chainstay_mm": 371}, "bike.geometry.chainstay_mm", "over 372 mm: the rear wheel"),
        (1252, {"rear_wheel_diameter_mm": 2350}, "bike.geometry.rear_wheel_diameter_mm", "400 to 900"),
        (1252, {"stack_mm": 890}, "bike.geometry.reach_mm", "measure all of them again"),
        (1252, {"reach_mm": 600}, "bike.geometry.reach_mm", "steering axis at 461 mm"),
    ],
)
def test_a_frame_that_its_wheels_or_fork_dont_go_with(
    tmp_path: Path, wheelbase: float, geometry: dict[str, float], key: str, expected: str
) -> None:
    problem = judged(tmp_path, wheelbase, geometry)
    assert problem is not None
    assert problem.key == key
    assert expected in problem.expected


@pytest.mark.parametrize(
    ("other", "key"),
    [("[setups.b.bike]\nwheelbase_mm = 850", "bike.wheelbase_mm"), ("[setups.b.front]\nwheel_diameter_mm = 890", None)],
)
def test_a_further_setups_own_lengths_are_looked_at(tmp_path: Path, other: str, key: str | None) -> None:
    problem = judged(tmp_path, 940, {"reach_mm": 250}, more=other)
    assert problem is not None
    assert problem.key == f"setups.b.{key or 'front.wheel_diameter_mm'}"


@pytest.mark.parametrize(
    ("wheelbase", "geometry"),
    [
        (1252, {}),
        (
            985,
            dict.fromkeys(("front_wheel_diameter_mm", "rear_wheel_diameter_mm"), 610.0)
            | {
                "chainstay_mm": 380,
                "reach_mm": 365,
                "stack_mm": 520,
                "axle_to_crown_mm": 470,
                "bottom_bracket_height_mm": 300,
            },
        ),
        (
            860,
            dict.fromkeys(("front_wheel_diameter_mm", "rear_wheel_diameter_mm"), 508.0)
            | {
                "chainstay_mm": 330,
                "reach_mm": 320,
                "stack_mm": 440,
                "axle_to_crown_mm": 380,
                "bottom_bracket_height_mm": 255,
            },
        ),
    ],
)
def test_bikes_from_small_to_large_are_taken(tmp_path: Path, wheelbase: float, geometry: dict[str, float]) -> None:
    assert judged(tmp_path, wheelbase, geometry) is None


@pytest.mark.parametrize(
    ("rear", "rows", "found", "expected"),
    [
        ("leverage", ROWS, None, ""),
        ("leverage", ROWS.replace("60,160\n", ""), None, ""),
        ("leverage", "stroke_mm,travel_mm\n0,0\n2,5.8\n6,16\n", "up to 6 mm of stroke", "whether it is in mm"),
        ("leverage", "stroke_mm,travel_mm\n0,0\n58,20\n160,60\n", "a ratio of 0.35", "both columns in mm"),
        ("linkage", LINKAGE, None, ""),
        (
            "linkage",
            LINKAGE.replace("-446, 12", "-600, 12"),
            "from the bottom bracket",
            "count from the bottom bracket",
        ),
    ],
)
def test_a_leverage_that_no_bike_has(tmp_path: Path, rear: str, rows: str, found: str | None, expected: str) -> None:
    (tmp_path / "leverage.csv").write_text(rows, encoding="utf-8")
    text = "stroke_mm = 60\n" + ('leverage = "leverage.csv"' if rear == "leverage" else rows)
    problem = judged(tmp_path, 1252, {}, text)
    assert (problem is None) == (found is None)
    if problem is not None and found is not None:
        assert found in f"{problem.found} {problem.expected}"
        assert expected in problem.expected
