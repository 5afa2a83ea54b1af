"""How a bike stands: what was measured of it, what its parts change, and what comes of that."""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredBike:
    """A bike as measured, static and unladen; None where it isn't known.

    Attributes
    ----------
    head_angle_deg, wheelbase_mm : float
    front_radius_mm, rear_radius_mm : float or None
        Over the tyre.
    axle_to_crown_mm : float or None
        Along the steering axis.
    offset_mm : float or None
        Of the front axle from the steering axis, forward.
    bottom_bracket_mm : (x, y) or None
        From the rear axle, x forward, y up.
    head_tube_top_mm : (x, y) or None
        Reach and stack: from the bottom bracket.
    head_tube_mm : float or None
        Along the steering axis from the crown's race to the top; in place of reach and stack.
    """

    head_angle_deg: float
    wheelbase_mm: float
    front_radius_mm: float | None = None
    rear_radius_mm: float | None = None
    axle_to_crown_mm: float | None = None
    offset_mm: float | None = None
    bottom_bracket_mm: tuple[float, float] | None = None
    head_tube_top_mm: tuple[float, float] | None = None
    head_tube_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsMoved:
    """What parts and sag change of a measured bike.

    Attributes
    ----------
    axle_to_crown_mm, offset_mm : float
        How much longer the fork is, and how much further forward its axle; sag shortens it.
    angled_cup_deg : float
        How much steeper cups turn the steering axis within the frame, about the crown's race.
    front_radius_mm, rear_radius_mm : float
        How much larger the wheels are.
    rear_axle_mm : (x, y)
        Where the rear axle went within the frame, forward and up.
    """

    axle_to_crown_mm: float = 0.0
    offset_mm: float = 0.0
    angled_cup_deg: float = 0.0
    front_radius_mm: float = 0.0
    rear_radius_mm: float = 0.0
    rear_axle_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """How a bike stands on level ground; None where it isn't known.

    Attributes
    ----------
    trail_mm : float or None
        Along the ground.
    mechanical_trail_mm : float or None
        Of the contact point from the steering axis, at right angles to it.
    front_centre_mm : float or None
        Straight from the bottom bracket to the front axle.
    reach_mm, stack_mm : float or None
        From the bottom bracket forward and up to the head tube's top.
    """

    head_angle_deg: float | None = None
    wheelbase_mm: float | None = None
    trail_mm: float | None = None
    mechanical_trail_mm: float | None = None
    bottom_bracket_height_mm: float | None = None
    front_centre_mm: float | None = None
    reach_mm: float | None = None
    stack_mm: float | None = None

    @property
    def known(self) -> dict[str, float]:
        """What is known, by name."""
        values = {item.name: getattr(self, item.name) for item in fields(self)}
        return {name: float(value) for name, value in values.items() if value is not None}
