"""How a setup stands, unladen and at sag, against the bike as measured."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from telemetry.mechanics.bike_geometry import GeometryError, cup_that_keeps, fork_that_keeps, stance, trail_mm
from telemetry.model.bench_figures import Lacking
from telemetry.model.bench_geometry import Geometry, KeepsHeadAngle
from telemetry.model.geometry import MeasuredBike, PartsMoved, Stance
from telemetry.model.setup_keys import IN_GEOMETRY

from .rear_axle import AxleMoved
from .stated import PartError, Stated

SAME_DEG = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A setup with both ends, and the one that the bike was measured with.

    Attributes
    ----------
    front, rear : Stated
    first_front, first_rear : Stated
        Of the first setup: what ``[bike]`` and ``[bike.geometry]`` don't state was measured with its parts.
    measured : mapping of key to number
        What those two state, with how well it is known.
    axle_moved : AxleMoved
        Where the rear axle went against the first setup's, topped out.
    bottom_bracket_mm : (x, y) or None
        From the first setup's rear axle, forward and up, by its linkage.
    """

    front: Stated
    rear: Stated
    first_front: Stated
    first_rear: Stated
    measured: Mapping[str, tuple[float, float | None]]
    axle_moved: AxleMoved
    bottom_bracket_mm: tuple[float, float] | None

    def of_bike(self, key: str) -> float | None:
        """Return a figure of the bike as measured; of the first setup where the bike states none."""
        held = self.measured.get(key, self.first_front.bike.get(key))
        place, own = IN_GEOMETRY.get(key, ("both", key))
        return None if held is None else self.front.known(place, own, *held)

    def own(self, key: str) -> float | None:
        """Return a figure of the whole bike that the setup itself states otherwise; None where it doesn't."""
        held = self.front.bike.get(key)
        if held is None or held[0] == self.measured.get(key, self.first_front.bike.get(key, held))[0]:
            return None
        return self.front.known("both", key, *held)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sag:
    """How far a setup sits down: the fork, and the rear axle forward and up within the frame; whence that is known."""

    front_mm: float
    rear_mm: tuple[float, float]
    words: str


@dataclass(frozen=True, slots=True)
class _Figures:
    """Lengths of one setup's parts, mm and degrees; None where they aren't stated."""

    axle_to_crown: float | None
    offset: float | None
    front_diameter: float | None
    rear_diameter: float | None
    crown_offset: float | None
    cup: float


def _measured_with(own: Standing) -> _Figures:
    front, rear = own.first_front, own.first_rear

    def of(stated: Stated, key: str, in_geometry: str) -> float | None:
        found = own.of_bike(in_geometry)
        return stated.number(key) if found is None else found

    return _Figures(
        of(front, "axle_to_crown_mm", "axle_to_crown_mm"),
        of(front, "offset_mm", "offset_mm"),
        of(front, "wheel_diameter_mm", "front_wheel_diameter_mm"),
        of(rear, "wheel_diameter_mm", "rear_wheel_diameter_mm"),
        front.of_bike("crown_offset_mm"),
        front.of_bike("angled_cup_deg") or 0.0,
    )


def _fitted(own: Standing, was: _Figures) -> tuple[_Figures, tuple[str, ...]]:
    """Return a setup's parts, and what was taken for granted of them."""
    front, rear = own.front, own.rear
    remarks: tuple[str, ...] = ()
    length = front.number("axle_to_crown_mm")
    if length is None and was.axle_to_crown is not None:
        length = was.axle_to_crown + _more_travel(own)
        if length != was.axle_to_crown:
            remarks = (
                "the fork is taken to be longer by as much as its travel: state its axle_to_crown_mm where it isn't",
            )
    offset, crown = front.number("offset_mm"), front.of_bike("crown_offset_mm")
    if offset is None or offset == own.first_front.number("offset_mm"):
        offset = was.offset if offset is None else offset
        if offset is not None and crown is not None and was.crown_offset is not None:
            offset += crown - was.crown_offset
    return (
        _Figures(
            length,
            offset,
            front.number("wheel_diameter_mm") or was.front_diameter,
            rear.number("wheel_diameter_mm") or was.rear_diameter,
            crown,
            front.of_bike("angled_cup_deg") or 0.0,
        ),
        remarks,
    )


