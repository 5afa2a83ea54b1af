"""Inertial sensors: readings to specific force and rotation in the bike's axes, and to attitude.

Few days have any: each part loads with the first name asked of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

if TYPE_CHECKING:
    from .cleaner import CleanedInertial, clean_inertial
    from .readied import InertialRecipe, LoggedRide
    from .reading import rest_in_log
    from .rest import Rest

_HOMES = {
    "cleaner": "CleanedInertial clean_inertial",
    "readied": "InertialRecipe LoggedRide",
    "reading": "rest_in_log",
    "rest": "Rest",
}

__all__ = ["CleanedInertial", "InertialRecipe", "LoggedRide", "Rest", "clean_inertial", "rest_in_log"]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
