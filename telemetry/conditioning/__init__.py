"""From a log's readings to wheel travel and speed, the same way for every run of a ride day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

from .assemble import RideRecipe, clean_ride
from .calibration import calibrate
from .end import EndRecipe, Zero
from .ground import GroundSensor
from .joining import SAME, ClockLine, clock_line, joined_log, on_one_clock, shape_lag_s
from .noise import RestNoise, with_rest_noise
from .smoothing import lowpass
from .speed import derivative

if TYPE_CHECKING:
    from .inertial import InertialRecipe, Rest, rest_in_log

_HOMES = {"inertial": "InertialRecipe Rest rest_in_log"}

__all__ = [
    "SAME",
    "ClockLine",
    "EndRecipe",
    "GroundSensor",
    "InertialRecipe",
    "Rest",
    "RestNoise",
    "RideRecipe",
    "Zero",
    "calibrate",
    "clean_ride",
    "clock_line",
    "derivative",
    "joined_log",
    "lowpass",
    "on_one_clock",
    "rest_in_log",
    "shape_lag_s",
    "with_rest_noise",
]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
