"""Planar linkages: degrees of freedom, positions over the stroke, and wheel travel against shock stroke."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.day import LeverageTable
from telemetry.model.linkage import Linkage, LinkagePath

from .mechanism import Mechanism

STEPS = 50
RANK_TOLERANCE = 1e-8
LONGEST_PIECE_MM = 2.0
"""Another shock length is reached in pieces so short, as the stroke is; own choice."""
SHORTEST_MM = 1.0
"""A shock isn't compressed to less; own choice, against division by nothing."""


class LinkageError(ValueError):
    """A linkage that can't be solved; the message says why."""


class ShockError(LinkageError):
    """A linkage that the shock which is fitted doesn't let stand."""


def degrees_of_freedom(linkage: Linkage) -> int:
    """Return how many ways the moving points can move while every body keeps its shape.

    Parameters
    ----------
    linkage : Linkage

    Returns
    -------
    int
        1 for a working rear suspension.

    Notes
    -----
    Twice the moving points less the rank of the constraints' Jacobian (Maxwell's count, redundant bars left out).
    """
    mechanism = Mechanism(linkage)
    jacobian = mechanism.jacobian(mechanism.start, with_shock=False)[0]
    return int(mechanism.unknowns - np.linalg.matrix_rank(jacobian, tol=RANK_TOLERANCE))


def linkage_path(linkage: Linkage, stroke_mm: float, *, steps: int = STEPS) -> LinkagePath:
    """Return where a linkage's points go while its shock shortens.

    Parameters
    ----------
    linkage : Linkage
        With one degree of freedom.
    stroke_mm : float
        Full stroke of the shock, mm, > 0.
    steps : int
        Positions less one.

    Raises
    ------
    LinkageError
        If it has another number of degrees of freedom, locks within the stroke, or the axle doesn't rise throughout.
    ShockError
        If no place of it has a shock as long as the one that is fitted.

    Notes
    -----
    The shock's length is shortened step by step; each position is found by Newton's method from the one before. The
    ratio is that of the speeds there, which the same constraints give without any difference quotient.
    """
    freedom = degrees_of_freedom(linkage)
    if freedom != 1:
        off = "a link or body that ties its points is missing" if freedom > 1 else "a link or body is one too many"
        raise LinkageError(f"the mechanism has {freedom} degrees of freedom: {off}")
    mechanism = Mechanism(linkage)
    places, topped_out = _topped_out(mechanism, linkage)
    if stroke_mm > topped_out - SHORTEST_MM:
        raise LinkageError(f"the shock is only {topped_out:.1f} mm long, the stroke {stroke_mm:.1f} mm")
    strokes = np.linspace(0.0, stroke_mm, steps + 1)
    found = [places]
    for stroke in strokes[1:]:
        found.append(_moved(mechanism, found[-1], topped_out, float(stroke)))
    places = np.concatenate(found)
    rise = places[:, mechanism.axle, 1] - places[0, mechanism.axle, 1]
    if np.any(np.diff(rise) <= 0):
        raise LinkageError("the axle doesn't rise while the shock shortens")
    ratio = np.concatenate([mechanism.going(one)[:, mechanism.axle, 1] for one in found])
    at = {name: places[:, place] for place, name in enumerate(mechanism.names)}
    return LinkagePath(linkage=linkage, stroke_mm=strokes, travel_mm=rise, ratio=ratio, points_mm=MappingProxyType(at))


def solve_linkage(linkage: Linkage, stroke_mm: float, *, steps: int = STEPS) -> LeverageTable:
    """Return wheel travel against shock stroke; travel is the axle's rise against topped out.

    Parameters and errors are those of `linkage_path`.
    """
    path = linkage_path(linkage, stroke_mm, steps=steps)
    return LeverageTable(
        stroke_mm=tuple(path.stroke_mm.tolist()), travel_mm=tuple(path.travel_mm.tolist()), source="linkage"
    )


def paths_of_draws(linkage: Linkage, draws: Floats, strokes: Floats) -> tuple[Floats, Floats, Floats]:
    """Return travel, ratio and the axle's way forward of many draws of a linkage's points, at the same strokes.

    Parameters
    ----------
    linkage : Linkage
        With one degree of freedom; says which points belong together.
    draws : float array, shape (draws, points, 2)
        Places of the fixed points and of the moving ones, in the linkage's order, mm.
    strokes : float array, shape (n,)
        From 0, increasing, mm.

    Returns
    -------
    tuple of three float arrays, shape (draws that reach the last stroke, n)
        mm, ratio, mm.
    """
    mechanism = Mechanism(linkage, draws)
    topped_out = _topped_out_mm(mechanism, linkage)
    places, whole = _carried(mechanism, topped_out)
    start, ways, ratios = places[:, mechanism.axle], [], []
    for stroke in strokes:
        places, solved = mechanism.moved(places, np.maximum(topped_out - stroke, SHORTEST_MM))
        whole &= solved
        ways.append(places[:, mechanism.axle] - start)
        ratios.append(mechanism.going(places)[:, mechanism.axle, 1])
    way = np.stack(ways, axis=1)[whole]
    return way[..., 1], np.stack(ratios, axis=1)[whole], way[..., 0]


def _topped_out_mm(mechanism: Mechanism, linkage: Linkage) -> Floats:
    """Return the distance between the shock's eyes in each draw, topped out."""
    drawn = mechanism.shock_mm
    stated = drawn if linkage.shock_length_mm is None else np.full_like(drawn, linkage.shock_length_mm)
    return stated - linkage.shock_offset_mm


def _carried(mechanism: Mechanism, topped_out_mm: Floats) -> tuple[Floats, Bools]:
    """Return the places of draws, brought from where they were measured to topped out, and which got there."""
    places, whole = mechanism.start, np.ones(len(mechanism.start), dtype=bool)
    change = topped_out_mm - mechanism.shock_mm
    pieces = int(np.ceil(np.abs(change).max() / LONGEST_PIECE_MM))
    for piece in range(1, pieces + 1):
        places, solved = mechanism.moved(places, mechanism.shock_mm + change * piece / pieces)
        whole &= solved
    return places, whole


def _topped_out(mechanism: Mechanism, linkage: Linkage) -> tuple[Floats, float]:
    length = _topped_out_mm(mechanism, linkage)
    places, solved = _carried(mechanism, length)
    if not solved[0]:
        raise ShockError(f"the linkage can't stand with a shock of {length[0]:.1f} mm between its eyes")
    return places, float(length[0])


def _moved(mechanism: Mechanism, places: Floats, topped_out_mm: float, stroke_mm: float) -> Floats:
    found, solved = mechanism.moved(places, np.array([topped_out_mm - stroke_mm]))
    if not solved[0]:
        raise LinkageError(f"the linkage locks before {stroke_mm:.1f} mm of the shock's stroke")
    return found
