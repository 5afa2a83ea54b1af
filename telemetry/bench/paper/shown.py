"""One end's spring and damper as the baseline's restoring-force maps show them, ridden in place of stated parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.bench.parts import EndSprings
from telemetry.bench.stated import Stated
from telemetry.dynamics.suspension import GAS_BEYOND_M
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.damper_points import MeasuredDamper
from telemetry.mechanics.friction import friction_n
from telemetry.model.arrays import Floats
from telemetry.model.force import ForceCurve, ForceMap, SpeedOf
from telemetry.model.parts_checked import Part

MM = 1e-3
STEPS = 40
"""Of a curve that is the mean of several maps' ones."""
BEYOND_STEPS = 60
LEAST_SHARE = 0.3
"""Of the true one a map's steepness or firmness is never drawn less."""
SOFTEST_SHARE = 0.1
"""A slope of another setup's damper is never taken for less of the baseline's; own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownEnd:
    """What an end pushed with by the maps of the baseline's runs, their mean.

    Attributes
    ----------
    parts : frozenset of {"spring", "damper"}
        Those that ride as the maps show them; others ride as stated.
    travel_mm, spring : float arrays, shape (k,)
        Wheel travel, and N per kg that the end carries, upward at the wheel.
    speed_m_s, damper : float arrays, shape (k,)
        Compression positive; friction included.
    speed_of : {"shaft", "wheel"}
    mean_mm : float
        Wheel travel about which it moved.
    """

    parts: frozenset[Part]
    travel_mm: Floats
    spring: Floats
    speed_m_s: Floats
    damper: Floats
    speed_of: SpeedOf
    mean_mm: float


def _mean(curves: Sequence[ForceCurve]) -> tuple[Floats, Floats]:
    """Return the mean of curves between the middle one of their first places and that of their last."""
    first, last = (float(np.median([curve.at[place] for curve in curves])) for place in (0, -1))
    at = np.linspace(first, last, STEPS + 1)
    every = [np.interp(at, curve.at, curve.per_kg, left=np.nan, right=np.nan) for curve in curves]
    return at, np.asarray(np.nanmean(every, axis=0), dtype=float)


def shown_end(maps: Sequence[ForceMap], mean_mm: float, parts: frozenset[Part]) -> ShownEnd:
    """Return what the maps of one end show together; `parts` are to ride by them."""
    travel, spring = _mean([one.spring for one in maps])
    speed, damper = _mean([one.damper for one in maps])
    return ShownEnd(
        parts=parts,
        travel_mm=travel,
        spring=spring,
        speed_m_s=speed,
        damper=damper,
        speed_of=maps[0].speed_of,
        mean_mm=mean_mm,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownSprings(EndSprings):
    """Springs of which maps show the whole: what is stated of them, and what the maps show beside that.

    Attributes
    ----------
    stroke_at_m, beside_n : float arrays, shape (k,)
        Travel of leg or shaft, and what pushes there beside the stated parts.
    """

    stroke_at_m: Floats
    beside_n: Floats

    def parts_n(self, travel_mm: Floats, exponent: float, settled_mm: float | None = None) -> dict[str, Floats]:
        """Return each part's force at the wheel as `EndSprings` does, and what the maps show beside them."""
        found = EndSprings.parts_n(self, travel_mm, exponent, settled_mm)
        beside = np.interp(self.stroke_m(travel_mm), self.stroke_at_m, self.beside_n)
        return {**found, "shown": np.asarray(beside / self.ratio(travel_mm), dtype=float)}


