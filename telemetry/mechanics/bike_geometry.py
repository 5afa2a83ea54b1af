"""How a bike stands on its wheels: trail, and what another fork, wheel, cup, shock or sag makes of every angle."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from scipy.optimize import brentq

from telemetry.model.geometry import MeasuredBike, PartsMoved, Stance

AS_MEASURED = PartsMoved()
FORK_MM, CUP_DEG = 300.0, 8.0
"""A fork's length and a cup's angle that keep a head angle are sought this far to either side."""


class GeometryError(ValueError):
    """Parts that make no bike; the message says why."""


def trail_mm(front_radius_mm: float, head_angle_deg: float, offset_mm: float) -> float:
    """Return trail along the ground, mm.

    Parameters
    ----------
    front_radius_mm : float
        Over the tyre.
    head_angle_deg : float
        From the horizontal.
    offset_mm : float
        Of the front axle from the steering axis, forward.

    Notes
    -----
    (r cos a - o) / sin a [MeijaardEtAl2007].

    Examples
    --------
    >>> round(trail_mm(370, 65, 44), 3)
    123.985
    """
    angle = math.radians(head_angle_deg)
    return (front_radius_mm * math.cos(angle) - offset_mm) / math.sin(angle)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Places within the frame, as complex numbers: forward and up from where the rear axle was measured."""

    front_axle: complex
    steering: complex  # along the steering axis, upward


def _frame(bike: MeasuredBike) -> _Frame:
    up = cmath.rect(1.0, math.pi - math.radians(bike.head_angle_deg))
    return _Frame(
        front_axle=complex(bike.wheelbase_mm, _higher(bike.front_radius_mm, bike.rear_radius_mm)), steering=up
    )


def _higher(front_radius_mm: float | None, rear_radius_mm: float | None) -> float:
    """Return how much higher the front axle stands; wheels of which one isn't known are taken as alike."""
    return 0.0 if front_radius_mm is None or rear_radius_mm is None else front_radius_mm - rear_radius_mm


def _new_front(bike: MeasuredBike, moved: PartsMoved, frame: _Frame) -> tuple[complex, complex]:
    """Return the front axle and the steering axis within the frame."""
    forward = frame.steering * -1j
    turn = cmath.rect(1.0, -math.radians(moved.angled_cup_deg))
    longer = -moved.axle_to_crown_mm * frame.steering + moved.offset_mm * forward
    if not moved.angled_cup_deg:
        return frame.front_axle + longer, frame.steering
    if bike.axle_to_crown_mm is None or bike.offset_mm is None:
        raise GeometryError("an angled cup needs axle_to_crown_mm and offset_mm")
    from_crown = -bike.axle_to_crown_mm * frame.steering + bike.offset_mm * forward
    crown = frame.front_axle - from_crown
    return crown + (from_crown + longer) * turn, frame.steering * turn


def stance(bike: MeasuredBike, moved: PartsMoved = AS_MEASURED) -> Stance:
    """Return how a bike stands with parts changed.

    Parameters
    ----------
    bike : MeasuredBike
    moved : PartsMoved
        Against what it was measured with; nothing where left out.

    Raises
    ------
    GeometryError
        If its axles can't stand on level ground so, or an angled cup is changed on a fork that isn't known.

    Notes
    -----
    The frame keeps its shape and turns until both wheels stand on the ground; exact, not to first order.
    """
    frame = _frame(bike)
    front, steering = _new_front(bike, moved, frame)
    rear = complex(*moved.rear_axle_mm)
    radii = [
        None if radius is None else radius + more
        for radius, more in (
            (bike.front_radius_mm, moved.front_radius_mm),
            (bike.rear_radius_mm, moved.rear_radius_mm),
        )
    ]
    known = None not in radii
    higher = _higher(*radii) if known else moved.front_radius_mm - moved.rear_radius_mm
    apart = abs(front - rear)
    if apart <= abs(higher) or front.real <= rear.real:
        raise GeometryError(f"the axles come {apart:.0f} mm from each other: no bike stands so")
    wheelbase = math.sqrt(apart**2 - higher**2)
    turn = complex(wheelbase, higher) / (front - rear)
    turn /= abs(turn)
    head_angle = 180.0 - math.degrees(cmath.phase(steering * turn))
    offset = None if bike.offset_mm is None else bike.offset_mm + moved.offset_mm
    trail = None if radii[0] is None or offset is None else trail_mm(radii[0], head_angle, offset)
    found = Stance(
        head_angle_deg=head_angle,
        wheelbase_mm=wheelbase,
        trail_mm=trail,
        mechanical_trail_mm=None if trail is None else trail * math.sin(math.radians(head_angle)),
    )
    return _with_bottom_bracket(found, bike, (front, rear, turn), radii[1])


def _with_bottom_bracket(
    found: Stance, bike: MeasuredBike, placed: tuple[complex, complex, complex], rear_radius_mm: float | None
) -> Stance:
    front, rear, turn = placed
    if bike.bottom_bracket_mm is None:
        return found
    middle = complex(*bike.bottom_bracket_mm)
    height = None if rear_radius_mm is None else rear_radius_mm + ((middle - rear) * turn).imag
    found = replace(found, bottom_bracket_height_mm=height, front_centre_mm=abs(front - middle))
    top = _head_tube_top(bike, middle)
    if top is None:
        return found
    reach = (top - middle) * turn
    return replace(found, reach_mm=reach.real, stack_mm=reach.imag)


def _head_tube_top(bike: MeasuredBike, middle: complex) -> complex | None:
    if bike.head_tube_top_mm is not None:
        return middle + complex(*bike.head_tube_top_mm)
    if bike.head_tube_mm is None or bike.axle_to_crown_mm is None or bike.offset_mm is None:
        return None
    frame = _frame(bike)
    return frame.front_axle + frame.steering * (bike.axle_to_crown_mm + bike.head_tube_mm + bike.offset_mm * 1j)


def fork_that_keeps(bike: MeasuredBike, moved: PartsMoved, head_angle_deg: float) -> float | None:
    """Return by how much the fork has to be longer than with `moved` so that a head angle is kept, mm.

    None where no length within `FORK_MM` does; parameters as `stance`.
    """
    return _root(
        lambda more: replace(moved, axle_to_crown_mm=moved.axle_to_crown_mm + more), bike, head_angle_deg, FORK_MM
    )


def cup_that_keeps(bike: MeasuredBike, moved: PartsMoved, head_angle_deg: float) -> float | None:
    """Return by how much cups have to be steeper than with `moved` so that a head angle is kept, degrees.

    None where none within `CUP_DEG` does, or the fork isn't known; parameters as `stance`.
    """
    return _root(lambda more: replace(moved, angled_cup_deg=moved.angled_cup_deg + more), bike, head_angle_deg, CUP_DEG)


def _root(
    changed: Callable[[float], PartsMoved], bike: MeasuredBike, head_angle_deg: float, reach: float
) -> float | None:
    def off(more: float) -> float:
        return (stance(bike, changed(more)).head_angle_deg or 0.0) - head_angle_deg

    try:
        ends = off(-reach), off(reach)
    except GeometryError:
        return None
    return None if ends[0] * ends[1] > 0 else float(brentq(off, -reach, reach, xtol=1e-9))
