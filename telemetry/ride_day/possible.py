"""Lengths of a bike that can't all be right."""

from __future__ import annotations

from collections.abc import Mapping

from telemetry.model.day import Bike, Setup

from .problems import Problems

SHORTEST_FORK_MM = 60.0
"""What a fork measures from axle to crown beyond its travel at the very least: seals, bushings, crown; own choice."""
SHORTEST_SHOCK_MM = 10.0
"""The same of a shock from eye to eye beyond its stroke."""


def check_fork(key: str, axle_to_crown_mm: float, travel_mm: float | None, problems: Problems) -> None:
    """Find a fork too short for its travel."""
    if travel_mm is not None and axle_to_crown_mm < travel_mm + SHORTEST_FORK_MM:
        expected = f"over {travel_mm + SHORTEST_FORK_MM:g} mm: the fork has {travel_mm:g} mm of travel"
        problems.add(key, f"{axle_to_crown_mm:g} mm", expected)


def check_shock(key: str, length_mm: float, stroke_mm: float | None, problems: Problems) -> None:
    """Find a shock too short for its stroke."""
    if stroke_mm is not None and length_mm < stroke_mm + SHORTEST_SHOCK_MM:
        expected = f"over {stroke_mm + SHORTEST_SHOCK_MM:g} mm, from eye to eye: its stroke_mm is {stroke_mm:g}"
        problems.add(key, f"{length_mm:g} mm", expected)


def check_geometry(bike: Bike, setups: Mapping[str, Setup], problems: Problems) -> None:
    """Find lengths of ``[bike.geometry]`` that contradict each other, or travel."""
    geometry, wheelbase_mm = bike.geometry, bike.wheelbase_mm
    length = geometry.get("axle_to_crown_mm")
    if length is not None:
        travels = [own for setup in setups.values() if (own := setup.front.full_travel_mm) is not None]
        check_fork("bike.geometry.axle_to_crown_mm", length, min(travels, default=None), problems)
    chainstay = geometry.get("chainstay_mm")
    if chainstay is None:
        return
    if wheelbase_mm is not None and chainstay >= wheelbase_mm:
        expected = f"less than the wheelbase, {wheelbase_mm:g} mm"
        problems.add("bike.geometry.chainstay_mm", f"{chainstay:g} mm", expected)
    wheel, height = geometry.get("rear_wheel_diameter_mm"), geometry.get("bottom_bracket_height_mm")
    if wheel is not None and height is not None and abs(height - wheel / 2) >= chainstay:
        above = abs(height - wheel / 2)
        expected = f"more than {above:.0f} mm, by which bottom bracket and rear axle differ in height"
        problems.add("bike.geometry.chainstay_mm", f"{chainstay:g} mm", expected)