def shown_springs(own: EndSprings, base: tuple[Stated, EndSprings], sprung_kg: float, shown: ShownEnd) -> ShownSprings:
    """Return a setup's springs: the baseline's maps, and by what its stated parts differ from the baseline's.

    Parameters
    ----------
    own : EndSprings
        What is stated of the setup's; for the baseline itself the same as of `base`.
    base : (Stated, EndSprings)
        The baseline's.
    sprung_kg : float
        What the baseline's end carries.
    shown : ShownEnd

    Notes
    -----
    Steepness, about the mean travel, and height as simulated maps are known to be off by. What the maps show beside
    the stated parts goes on evenly beyond where they end, and ever steeper above that where no spring is stated that
    would. A part that one setup alone states makes no difference.
    """
    stated, springs = base
    steep = max(stated.assumed(f"map_steepness_{stated.end}"), LEAST_SHARE)
    middle = np.interp(shown.mean_mm, shown.travel_mm, shown.spring)
    upward = middle - stated.assumed(f"map_height_{stated.end}") + (shown.spring - middle) / steep
    whole = springs.sine * sprung_kg * upward
    told = springs.total_n(shown.travel_mm, springs.fast_exponent, shown.mean_mm)
    beside = (whole - told) * springs.ratio(shown.travel_mm)
    stroke = springs.stroke_m(shown.travel_mm)
    stands = springs.coil is not None or springs.gas.keys() & {"positive_air", "air_gap"}
    rises = 0.0 if stands else max(stated.assumed("map_progression"), 0.0)
    beyond_mm = np.array([0.0, springs.full_mm]) + np.array([-1.0, 1.0]) * GAS_BEYOND_M / MM
    ends_m = springs.stroke_m(beyond_mm)
    at, force = _gone_on(stroke, beside, (float(ends_m[0]), float(ends_m[1])), rises)
    return ShownSprings(
        full_mm=own.full_mm,
        curve=own.curve,
        sine=own.sine,
        gas={part: own.gas.get(part, chambers) for part, chambers in springs.gas.items()},
        coil=None if springs.coil is None else own.coil or springs.coil,
        bumper=own.bumper,
        fast_exponent=own.fast_exponent if own.gas else springs.fast_exponent,
        stroke_at_m=at,
        beside_n=force,
    )


def _gone_on(stroke: Floats, force: Floats, ends: tuple[float, float], rises: float) -> tuple[Floats, Floats]:
    """Return a force that goes on with its own mean slope to both ends, the slope rising beyond the last by a share."""
    slope = float(np.polyfit(stroke, force, 1)[0])
    below = np.linspace(ends[0], stroke[0], BEYOND_STEPS, endpoint=False)
    above = np.linspace(stroke[-1], ends[1], BEYOND_STEPS + 1)[1:]
    further = above - stroke[-1]
    steeper = further * (1 + rises * further / (2 * (ends[1] - ends[0])))
    whole = (force[0] + slope * (below - stroke[0]), force, force[-1] + slope * steeper)
    return np.concatenate((below, stroke, above)), np.concatenate(whole)


def shown_damper(
    stated: Stated, springs: EndSprings, sprung_kg: float, rubs: tuple[float, float], shown: ShownEnd
) -> Damper:
    """Return the baseline's damper at its shaft: two slopes and a knee either way, less its friction.

    Parameters
    ----------
    stated : Stated
    springs : EndSprings
    sprung_kg : float
    rubs : (float, float)
        Friction, N, and the speed over which it turns round, m/s.
    shown : ShownEnd
    """
    firm = max(stated.assumed("map_firmness"), LEAST_SHARE)
    lever = 1.0 if shown.speed_of == "shaft" else float(springs.ratio(np.array(shown.mean_mm)))
    speed = shown.speed_m_s / lever
    force = springs.sine * sprung_kg * lever * shown.damper / firm - friction_n(speed, *rubs)
    against = np.maximum(force * np.sign(speed), 0.0) * np.sign(speed)
    points = tuple((float(v), float(n)) for v, n in zip(speed, against, strict=True) if v != 0)
    found = MeasuredDamper(points).fitted()
    if found is None:  # a map spans both ways
        raise ValueError("no damper in a force map that spans one way alone")
    return found


def turned_as_stated(shown: Damper, own: Damper, base: Damper) -> Damper:
    """Return the baseline's damper as shown, made firmer by as much as a setup's stated one is than the baseline's."""
    sides = [
        DamperSide(
            slope_below_n_s_m=side.slope_below_n_s_m * _share(mine.slope_below_n_s_m, was.slope_below_n_s_m),
            knee_m_s=side.knee_m_s,
            slope_above_n_s_m=side.slope_above_n_s_m * _share(mine.slope_above_n_s_m, was.slope_above_n_s_m),
        )
        for side, mine, was in (
            (shown.compression, own.compression, base.compression),
            (shown.rebound, own.rebound, base.rebound),
        )
    ]
    share = own.viscosity_share / base.viscosity_share
    return Damper(compression=sides[0], rebound=sides[1], viscosity_share=share)


def _share(own: float, base: float) -> float:
    return 1.0 if base <= 0 else max(own / base, SOFTEST_SHARE)
