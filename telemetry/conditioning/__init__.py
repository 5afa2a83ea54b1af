"""From a log's readings to wheel travel and speed, the same way for every run of a ride day."""

from .assemble import RideRecipe, clean_ride
from .calibration import Calibration, calibrate
from .end import EndRecipe, SeenNoise, Zero
from .lowpass import lowpass
from .speed import derivative

__all__ = [
    "Calibration",
    "EndRecipe",
    "RideRecipe",
    "SeenNoise",
    "Zero",
    "calibrate",
    "clean_ride",
    "derivative",
    "lowpass",
]
