"""An end's parts as a tuner would write them down, measured with caliper, syringe, scale and a damper dyno."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from telemetry.dynamics.suspension import Suspension
from telemetry.mechanics.damper import Damper

from . import scenario_tables as t

OF_KNEE = (0.4, 0.8, 1.2, 2.0, 4.0, 8.0)
"""Speeds at which a dyno is run, as multiples of the knee either way."""
WALL_MM = 2.0
"""Of a fork's tube whose gas stands above oil: the bench takes so much off its outside."""


def diameter_mm(area_mm2: float) -> float:
    """Return the diameter of a circle of this area, as a caliper tells it: to 0.01 mm."""
    return round(2 * math.sqrt(area_mm2 / math.pi), 2)


def parts_measured(part: t.PartTable, own: Suspension) -> dict[str, object]:
    """Return the bench's keys of an end, but for those that the ride day holds of it anyway.

    The bumper's first touch isn't among them: it would move the line that bottoming is counted from.
    """
    found: dict[str, object] = {"unsprung_mass_kg": part.unsprung_kg, "tyre_stiffness_n_mm": part.tyre_n_mm}
    if part.air_area_mm2 is not None:
        found |= {"air_volume_ml": part.air_volume_ml, "air_piston_mm": diameter_mm(part.air_area_mm2)}
        found |= {"volume_spacers": 1, "spacer_ml": part.volume_spacers_ml} if part.volume_spacers_ml else {}
        found |= _negative(part, part.air_area_mm2)
    if part.lower_leg_area_mm2 is not None:
        found["stanchion_mm"] = diameter_mm(part.lower_leg_area_mm2)
    elif part.oil_gap_area_mm2 is not None and part.oil_gap_mm is not None:
        found["stanchion_mm"] = diameter_mm(part.oil_gap_area_mm2 / 2) + 2 * WALL_MM
        found["oil_level_mm"] = part.oil_gap_mm - (part.travel_mm or 0.0)
    return found | {"damper_points": _points(own.damper)}


def _negative(part: t.PartTable, piston_mm2: float) -> Mapping[str, object]:
    if part.negative_area_mm2 is None:
        return {"negative_air_volume_ml": 0}
    return {
        "air_rod_mm": diameter_mm(piston_mm2 - part.negative_area_mm2),
        "negative_air_volume_ml": part.negative_volume_ml,
    }


def _points(damper: Damper) -> list[list[float]]:
    speeds = [-damper.rebound.knee_m_s * times for times in reversed(OF_KNEE)]
    speeds += [damper.compression.knee_m_s * times for times in OF_KNEE]
    forces = damper.force_n(np.array(speeds))
    return [[round(1e3 * speed, 1), round(float(force), 1)] for speed, force in zip(speeds, forces, strict=True)]
