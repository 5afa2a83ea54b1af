"""What both ends carry on paper: a frame, a rider's body on a spring and a damper, and two wheels on their tyres."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from telemetry.bench.masses import Carried
from telemetry.bench.stated import Stated
from telemetry.dynamics.car import Bike, EndTables, Frame, RiderBody, Wheel
from telemetry.dynamics.given import ON_THE_GROUND
from telemetry.model.arrays import Floats
from telemetry.model.finding import ENDS, End

MM = 1e-3
LEAST_FRAME_SHARE, MOST_FRAME_SHARE = 0.05, 0.9
"""Of what both ends carry, whatever is drawn: a rider weighs something, and so does a frame."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrying:
    """What moves above and below the ends, without the ends themselves.

    Attributes
    ----------
    frame : Frame
    rider : RiderBody
        One spring and damper in place of legs and arms, where his weight stands; it pulls as it pushes.
    wheels : mapping of end to Wheel
    sprung_kg : mapping of end to float
        What each end carries at rest.
    holding_rad_s : float
        How fast the rider turns the bike in the air to the pitch that he aims at.
    """

    frame: Frame
    rider: RiderBody
    wheels: Mapping[End, Wheel]
    sprung_kg: Mapping[End, float]
    holding_rad_s: float

    def bike(self, tables: Mapping[End, EndTables]) -> Bike:
        """Return the bike with its ends; one that isn't measured has no force, and its wheel no tyre."""
        held = {end: tables.get(end, EMPTY_END) for end in ENDS}
        return Bike(
            frame=self.frame,
            rider=self.rider,
            front_wheel=self.wheels.get("front", NO_WHEEL),
            rear_wheel=self.wheels.get("rear", NO_WHEEL),
            front=held["front"],
            rear=held["rear"],
            heights=replace(ON_THE_GROUND, holding_rad_s=self.holding_rad_s),
        )


_FLAT: Floats = np.zeros(2)
EMPTY_END = EndTables(
    first_m=0.0,
    step_m=1.0,
    force_n=_FLAT,
    ratio=np.ones(2),
    end_factor=np.ones(2),
    damper=np.array([0.0, 1.0, 0.0, 0.0, 1.0, 0.0]),
    friction_n=0.0,
    friction_band_m_s=1.0,
    vertical=1.0,
)
NO_WHEEL = Wheel(mass_kg=1.0, tyre_n_m=0.0, tyre_n_s_m=0.0)
RIGID_KG_M2 = 1e9
"""Pitch inertia of a frame that a single end carries: it only heaves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pitch:
    """What frame and rider pitch by, which a bike on a single end asks nobody for.

    Attributes
    ----------
    wheelbase_m, on_front : float
        The wheelbase, and the frame's share on the front axle.
    radius_m, lever_m : float
        The frame's radius of gyration, and by what lever the rider holds its pitch.
    holding_rad_s : float
        As of `Carrying`.
    """

    wheelbase_m: float
    on_front: float
    radius_m: float
    lever_m: float
    holding_rad_s: float


ONLY_HEAVES = _Pitch(wheelbase_m=1.0, on_front=0.5, radius_m=1.0, lever_m=0.0, holding_rad_s=0.0)


def _wheel(stated: Stated, own: Carried) -> Wheel:
    stiffness = stated.number("tyre_stiffness_n_mm")
    usual = stated.assumed(f"tyre_{stated.end}_n_mm") if stiffness is None else stiffness
    unsprung = own.unsprung_kg if own.unsprung_kg is not None else USUAL_WHEEL_SHARE * own.sprung_kg
    return Wheel(mass_kg=unsprung, tyre_n_m=max(usual, 5.0) / MM, tyre_n_s_m=max(stated.assumed("tyre_n_s_m"), 0.0))


USUAL_WHEEL_SHARE = 0.08
"""An unsprung mass over what its end carries, where neither it nor the bike is weighed; own choice."""


def carrying(stated: Mapping[End, Stated], carried: Mapping[End, Carried]) -> Carrying:
    """Return what moves above and below the ends that are known.

    Parameters
    ----------
    stated : mapping of end to Stated
    carried : mapping of end to Carried
        Of the ends that are measured and known: both, or one.

    Notes
    -----
    The frame is the bike less its unsprung masses, balanced as such frames are; the rider stands where the loads of
    both ends put him. With one end, frame and rider heave above it and don't pitch.
    """
    wheels = {end: _wheel(stated[end], own) for end, own in carried.items()}
    sprung = {end: own.sprung_kg for end, own in carried.items()}
    first = stated[next(iter(carried))]
    total, share = sum(sprung.values()), _frame_share(first, carried)
    frame_kg = share * total
    rider_kg = total - frame_kg
    swing = 2 * math.pi * max(first.assumed("rider_hz"), 0.5)
    losing = 2 * max(first.assumed("rider_damping"), 0.05) * swing
    both = len(carried) == len(ENDS)
    pitch = _pitch(first) if both else ONLY_HEAVES
    behind = pitch.on_front * pitch.wheelbase_m
    stands = ((sprung["front"] - pitch.on_front * frame_kg) / rider_kg * pitch.wheelbase_m - behind) if both else 0.0
    frame = Frame(
        mass_kg=frame_kg,
        pitch_inertia_kg_m2=frame_kg * pitch.radius_m**2 if both else RIGID_KG_M2,
        front_ahead_m=pitch.wheelbase_m - behind,
        rear_behind_m=behind,
    )
    rider = RiderBody(
        mass_kg=rider_kg,
        legs_share=0.0,
        legs_n_m=0.0,
        legs_n_s_m=0.0,
        arms_n_m=rider_kg * swing**2,
        arms_n_s_m=rider_kg * losing,
        pedals_ahead_m=0.0,
        hands_ahead_m=stands,
        turning_n_m=rider_kg * (swing * pitch.lever_m) ** 2,
        turning_n_m_s=rider_kg * losing * pitch.lever_m**2,
    )
    return Carrying(
        frame=frame,
        rider=rider,
        wheels=wheels,
        sprung_kg=sprung,
        holding_rad_s=pitch.holding_rad_s,
    )


def _pitch(stated: Stated) -> _Pitch:
    """Return what frame and rider pitch by."""
    wheelbase = (stated.of_bike("wheelbase_mm") or stated.assumed("wheelbase_mm")) * MM
    return _Pitch(
        wheelbase_m=wheelbase,
        on_front=stated.assumed("frame_front_share"),
        radius_m=max(stated.assumed("pitch_radius_share"), 0.1) * wheelbase,
        lever_m=max(stated.assumed("rider_lever_share"), 0.0) * wheelbase,
        holding_rad_s=2 * math.pi * max(stated.assumed("holding_hz"), 0.0),
    )


def _frame_share(stated: Stated, carried: Mapping[End, Carried]) -> float:
    """Return the frame's share of what the ends carry."""
    bike, rider = stated.of_bike("mass_kg"), stated.of_bike("rider_mass_kg")
    if bike is None or rider is None:
        share = stated.assumed("frame_share")
    else:
        unsprung = sum(own.unsprung_kg or 0.0 for own in carried.values())
        unsprung = unsprung if len(carried) == len(ENDS) else 2 * unsprung
        share = (bike - unsprung) / (bike - unsprung + rider)
    return min(max(share, LEAST_FRAME_SHARE), MOST_FRAME_SHARE)
