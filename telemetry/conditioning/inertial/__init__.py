"""Inertial sensors: readings to specific force and rotation in the bike's axes, and to attitude."""

from .cleaner import CleanedInertial, InertialCleaner, InertialRecipe
from .reading import rest_in_log
from .rest import Rest

__all__ = ["CleanedInertial", "InertialCleaner", "InertialRecipe", "Rest", "rest_in_log"]
