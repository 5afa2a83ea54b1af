"""Damper: force against speed, its oil at temperature, where its adjusters stand, and the damping ratio it gives."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from telemetry.mechanics.damper_points import MeasuredDamper
from telemetry.mechanics.oil import oil_viscosity_cst
from telemetry.mechanics.viscosity_grade import cst_at_100c, grade_of
from telemetry.model.bench_damper import MID_RANGE, Adjuster, DamperForces, Oil
from telemetry.model.bench_figures import Lacking
from telemetry.model.setting import AdjusterPosition
from telemetry.model.setup_keys import SPECS

from .masses import vertical_rate_n_m
from .parts import MM, EndSprings
from .stated import PartError, Stated

RATIO_AT_M_S = 0.2
"""Speed of the wheel, each way, over which the damping ratio is taken: a bounce of some 15 mm. Own choice."""
STEPS = 40
WARMER_K = 20.0
"""A damper on a long descent."""
NEAR_END_CLICKS, NEAR_END_SHARE = 2.0, 0.15
"""An adjuster within so many clicks, or such a share of its range, of an end has little left there; own choice."""
KNEES = ("knee_compression_mm_s", "knee_rebound_mm_s")


def measured_damper(stated: Stated) -> MeasuredDamper | None:
    """Return the damper as measured; None without points, or without one either way.

    Raises
    ------
    PartError
        If its forces drive it.
    """
    points = stated.points()
    if points is None or not points[0][0] < 0 < points[-1][0]:
        return None
    at_rest = dict(points).get(0.0, 0.0)
    against = next((point for point in (points[0], points[-1]) if point[0] * (point[1] - at_rest) <= 0), None)
    against = against or next((point for point in points if point[0] * (point[1] - at_rest) < 0), None)
    if against is not None:
        found = f"{against[1]:g} N at {against[0]:g} mm/s"
        expected = (
            "forces of their speed's sign: compression positive, rebound negative; where gas pushes the shaft out at "
            "rest, that force too, as [0, N]"
        )
        raise PartError(stated.end, "damper_points", found, expected)
    return MeasuredDamper(tuple((speed * MM, force * stated.oil_share) for speed, force in points))


def in_its_oil(stated: Stated, first: Stated) -> Stated:
    """Return an end whose damper is that of the first setup, in its own oil.

    Forces that a setup shares with the first are taken as measured with the first's oil, and go with viscosity.
    """
    points = [own.setup.value("damper_points") for own in (stated, first)]
    return stated if points[0] != points[1] else replace(stated, oil_share=viscosity_share(stated, first))


def viscosity_share(stated: Stated, base: Stated, *, riding: bool = False) -> float:
    """Return the oil's viscosity over the baseline's, as warm as the air or as they ride; 1 where one isn't stated."""
    own, was = _sheet(stated), _sheet(base)
    if own is None or was is None:
        return 1.0
    if own[2] is not None and was[2] is not None:
        temperature = _air_c(stated) + (stated.assumed("oil_warmer_k") if riding else 0.0)
        first, second = (
            oil_viscosity_cst(np.array(temperature), cst_40c, cst_100c)
            for cst_40c, cst_100c in ((own[0], own[2]), (was[0], was[2]))
        )
        return float(first / second)
    return own[0] / was[0]


def damper_part(stated: Stated) -> DamperForces | None:
    """Return what is known of an end's damper; None where nothing is."""
    damper, oil, adjusters = measured_damper(stated), _oil(stated), _adjusters(stated)
    if damper is None:
        if oil is None and not adjusters:
            return None
        return DamperForces(speed_mm_s=None, force_n=None, measured_at="", slopes={}, oil=oil, adjusters=adjusters)
    most = max(abs(damper.points[0][0]), abs(damper.points[-1][0]))
    speed = np.linspace(-most, most, STEPS + 1)
    knees = [stated.number(key) for key in KNEES]
    fitted = damper.fitted(tuple(None if knee is None else knee * MM for knee in knees))  # type: ignore[arg-type]
    sides = {} if fitted is None else {"compression": fitted.compression, "rebound": fitted.rebound}
    return DamperForces(
        speed_mm_s=speed / MM,
        force_n=damper.force_n(speed),
        measured_at=str(stated.setup.value("damper_points_at") or ""),
        slopes={
            way: (side.slope_below_n_s_m, side.knee_m_s / MM, side.slope_above_n_s_m) for way, side in sides.items()
        },
        oil=oil,
        adjusters=adjusters,
    )


