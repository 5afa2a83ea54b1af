"""An end's parts along its leg or shaft, and the tables of force and leverage that the loop reads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from telemetry.mechanics.coil_spring import CoilSpring
from telemetry.mechanics.damper import Damper, DamperSide, end_factor
from telemetry.mechanics.leverage import curve_of
from telemetry.mechanics.stops import BumpStop, TopOut
from telemetry.model.arrays import Floats
from telemetry.model.day import LeverageTable

from .car import EndTables

GRID_M = 5e-5
BEYOND_M = 0.02
"""How far the tables reach past both ends of travel; their end slopes continue outside."""

GAS_BEYOND_M = 0.003
"""How far past full travel gas is pressed on: the stop holds from there."""

RIGID_N_M = 3e6
"""Past full travel the bumper is flat and metal stands on metal (own choice: stiff, and slow enough for the step)."""

SLOW_EXPONENT = 1.0
"""Sag and settling: gas has time to give its heat away [Currey1988]."""


class Gas(Protocol):
    """Gas that pushes back along a leg or shaft: an air spring, lower legs, the gap above a fork's oil."""

    def force_n(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the force at each travel, N."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspension:
    """One end: springs, damper, friction and stops along its leg or shaft.

    Attributes
    ----------
    gas : tuple of Gas
    coils : tuple of CoilSpring
    damper : Damper
    friction_n, friction_band_m_s : float
    bump, top : BumpStop, TopOut
        By travel of the leg or shaft.
    end_share, end_factor : float
        Compression damping grows from this share of the stroke to this factor at its end.
    stroke_m : float
        Full travel of the leg or shaft.
    leverage : LeverageTable or None
        At the rear; None at the front, whose axle moves with the leg.
    vertical : float
        Vertical share of the wheel's path.
    """

    gas: tuple[Gas, ...]
    coils: tuple[CoilSpring, ...]
    damper: Damper
    friction_n: float
    friction_band_m_s: float
    bump: BumpStop
    top: TopOut
    stroke_m: float
    vertical: float
    end_share: float = 0.8
    end_factor: float = 1.0
    leverage: LeverageTable | None = None

    @property
    def full_travel_m(self) -> float:
        """Full travel at the wheel, along its path."""
        return float(self.travel_of_m(np.array([self.stroke_m]))[0])

    def travel_of_m(self, stroke_m: Floats) -> Floats:
        """Return the wheel's travel at each travel of the leg or shaft, m."""
        return stroke_m if self.leverage is None else curve_of(self.leverage).travel_mm(stroke_m * 1e3) / 1e3

    def stroke_of_m(self, travel_m: Floats) -> Floats:
        """Return the leg's or shaft's travel at each wheel travel, m."""
        return travel_m if self.leverage is None else curve_of(self.leverage).stroke_mm(travel_m * 1e3) / 1e3

    def tables(self, exponent: float, settled_at_m: float | None = None) -> EndTables:
        """Return the end's tables.

        Parameters
        ----------
        exponent : float
            Of the gas: 1.0 for sag and settling, 1.2 to 1.4 for riding.
        settled_at_m : float, optional
            Wheel travel at which the gas came to rest.
        """
        full = self.full_travel_m
        travel = np.arange(-BEYOND_M, full + BEYOND_M + GRID_M / 2, GRID_M)
        stroke = self.stroke_of_m(travel)
        ratio = np.ones_like(travel) if self.leverage is None else np.gradient(travel, stroke)
        settled = None if settled_at_m is None else float(self.stroke_of_m(np.array([settled_at_m]))[0])
        held = np.clip(stroke, -GAS_BEYOND_M, self.stroke_m + GAS_BEYOND_M)
        force = self.bump.force_n(stroke) + self.top.force_n(stroke) + RIGID_N_M * np.maximum(stroke - self.stroke_m, 0)
        for coil in self.coils:
            force = force + coil.force_n(stroke)
        for gas in self.gas:
            force = force + gas.force_n(held, exponent, settled)
        share = self.damper.viscosity_share
        return EndTables(
            first_m=float(travel[0]),
            step_m=GRID_M,
            force_n=np.maximum.accumulate(force / ratio),
            ratio=ratio,
            end_factor=end_factor(stroke, self.stroke_m, self.end_share, self.end_factor),
            damper=np.array([*_side(self.damper.compression, share), *_side(self.damper.rebound, share)]),
            friction_n=self.friction_n,
            friction_band_m_s=self.friction_band_m_s,
            vertical=self.vertical,
        )


def _side(side: DamperSide, viscosity_share: float) -> tuple[float, float, float]:
    return viscosity_share * side.slope_below_n_s_m, side.knee_m_s, viscosity_share * side.slope_above_n_s_m


def sine_of(angle_deg: float) -> float:
    """Return the sine of an angle in degrees."""
    return math.sin(math.radians(angle_deg))
