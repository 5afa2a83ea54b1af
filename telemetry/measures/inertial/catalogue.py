"""Every measure of acceleration and its function, listed by hand; ids and words stand in the model's catalogue."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import TypeAlias

from telemetry.measures.missing import Missing, Outcome

from . import comfort, control, moved_strokes
from .view import InertialView

InertialMeasure: TypeAlias = Callable[[InertialView], Outcome]
InParts: TypeAlias = Callable[[InertialView], Mapping[str, float] | Missing]

MEASURES: Mapping[str, InertialMeasure] = MappingProxyType(
    {
        "wheel_acceleration_rms": partial(control.acceleration_rms, on="wheel"),
        "chassis_acceleration_rms": partial(control.acceleration_rms, on="chassis"),
        "wheel_acceleration_10_per_min": partial(control.acceleration_10_per_min, on="wheel"),
        "chassis_acceleration_10_per_min": partial(control.acceleration_10_per_min, on="chassis"),
        "fast_shaking_passed_on": control.fast_shaking_passed_on,
        "moved_compression_speed_10_per_min": moved_strokes.moved_compression_speed_10_per_min,
        "moved_rebound_speed_10_per_min": moved_strokes.moved_rebound_speed_10_per_min,
        "moved_length_10_per_min": moved_strokes.moved_length_10_per_min,
        "unloaded_share": control.unloaded_share,
        "chassis_frequency": control.chassis_frequency,
        "chassis_damping": control.chassis_damping,
        "hop_frequency": control.wheel_hop,
        "hand_arm_vibration": comfort.hand_arm_vibration,
        "hand_arm_vibration_a8": comfort.hand_arm_vibration_a8,
        "whole_body_vibration": comfort.whole_body_vibration,
        "whole_body_vibration_a8": comfort.whole_body_vibration_a8,
    }
)

MEASURES_IN_PARTS: Mapping[str, InParts] = MappingProxyType(
    {"transmissibility": control.passed_on, "shock_response": control.shock_response}
)

IN_A_SECTION: Mapping[str, InertialMeasure] = MappingProxyType(
    {
        **MEASURES,
        "wheel_acceleration_10_per_min": partial(control.acceleration_p95, on="wheel"),
        "chassis_acceleration_10_per_min": partial(control.acceleration_p95, on="chassis"),
        "moved_compression_speed_10_per_min": moved_strokes.moved_compression_speed_p95,
        "moved_rebound_speed_10_per_min": moved_strokes.moved_rebound_speed_p95,
        "moved_length_10_per_min": moved_strokes.moved_length_p95,
    }
)
"""Within a section, where ten peaks or strokes a minute are too few, a percentile stands for them."""
