"""Keys of a setup in the trade's words."""

from __future__ import annotations

from collections.abc import Mapping

NAMES: Mapping[str, str] = {
    "lower_leg_oil_each_ml": "lower-leg oil",
    "lower_leg_oil_spring_side_ml": "lower-leg oil, spring side",
    "lower_leg_oil_damper_side_ml": "lower-leg oil, damper side",
    "lower_leg_volume_each_ml": "lower-leg volume",
    "lower_leg_volume_spring_side_ml": "lower-leg volume, spring side",
    "lower_leg_volume_damper_side_ml": "lower-leg volume, damper side",
    "lower_leg_closed_at_mm": "travel the lower legs were closed at",
    "lower_leg_bled_altitude_m": "altitude the lower legs were bled at",
    "damper_oil_cst_40c": "damper oil",
    "bottom_out_adjuster": "bottom-out adjuster",
    "knee_compression_mm_s": "compression knee",
    "knee_rebound_mm_s": "rebound knee",
    "bumper_touch_mm": "first touch of the bumper",
    "ratio": "leverage ratio",
    "leverage": "leverage curve",
    "mass_kg": "bike mass",
    "chainring_teeth": "chainring",
    "crank_mm": "crank length",
}
_SUFFIXES = ("_mm_s", "_n_mm", "_bar", "_mm", "_ml", "_kg", "_deg", "_m")
_JOINED = {"low speed": "low-speed", "high speed": "high-speed", "lower leg": "lower-leg"}


def name_of(key: str) -> str:
    """Return a key in the trade's words.

    Examples
    --------
    >>> name_of("lower_leg_oil_each_ml"), name_of("low_speed_compression"), name_of("tyre_pressure_bar")
    ('lower-leg oil', 'low-speed compression', 'tyre pressure')
    """
    if key in NAMES:
        return NAMES[key]
    suffix = next((suffix for suffix in _SUFFIXES if key.endswith(suffix)), "")
    words = key.removesuffix(suffix).replace("_", " ")
    for apart, joined in _JOINED.items():
        words = words.replace(apart, joined)
    return words
