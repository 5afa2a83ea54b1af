"""What differs between two setups and what of it a ride on paper shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from types import MappingProxyType
from typing import TypeAlias

from telemetry.bench.known import ASSUMED
from telemetry.model.comparison import SetupDifference
from telemetry.model.finding import ENDS, End, Place
from telemetry.model.prediction import NotRidden
from telemetry.model.setup_keys import DAMPER_ADJUSTERS, KeyPart, part_of
from telemetry.telling.bench_untold import BATTERY

ON_PAPER = frozenset(
    {
        "travel_mm", "measured_travel_mm", "bumper_touch_mm", "stroke_mm", "leverage", "ratio", "linkage",
        "air_pressure_bar", "negative_air_pressure_bar", "air_volume_ml", "volume_spacers", "spring_rate_n_mm",
        "preload_mm", "lower_leg_oil_each_ml", "lower_leg_oil_spring_side_ml", "lower_leg_oil_damper_side_ml",
        "lower_leg_volume_each_ml", "lower_leg_volume_spring_side_ml", "lower_leg_volume_damper_side_ml",
        "lower_leg_crossover", "lower_leg_closed_at_mm", "lower_leg_bled_altitude_m", "damper_oil_cst_40c",
        "damper_oil_viscosity_index", "oil_level_mm", "low_speed_compression", "high_speed_compression", "compression",
        "low_speed_rebound", "high_speed_rebound", "rebound", "sprung_mass_kg", "stanchion_mm", "stanchion_open_below",
        "air_piston_mm", "air_rod_mm", "negative_air_volume_ml", "spacer_ml", "damper_points", "unsprung_mass_kg",
        "tyre_stiffness_n_mm", "mass_kg", "head_angle_deg", "wheelbase_mm", "front_share", "knee_compression_mm_s",
        "knee_rebound_mm_s", "battery_mass_kg",
    }
)  # fmt: skip
"""Keys of a setup whose change is ridden on paper."""
WRITTEN_DOWN = frozenset({"damper_points_at", "parts_opened_on", "photo"})
"""Keys that say something of a setup, and change nothing of how it rides."""
UNKNOWN = "its effect isn't in the model: what is expected leaves it out"
IDLE = "by itself it changes nothing on paper"
CLICKS = "it takes damper_points, the clicks they were measured at, and both setups' clicks with of"
LEGS = "lower legs push by their volume (lower_leg_volume_each_ml), their oil and stanchion_mm together"
AIR = "an air spring takes air_pressure_bar, air_volume_ml and air_piston_mm together"
GAP = "the gas above a fork's oil takes oil_level_mm, stanchion_mm and spring_rate_n_mm together"
ROD = "it counts in a negative chamber, by negative_air_volume_ml"
WEIGHED = "sprung_mass_kg is stated, and goes before it"
COIL = "a coil's difference takes spring_rate_n_mm of both setups"
DAMPER = "state damper_points, and the oil of both setups"
SPACER = f"where it isn't stated {ASSUMED['spacer_ml'].value:g} ml is taken; it counts with volume_spacers, in air"
NEEDS: Mapping[str, str] = MappingProxyType(
    {
        "battery_mass_kg": BATTERY,
        "mass_kg": WEIGHED,
        "front_share": WEIGHED,
        **dict.fromkeys(DAMPER_ADJUSTERS, CLICKS),
        "air_rod_mm": ROD,
        "oil_level_mm": GAP,
        "spring_rate_n_mm": COIL,
        "preload_mm": COIL,
        "volume_spacers": "state spacer_ml, and the air spring that they are in",
        "spacer_ml": SPACER,
    }
)
"""By key, what a figure needs beside it to be ridden."""
NEEDS_OF_PART: Mapping[KeyPart | None, str] = MappingProxyType({"legs": LEGS, "springs": AIR, "damper": DAMPER})
"""What others need, by the part they are of."""
WITH_BATTERY = frozenset({"mass_kg", "sprung_mass_kg"})
Idle: TypeAlias = AbstractSet[tuple[Place, str]]
"""Differences of which a bike on paper takes no notice, by end and key."""
ALIKE = "the two setups differ in nothing that is stated: write what differs under [setups]"
NONE_RIDDEN = "nothing that differs between the two setups can be ridden on paper"


def _left_out(item: SetupDifference, ends: tuple[End, ...], idle: Idle) -> str:
    """Return why a difference isn't ridden on paper; nothing where it is."""
    if item.key not in ON_PAPER:
        return UNKNOWN
    if item.end in ENDS and item.end not in ends:
        return f"the {item.end} isn't ridden on paper"
    if (item.end, item.key) not in idle:
        return ""
    needs = needs_of(item.key)
    return f"{IDLE}: {needs}" if needs else IDLE


def needs_of(key: str) -> str:
    """Return what a figure needs beside it to count; nothing where that isn't known."""
    return NEEDS.get(key) or NEEDS_OF_PART.get(part_of(key), "")


def _moving(differences: Sequence[SetupDifference]) -> list[SetupDifference]:
    """Return the differences that may change how a setup rides: a battery's mass stands in that of the bike."""
    weighed = any(item.key in WITH_BATTERY for item in differences)
    told = WRITTEN_DOWN | {"battery_mass_kg"} if weighed else WRITTEN_DOWN
    return [item for item in differences if item.key not in told]


def not_on_paper(
    differences: Sequence[SetupDifference], ends: tuple[End, ...], idle: Idle = frozenset()
) -> tuple[NotRidden, ...]:
    """Return which differences of the setups no ride on paper shows, and why.

    Parameters
    ----------
    differences : sequence of SetupDifference
    ends : tuple of End
        Those that are ridden.
    idle : set of (end, key)
        Of which the bike on paper takes no notice, by what else is stated.
    """
    told = ((item, _left_out(item, ends, idle)) for item in _moving(differences))
    return tuple(NotRidden(what=item.words, reason=reason) for item, reason in told if reason)


def nothing_to_ride(differences: Sequence[SetupDifference], ends: tuple[End, ...], idle: Idle = frozenset()) -> str:
    """Return why a ride of the candidate's on paper would be the baseline's again; nothing where it wouldn't."""
    moving = _moving(differences)
    if not moving:
        return ALIKE
    return NONE_RIDDEN if all(_left_out(item, ends, idle) for item in moving) else ""