def _more_travel(own: Standing) -> float:
    travels = own.front.setup.full_travel_mm, own.first_front.setup.full_travel_mm
    return 0.0 if travels[0] is None or travels[1] is None else travels[0] - travels[1]


def _less(new: float | None, old: float | None) -> float:
    return 0.0 if new is None or old is None else new - old


def _half(diameter: float | None) -> float | None:
    return None if diameter is None else diameter / 2


def measured_bike(own: Standing) -> MeasuredBike | None:
    """Return the bike as measured; None without head angle and wheelbase.

    Raises
    ------
    PartError
        If its figures can't be those of a bike.
    """
    angle, wheelbase = own.of_bike("head_angle_deg"), own.of_bike("wheelbase_mm")
    if angle is None or wheelbase is None:
        return None
    was = _measured_with(own)
    reach, stack = own.of_bike("reach_mm"), own.of_bike("stack_mm")
    return MeasuredBike(
        head_angle_deg=angle,
        wheelbase_mm=wheelbase,
        front_radius_mm=_half(was.front_diameter),
        rear_radius_mm=_half(was.rear_diameter),
        axle_to_crown_mm=was.axle_to_crown,
        offset_mm=was.offset,
        bottom_bracket_mm=_bottom_bracket(own, _half(was.rear_diameter)),
        head_tube_top_mm=None if reach is None or stack is None else (reach, stack),
        head_tube_mm=own.of_bike("head_tube_mm"),
    )


def _bottom_bracket(own: Standing, rear_radius_mm: float | None) -> tuple[float, float] | None:
    by_linkage = own.bottom_bracket_mm
    height, chainstay = (own.of_bike(key) for key in ("bottom_bracket_height_mm", "chainstay_mm"))
    if height is None or rear_radius_mm is None:
        return by_linkage
    above = height - rear_radius_mm
    if chainstay is None:
        return None if by_linkage is None else (by_linkage[0], above)
    if abs(above) >= chainstay:
        found = f"{chainstay:g} mm, while the bottom bracket stands {abs(above):.0f} mm above or below the rear axle"
        raise PartError("rear", "chainstay_mm", found, "a chainstay longer than that")
    return (chainstay**2 - above**2) ** 0.5, above


def parts_moved(own: Standing) -> tuple[PartsMoved, tuple[str, ...]]:
    """Return what a setup's parts change of the bike as measured, and what has to be said of it."""
    was = _measured_with(own)
    now, remarks = _fitted(own, was)
    return (
        PartsMoved(
            axle_to_crown_mm=_less(now.axle_to_crown, was.axle_to_crown),
            offset_mm=_less(now.offset, was.offset),
            angled_cup_deg=now.cup - was.cup,
            front_radius_mm=_less(now.front_diameter, was.front_diameter) / 2,
            rear_radius_mm=_less(now.rear_diameter, was.rear_diameter) / 2,
            rear_axle_mm=own.axle_moved.mm,
        ),
        (*remarks, *filter(None, (own.axle_moved.remark,))),
    )


def geometry_of(own: Standing, first_angle_deg: float | None) -> Geometry | None:
    """Return how a setup stands unladen; None where the bike wasn't measured.

    Parameters
    ----------
    own : Standing
    first_angle_deg : float or None
        The first setup's head angle, of a setup but the first.

    Raises
    ------
    PartError
        If its parts make no bike.
    """
    bike = measured_bike(own)
    if bike is None:
        return None
    moved, remarks = parts_moved(own)
    if _cup_unplaced(bike, moved):
        return None
    found = _as_stated(own, _stance(bike, moved), _fitted(own, _measured_with(own))[0])
    keeps = None
    if first_angle_deg is not None and abs((found.head_angle_deg or 0.0) - first_angle_deg) > SAME_DEG:
        wanted = first_angle_deg - _off(own, _stance(bike, moved))["head_angle_deg"]
        keeps = KeepsHeadAngle(
            head_angle_deg=first_angle_deg,
            fork_mm=fork_that_keeps(bike, moved, wanted),
            cup_deg=cup_that_keeps(bike, moved, wanted),
        )
    return Geometry(stance=found, keeps=keeps, remarks=remarks)


