"""An end as the loop reads it, out of what is stated of its springs and damper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.bench.parts import SLOW, EndSprings
from telemetry.bench.stated import Stated
from telemetry.dynamics.car import EndTables
from telemetry.dynamics.suspension import BEYOND_M, GAS_BEYOND_M, GRID_M, RIGID_N_M
from telemetry.mechanics.damper import Damper
from telemetry.mechanics.stops import BumpStop, TopOut
from telemetry.model.arrays import Floats

MM = 1e-3
DEEPEST_RATIO = 0.05
"""A leverage ratio is never taken for less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperEnd:
    """One end on paper: springs, damper, friction and stops, all but where its gas settles.

    Attributes
    ----------
    springs : EndSprings
        Without a bumper of its own where its first touch isn't stated: `bump` then stands for it.
    damper : Damper
        At the shaft.
    bump : BumpStop or None
        Along leg or shaft.
    top : TopOut
        At the wheel, along its path.
    friction_n, friction_band_m_s : float
        At leg or shaft.
    """

    springs: EndSprings
    damper: Damper
    bump: BumpStop | None
    top: TopOut
    friction_n: float
    friction_band_m_s: float

    def elastic_n(self, travel_m: Floats, exponent: float, settled_m: float | None) -> Floats:
        """Return what springs, gas and stops push back with at each wheel travel, at the wheel along its path, N."""
        stroke = self.springs.stroke_m(travel_m / MM)
        whole = float(self.springs.stroke_m(np.array(self.springs.full_mm)))
        ratio = np.maximum(self.springs.ratio(travel_m / MM), DEEPEST_RATIO)
        held_mm = self.springs.held_mm(travel_m / MM, GAS_BEYOND_M / MM)
        settled_mm = None if settled_m is None else settled_m / MM
        force = self.springs.total_n(held_mm, exponent, settled_mm) + self.top.force_n(travel_m)
        force = force + RIGID_N_M * np.maximum(stroke - whole, 0.0) / ratio
        if self.bump is not None:
            force = force + self.bump.force_n(stroke) / ratio
        return np.asarray(np.maximum.accumulate(force), dtype=float)

    def grid_m(self) -> Floats:
        """Return the wheel travels of the loop's tables, m."""
        return np.arange(-BEYOND_M, MM * self.springs.full_mm + BEYOND_M + GRID_M / 2, GRID_M)

    def tables(self, exponent: float, settled_m: float | None) -> EndTables:
        """Return the end as the loop reads it, its gas settled at a wheel travel and moving about it."""
        travel = self.grid_m()
        sides = (self.damper.compression, self.damper.rebound)
        share = self.damper.viscosity_share
        damper = [(share * side.slope_below_n_s_m, side.knee_m_s, share * side.slope_above_n_s_m) for side in sides]
        return EndTables(
            first_m=float(travel[0]),
            step_m=GRID_M,
            force_n=self.elastic_n(travel, exponent, settled_m),
            ratio=np.maximum(self.springs.ratio(travel / MM), DEEPEST_RATIO),
            end_factor=np.ones_like(travel),
            damper=np.array(damper).ravel(),
            friction_n=self.friction_n,
            friction_band_m_s=self.friction_band_m_s,
            vertical=self.springs.sine,
        )

    def settled_m(self, force_n: float) -> float:
        """Return the wheel travel at which the end, its gas slow, pushes with a force along its path, m."""
        travel = self.grid_m()
        return float(np.interp(force_n, self.elastic_n(travel, SLOW, None), travel))

    def slow_n(self, travel_m: float) -> float:
        """Return what the end pushes with along its path where it rests at a wheel travel, its gas slow, N."""
        travel = self.grid_m()
        return float(np.interp(travel_m, travel, self.elastic_n(travel, SLOW, None)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """How far apart an end comes to rest from compressed and extended, mm at the wheel, under a vertical load, N."""

    band_mm: float
    load_n: float

    def friction_n(self, springs: EndSprings) -> float:
        """Return the friction at leg or shaft that holds an end so far apart, N: half the band times the slow rate."""
        rest_mm = float(springs.travel_under_mm(np.array(self.load_n)))
        ratio = float(springs.ratio(np.array(rest_mm)))
        return self.band_mm / 2 * springs.rate_n_mm(rest_mm) * ratio


LEAST_FRICTION_N, SETTLED_SHARE = 1.0, 0.15
"""How well friction is known that was found by settling, one standard deviation; own choice."""


def friction_of(stated: Stated, springs: EndSprings, settled: Settled | None) -> float:
    """Return an end's friction at leg or shaft, N: what settle recordings tell, else what is usual."""
    key = f"friction_{stated.end}_n"
    if settled is None:
        return max(stated.assumed(key), LEAST_FRICTION_N)
    found = settled.friction_n(springs)
    return max(stated.known(stated.end, key, found, SETTLED_SHARE * found), LEAST_FRICTION_N)


def friction_band_m_s(stated: Stated) -> float:
    """Return the speed over which friction turns round, m/s."""
    return MM * max(stated.assumed("friction_band_mm_s"), 1.0)


def paper_end(stated: Stated, springs: EndSprings, damper: Damper, settled: Settled | None) -> PaperEnd:
    """Return one end on paper.

    Parameters
    ----------
    stated : Stated
    springs : EndSprings
    damper : Damper
    settled : Settled or None
        What settle recordings tell of its friction; None where there are none: what is usual then.
    """
    full = springs.full_mm
    bump = None
    if springs.bumper is None:
        touch, whole = (
            float(springs.stroke_m(np.array(at)))
            for at in (full * min(stated.assumed("bumper_touch_share"), 0.99), full)
        )
        ratio = float(springs.ratio(np.array(full)))
        force = ratio * stated.assumed("bumper_end_force_n")
        bump = BumpStop(touch_m=touch, rate_n_m=0.0, progression_n_m2=max(force, 1.0) / (whole - touch) ** 2)
    friction = friction_of(stated, springs, settled)
    return PaperEnd(
        springs=springs,
        damper=damper,
        bump=bump,
        top=TopOut(
            length_m=MM * max(stated.assumed("top_out_mm"), 0.0),
            rate_n_m=1e3 * max(stated.assumed("top_out_n_mm"), 5.0),
        ),
        friction_n=friction,
        friction_band_m_s=friction_band_m_s(stated),
    )
