"""Inertial sensors: readings to specific force and rotation in the bike's axes, and to attitude."""

from .cleaner import CleanedInertial, clean_inertial
from .readied import InertialRecipe, LoggedRide
from .reading import rest_in_log
from .rest import Rest

__all__ = ["CleanedInertial", "InertialRecipe", "LoggedRide", "Rest", "clean_inertial", "rest_in_log"]
