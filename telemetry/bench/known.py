"""How well figures measured at the bench are known where nothing is stated of it, and what is taken for some of them.

All are common practice, no source: what a caliper, a syringe, a shock pump's gauge and a bathroom scale can tell.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from telemetry.model.setup_keys import SPECS


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """A figure taken where none is stated: what it is, its value, by how much it may be off, and its unit."""

    words: str
    value: float
    plus_minus: float
    unit: str


USUAL_WIDTH_SHARE = 0.03
"""Of a figure whose key isn't listed below."""
WIDTHS: Mapping[str, float] = MappingProxyType(
    {
        "air_piston_mm": 0.2,
        "air_rod_mm": 0.2,
        "stanchion_mm": 0.1,
        "preload_mm": 0.5,
        "bumper_touch_mm": 2.0,
        "oil_level_mm": 2.0,
        "lower_leg_closed_at_mm": 2.0,
        "lower_leg_oil_each_ml": 1.0,
        "lower_leg_oil_spring_side_ml": 1.0,
        "lower_leg_oil_damper_side_ml": 1.0,
        "lower_leg_bled_altitude_m": 50.0,
        "altitude_m": 50.0,
        "air_temperature_c": 3.0,
        "rider_mass_kg": 1.0,
        "mass_kg": 0.3,
        "battery_mass_kg": 0.1,
        "front_share": 0.02,
        "head_angle_deg": 0.5,
        "wheelbase_mm": 3.0,
        "bottom_bracket_height_mm": 3.0,
        "chainstay_mm": 2.0,
        "axle_to_crown_mm": 2.0,
        "offset_mm": 1.0,
        "crown_offset_mm": 0.5,
        "angled_cup_deg": 0.1,
        "wheel_diameter_mm": 4.0,
        "reach_mm": 4.0,
        "stack_mm": 4.0,
        "head_tube_mm": 2.0,
        "damper_oil_viscosity_index": 10.0,
    }
)
"""One width, in the key's unit."""
WIDTH_SHARES: Mapping[str, float] = MappingProxyType(
    {
        "air_pressure_bar": 0.02,
        "negative_air_pressure_bar": 0.02,
        "unsprung_mass_kg": 0.1,
        "tyre_stiffness_n_mm": 0.15,
        "damper_points": 0.05,
    }
)
"""One width as a share of the figure."""
ASSUMED: Mapping[str, Assumed] = MappingProxyType(
    {
        "head_angle_deg": Assumed(words="head angle", value=65.0, plus_minus=1.5, unit="°"),
        "fast_exponent": Assumed(words="exponent of the gas as it rides", value=1.3, plus_minus=0.05, unit=""),
        "spacer_ml": Assumed(words="volume of a spacer", value=8.0, plus_minus=3.0, unit="ml"),
        "stanchion_wall_mm": Assumed(words="wall of the stanchion", value=2.0, plus_minus=0.4, unit="mm"),
        "bumper_end_force_n": Assumed(
            words="bumper's force at full travel", value=3000.0, plus_minus=800.0, unit="N at the wheel"
        ),
        "unsprung_share_front": Assumed(words="unsprung mass", value=0.12, plus_minus=0.03, unit="of the bike's mass"),
        "unsprung_share_rear": Assumed(words="unsprung mass", value=0.15, plus_minus=0.03, unit="of the bike's mass"),
        "leg_spacing_mm": Assumed(words="distance of the legs", value=135.0, plus_minus=15.0, unit="mm"),
        "damper_oil_viscosity_index": Assumed(
            words="damper oil viscosity index", value=150.0, plus_minus=40.0, unit=""
        ),
        "friction_front_n": Assumed(words="friction", value=28.0, plus_minus=8.0, unit="N at the legs"),
        "friction_rear_n": Assumed(words="friction", value=32.0, plus_minus=10.0, unit="N at the shaft"),
        "friction_band_mm_s": Assumed(
            words="speed at which friction turns round", value=8.0, plus_minus=3.0, unit="mm/s"
        ),
        "top_out_mm": Assumed(words="length of the top-out spring", value=2.0, plus_minus=0.5, unit="mm"),
        "top_out_n_mm": Assumed(words="rate of the top-out spring", value=60.0, plus_minus=15.0, unit="N/mm"),
        "bumper_touch_share": Assumed(
            words="first touch of the bumper", value=0.94, plus_minus=0.015, unit="of full travel"
        ),
        "tyre_front_n_mm": Assumed(words="tyre stiffness", value=95.0, plus_minus=15.0, unit="N/mm"),
        "tyre_rear_n_mm": Assumed(words="tyre stiffness", value=110.0, plus_minus=17.0, unit="N/mm"),
        "tyre_n_s_m": Assumed(words="tyre damping", value=200.0, plus_minus=80.0, unit="N s/m"),
        "unknown_damping": Assumed(words="damping nobody measured", value=1.0, plus_minus=0.3, unit="x a usual one"),
        "goes_with_viscosity": Assumed(
            words="exponent of damping on the oil's viscosity", value=0.95, plus_minus=0.1, unit=""
        ),
        "adjuster_range": Assumed(
            words="damping of an adjuster, closed against open", value=3.0, plus_minus=0.7, unit="x"
        ),
        "rider_hz": Assumed(
            words="frequency of the rider's body on legs and arms", value=1.8, plus_minus=0.25, unit="Hz"
        ),
        "rider_damping": Assumed(words="damping of the rider's body", value=0.65, plus_minus=0.1, unit="of critical"),
        "rider_lever_share": Assumed(
            words="lever with which feet and hands keep the frame from pitching",
            value=0.15,
            plus_minus=0.05,
            unit="of the wheelbase",
        ),
        "holding_hz": Assumed(
            words="how quickly the rider rights the bike in the air", value=1.0, plus_minus=0.4, unit="Hz"
        ),
        "frame_front_share": Assumed(words="frame's share on the front axle", value=0.43, plus_minus=0.04, unit=""),
        "pitch_radius_share": Assumed(
            words="frame's radius of gyration in pitch", value=0.39, plus_minus=0.04, unit="of the wheelbase"
        ),
        "frame_share": Assumed(words="frame's share of what both ends carry", value=0.2, plus_minus=0.04, unit=""),
        "wheelbase_mm": Assumed(words="wheelbase", value=1230.0, plus_minus=40.0, unit="mm"),
        "oil_temperature_c": Assumed(words="temperature of the oil", value=20.0, plus_minus=8.0, unit="°C"),
        "oil_warmer_k": Assumed(
            words="how much warmer damper oil rides than the air", value=10.0, plus_minus=8.0, unit="K"
        ),
        "map_steepness_front": Assumed(
            words="how steep a force map shows the spring", value=0.8, plus_minus=0.06, unit="x the true one"
        ),
        "map_steepness_rear": Assumed(
            words="how steep a force map shows the spring", value=0.9, plus_minus=0.05, unit="x the true one"
        ),
        "map_firmness": Assumed(
            words="how firm a force map shows the damper", value=1.22, plus_minus=0.1, unit="x the true one"
        ),
        "map_height_front": Assumed(
            words="how much too strong a force map shows the spring", value=0.7, plus_minus=0.4, unit="N/kg"
        ),
        "map_height_rear": Assumed(
            words="how much too strong a force map shows the spring", value=0.1, plus_minus=0.3, unit="N/kg"
        ),
        "map_progression": Assumed(
            words="how much the spring's rate rises beyond where its force map ends",
            value=1.0,
            plus_minus=0.8,
            unit="x of itself over the whole travel",
        ),
    }
)
"""By name."""


def width_of(key: str, value: float) -> float:
    """Return by how much a figure may be off where nothing is stated of it, in its key's unit."""
    share = WIDTH_SHARES.get(key, USUAL_WIDTH_SHARE)
    return WIDTHS.get(key, share * abs(value))


OF_THE_DAY: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "rider_mass_kg": ("rider's mass", "kg"),
        "altitude_m": ("altitude", "m"),
        "air_temperature_c": ("air temperature", "°C"),
        "chainstay_mm": ("chainstay", "mm"),
        "reach_mm": ("reach", "mm"),
        "stack_mm": ("stack", "mm"),
        "head_tube_mm": ("head tube", "mm"),
    }
)


def words_of(key: str) -> str:
    """Return what people call a figure that is stated, or measured in place of an assumed one."""
    if key in ASSUMED and key not in SPECS:
        return ASSUMED[key].words
    return OF_THE_DAY[key][0] if key in OF_THE_DAY else SPECS[key].words


def unit_of(key: str) -> str:
    """Return a stated figure's unit."""
    if key == "damper_points":
        return "N at the most"
    if key in ASSUMED and key not in SPECS:
        return ASSUMED[key].unit
    return OF_THE_DAY[key][1] if key in OF_THE_DAY else SPECS[key].unit
