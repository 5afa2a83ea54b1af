"""Travel and acceleration together: what spring and damper of an end push with, found on the trail."""

from .bending import Smoothing
from .mapping import bodies_seen, force_map, force_maps
from .search import Rider, common_rider

__all__ = ["Rider", "Smoothing", "bodies_seen", "common_rider", "force_map", "force_maps"]
