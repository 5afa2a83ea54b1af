"""What a bike's motion has stored: kinetic, of gravity, and in springs."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats

from .car import GRAVITY_M_S2, Bike, EndTables


def _elastic_j(end: EndTables, travel_m: float) -> float:
    """Return the energy an end's elastic force has taken up from the grid's first entry, J: exact for the table."""
    whole = np.concatenate([[0.0], np.cumsum((end.force_n[1:] + end.force_n[:-1]) / 2 * end.step_m)])
    place = (travel_m - end.first_m) / end.step_m
    index = min(max(int(np.floor(place)), 0), end.force_n.shape[0] - 2)
    share = place - index
    at = end.force_n[index] + share * (end.force_n[index + 1] - end.force_n[index])
    return float(whole[index] + share * end.step_m * (end.force_n[index] + at) / 2)


def stored_j(bike: Bike, y: Floats, road_m: Floats, rest_rad: float) -> float:
    """Return kinetic, gravity and elastic energy of a state, J."""
    frame, rider = bike.frame, bike.rider
    masses = np.array(
        [frame.mass_kg, frame.pitch_inertia_kg_m2, bike.front_wheel.mass_kg, bike.rear_wheel.mass_kg, rider.mass_kg]
    )
    kinetic = 0.5 * float(masses @ y[5:] ** 2)
    heights = np.array([y[0], 0.0, y[2], y[3], y[4]])
    gravity = GRAVITY_M_S2 * float(masses @ heights)
    front = (y[2] - y[0] - frame.front_ahead_m * y[1]) / bike.front.vertical
    rear = y[3] - y[0] + frame.rear_behind_m * y[1]
    springs = _elastic_j(bike.front, float(front)) + _elastic_j(bike.rear, float(rear))
    tyres = 0.5 * bike.front_wheel.tyre_n_m * max(0.0, float(road_m[0] - y[2])) ** 2
    tyres += 0.5 * bike.rear_wheel.tyre_n_m * max(0.0, float(road_m[1] - y[3])) ** 2
    weight = rider.mass_kg * GRAVITY_M_S2
    lean = y[1] - rest_rad
    leg, arm = y[4] - y[0] - rider.pedals_ahead_m * lean, y[4] - y[0] - rider.hands_ahead_m * lean
    body = 0.5 * (rider.legs_n_m * leg**2 + rider.arms_n_m * arm**2 + rider.turning_n_m * lean**2)
    body -= weight * (rider.legs_share * leg + (1 - rider.legs_share) * arm)
    return kinetic + gravity + springs + float(tyres) + float(body)