def geometry_at_sag(own: Standing, sag: Sag) -> Geometry | None:
    """Return how a setup stands at sag; None where the bike wasn't measured. Errors as for `geometry_of`."""
    bike = measured_bike(own)
    if bike is None:
        return None
    moved, _ = parts_moved(own)
    x, y = moved.rear_axle_mm
    down = replace(
        moved,
        axle_to_crown_mm=moved.axle_to_crown_mm - sag.front_mm,
        rear_axle_mm=(x + sag.rear_mm[0], y + sag.rear_mm[1]),
    )
    found, static = _stance(bike, down), _stance(bike, moved)
    now, _ = _fitted(own, _measured_with(own))
    return Geometry(
        stance=_shifted(found, _off(own, static), now),
        front_sag_mm=sag.front_mm,
        rear_sag_mm=sag.rear_mm[1],
        sag_from=sag.words,
    )


def _cup_unplaced(bike: MeasuredBike, moved: PartsMoved) -> bool:
    """Tell whether an angled cup differs on a fork whose length or offset isn't known."""
    return bool(moved.angled_cup_deg) and (bike.axle_to_crown_mm is None or bike.offset_mm is None)


def _stance(bike: MeasuredBike, moved: PartsMoved) -> Stance:
    try:
        return stance(bike, moved)
    except GeometryError as error:
        raise PartError("front", "axle_to_crown_mm", str(error), "parts of one bike, as measured") from None


def _off(own: Standing, computed: Stance) -> dict[str, float]:
    """Return by how much what a setup states of how it stands differs from what its parts would make of it."""
    known = computed.known
    stated = {key: own.own(key) for key in ("head_angle_deg", "wheelbase_mm", "bottom_bracket_height_mm")}
    return {key: 0.0 if value is None else value - known.get(key, value) for key, value in stated.items()}


def _as_stated(own: Standing, computed: Stance, now: _Figures) -> Stance:
    return _shifted(computed, _off(own, computed), now)


def _shifted(found: Stance, off: dict[str, float], now: _Figures) -> Stance:
    """Return a stance moved by what a setup states itself, trail with its head angle."""
    known = {key: found.known[key] + more for key, more in off.items() if more and key in found.known}
    if "head_angle_deg" in known and found.trail_mm is not None and now.offset is not None and now.front_diameter:
        trail = trail_mm(now.front_diameter / 2, known["head_angle_deg"], now.offset)
        known |= {
            "trail_mm": trail,
            "mechanical_trail_mm": trail * math.sin(math.radians(known["head_angle_deg"])),
        }
    return replace(found, **known)


NEEDED: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "trail_mm": ("trail", "front_wheel_diameter_mm and offset_mm"),
        "bottom_bracket_height_mm": (
            "bottom bracket height",
            "bottom_bracket_height_mm, rear_wheel_diameter_mm and chainstay_mm (or a linkage from the bottom bracket)",
        ),
        "reach_mm": ("reach and stack", "reach_mm and stack_mm, or head_tube_mm, beside the bottom bracket's figures"),
    }
)
"""What lacks beside a head angle, and which keys of ``[bike.geometry]`` would give it."""


def lacking_geometry(found: Geometry | None) -> Iterator[Lacking]:
    """Yield what of a setup's geometry can't be told."""
    if found is None:
        reason = (
            "head_angle_deg and wheelbase_mm in [bike] would give it; with an angled cup also axle_to_crown_mm and "
            "offset_mm"
        )
        yield Lacking(what="geometry", reason=reason, end="both")
        return
    for key, (what, keys) in NEEDED.items():
        if key not in found.stance.known:
            yield Lacking(what=what, reason=f"{keys} in [bike.geometry] would give it", end="both")
