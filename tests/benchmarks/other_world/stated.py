"""What a tuner states of the other world's parts: each figure off by chance, as well as such a figure is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from .bike import PLACES, AirSpring, Bike, BikeEnd, Coil, LowerLegs, OverOil, Place, equations_of
from .changes import Changed
from .equations import damper_n, travel_of

Tables = dict[str, Any]
KNOWN: Mapping[str, tuple[float, float]] = {
    "air_pressure_bar": (0.02, 0.0),
    "air_volume_ml": (0.03, 0.0),
    "air_piston_mm": (0.0, 0.08),
    "air_rod_mm": (0.0, 0.1),
    "negative_air_volume_ml": (0.05, 0.0),
    "spacer_ml": (0.0, 0.4),
    "spring_rate_n_mm": (0.03, 0.0),
    "preload_mm": (0.0, 0.3),
    "stanchion_mm": (0.0, 0.05),
    "lower_leg_volume_each_ml": (0.0, 3.0),
    "lower_leg_oil_each_ml": (0.0, 1.0),
    "oil_level_mm": (0.0, 2.0),
    "bumper_touch_mm": (0.0, 1.5),
    "unsprung_mass_kg": (0.04, 0.0),
    "tyre_stiffness_n_mm": (0.1, 0.0),
    "mass_kg": (0.02, 0.0),
    "front_share": (0.0, 0.012),
    "head_angle_deg": (0.0, 0.3),
    "wheelbase_mm": (0.0, 4.0),
    "rider_mass_kg": (0.0, 1.5),
}
"""How well a tuner knows a figure, one standard deviation: a share of it, or an amount in its unit. Own choice."""
FARTHEST = 2.5
"""Standard deviations that a figure is off at most: further off it would have been seen."""
FORCES_KNOWN, FORCES_USUAL = 0.10, 0.05
"""How well a damper's forces are known where that is stated, and where nothing is said of it."""
POINT_OFF = 0.01
"""By what share each of a damper's points is off by itself."""
SPEEDS_MM_S: Mapping[Place, tuple[int, ...]] = {
    "front": (50, 100, 200, 300, 450, 700, 1100, 1700, 2600),
    "rear": (30, 60, 100, 160, 250, 400, 650, 1000),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """Tables of a ride day: of bike, rider, both ends as they were, and what the candidate's setup says."""

    bike: Tables
    rider: Tables
    base: Mapping[Place, Tables]
    other: Mapping[Place, Tables]


def _spring_figures(end: BikeEnd) -> dict[str, float]:
    spring = end.spring
    if isinstance(spring, Coil):
        return {"spring_rate_n_mm": spring.rate_n_mm, "preload_mm": spring.preload_mm}
    return {
        "air_pressure_bar": spring.pressure_bar,
        "air_volume_ml": spring.volume_ml,
        "air_piston_mm": spring.piston_mm,
        "air_rod_mm": spring.rod_mm,
        "negative_air_volume_ml": spring.negative_ml,
        "spacer_ml": spring.spacer_ml,
    }


def _leg_figures(end: BikeEnd) -> dict[str, float]:
    found = {} if end.stanchion_mm is None else {"stanchion_mm": end.stanchion_mm}
    if isinstance(end.beside, LowerLegs):
        found |= {
            "lower_leg_volume_each_ml": end.beside.volume_each_ml,
            "lower_leg_oil_each_ml": end.beside.oil_each_ml,
        }
    if isinstance(end.beside, OverOil):
        found["oil_level_mm"] = end.beside.level_mm
    return found


def figures(bike: Bike, place: Place) -> dict[str, float]:
    """Return the true figures of an end that a tuner knows only so well, by key."""
    end = bike.end(place)
    touch = end.touch_mm if place == "front" else 1e3 * travel_of(equations_of(bike, place), end.touch_mm / 1e3)
    return {
        **_spring_figures(end),
        **_leg_figures(end),
        "bumper_touch_mm": touch,
        "unsprung_mass_kg": end.unsprung_kg,
        "tyre_stiffness_n_mm": end.tyre_n_mm,
    }


def _plain_figures(bike: Bike, place: Place) -> Tables:
    """Return what is known exactly of an end."""
    end = bike.end(place)
    found: Tables = {"travel_mm": end.stroke_mm} if place == "front" else {"stroke_mm": round(end.stroke_mm, 3)}
    if isinstance(end.spring, AirSpring):
        found["volume_spacers"] = end.spring.spacers
    if isinstance(end.beside, LowerLegs):
        found["lower_leg_bled_altitude_m"] = 0.0
    return found


class Teller:
    """Writes figures down as a tuner knows them, off by chance."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng

    def off(self) -> float:
        """Draw how far off a figure is, in standard deviations."""
        while True:
            drawn = float(self.rng.standard_normal())
            if abs(drawn) < FARTHEST:
                return drawn

    def told(self, key: str, value: float) -> tuple[float, float]:
        """Return the figure as it is stated, and its `plus_minus`."""
        share, amount = KNOWN[key]
        width = share * abs(value) + amount
        return round(value + width * self.off(), 4), round(width, 4)

    def points(self, bike: Bike, place: Place, factor: float) -> list[list[float]]:
        """Return a damper as it was measured: mm/s and N, all off by a factor and each by itself."""
        end = equations_of(bike, place)
        speeds = sorted(sign * speed for sign in (-1, 1) for speed in SPEEDS_MM_S[place])
        each = factor * (1 + POINT_OFF * self.rng.standard_normal(len(speeds)))
        return [
            [float(speed), round(float(times * damper_n(end, speed / 1e3)), 1)]
            for speed, times in zip(speeds, each, strict=True)
        ]


def _end(teller: Teller, changed: Changed, place: Place, left_out: set[str], *, wide: bool) -> tuple[Tables, Tables]:
    """Return one end as it was, and what the candidate's setup says of it."""
    true, then = figures(changed.base, place), figures(changed.other, place)
    wrong = changed.wrong if place == changed.place else {}
    base: Tables = _plain_figures(changed.base, place)
    other: Tables = {}
    widths: dict[str, float] = {}
    for key in [key for key in true if key not in left_out]:
        before, after = wrong.get(key, (1.0, 1.0))
        told, widths[key] = teller.told(key, true[key])
        base[key] = before * told
        if then[key] != true[key]:
            other[key] = after * teller.told(key, then[key])[0]
    plain = _plain_figures(changed.other, place)
    other |= {key: value for key, value in plain.items() if value != base[key]}
    factor = 1 + (FORCES_KNOWN if wide else FORCES_USUAL) * teller.off()
    base["damper_points"] = teller.points(changed.base, place, factor)
    if wide:
        mean = float(np.mean([abs(force) for _, force in base["damper_points"]]))
        widths["damper_points"] = round(FORCES_KNOWN * mean, 1)
    if place == changed.place:
        if changed.damper_measured_anew:
            other["damper_points"] = teller.points(changed.other, place, factor)
        base |= changed.base_told
        other |= changed.other_told
    base["plus_minus"] = widths
    return base, other


def stated(changed: Changed, rng: np.random.Generator) -> Stated:
    """Return what a tuner states of a day's bike and both its setups.

    On half of the days the dampers' forces are known to a tenth, and that is stated; on three of ten the tyres'
    stiffness is stated. A bumper's place is left out where the linkage changes.
    """
    teller, bike = Teller(rng), changed.base
    wide, tyres = bool(rng.random() < 0.5), bool(rng.random() < 0.3)
    base: dict[Place, Tables] = {}
    other: dict[Place, Tables] = {}
    for place in PLACES:
        left_out = set() if tyres else {"tyre_stiffness_n_mm"}
        if place == "rear" and changed.base.rear.ratios != changed.other.rear.ratios:
            left_out.add("bumper_touch_mm")
        base[place], other[place] = _end(teller, changed, place, left_out, wide=wide)
    whole = {
        "wheelbase_mm": bike.wheelbase_mm,
        "head_angle_deg": bike.head_deg,
        "mass_kg": bike.mass_kg,
        "front_share": bike.front_share,
    }
    told = {key: teller.told(key, value) for key, value in whole.items()}
    rider, width = teller.told("rider_mass_kg", bike.rider_kg)
    return Stated(
        bike={key: value for key, (value, _) in told.items()}
        | {"plus_minus": {key: width for key, (_, width) in told.items()}},
        rider={"rider_mass_kg": rider, "plus_minus": {"rider_mass_kg": width}},
        base=base,
        other=other,
    )
