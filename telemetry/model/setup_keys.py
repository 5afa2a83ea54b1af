"""Every key a setup may hold: its words, what it holds, where it stands, and what a change of it moves.

Reading, checking, words, fairness and the handbook's table (``docs/ride_day.md``) take a key from here alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass
from functools import partial
from types import MappingProxyType
from typing import Literal, TypeAlias

from .day import EndSetup
from .finding import ENDS, End, Place
from .ranges import ALTITUDE_M, ANGLE_DEG, LENGTH_MM, MASS_KG, PRESSURE_BAR, Range

Kind: TypeAlias = Literal[
    "text", "file", "true or false", "true, false or text", "date", "position", "linkage", "points"
]
"""What a key holds that is no number; a position is an adjuster's, points are a damper's speeds and forces."""
KeyPart: TypeAlias = Literal["legs", "springs", "damper", "leverage"]
"""Of an end, whose figures work together."""


@dataclass(frozen=True, slots=True)
class SettingSpec:
    """One key of a setup.

    Attributes
    ----------
    key : str
        With its unit in the name; imperial spellings follow from it.
    words : str
        What people read: "lower-leg oil".
    holds : Range or Kind
    at : tuple of {"front", "rear", "both"}
        Where it stands: at ends of the bike, or in ``[setups.X.bike]``.
    part : KeyPart, optional
        Which part of an end it is a figure of.
    instead_of : tuple of str
        Keys that can't stand beside it, and that it puts out of force where they are inherited.
    opens : tuple of End
        Ends at which it isn't changed without opening a leg, a damper or an air can: fresh grease and oil, which free
        an end by themselves. A fork's coil comes out through its top, a shock's stands outside.
    moves_zero : bool
        Whether it isn't changed without opening or swapping a part, so that zero has to be recorded again.
    compared : bool
        Whether it is a change of the bike; a date that is written down is none.
    moves_lag : tuple of End
        Ends at which it moves the rear's answer to a bump in time, and so the lag that ground speed is taken from.
    geometry : bool
        Whether it changes how the bike steers and is weighted.
    in_geometry : tuple of {"front", "rear", "both"}
        Places of which ``[bike.geometry]`` may state it: by its own name, or by the end's before it where it has both.
    by_hand : bool
        Whether a rider sets it again and again: who takes the bike over is told it also where nothing differs.
    more, less : str
        What a larger and a smaller value are called; empty: "more lower-leg oil", "less lower-leg oil".
    """

    key: str
    words: str
    holds: Range | Kind
    _: KW_ONLY
    at: tuple[Place, ...] = ENDS
    part: KeyPart | None = None
    instead_of: tuple[str, ...] = ()
    opens: tuple[End, ...] = ()
    moves_zero: bool = False
    compared: bool = True
    moves_lag: tuple[End, ...] = ()
    geometry: bool = False
    in_geometry: tuple[Place, ...] = ()
    by_hand: bool = False
    more: str = ""
    less: str = ""

    @property
    def unit(self) -> str:
        """What its numbers are followed by; empty for a bare one."""
        return self.holds.unit if isinstance(self.holds, Range) else ""


LEVERAGE_KEYS = ("leverage", "ratio", "linkage")
"""Where the rear's curve comes from; each puts the others out of force."""

VOLUME_ML, OIL_ML, TRAVEL_MM = Range(0, 5000, "ml"), Range(0, 1000, "ml"), Range(20, 400, "mm")
SMALL_MM, OFFSET_MM, SHAFT_MM_S = Range(0, 500, "mm"), Range(-50, 150, "mm"), Range(1, 10_000, "mm/s")
RATIO = Range(0.5, 8, said="a number from 0.5 to 8 (wheel travel over shock stroke)")
SPACER_ML, STANCHION_MM, BORE_MM = Range(0.1, 500, "ml"), Range(15, 80, "mm"), Range(3, 150, "mm")
SHARE = Range(0, 1, said="a number from 0 to 1 (the front wheel's share of rider and bike)")
SPACERS = Range(0, 30, said="a number from 0 to 30 spacers")
_FRONT: tuple[End] = ("front",)
_REAR: tuple[End] = ("rear",)
_BIKE: tuple[Place] = ("both",)
_OIL_SIDES = ("lower_leg_oil_spring_side_ml", "lower_leg_oil_damper_side_ml")
_VOLUME_SIDES = ("lower_leg_volume_spring_side_ml", "lower_leg_volume_damper_side_ml")

_leverage = partial(SettingSpec, at=_REAR, part="leverage", moves_zero=True, moves_lag=_REAR)
_inside = partial(SettingSpec, opens=ENDS, moves_zero=True)
_legs = partial(_inside, part="legs")
_gas = partial(_inside, part="springs")
_damping = partial(SettingSpec, moves_lag=_REAR)
_turned = partial(_damping, by_hand=True)
_clicks = partial(_turned, part="damper")
_tyre = partial(SettingSpec, moves_lag=ENDS)
_of_bike = partial(SettingSpec, at=_BIKE)

