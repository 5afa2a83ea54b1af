"""Lengths of a bike that can't all be right."""

from __future__ import annotations

from collections.abc import Mapping

from telemetry.model.day import Bike, Setup
from telemetry.model.ranges import Range

from .problems import Problems
from .right_form import unit_slip

SHORTEST_FORK_MM = 60.0
"""What a fork measures from axle to crown beyond its travel at the very least: seals, bushings, crown; own choice."""
LONGEST_FORK_MM, USUAL_FORK_MM = 700.0, 400.0
"""The same at the very most, dirt bikes' long crowns included, and of most forks; own choice."""
SHORTEST_SHOCK_STROKES = 2.0
"""A shock from eye to eye at the very least, in strokes: rod and body each hold one."""


def check_fork(key: str, axle_to_crown_mm: float, travel_mm: float | None, problems: Problems) -> None:
    """Find a fork too short or too long for its travel."""
    if travel_mm is None:
        return
    least, most = travel_mm + SHORTEST_FORK_MM, travel_mm + LONGEST_FORK_MM
    if not least <= axle_to_crown_mm <= most:
        bound = f"over {least:g}" if axle_to_crown_mm < least else f"at most {most:g}"
        slip = unit_slip("axle_to_crown_mm", axle_to_crown_mm, Range(least, most))
        expected = f"{bound} mm: the fork has {travel_mm:g} mm of travel"
        problems.add(key, f"{axle_to_crown_mm:g} mm", f"{expected}; {slip}" if slip else expected)


def check_shock(key: str, length_mm: float, stroke_mm: float | None, problems: Problems) -> None:
    """Find a shock too short for its stroke."""
    if stroke_mm is not None and length_mm < SHORTEST_SHOCK_STROKES * stroke_mm:
        expected = f"over {SHORTEST_SHOCK_STROKES * stroke_mm:g} mm, from eye to eye: its stroke_mm is {stroke_mm:g}"
        problems.add(key, f"{length_mm:g} mm", expected)


def check_geometry(bike: Bike, setups: Mapping[str, Setup], problems: Problems) -> None:
    """Find an axle to crown of ``[bike.geometry]`` that no setup's travel goes with."""
    length = bike.geometry.get("axle_to_crown_mm")
    travels = [own for setup in setups.values() if (own := setup.front.full_travel_mm) is not None]
    if length is not None and travels:
        nearest = min(travels, key=lambda own: abs(length - own - USUAL_FORK_MM))
        check_fork("bike.geometry.axle_to_crown_mm", length, nearest, problems)