def shaft_slopes_n_s_m(damper: MeasuredDamper, ratio: float) -> tuple[float, float]:
    """Return force over speed at the shaft, compression and rebound, at the speed the damping ratio is taken at."""
    speed = RATIO_AT_M_S / ratio
    force = damper.force_n(np.array([speed, -speed]))
    return float(force[0] / speed), float(-force[1] / speed)


def damping_ratio(damper: MeasuredDamper, springs: EndSprings, travel_mm: float, sprung_kg: float) -> float | None:
    """Return the share of critical damping about a travel, both ways' mean; None where the end doesn't swing there.

    Notes
    -----
    c / (2 √(k m)), with c the mean of force over speed either way, taken to the wheel by 1/ratio² and, at the front, to
    the vertical by 1/sin² of the head angle, as k is. Friction isn't in it.
    """
    rate = vertical_rate_n_m(springs, travel_mm)
    if rate is None:
        return None
    ratio = float(springs.ratio(np.array(travel_mm)))
    at_wheel = sum(shaft_slopes_n_s_m(damper, ratio)) / 2 / ratio**2 / springs.sine**2
    return at_wheel / (2 * math.sqrt(rate * sprung_kg))


def _sheet(stated: Stated) -> tuple[float, float, float | None] | None:
    """Return an oil's viscosity at 40 °C, its index and its viscosity at 100 °C; None where none is stated."""
    at_40c = stated.number("damper_oil_cst_40c")
    if at_40c is None:
        return None
    index = stated.number("damper_oil_viscosity_index")
    index = stated.assumed("damper_oil_viscosity_index") if index is None else index
    return at_40c, index, cst_at_100c(at_40c, index)


def _air_c(stated: Stated) -> float:
    temperature = stated.of_bike("air_temperature_c")
    return stated.assumed("oil_temperature_c") if temperature is None else temperature


def _oil(stated: Stated) -> Oil | None:
    known = _sheet(stated)
    if known is None:
        return None
    at_40c, index, at_100c = known
    temperature = _air_c(stated)
    found = None
    if at_100c is not None:
        found = oil_viscosity_cst(np.array([temperature, temperature + WARMER_K]), at_40c, at_100c)
    return Oil(
        cst_40c=at_40c,
        index=index,
        grade=grade_of(at_40c),
        temperature_c=temperature,
        cst=None if found is None else float(found[0]),
        cst_warm=None if found is None else float(found[1]),
    )


def _adjusters(stated: Stated) -> tuple[Adjuster, ...]:
    return tuple(
        Adjuster(
            key=key,
            words=SPECS[key].words,
            from_closed=item.value.from_closed,
            of=item.value.of,
            unit=item.value.unit,
            stands=stands(item.value),
        )
        for key, item in stated.setup.settings.items()
        if isinstance(item.value, AdjusterPosition)
    )


def stands(position: AdjusterPosition) -> str:
    """Return where an adjuster stands, in words.

    Examples
    --------
    >>> stands(AdjusterPosition(from_closed=1, of=16, unit="clicks"))
    'near closed: little left to close'
    >>> stands(AdjusterPosition(from_closed=8, of=16, unit="clicks"))
    'mid-range'
    """
    if not position.of:
        return "its range isn't stated: of = how many there are"
    near = NEAR_END_SHARE * position.of
    if position.unit == "clicks":
        near = max(near, NEAR_END_CLICKS)
    if position.from_closed <= near:
        return "near closed: little left to close"
    return "near open: little left to open" if position.from_closed >= position.of - near else MID_RANGE


def lacking_damper(stated: Stated) -> Iterator[Lacking]:
    """Yield why a damper's forces or its oil's viscosity aren't known, and what would give them."""
    oil = _oil(stated)
    if oil is not None and oil.cst is None:
        reason = (
            f"with {oil.cst_40c:g} mm²/s and an index of {oil.index:g} it has under 2 mm²/s at 100 °C: no rule holds"
        )
        yield Lacking(what="viscosity of the damper oil", end=stated.end, reason=reason)
    if measured_damper(stated) is not None:
        return
    points = stated.points()
    reason = "damper_points not stated: [[mm/s at the shaft, N], ...] from a damper dyno"
    if points is not None:
        reason = "damper_points hold speeds of one direction only: state compression (positive) and rebound (negative)"
    yield Lacking(what="damper's forces and damping ratio", end=stated.end, reason=reason)
