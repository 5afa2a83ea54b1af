"""Lengths of a bike that contradict each other: frame against wheels, head tube against fork, travel against stroke.

All limits are own choices unless said otherwise: beyond them a figure was mistaken, not only badly measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from telemetry.mechanics.leverage import curve_of
from telemetry.model.day import EndSetup, RideDay, Setup
from telemetry.model.finding import Place
from telemetry.model.ranges import Range
from telemetry.model.setup_keys import IN_GEOMETRY

from .stated import PartError

GEOMETRY = "bike.geometry"
BEFORE_BRACKET_MM = 60.0
"""Between the front tyre and the middle of the bottom bracket at the very least: shell, frame, room to turn."""
BEHIND_BRACKET_MM = 20.0
"""The same behind it: half of its shell."""
WHEEL_MM = Range(400, 900, "mm over the tyre")
"""Common practice, no source; the smallest is taken where the front wheel isn't stated."""
POINTS_OFF_SHARE = 0.25
"""By so much the chainstay may differ from where a linkage in millimetres has the axle."""
HEAD_TUBE_OFF_MM = 120.0
"""By so much the head tube's top may stand off the steering axis that the other lengths give."""
MEASURED_SHARES = Range(0.5, 1.15)
"""Of the stated travel, that a measured one may be: shortened inside, or longer than its maker says."""
RATIO = Range(0.9, 5, said="a number from 0.9 to 5 (wheel travel over shock stroke)")
RATIO_ANYWHERE = Range(0.3, 12)
"""Of a linkage at any one stroke: near a dead point it runs off."""
FULL_TRAVEL_MM = Range(20, 400, "mm")
EYES_MM = Range(80, 700, "mm")
"""From one of the shock's eyes to the other; common practice, no source."""
TABLE_SHARE = 0.5
"""Of the stroke, that a leverage table has to reach: its end slope goes on behind."""

UNITS = {
    "leverage": "both columns in mm, stroke_mm the shock's and travel_mm the wheel's",
    "linkage": "points in mm, or a photograph's pixels with the mm of a known distance as scale",
}


def impossible_lengths(day: RideDay, setup: Setup) -> Iterator[PartError]:
    """Yield what of a setup's lengths contradicts another."""
    yield from _of_travel(setup.front)
    curve = list(_of_leverage(setup.rear))
    yield from curve
    own = _Lengths(day, setup)
    if setup is not next(iter(day.setups.values())):
        by_wheel = "wheel_diameter_mm" in setup.front.settings
        yield from _of_room(own, ("front", "wheel_diameter_mm") if by_wheel else ("both", "wheelbase_mm"))
    elif not curve:  # what the bike states was measured with its first setup
        yield from _of_points(own, setup.rear) or _of_frame(own)


class _Lengths:
    """Lengths of the bike as measured, in mm, None where they aren't stated; a setup's own go before."""

    def __init__(self, day: RideDay, setup: Setup) -> None:
        self._geometry, self._setup = day.bike.geometry, setup

    def of_bike(self, key: str) -> float | None:
        """Return a figure of the whole bike."""
        held = self._setup.bike.get(key)
        if held is not None and isinstance(held.value, int | float):
            return float(held.value)
        return self._geometry.get(key)

    def of_part(self, key: str) -> float | None:
        """Return a figure that ``[bike.geometry]`` and an end may state."""
        place, own = IN_GEOMETRY[key]
        stated = None if place == "both" else self._setup.at(place).number(own)
        return self._geometry.get(key) if stated is None else float(stated)

    @property
    def chainstay(self) -> float | None:
        """Straight from the bottom bracket to the rear axle, stated or by a linkage counted from there."""
        stated = self._geometry.get("chainstay_mm")
        return _by_points(self._setup.rear) if stated is None else stated

    @property
    def rear_centre(self) -> float | None:
        """The same along the ground; the straight length where its slope isn't known."""
        chainstay, height = self.chainstay, self.of_bike("bottom_bracket_height_mm")
        wheel = self.of_part("rear_wheel_diameter_mm")
        if chainstay is None or height is None or wheel is None:
            return chainstay
        return math.sqrt(max(chainstay**2 - (height - wheel / 2) ** 2, 0.0))

    @property
    def front_centre(self) -> float | None:
        """From the bottom bracket to the front axle, along the ground."""
        wheelbase, behind = self.of_bike("wheelbase_mm"), self.rear_centre
        return None if wheelbase is None or behind is None else wheelbase - behind


def _by_points(rear: EndSetup) -> float | None:
    """Return how far a linkage in millimetres has the axle from the bottom bracket."""
    linkage = rear.linkage
    return None if linkage is None or linkage.photo is not None else math.hypot(*linkage.moving[linkage.axle])


def _of_travel(front: EndSetup) -> Iterator[PartError]:
    stated, measured = front.number("travel_mm"), front.number("measured_travel_mm")
    if stated and measured is not None and not MEASURED_SHARES.holds(measured / stated):
        low, high = (share * stated for share in (MEASURED_SHARES.low, MEASURED_SHARES.high))
        expected = f"{low:.0f} to {high:.0f} mm beside travel_mm = {stated:g}: measure again, or state its own travel"
        yield PartError("front", "measured_travel_mm", f"{measured:g} mm", expected)


