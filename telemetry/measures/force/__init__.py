"""Travel and acceleration together: what spring and damper of an end push with, found on the trail."""

from .bending import Smoothing
from .mapping import force_map, force_maps

__all__ = ["Smoothing", "force_map", "force_maps"]
