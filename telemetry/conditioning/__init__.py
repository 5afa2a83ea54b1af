"""From a log's readings to wheel travel and speed, the same way for every run of a ride day."""

from .assemble import RideRecipe, clean_ride
from .calibration import Calibration, calibrate
from .end import EndRecipe, SeenNoise, Zero
from .joining import ClockLine, clock_line, joined_log, rows_there, shape_lag_s
from .lowpass import lowpass
from .speed import derivative

__all__ = [
    "Calibration",
    "ClockLine",
    "EndRecipe",
    "RideRecipe",
    "SeenNoise",
    "Zero",
    "calibrate",
    "clean_ride",
    "clock_line",
    "derivative",
    "joined_log",
    "lowpass",
    "rows_there",
    "shape_lag_s",
]