SETUP_KEYS: tuple[SettingSpec, ...] = (
    SettingSpec("travel_mm", "travel", TRAVEL_MM, moves_zero=True),
    SettingSpec("measured_travel_mm", "measured travel", TRAVEL_MM, moves_zero=True),
    SettingSpec("bumper_touch_mm", "first touch of the bumper", TRAVEL_MM),
    _damping("stroke_mm", "stroke", Range(10, 200, "mm"), moves_zero=True),
    _leverage("leverage", "leverage curve", "file", instead_of=("ratio", "linkage")),
    _leverage("ratio", "leverage ratio", RATIO, instead_of=("leverage", "linkage")),
    _leverage("linkage", "linkage", "linkage", instead_of=("leverage", "ratio")),
    SettingSpec("air_pressure_bar", "air pressure", PRESSURE_BAR, by_hand=True, part="springs"),
    SettingSpec("negative_air_pressure_bar", "negative air pressure", PRESSURE_BAR, by_hand=True, part="springs"),
    _gas("air_volume_ml", "air volume", VOLUME_ML),
    _gas("volume_spacers", "volume spacers", SPACERS),
    SettingSpec(
        "spring_rate_n_mm",
        "spring rate",
        Range(0.1, 1000, "N/mm"),
        opens=("front",),
        moves_zero=True,
        more="stiffer spring",
        less="softer spring",
        part="springs",
    ),
    SettingSpec("preload_mm", "preload", SMALL_MM, by_hand=True, part="springs"),
    _legs("lower_leg_oil_each_ml", "lower-leg oil", OIL_ML, instead_of=_OIL_SIDES),
    _legs(_OIL_SIDES[0], "lower-leg oil, spring side", OIL_ML, instead_of=("lower_leg_oil_each_ml",)),
    _legs(_OIL_SIDES[1], "lower-leg oil, damper side", OIL_ML, instead_of=("lower_leg_oil_each_ml",)),
    _legs("lower_leg_volume_each_ml", "lower-leg volume", VOLUME_ML, instead_of=_VOLUME_SIDES),
    _legs(_VOLUME_SIDES[0], "lower-leg volume, spring side", VOLUME_ML, instead_of=("lower_leg_volume_each_ml",)),
    _legs(_VOLUME_SIDES[1], "lower-leg volume, damper side", VOLUME_ML, instead_of=("lower_leg_volume_each_ml",)),
    _legs("lower_leg_crossover", "lower-leg crossover", "true or false"),
    _legs("lower_leg_closed_at_mm", "travel the lower legs were closed at", SMALL_MM),
    _legs("lower_leg_bled_altitude_m", "altitude the lower legs were bled at", ALTITUDE_M, moves_zero=False),
    _inside(
        "damper_oil_cst_40c",
        "damper oil",
        Range(1, 500, "cSt at 40 °C"),
        moves_lag=_REAR,
        more="thicker damper oil",
        less="thinner damper oil",
        part="damper",
    ),
    _inside("damper_oil_viscosity_index", "damper oil viscosity index", Range(0, 1000), moves_lag=_REAR, part="damper"),
    _gas(
        "oil_level_mm",
        "oil level",
        SMALL_MM,
        more="oil level further from the top",
        less="oil level nearer to the top",
    ),
    SettingSpec("reservoir_pressure_bar", "reservoir pressure", PRESSURE_BAR, by_hand=True),
    _inside("valving", "valving", "text", moves_lag=_REAR),
    _turned("lever", "lever", "text"),
    _clicks("low_speed_compression", "low-speed compression", "position"),
    _clicks("high_speed_compression", "high-speed compression", "position"),
    _clicks("compression", "compression", "position"),
    _clicks("low_speed_rebound", "low-speed rebound", "position"),
    _clicks("high_speed_rebound", "high-speed rebound", "position"),
    _clicks("rebound", "rebound", "position"),
    SettingSpec("bottom_out_adjuster", "bottom-out adjuster", "position", by_hand=True),
    SettingSpec("knee_compression_mm_s", "compression knee", SHAFT_MM_S, part="damper"),
    SettingSpec("knee_rebound_mm_s", "rebound knee", SHAFT_MM_S, part="damper"),
    SettingSpec("axle_to_crown_mm", "axle to crown", LENGTH_MM, moves_zero=True, geometry=True, in_geometry=("front",)),
    SettingSpec("offset_mm", "offset", OFFSET_MM, moves_zero=True, geometry=True, in_geometry=("front",)),
    _tyre("wheel_diameter_mm", "wheel diameter", LENGTH_MM, geometry=True, in_geometry=ENDS),
    _tyre("rim_width_mm", "rim width", SMALL_MM),
    _tyre("tyre_width_mm", "tyre width", SMALL_MM),
    _tyre("tyre_pressure_bar", "tyre pressure", Range(0, 6, "bar"), by_hand=True),
    _tyre("tyre_insert", "tyre insert", "true, false or text"),
    SettingSpec("brake_rotor_mm", "brake rotor", SMALL_MM),
    SettingSpec("sprung_mass_kg", "sprung mass", MASS_KG, compared=False),
    _legs("stanchion_mm", "stanchion", STANCHION_MM, at=_FRONT),
    _legs("stanchion_open_below", "stanchion open below", "true or false", at=_FRONT),
    _gas("air_piston_mm", "air piston", BORE_MM),
    _gas("air_rod_mm", "air rod", BORE_MM),
    _gas("negative_air_volume_ml", "negative air volume", VOLUME_ML),
    _gas("spacer_ml", "volume of a spacer", SPACER_ML, more="larger spacers", less="smaller spacers"),
    _damping("damper_points", "damper's forces", "points", part="damper"),
    _damping("damper_points_at", "damper's forces measured at", "text", compared=False, part="damper"),
    SettingSpec("unsprung_mass_kg", "unsprung mass", Range(0.3, 80, "kg")),
    SettingSpec("tyre_stiffness_n_mm", "tyre stiffness", Range(5, 2000, "N/mm")),
    SettingSpec("shock_length_mm", "shock length", Range(50, 1000, "mm"), at=_REAR, moves_zero=True, geometry=True),
    SettingSpec("shock_offset_mm", "shock offset", Range(-30, 30, "mm"), at=_REAR, moves_zero=True, geometry=True),
    SettingSpec("photo", "photograph", "file", at=_REAR, compared=False),
    SettingSpec("parts_opened_on", "parts opened on", "date", moves_zero=True, compared=False),
    _of_bike("mass_kg", "bike mass", MASS_KG),
    _of_bike("battery_mass_kg", "battery mass", Range(0, 60, "kg")),
    _of_bike("head_angle_deg", "head angle", ANGLE_DEG, geometry=True),
    _of_bike("wheelbase_mm", "wheelbase", LENGTH_MM, geometry=True),
    _of_bike("bottom_bracket_height_mm", "bottom bracket height", LENGTH_MM, geometry=True, in_geometry=_BIKE),
    _of_bike("crank_mm", "crank length", SMALL_MM),
    _of_bike("chainring_teeth", "chainring", Range(8, 80, "teeth")),
    _of_bike("front_share", "share on the front wheel", SHARE, compared=False),
    _of_bike("crown_offset_mm", "crown offset", OFFSET_MM, geometry=True),
    _of_bike("angled_cup_deg", "angled cups", Range(-5, 5, "°", said="a number from -5 to 5 degrees"), geometry=True),
)
SPECS: Mapping[str, SettingSpec] = MappingProxyType({spec.key: spec for spec in SETUP_KEYS})
OF_ENDS = tuple(spec for spec in SETUP_KEYS if spec.at != _BIKE)
OF_BIKE = tuple(spec for spec in SETUP_KEYS if spec.at == _BIKE)
DAMPER_ADJUSTERS = tuple(spec.key for spec in SETUP_KEYS if spec.part == "damper" and spec.holds == "position")
IN_GEOMETRY: Mapping[str, tuple[Place, str]] = MappingProxyType(
    {
        spec.key if len(spec.in_geometry) == 1 else f"{place}_{spec.key}": (place, spec.key)
        for spec in sorted(SETUP_KEYS, key=lambda spec: -len(spec.in_geometry))
        for place in spec.in_geometry
    }
)
"""Keys of ``[bike.geometry]`` and what each states, the wheels first; a setup's own key goes before it."""


def name_of(key: str) -> str:
    """Return a key in the trade's words.

    Examples
    --------
    >>> name_of("lower_leg_oil_each_ml"), name_of("low_speed_compression"), name_of("tyre_pressure_bar")
    ('lower-leg oil', 'low-speed compression', 'tyre pressure')
    """
    return SPECS[key].words


def part_of(key: str) -> KeyPart | None:
    """Return which part of an end a key is a figure of; words of one's own are of none.

    Examples
    --------
    >>> part_of("air_pressure_bar"), part_of("tyre_pressure_bar"), part_of("own_words")
    ('springs', None, None)
    """
    return SPECS[key].part if key in SPECS else None


def is_change(key: str) -> bool:
    """Tell whether a key that differs is a change of the bike: words of one's own are, what is noted down isn't."""
    return key not in SPECS or SPECS[key].compared


def changed_words(old: EndSetup, new: EndSetup, keys: tuple[str, ...]) -> list[str]:
    """Return which of these keys differ between two setups of an end, in words and sorted."""
    return sorted(name_of(key) for key in keys if old.value(key) != new.value(key))
