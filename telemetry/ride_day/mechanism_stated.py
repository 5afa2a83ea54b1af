"""A linkage's points against what is stated besides: the shock's length, rear travel, the chainstay."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from telemetry.mechanics.linkage import paths_of_draws
from telemetry.mechanics.mechanism import places_of
from telemetry.mechanics.photograph import ORIGIN
from telemetry.mechanics.points_drawn import points_drawn
from telemetry.model.arrays import Floats
from telemetry.model.day import Bike, Setup
from telemetry.model.linkage import Linkage

from .problems import Problems

BEYOND_ERROR = 3.0
"""Standard deviations by which a stated length and that of the points may disagree; own choice."""
POINTS_MM, TAPE_MM = 1.5, 1.0
"""How well points and a length are known where nothing is stated, one standard deviation; own choice."""
DRAWS, STEPS = 60, 12
FRONT_AXLE = "front_axle"
"""The point of a photograph that with the rear axle makes the wheelbase, where it has one of that name."""
OTHER_SHOCK_SHARE = 0.1
"""Of its length, by which another shock that fits may differ from the one the points were measured with; own choice."""
AGAIN = "measure the scale's distance and the points again"
AGAIN_IN_MM = "measure the points again, topped out"


def _drawn(linkage: Linkage) -> tuple[Linkage, Floats]:
    """Return a linkage of whose points it is known how well they are, and draws of them."""
    known = linkage
    if linkage.photo is None and not linkage.plus_minus_mm:
        known = replace(linkage, plus_minus_mm=POINTS_MM)
    draws = points_drawn(known, DRAWS)
    return known, places_of(linkage)[None] if draws is None else draws


def _between(linkage: Linkage, one: str, other: str) -> tuple[float, float]:
    """Return how far two points are apart, mm, and its standard deviation."""
    names = [*linkage.fixed, *linkage.moving]
    at = [names.index(name) for name in (one, other)]
    places, (_, draws) = places_of(linkage), _drawn(linkage)
    lengths = np.hypot(*np.moveaxis(draws[:, at[0]] - draws[:, at[1]], -1, 0))
    return float(np.hypot(*(places[at[0]] - places[at[1]]))), float(lengths.std())


def travel_known_to_mm(linkage: Linkage, stroke_mm: float) -> float:
    """Return how far a linkage's full travel and a stated one may lie apart by how well its points are known, mm.

    0 where that isn't stated.
    """
    if linkage.photo is None and not linkage.plus_minus_mm:
        return 0.0
    known, draws = _drawn(linkage)
    travel, _, _ = paths_of_draws(known, draws, np.linspace(0.0, stroke_mm, STEPS))
    return BEYOND_ERROR * float(travel[:, -1].std()) if len(travel) > 1 else 0.0


def check_shock_as_measured(key: str, length_mm: float, linkage: Linkage, problems: Problems) -> None:
    """Find a shock length that its linkage's own points contradict, both stated in one table.

    Parameters
    ----------
    key : str
    length_mm : float
        From eye to eye.
    linkage : Linkage
    problems : Problems
    """
    found, known_to = _between(linkage, *linkage.shock)
    limit = BEYOND_ERROR * math.hypot(known_to, TAPE_MM)
    if abs(length_mm - found) > limit:
        problems.add(
            key, f"{length_mm:g} mm, but the points of shock are {found:.1f} mm apart", _expected(linkage, limit)
        )


def check_other_shock(key: str, length_mm: float, linkage: Linkage, problems: Problems) -> None:
    """Find another shock that is longer or shorter than any that fits where the measured one was; as above."""
    found, _ = _between(linkage, *linkage.shock)
    if abs(length_mm - found) > OTHER_SHOCK_SHARE * found:
        expected = f"within {100 * OTHER_SHOCK_SHARE:g} % of it; else {_again(linkage)}"
        problems.add(key, f"{length_mm:g} mm, but the points of shock are {found:.1f} mm apart", expected)


def check_frame(bike: Bike, setup: Setup, problems: Problems) -> None:
    """Find chainstay and wheelbase that contradict where a photograph has bottom bracket, rear and front axle."""
    linkage, widths = setup.rear.linkage, bike.geometry_plus_minus
    if linkage is None or linkage.photo is None:
        return
    chainstay = bike.geometry.get("chainstay_mm")
    stated = (
        ("bike.geometry.chainstay_mm", chainstay, widths.get("chainstay_mm", TAPE_MM), ORIGIN),
        ("bike.wheelbase_mm", bike.wheelbase_mm, TAPE_MM, FRONT_AXLE),
    )
    for key, length, tape, point in stated:
        if length is not None and point in linkage.fixed:
            _check_length(key, (length, tape), linkage, point, problems)


def _check_length(key: str, stated: tuple[float, float], linkage: Linkage, point: str, problems: Problems) -> None:
    """Find a length, with how well it is known, that isn't the one from a point to the rear axle."""
    found, known_to = _between(linkage, point, linkage.axle)
    limit = BEYOND_ERROR * math.hypot(known_to, stated[1])
    if abs(stated[0] - found) > limit:
        told = f"{stated[0]:g} mm, but the linkage has {found:.1f} mm from {point.replace('_', ' ')} to rear axle"
        problems.add(key, told, _expected(linkage, limit))


def _again(linkage: Linkage) -> str:
    return AGAIN_IN_MM if linkage.photo is None else AGAIN


def _expected(linkage: Linkage, limit_mm: float) -> str:
    return f"within {limit_mm:.1f} mm of that, as well as the points are known; else {_again(linkage)}"