def _of_leverage(rear: EndSetup) -> Iterator[PartError]:
    """Yield a curve, of a table or of points, that no rear end has: points or columns in another unit, or swapped."""
    table, stroke = rear.leverage, rear.stroke_mm
    key = next((key for key in ("leverage", "linkage") if key in rear.settings), None)
    if table is None or key is None or not stroke:
        return
    reach = table.stroke_mm[-1]
    if reach < TABLE_SHARE * stroke:
        expected = f"one that reaches the stroke: measure on, or look whether it is in mm, as stroke_mm = {stroke:g} is"
        yield PartError("rear", key, f"a table up to {reach:g} mm of stroke", expected)
        return
    if rear.linkage is not None:
        places = {**rear.linkage.fixed, **rear.linkage.moving}
        eyes = math.dist(*(places[name] for name in rear.linkage.shock))
        if not EYES_MM.holds(eyes):
            expected = f"{EYES_MM.words} from eye to eye: {UNITS[key]}"
            yield PartError("rear", key, f"points of shock {eyes:.4g} mm apart", expected)
            return
    curve = curve_of(table)
    full = float(curve.travel_mm(np.array([stroke]))[0])
    told = f"{full:.0f} mm of travel over {stroke:g} mm of stroke"
    if not RATIO.holds(full / stroke) or not FULL_TRAVEL_MM.holds(full):
        expected = f"{FULL_TRAVEL_MM.words} of travel, its ratio {RATIO.words}: {UNITS[key]}"
        yield PartError("rear", key, f"{told}, a ratio of {full / stroke:.2g}", expected)
        return
    ratios = curve.ratio(np.linspace(0.0, stroke, 51))
    worst = float(ratios[np.argmax(np.abs(np.log(np.maximum(ratios, 1e-6) / (full / stroke))))])
    if key == "linkage" and not RATIO_ANYWHERE.holds(worst):
        expected = f"{RATIO_ANYWHERE.words} all the way: near a dead point no shock works; {UNITS[key]}"
        yield PartError("rear", key, f"{told}, the ratio {worst:.2g} at one place", expected)


def _of_frame(own: _Lengths) -> Iterator[PartError]:
    """Yield a frame that its wheels or its fork don't go with."""
    chainstay = own.of_bike("chainstay_mm")
    expected = None if chainstay is None else _of_chainstay(own, chainstay)
    if expected is not None:
        yield PartError("rear", "chainstay_mm", f"{chainstay:g} mm", expected, table=GEOMETRY)
        return
    room = list(_of_room(own, ("both", "wheelbase_mm")))
    yield from room
    if not room:
        yield from _of_head_tube(own)


def _of_room(own: _Lengths, blamed: tuple[Place, str]) -> Iterator[PartError]:
    """Yield a front wheel that reaches the bottom bracket."""
    wheelbase, front = own.of_bike("wheelbase_mm"), own.of_part("front_wheel_diameter_mm")
    before = own.front_centre
    if wheelbase is None or before is None:
        return
    wheel = WHEEL_MM.low if front is None else front
    if before < wheel / 2 + BEFORE_BRACKET_MM:
        least = wheelbase - before + wheel / 2 + BEFORE_BRACKET_MM
        told = f"{wheelbase:g} mm of wheelbase, {before:.0f} mm from bottom bracket to front axle along the ground"
        expected = (
            f"over {least:.0f} mm, or a smaller wheel: {'the smallest' if front is None else 'the front wheel'}, "
            f"{wheel / 2:g} mm of radius, turns before the bottom bracket"
        )
        yield PartError(*blamed, told, expected)


def _of_chainstay(own: _Lengths, chainstay: float) -> str | None:
    """Return what was expected of a chainstay that its wheel doesn't go with."""
    wheel, height = own.of_part("rear_wheel_diameter_mm"), own.of_bike("bottom_bracket_height_mm")
    if wheel is None:
        return None
    above = 0.0 if height is None else abs(height - wheel / 2)
    if above >= chainstay:
        return f"more than {above:.0f} mm, by which bottom bracket and rear axle differ in height"
    least = wheel / 2 + BEHIND_BRACKET_MM
    if chainstay < least:
        return f"over {least:g} mm: the rear wheel, {wheel / 2:g} mm of radius, turns behind the bottom bracket"
    return None


def _of_head_tube(own: _Lengths) -> Iterator[PartError]:
    """Yield a reach far off the steering axis that head angle, wheelbase and the rest give."""
    reach, stack, angle, height = (
        own.of_bike(key) for key in ("reach_mm", "stack_mm", "head_angle_deg", "bottom_bracket_height_mm")
    )
    wheel, offset, before = own.of_part("front_wheel_diameter_mm"), own.of_part("offset_mm"), own.front_centre
    if reach is None or stack is None or angle is None or height is None:
        return
    if wheel is None or offset is None or before is None:
        return
    slope = math.radians(angle)
    on_axis = before - offset / math.sin(slope) - (stack + height - wheel / 2) / math.tan(slope)
    if abs(reach - on_axis) > HEAD_TUBE_OFF_MM:
        expected = (
            f"{on_axis - HEAD_TUBE_OFF_MM:.0f} to {on_axis + HEAD_TUBE_OFF_MM:.0f} mm: head angle, wheelbase, "
            f"chainstay and stack put the steering axis at {on_axis:.0f} mm; measure all of them again"
        )
        yield PartError("both", "reach_mm", f"{reach:g} mm at a stack of {stack:g} mm", expected, table=GEOMETRY)


def _of_points(own: _Lengths, rear: EndSetup) -> list[PartError]:
    """Return a chainstay far from the one that a linkage's points have, if it is."""
    chainstay, by_points = own.chainstay, _by_points(rear)
    if chainstay is None or by_points is None or abs(chainstay - by_points) <= POINTS_OFF_SHARE * by_points:
        return []
    expected = f"within {100 * POINTS_OFF_SHARE:g} % of that: x and y of the points count from the bottom bracket"
    found = f"{chainstay:g} mm, but the linkage's axle is {by_points:.0f} mm from the bottom bracket"
    return [PartError("rear", "chainstay_mm", found, expected, table=GEOMETRY)]
